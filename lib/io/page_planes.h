// Gathers the pixels of a page as a decoder hands them out: grey in full, colours at a lower
// resolution.
//
// Stage:   io, internal to it. Pure.
// In/out:  rows as grey_rows.h takes them; grey as fill_grey_row makes it; colours as area means of
//          squares, over every other row of large squares.
#pragma once

#include <cstdint>
#include <span>
#include <vector>

#include <opencv2/core.hpp>

#include "io/grey_rows.h"
#include "io/page_reader.h"

namespace underdraw {

class PagePlanes {
 public:
  // tint_shrink: page px per px of the colours; [1, 16]. Without `colour` there are none.
  PagePlanes(int width, int height, int tint_shrink, bool colour);

  // Grey alone, to be filled by the decoder itself.
  std::span<std::uint8_t> grey_row(int y);

  // A whole row, each once.
  void put_row(int y, std::span<const std::uint8_t> samples, const RowLayout& layout);

  // A whole row of interleaved luma and colour differences, as JPEG stores them. All rows or none.
  void put_ycc_row(int y, std::span<const std::uint8_t> samples);

  // Every step-th pixel of a row, from x on: part of an interlaced page. All rows or none.
  void put_part(
      int y, int x, int step, std::span<const std::uint8_t> samples, const RowLayout& layout);

  PageImage finish();

 private:
  bool in_tint(int y) const { return colour_ && (y % shrink_) % stride_ == 0; }
  void add_row(int y, std::span<const std::uint8_t> triples);
  std::span<const std::uint8_t> rgb_of(std::span<const std::uint8_t> samples,
                                       const RowLayout& layout,
                                       std::size_t count);

  int shrink_;
  int stride_;  // of the rows that the colours are taken from
  bool colour_;
  bool ycc_ = false;
  cv::Mat grey_;
  cv::Mat sums_;  // CV_16UC3
  std::vector<std::uint8_t> rgb_;
  std::vector<std::uint8_t> values_;
};

}  // namespace underdraw
