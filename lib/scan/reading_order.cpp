#include "scan/reading_order.h"

#include <algorithm>
#include <cmath>
#include <numeric>

namespace underdraw {
namespace {

using Indices = std::vector<std::size_t>;

constexpr double kLevel = 0.4;       // of the lower one's height that two in a row share
constexpr double kVeryLevel = 0.75;  // where rows hang together by that
constexpr double kTall = 1.7;        // medians of height: stands beside more than one row
constexpr double kMostSlope = 0.1;   // 5.7 degrees, a page laid askew

struct Span {
  double from;
  double to;
  std::size_t of;
};

// The list in parts with white between them, from low to high.
std::vector<Indices> cut(std::vector<Span> spans) {
  std::sort(
      spans.begin(), spans.end(), [](const Span& a, const Span& b) { return a.from < b.from; });
  std::vector<Indices> parts;
  double reach = 0.0;
  for (const Span& span : spans) {
    if (parts.empty() || span.from > reach) {
      parts.emplace_back();
      reach = span.to;
    }
    reach = std::max(reach, span.to);
    parts.back().push_back(span.of);
  }
  return parts;
}

cv::Point2d middle_of(const cv::Rect& box) {
  return {box.x + box.width / 2.0, box.y + box.height / 2.0};
}

// Of the rows, down to the right: neighbours in a row differ by it on average.
double slope_of(const std::vector<cv::Rect>& boxes) {
  double rise = 0.0;
  double run = 0.0;
  for (const cv::Rect& box : boxes) {
    const cv::Point2d from = middle_of(box);
    cv::Point2d step(0.0, 0.0);
    for (const cv::Rect& other : boxes) {
      const cv::Point2d to = middle_of(other) - from;
      const int shared = std::min(box.br().y, other.br().y) - std::max(box.y, other.y);
      const int low = std::min(box.height, other.height);
      const bool alike = std::max(box.height, other.height) < kTall * low;
      const bool level = alike && shared > kLevel * low;
      if (to.x > 0.0 && level && (step.x == 0.0 || to.x < step.x)) step = to;
    }
    rise += step.x * step.y;
    run += step.x * step.x;
  }
  return run > 0.0 ? std::clamp(rise / run, -kMostSlope, kMostSlope) : 0.0;
}

// Rows hang together by drawings that stand level with each other.
std::vector<Indices> cut_rows(const std::vector<cv::Rect>& boxes,
                              const Indices& of,
                              double share,
                              double slope) {
  const auto top = [&](std::size_t i) { return boxes[i].y - slope * middle_of(boxes[i]).x; };
  Indices by_top = of;
  std::sort(
      by_top.begin(), by_top.end(), [&](std::size_t a, std::size_t b) { return top(a) < top(b); });
  std::vector<Indices> rows;
  std::vector<std::size_t> row_of(by_top.size());
  for (std::size_t i = 0; i < by_top.size(); ++i) {
    row_of[i] = rows.size();
    rows.push_back({by_top[i]});
    for (std::size_t k = 0; k < i; ++k) {
      if (row_of[k] == row_of[i]) continue;
      const cv::Rect& a = boxes[by_top[k]];
      const cv::Rect& b = boxes[by_top[i]];
      const double shared = std::min(top(by_top[k]) + a.height, top(by_top[i]) + b.height) -
                            std::max(top(by_top[k]), top(by_top[i]));
      if (shared <= share * std::min(a.height, b.height)) continue;
      const std::size_t into = std::min(row_of[k], row_of[i]);
      const std::size_t from = std::max(row_of[k], row_of[i]);
      rows[into].insert(rows[into].end(), rows[from].begin(), rows[from].end());
      rows[from].clear();
      std::replace(row_of.begin(), row_of.begin() + static_cast<std::ptrdiff_t>(i + 1), from, into);
    }
  }
  std::erase_if(rows, [](const Indices& row) { return row.empty(); });
  const auto level = [&](const Indices& row) {
    double sum = 0.0;
    for (const std::size_t i : row) sum += top(i) + boxes[i].height / 2.0;
    return sum / static_cast<double>(row.size());
  };
  std::sort(rows.begin(), rows.end(), [&](const Indices& a, const Indices& b) {
    return level(a) < level(b);
  });
  return rows;
}

std::vector<Indices> cut_columns(const std::vector<cv::Rect>& boxes, const Indices& of) {
  std::vector<Span> spans;
  for (const std::size_t i : of) {
    spans.push_back({static_cast<double>(boxes[i].x), static_cast<double>(boxes[i].br().x), i});
  }
  return cut(std::move(spans));
}

// What stands taller stands beside several rows: apart from them, which stay together.
std::vector<Indices> cut_off_tall(const std::vector<cv::Rect>& boxes, const Indices& of) {
  std::vector<int> heights;
  for (const std::size_t i : of) heights.push_back(boxes[i].height);
  std::sort(heights.begin(), heights.end());
  const double tall = kTall * heights[(heights.size() - 1) / 2];
  std::vector<Indices> out;
  bool rows_before = false;
  for (const Indices& column : cut_columns(boxes, of)) {
    const bool rows = std::none_of(
        column.begin(), column.end(), [&](std::size_t i) { return boxes[i].height > tall; });
    if (rows && rows_before) {
      out.back().insert(out.back().end(), column.begin(), column.end());
    } else {
      out.push_back(column);
    }
    rows_before = rows;
  }
  return out;
}

void read(const std::vector<cv::Rect>& boxes, double slope, Indices of, Indices& order) {
  if (of.size() < 2) {
    order.insert(order.end(), of.begin(), of.end());
    return;
  }
  std::vector<Indices> parts = cut_rows(boxes, of, kLevel, slope);
  if (parts.size() < 2) parts = cut_off_tall(boxes, of);
  if (parts.size() < 2) parts = cut_rows(boxes, of, kVeryLevel, slope);
  if (parts.size() < 2) {  // one row
    std::sort(of.begin(), of.end(), [&](std::size_t a, std::size_t b) {
      return middle_of(boxes[a]).x < middle_of(boxes[b]).x;
    });
    order.insert(order.end(), of.begin(), of.end());
    return;
  }
  for (Indices& part : parts) read(boxes, slope, std::move(part), order);
}

}  // namespace

std::vector<std::size_t> reading_order(const std::vector<cv::Rect>& boxes) {
  Indices all(boxes.size());
  std::iota(all.begin(), all.end(), std::size_t{0});
  Indices order;
  read(boxes, slope_of(boxes), std::move(all), order);
  return order;
}

}  // namespace underdraw
