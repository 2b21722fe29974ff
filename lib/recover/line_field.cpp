#include "recover/line_field.h"

#include <algorithm>
#include <cmath>

#include <opencv2/imgproc.hpp>

namespace underdraw {
namespace {

constexpr double kCellMm = 0.25;
constexpr double kSpreadMm = 0.9;     // of nearness, one sigma
constexpr double kSameWayDeg = 26.0;  // off by more is another direction

}  // namespace

int LineField::way_of(Vec2 along) {
  const double turn = std::atan2(along.y, along.x) / std::numbers::pi * kWays;
  const int way = static_cast<int>(std::lround(turn)) % kWays;
  return way < 0 ? way + kWays : way;
}

LineField::LineField(const std::vector<LinePoint>& points, const Box& room)
    : points_(points), room_(room) {
  const cv::Size size(1 + static_cast<int>(std::ceil(room.width() / kCellMm)),
                      1 + static_cast<int>(std::ceil(room.height() / kCellMm)));
  const double step = 180.0 / kWays;
  const int beside = static_cast<int>(kSameWayDeg / step);
  std::array<cv::Mat, kWays> taken;
  std::array<std::vector<std::pair<cv::Point, int>>, kWays> cells;
  for (cv::Mat& picture : taken) picture = cv::Mat(size, CV_8U, cv::Scalar(255));
  for (std::size_t i = 0; i < points.size(); ++i) {
    const std::optional<cv::Point> cell = cell_of(points[i].at);
    if (!cell) continue;
    const int way = way_of(points[i].along);
    for (int k = way - beside; k <= way + beside; ++k) {
      const auto w = static_cast<std::size_t>((k + kWays) % kWays);
      uchar& here = taken[w].at<uchar>(*cell);
      if (here == 0) continue;
      here = 0;
      cells[w].emplace_back(*cell, static_cast<int>(i));
    }
  }
  for (std::size_t w = 0; w < kWays; ++w) {
    cv::Mat away;
    if (cells[w].empty()) {
      nearness_[w] = cv::Mat::zeros(size, CV_32F);
      label_[w] = cv::Mat::zeros(size, CV_32S);
      point_of_label_[w] = {-1};
      continue;
    }
    cv::distanceTransform(
        taken[w], away, label_[w], cv::DIST_L2, cv::DIST_MASK_5, cv::DIST_LABEL_PIXEL);
    point_of_label_[w].assign(cells[w].size() + 1, -1);
    for (const auto& [cell, point] : cells[w]) {
      point_of_label_[w][static_cast<std::size_t>(label_[w].at<int>(cell))] = point;
    }
    away = away.mul(away) * (-0.5 * kCellMm * kCellMm / (kSpreadMm * kSpreadMm));
    cv::exp(away, nearness_[w]);
  }
}

std::optional<cv::Point> LineField::cell_of(Vec2 at) const {
  if (!room_.contains(at)) return std::nullopt;
  return cv::Point(static_cast<int>((at.x - room_.min.x) / kCellMm),
                   static_cast<int>((at.y - room_.min.y) / kCellMm));
}

float LineField::nearness(Vec2 at, int way) const {
  const std::optional<cv::Point> cell = cell_of(at);
  return cell ? nearness_[static_cast<std::size_t>(way)].at<float>(*cell) : 0.0f;
}

std::optional<std::size_t> LineField::nearest(Vec2 at, Vec2 along, double reach_mm) const {
  const std::optional<cv::Point> cell = cell_of(at);
  if (!cell) return std::nullopt;
  const auto w = static_cast<std::size_t>(way_of(along));
  const int point = point_of_label_[w][static_cast<std::size_t>(label_[w].at<int>(*cell))];
  if (point < 0) return std::nullopt;
  const auto i = static_cast<std::size_t>(point);
  if (distance(points_[i].at, at) > reach_mm) return std::nullopt;
  return i;
}

}  // namespace underdraw
