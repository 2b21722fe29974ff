// What is already drawn on a page, so that labels find a place where they cover nothing.
//
// Stage:   sheet. Pure.
// Frame:   of the page, mm.
#pragma once

#include <cstdint>
#include <span>
#include <unordered_map>
#include <vector>

#include "sheet/drawing.h"

namespace underdraw {

// Boxes that cover a line of text together: one where it is upright, several along it where it
// slants, because its own box would then be mostly empty.
std::vector<Box> text_boxes(const TextMark& mark);

class LabelRoom {
 public:
  void add(const Box& taken);
  void add_line(std::span<const Vec2> points, double width_mm = 0.0);

  // Lines at their width, solid shapes as their boxes, text as it lies.
  void add(const Mark& mark);

  bool free(const Box& label) const;
  bool free(const TextMark& words, double apart_mm) const;

 private:
  struct Piece {
    Vec2 from, to;
    double half_width;
  };
  template <typename Visit>
  static void cells(const Box& box, Visit visit);

  std::vector<Piece> pieces_;
  std::vector<Box> boxes_;
  std::unordered_map<std::int64_t, std::vector<std::size_t>> pieces_at_, boxes_at_;
};

}  // namespace underdraw
