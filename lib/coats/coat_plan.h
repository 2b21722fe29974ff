// In which order coats are laid, from where the piece is held meanwhile, how long it takes and how
// much of each colour it takes.
//
// Stage:   coats. Pure.
// In/out:  a paint map; sizes in cm2, colour in ml, time in minutes.
// Order:   ground first: the grounds, then the drawings, those behind before those in front, colour
//          by colour as the piece file lists them, each with all its coats. Edge to edge: the same,
//          but everything gets its first coat before anything gets its second.
// Hold:    a round face is painted side by side, a quarter at a time. A hand that holds the far
//          side waits until that is dry: time is counted with that, and with the drying of the
//          coat below.
// Source:  plain bookkeeping. Pace, drying times and coverage are the person's own or common
//          practice without a source, so that times and amounts are estimates.
#pragma once

#include <cstddef>
#include <optional>
#include <string>
#include <vector>

#include "coats/paint_map.h"

namespace underdraw {

// What one coat takes, as the label says or as the person found out.
struct Coverage {
  double ml_per_m2 = kUsualMlPerM2;
  double low = 0.7 * kUsualMlPerM2;  // the range that it may lie in (own choice: 30 %)
  double high = 1.3 * kUsualMlPerM2;
  bool measured = false;  // from the person's own readings
};

// The label's, else the usual one, and 30 % to either side.
Coverage stated_coverage(const Colour& colour);

// A stop of the brush: all that one colour covers on one side of one face.
struct CoatStop {
  std::string face;
  std::optional<int> side;  // 0 to 3: round the piece by quarters, the middle of the first at
                            // the seam tick; nothing: the face has no sides
  std::vector<std::string> parts;  // "7", "9bd"; empty: the ground
  double size_cm2 = 0.0;
};

// One colour on one part of the drawing, with all its coats.
struct CoatTurn {
  std::optional<std::size_t> colour;  // nothing: still to be chosen
  bool ground = false;
  bool behind = false;
  int coats = 3;  // 0: a wash
  double drying_min = kUsualDryingMin;
  std::vector<CoatStop> stops;
  double size_cm2 = 0.0;  // one coat
};

// One coat of one turn, in the order of the work.
struct CoatStep {
  std::size_t turn = 0;
  int coat = 1;
  double start_min = 0.0;
  double painting_min = 0.0;
  double waiting_min = 0.0;  // before and within it, until what is below or held is dry
};

struct ColourAmount {
  std::optional<std::size_t> colour;
  int coats = 3;                                 // 0: a wash
  double size_cm2 = 0.0;                         // one coat
  double ml = 0.0, low_ml = 0.0, high_ml = 0.0;  // all coats; a wash: one
  std::size_t parts = 0;
  Coverage coverage;
};

struct CoatPlan {
  std::vector<CoatTurn> turns;
  std::vector<CoatStep> steps;
  std::vector<ColourAmount> amounts;  // in the order of the colours, what has none last
  double painting_min = 0.0;
  double total_min = 0.0;  // with the waits
};

constexpr int kSides = 4;

// `coverages`: one a colour of the map, or empty: stated_coverage of each.
CoatPlan coat_plan(const PaintMap& map,
                   const std::vector<PlacedFace>& faces,
                   const std::vector<Coverage>& coverages = {});

}  // namespace underdraw
