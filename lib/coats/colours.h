// The colours that a piece is to have: what each is laid on, how often, how long it dries.
//
// Stage:   coats. Pure.
// In/out:  plain values as the person states them.
// Source:  three coats for an opaque colour, four for a thin one, 200 ml for a square metre and
//          coat: common practice, no source. The maker's label is what counts.
#pragma once

#include <optional>
#include <string>
#include <vector>

namespace underdraw {

// opaque: hides what is below it, lines too. thin: needs more coats for the same cover. wash: laid
// until it looks right, without a count; lines stay to be seen through it.
enum class ColourKind { opaque, thin, wash };

std::string name_of(ColourKind kind);
const std::vector<std::string>& colour_kind_names();  // in the order of ColourKind

constexpr double kUsualMlPerM2 = 200.0;   // one coat
constexpr double kUsualDryingMin = 30.0;  // before the next coat

// 3, 4, and 0 for a wash.
int usual_coats(ColourKind kind);

struct Colour {
  std::string name;  // "teal"
  ColourKind kind = ColourKind::opaque;
  int coats = usual_coats(ColourKind::opaque);  // to lay; [1, 20]; 0 for a wash
  double drying_min = kUsualDryingMin;          // before the next coat; [0, 2880]
  std::optional<double> ml_per_m2;  // one coat, when the label says; nothing: kUsualMlPerM2
  // Faces (all that is not in a drawing), motifs (all their areas) and single areas ("thistle b").
  // An area takes the colour that names it most closely.
  std::vector<std::string> on;
  int line = 0;  // in the piece file, for complaints; 0: none
};

// Which parts of a piece are painted first.
enum class PaintOrder { ground_first, edge_to_edge };

std::string name_of(PaintOrder order);
const std::vector<std::string>& paint_order_names();  // in the order of PaintOrder

// What a hand does while the other paints: `opposite` holds the piece on the far side, which has to
// be dry; `none`: it stands on a turntable or is held from inside.
enum class Hold { opposite, none };

std::string name_of(Hold hold);
const std::vector<std::string>& hold_names();  // in the order of Hold

struct CoatOptions {
  double gap_mm = 0.0;    // bare clay left between two areas; [0, 0.5]
  double close_mm = 1.0;  // openings in a drawing's lines up to this wide count as closed; [0, 5]
  PaintOrder order = PaintOrder::ground_first;
  Hold hold = Hold::opposite;
  double pace_cm2_per_min = 10.0;  // how fast the person paints (own guess, no source); [0.5, 500]

  void validate() const;  // throws OptionError
};

}  // namespace underdraw
