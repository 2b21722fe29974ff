// The signs that a map uses, and the lines that explain them.
//
// Stage:   sheet. Pure.
// Frame:   of the page, mm.
#pragma once

#include <string>
#include <vector>

#include "sheet/drawing.h"

namespace underdraw {

// Looks of what the notes explain.
constexpr double kZoneHatchMm = 1.6;
constexpr Grey kZoneGrey{0.6};
constexpr double kDartWidthMm = 0.2;
inline const std::vector<double> kDartDashes = {0.9, 0.6};

// What has to be known to read the map, with the sign it is about.
struct MapNote {
  enum class Sign { none, zone, dart, too_fine };
  Sign sign = Sign::none;
  std::string text;
};

// The notes below each other, from the box's top left corner.
struct DrawnNotes {
  std::vector<Mark> marks;
  double height_mm = 0.0;
};
DrawnNotes draw_notes(const std::vector<MapNote>& notes, const Box& box);

// A solid triangle, point up, as high and wide as `size_mm`.
PathMark too_fine_sign(Vec2 centre, double size_mm);

}  // namespace underdraw
