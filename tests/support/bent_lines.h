// Linework as a hand's drift and a tilted camera bend it.
//
// In/out:  page frame, mm. Paths are cut into more pieces until they follow the bend within
//          0.003 mm; ends and directions follow it exactly.
#pragma once

#include <array>

#include "geometry/linework.h"

namespace underdraw::test {

// The hand's drift: a few slow sine waves over the page, so lines that meet go on meeting.
class Wobble {
 public:
  Wobble(double rms_mm, unsigned seed);
  Vec2 moved(Vec2 p) const;
  Vec2 turned(Vec2 p, Vec2 by) const;  // where a small step `by` from p goes

 private:
  struct Wave {
    Vec2 step, push;
    double phase = 0.0;
  };
  std::array<Wave, 12> waves_;
};

// A flat page seen by a camera that looks at its middle, not straight down: what lies towards
// `towards_deg` is farther away and smaller. Scale 1 in the middle, across the tilt.
class Tilt {
 public:
  // distance_mm: from the lens to the page's middle.
  Tilt(double tilt_deg, double towards_deg, double distance_mm, Vec2 middle);
  Vec2 moved(Vec2 on_page) const;
  Vec2 turned(Vec2 on_page, Vec2 by) const;
  Vec2 unmoved(Vec2 in_picture) const;
  // How many times as wide a line of that direction in the picture is there as on the page;
  // direction (0, 0): how many times as wide a dot is.
  double width_factor(Vec2 in_picture, Vec2 direction) const;

 private:
  Vec2 middle_, ahead_;
  double sine_, cosine_, distance_;
};

// Pen widths stay.
Linework bent(const Linework& lines, const Wobble& wobble);

// Pen widths are seen at their place; every stroke gets widths_mm.
Linework bent(const Linework& lines, const Tilt& tilt);

// A stroke's pen width at a length along its path, which is `whole` long.
double width_along(const Stroke& stroke, double along, double whole);

// About 0.25 mm; at least 1.
std::size_t width_steps(double length_mm);

}  // namespace underdraw::test
