// What is asked of one face: which motifs, in which style.
//
// Stage:   repeat. Pure.
// In/out:  heights, gaps and edges are lengths on the finished piece; `at`, `centre` and `radius`
//          are tape lengths at the stage when the piece was measured, like the face itself.
#pragma once

#include <cstdint>
#include <optional>
#include <string>
#include <vector>

#include "piece/surface.h"

namespace underdraw {

// rows: copies above each other. brick: every second row half a copy to the side. half_drop: every
// second column half a row down. ring: round a point. scatter: no order to be seen.
enum class Style { centre, band, rows, brick, half_drop, ring, scatter };

// none: A B C, alternate: A B C A' B' C', both: A A' B B' C C'.
enum class Mirroring { none, alternate, both };

// How a band's motif list L goes on, by its symmetry. M: mirrored, U: upside down mirrored, T: half
// turned; each with the list read backwards where the symmetry says so.
//   plain        p1    L
//   glide        p11g  L U
//   mirror       p1m1  L M
//   half_turn    p2    L T
//   mirror_turn  p2mg  L T U M
//   reflect      p11m  L over U
//   reflect_both p2mm  L M over U T
// Source: International Tables for Crystallography, vol. E, the seven frieze groups.
enum class Frieze { plain, glide, mirror, half_turn, mirror_turn, reflect, reflect_both };

std::string name_of(Style style);
std::string name_of(Mirroring mirroring);
std::string name_of(Frieze frieze);

const std::vector<std::string>& style_names();   // in the order of Style
const std::vector<std::string>& frieze_names();  // in the order of Frieze

struct Arrangement {
  std::string face;
  Style style = Style::band;
  std::vector<std::string> motifs;  // in this order
  std::vector<double> weights;      // scatter: how often, one a motif; empty: all alike
  Mirroring mirror = Mirroring::none;
  std::optional<Frieze> frieze;       // style band, instead of mirror
  std::vector<double> heights_mm;     // one for all, or one a motif; empty: as drawn
  std::vector<double> sizes_percent;  // scatter: further sizes to fill with; empty: none
  std::optional<double> at_mm;        // middle of the band; nothing: middle of the face
  std::optional<double> gap_mm;       // least gap between neighbours; nothing: kDefaultGapMm
  std::optional<int> rows;            // how many; nothing: as many as fit
  std::optional<double> row_gap_mm;   // least gap between rows; nothing: gap_mm
  std::optional<int> count;           // copies round, or in a ring; nothing: as many as fit
  double size_give_percent = 0.0;     // how far sizes may change so that the gap stays as asked
  bool same_count = false;            // every row as many as the widest: narrower rows are smaller
  double turn_deg = 0.0;              // of every copy, clockwise; scatter: most to either side
  bool turn_free = false;             // scatter
  double edge_mm = 0.0;               // from the face's edges
  std::optional<FacePoint> centre;    // style ring and centre; nothing: middle of the face
  std::optional<double> radius_mm;    // style ring: from its centre to the middle of the motifs
  std::optional<double> coverage_percent;  // scatter; nothing: as dense as the gap allows
  std::uint32_t seed = 1;                  // scatter
  bool behind = false;                     // lies behind what was placed before, and is cut there
  double cut_gap_mm = 0.3;                 // bare clay left along such a cut
  int line = 0;                            // in the piece file, for complaints; 0: none
};

constexpr double kDefaultGapMm = 5.0;  // own choice: room for a brush, still reads as one band

}  // namespace underdraw
