// The few shapes that pages are built of.
//
// Stage:   sheet. Pure.
// Frame:   the caller's, mm, y down.
#pragma once

#include <vector>

#include "sheet/drawing.h"

namespace underdraw {

Path line_between(Vec2 from, Vec2 to);
Path rectangle(const Box& box);
Path rounded_rectangle(const Box& box, double radius_mm);
Path circle(Vec2 centre, double radius_mm);

// Motif linework as marks: strokes with their pen width, never thinner than least_width_mm.
std::vector<Mark> linework_marks(const Linework& lines, double least_width_mm, Grey colour = {});

// An arrow that points up and fills the box: a shaft and a solid head.
std::vector<Mark> up_arrow(const Box& box, Grey colour = {});

// The mark moved; meant for moves and turns, under which line widths and letters keep their size.
Mark moved(const Mark& mark, const Affine& to_from_mark);
Box moved(const Box& box, const Affine& to_from_box);

}  // namespace underdraw
