// How far a sheet that was found in a photo is from where it really was.
#pragma once

#include <algorithm>
#include <functional>
#include <optional>
#include <vector>

#include "photo/bent_sheet.h"
#include "photo/drawing_sheet.h"

namespace underdraw::test {

struct SheetErrors {
  double place_mm = 0.0;    // largest, over all that the frames cover
  double size_share = 0.0;  // largest, of the distance between two places on opposite sides
};

// `px_of`: the truth.
inline SheetErrors sheet_errors(const BentSheet& bent,
                                const DrawingSheet& sheet,
                                const std::function<std::optional<Vec2>(Vec2)>& px_of) {
  constexpr int kSteps = 12;
  Box room;
  for (const Box& frame : sheet.frames) room.add(frame);
  const auto place = [&](int i, int j) {
    return room.min + Vec2{room.width() * i / kSteps, room.height() * j / kSteps};
  };
  // Where a place comes out on the flattened page, less where it is: by the map's own slopes.
  const auto off = [&](Vec2 p) -> std::optional<Vec2> {
    const auto seen = bent.px_of(p);
    const auto right = bent.px_of(p + Vec2{1.0, 0.0});
    const auto down = bent.px_of(p + Vec2{0.0, 1.0});
    const auto due = px_of(p);
    if (!seen || !right || !down || !due) return {};
    const Vec2 x = *right - *seen;
    const Vec2 y = *down - *seen;
    const Vec2 d = *due - *seen;
    return Vec2{cross(d, y) / cross(x, y), cross(x, d) / cross(x, y)};
  };
  SheetErrors errors;
  const auto size = [&](Vec2 a, Vec2 b) {
    const auto off_a = off(a);
    const auto off_b = off(b);
    if (!off_a || !off_b) return;
    const double share = distance(a + *off_a, b + *off_b) / distance(a, b) - 1.0;
    errors.size_share = std::max(errors.size_share, std::abs(share));
  };
  for (int i = 0; i <= kSteps; ++i) {
    for (int j = 0; j <= kSteps; ++j) {
      const auto d = off(place(i, j));
      errors.place_mm = std::max(errors.place_mm, d ? length(*d) : 1e3);
    }
    size(place(0, i), place(kSteps, i));
    size(place(i, 0), place(i, kSteps));
  }
  return errors;
}

}  // namespace underdraw::test
