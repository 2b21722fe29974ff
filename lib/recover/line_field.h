// Lines near a place as pictures: how near is the next line that runs in about this direction?
//
// Stage:   recover, internal to match_lines.cpp.
// Frame:   that of the points, mm.
#pragma once

#include <array>
#include <optional>
#include <vector>

#include <opencv2/core.hpp>

#include "recover/match_lines.h"

namespace underdraw {

class LineField {
 public:
  static constexpr int kWays = 12;  // directions, 15° apart

  // Asked within `room` only: outside it there are no lines.
  LineField(const std::vector<LinePoint>& points, const Box& room);

  // 1 on a line that runs this way, falling to 0 at about 2.5 mm.
  float nearness(Vec2 at, int way) const;
  // The next point of a line that runs about this way, if there is one within `reach_mm`.
  std::optional<std::size_t> nearest(Vec2 at, Vec2 along, double reach_mm) const;

  static int way_of(Vec2 along);

 private:
  std::optional<cv::Point> cell_of(Vec2 at) const;

  const std::vector<LinePoint>& points_;
  Box room_;
  std::array<cv::Mat, kWays> nearness_;  // CV_32FC1
  std::array<cv::Mat, kWays> label_;     // CV_32SC1, of the next cell with a line
  std::array<std::vector<int>, kWays> point_of_label_;
};

}  // namespace underdraw
