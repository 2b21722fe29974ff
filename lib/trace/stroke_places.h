// Fitted curves as places about a pixel apart, and what other ink lies beside each.
//
// Stage:   trace. Pure.
// In/out:  px of the density image.
#pragma once

#include <algorithm>
#include <cmath>
#include <cstddef>
#include <vector>

#include "trace/measure_line.h"
#include "trace/polish_strokes.h"

namespace underdraw {

// A curve as places, with those that are corners.
struct Places {
  std::vector<LinePlace> list;
  std::vector<double> so_far;  // px of line up to each
  std::vector<std::size_t> corners;
  double length = 0.0;
  bool ring = false;

  double so_far_at(std::size_t i) const { return i < so_far.size() ? so_far[i] : length; }
};

Places places_of(const FittedStroke& stroke);

// All places of all lines, found by where they are.
class PlaceGrid {
 public:
  struct Entry {
    int stroke;
    int place;
  };

  explicit PlaceGrid(const std::vector<Places>& strokes) {
    Box box;
    std::size_t total = 0;
    for (const Places& s : strokes) {
      for (const LinePlace& p : s.list) box.add(p.at);
      total += s.list.size();
    }
    if (total == 0) return;
    corner_ = box.min;
    columns_ = static_cast<int>(box.width() / kCell) + 1;
    rows_ = static_cast<int>(box.height() / kCell) + 1;
    first_.assign(static_cast<std::size_t>(columns_) * static_cast<std::size_t>(rows_) + 1, 0);
    for (const Places& s : strokes) {
      for (const LinePlace& p : s.list) ++first_[cell_of(p.at) + 1];
    }
    for (std::size_t i = 1; i < first_.size(); ++i) first_[i] += first_[i - 1];
    entries_.resize(total);
    std::vector<std::size_t> next(first_.begin(), first_.end() - 1);
    for (std::size_t s = 0; s < strokes.size(); ++s) {
      for (std::size_t i = 0; i < strokes[s].list.size(); ++i) {
        entries_[next[cell_of(strokes[s].list[i].at)]++] = {static_cast<int>(s),
                                                            static_cast<int>(i)};
      }
    }
  }

  // All places within `reach` px, and some a little farther off.
  template <typename Visit>
  void visit_near(Vec2 at, double reach, Visit visit) const {
    if (entries_.empty()) return;
    const auto line_of = [](double off, int count) {
      return static_cast<int>(std::clamp(std::floor(off / kCell), -1.0, double(count)));
    };
    const Vec2 off = at - corner_;
    const int left = std::max(0, line_of(off.x - reach, columns_));
    const int right = std::min(columns_ - 1, line_of(off.x + reach, columns_));
    const int top = std::max(0, line_of(off.y - reach, rows_));
    const int bottom = std::min(rows_ - 1, line_of(off.y + reach, rows_));
    for (int y = top; y <= bottom; ++y) {
      for (int x = left; x <= right; ++x) {
        const std::size_t cell = static_cast<std::size_t>(y) * static_cast<std::size_t>(columns_) +
                                 static_cast<std::size_t>(x);
        for (std::size_t k = first_[cell]; k < first_[cell + 1]; ++k) visit(entries_[k]);
      }
    }
  }

 private:
  std::size_t cell_of(Vec2 at) const {
    const auto x = static_cast<std::size_t>((at.x - corner_.x) / kCell);
    const auto y = static_cast<std::size_t>((at.y - corner_.y) / kCell);
    return y * static_cast<std::size_t>(columns_) + x;
  }
  static constexpr double kCell = 8.0;  // px
  Vec2 corner_;
  int columns_ = 0;
  int rows_ = 0;
  std::vector<std::size_t> first_;
  std::vector<Entry> entries_;
};

// Says for each place where the ink of other lines, or of the line itself further on, begins.
void mark_neighbours(std::vector<Places>& strokes, const PlaceGrid& grid);

}  // namespace underdraw
