// The few shapes that pages are built of.
//
// Stage:   sheet. Pure.
// Frame:   the caller's, mm, y down.
#pragma once

#include <functional>
#include <map>
#include <memory>
#include <string>
#include <utility>
#include <vector>

#include "sheet/drawing.h"

namespace underdraw {

Path line_between(Vec2 from, Vec2 to);
Path rectangle(const Box& box);
Path rounded_rectangle(const Box& box, double radius_mm);
Path circle(Vec2 centre, double radius_mm);

// Motif linework as marks: strokes with their pen width, never thinner than least_width_mm.
std::vector<PathMark> linework_marks(const Linework& lines,
                                     double least_width_mm,
                                     Grey colour = {});

// What a motif looks like at one size, made once however often it is drawn.
class LookOfMotifs {
 public:
  using Make = std::function<std::vector<PathMark>(const Affine& look_from_motif)>;

  // The motif where page_from_motif lays it; its size is taken into the marks, so that line widths
  // are those of the page.
  SharedMark laid(const std::string& motif, const Affine& page_from_motif, const Make& make);

 private:
  using Marks = std::shared_ptr<const std::vector<PathMark>>;
  std::map<std::pair<std::string, long long>, Marks> known_;
};

// Each of the shared marks where it lies.
std::vector<PathMark> marks_of(const SharedMark& shared);

// An arrow that points up and fills the box: a shaft and a solid head.
std::vector<Mark> up_arrow(const Box& box, Grey colour = {});

// The mark moved; meant for moves and turns, under which line widths and letters keep their size.
Mark moved(const Mark& mark, const Affine& to_from_mark);
Box moved(const Box& box, const Affine& to_from_box);

}  // namespace underdraw
