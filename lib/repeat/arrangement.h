// What is asked of one face: which motifs, in which style.
//
// Stage:   repeat. Pure.
// In/out:  height, gap and row gap are lengths on the finished piece; `at` is a tape length at the
//          stage when the piece was measured, like the face itself.
#pragma once

#include <optional>
#include <string>
#include <vector>

namespace underdraw {

enum class Style { centre, band, rows };

// none: A B C, alternate: A B C A' B' C', both: A A' B B' C C'.
enum class Mirroring { none, alternate, both };

std::string name_of(Style style);
std::string name_of(Mirroring mirroring);

struct Arrangement {
  std::string face;
  Style style = Style::band;
  std::vector<std::string> motifs;  // in this order
  Mirroring mirror = Mirroring::none;
  std::optional<double> height_mm;   // of every motif; nothing: as drawn
  std::optional<double> at_mm;       // middle of the band; nothing: middle of the face
  std::optional<double> gap_mm;      // least gap between neighbours; nothing: kDefaultGapMm
  std::optional<int> rows;           // style rows: how many; nothing: as many as fit
  std::optional<double> row_gap_mm;  // style rows: least gap between rows; nothing: gap_mm
  int line = 0;                      // in the piece file, for complaints; 0: none
};

constexpr double kDefaultGapMm = 5.0;  // own choice: room for a brush, still reads as one band

}  // namespace underdraw
