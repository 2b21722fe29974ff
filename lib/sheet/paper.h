// Paper sizes by name, or any size in mm.
//
// Stage:   sheet. Pure.
// In/out:  mm, upright (width is the shorter side of a named size).
// Refuses: unknown names and sides outside 50 to 2000 mm (OptionError).
// Source:  A3, A4: ISO 216, table 1. Letter, Tabloid: ASME Y14.1 sizes A and B (8.5 x 11 in,
//          11 x 17 in). Legal: trade size, 8.5 x 14 in. 1 in = 25.4 mm exactly.
#pragma once

#include <string>
#include <vector>

namespace underdraw {

struct PaperSize {
  std::string name = "A4";  // "120 x 90 mm" for a custom size
  double width_mm = 210.0;
  double height_mm = 297.0;

  friend bool operator==(const PaperSize&, const PaperSize&) = default;
};

// A3, A4, Letter, Legal or Tabloid; capitals do not matter.
PaperSize paper_size(const std::string& name);
PaperSize custom_paper(double width_mm, double height_mm);
std::vector<std::string> paper_names();

// Printers leave an edge unprinted, 4 to 15 mm; a wider one wastes the sheet. Common practice, no
// source.
constexpr double kLeastMarginMm = 5.0;
constexpr double kMostMarginMm = 25.0;

}  // namespace underdraw
