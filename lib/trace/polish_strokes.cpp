#include "trace/polish_strokes.h"

#include <algorithm>
#include <array>
#include <cmath>

#include "trace/fit_cubics.h"
#include "trace/measure_line.h"
#include "trace/median.h"

namespace underdraw {
namespace {

constexpr double kStep = 1.0;          // px between places along a line
constexpr double kUnread = 0.02;       // weight of a place where nothing could be read: it stays
constexpr double kWidthEveryMm = 0.5;  // between the pen widths that are kept
constexpr double kWidthOverMm = 0.5;   // they are averaged over this far to either side
constexpr double kKink = 0.02;         // rad; pieces that join with less are one smooth line

// A curve as places, with those that are corners.
struct Places {
  std::vector<LinePlace> list;
  std::vector<double> so_far;  // px of line up to each
  std::vector<std::size_t> corners;
  double length = 0.0;
  bool ring = false;
};

bool is_kink(const Cubic& before, const Cubic& after) {
  return angle_between(before.p3 - before.p2, after.p1 - after.p0) > kKink;
}

// Width at a share of the stroke's length.
double width_at(const FittedStroke& stroke, double share) {
  if (stroke.widths.size() < 2) return stroke.width;
  const double at = std::clamp(share, 0.0, 1.0) * static_cast<double>(stroke.widths.size() - 1);
  const auto i = std::min(static_cast<std::size_t>(at), stroke.widths.size() - 2);
  const double t = at - static_cast<double>(i);
  return stroke.widths[i] * (1.0 - t) + stroke.widths[i + 1] * t;
}

Places places_of(const FittedStroke& stroke) {
  Places out;
  const Path& path = stroke.path;
  const std::size_t count = path.piece_count();
  out.ring = path.closed;
  for (std::size_t k = 0; k < count; ++k) {
    const Cubic c = path.piece(k);
    if (k > 0 && is_kink(path.piece(k - 1), c)) out.corners.push_back(out.list.size());
    // Even in length to a few percent: table of lengths over the parameter.
    constexpr int kTable = 16;
    std::array<double, kTable + 1> walked{};
    Vec2 before = c.p0;
    for (int j = 1; j <= kTable; ++j) {
      const Vec2 next = c.at(double(j) / kTable);
      walked[std::size_t(j)] = walked[std::size_t(j - 1)] + distance(before, next);
      before = next;
    }
    const double total = walked.back();
    const int steps = std::max(1, static_cast<int>(std::lround(total / kStep)));
    const bool last = k + 1 == count && !path.closed;
    int j = 0;
    for (int i = 0; i < steps + (last ? 1 : 0); ++i) {
      const double want = total * i / steps;
      while (j + 1 < kTable && walked[std::size_t(j + 1)] < want) ++j;
      const double span = walked[std::size_t(j + 1)] - walked[std::size_t(j)];
      const double t =
          (j + (span > 0.0 ? std::min(1.0, (want - walked[std::size_t(j)]) / span) : 0.0)) / kTable;
      out.list.push_back({c.at(t), normalized(c.derivative(t)), 0.0, {}, {}});
      out.so_far.push_back(out.length + want);
    }
    out.length += total;
  }
  if (path.closed && count > 0 && is_kink(path.piece(count - 1), path.piece(0))) {
    out.corners.insert(out.corners.begin(), 0);
  }
  for (std::size_t i = 0; i < out.list.size(); ++i) {
    out.list[i].width = std::max(1.0, width_at(stroke, out.so_far[i] / std::max(out.length, 1e-9)));
  }
  return out;
}

// All places of all lines, found by where they are.
class PlaceGrid {
 public:
  struct Entry {
    int stroke;
    int place;
  };

  PlaceGrid(const std::vector<Places>& strokes, double cell) : cell_(cell) {
    Box box;
    std::size_t total = 0;
    for (const Places& s : strokes) {
      for (const LinePlace& p : s.list) box.add(p.at);
      total += s.list.size();
    }
    if (total == 0) return;
    corner_ = box.min;
    columns_ = static_cast<int>(box.width() / cell) + 1;
    rows_ = static_cast<int>(box.height() / cell) + 1;
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

  template <typename Visit>
  void visit_near(Vec2 at, Visit visit) const {
    if (entries_.empty()) return;
    const int cx = static_cast<int>((at.x - corner_.x) / cell_);
    const int cy = static_cast<int>((at.y - corner_.y) / cell_);
    for (int y = std::max(0, cy - 1); y <= std::min(rows_ - 1, cy + 1); ++y) {
      for (int x = std::max(0, cx - 1); x <= std::min(columns_ - 1, cx + 1); ++x) {
        const std::size_t cell = static_cast<std::size_t>(y) * static_cast<std::size_t>(columns_) +
                                 static_cast<std::size_t>(x);
        for (std::size_t k = first_[cell]; k < first_[cell + 1]; ++k) visit(entries_[k]);
      }
    }
  }

 private:
  std::size_t cell_of(Vec2 at) const {
    const auto x = static_cast<std::size_t>((at.x - corner_.x) / cell_);
    const auto y = static_cast<std::size_t>((at.y - corner_.y) / cell_);
    return y * static_cast<std::size_t>(columns_) + x;
  }
  double cell_;
  Vec2 corner_;
  int columns_ = 0;
  int rows_ = 0;
  std::vector<std::size_t> first_;
  std::vector<Entry> entries_;
};

// Says for each place where the ink of other lines, or of the line itself further on, begins.
void mark_neighbours(std::vector<Places>& strokes) {
  double widest = 1.0;
  for (const Places& s : strokes) {
    for (const LinePlace& p : s.list) widest = std::max(widest, p.width);
  }
  const PlaceGrid grid(strokes, 2.0 * widest + 4.0);
  for (std::size_t s = 0; s < strokes.size(); ++s) {
    Places& own = strokes[s];
    for (std::size_t i = 0; i < own.list.size(); ++i) {
      LinePlace& here = own.list[i];
      const Vec2 right = perpendicular(here.along);
      const double edge = 0.5 * here.width - 0.3;
      grid.visit_near(here.at, [&](const PlaceGrid::Entry& entry) {
        const Places& other = strokes[static_cast<std::size_t>(entry.stroke)];
        const LinePlace& there = other.list[static_cast<std::size_t>(entry.place)];
        const Vec2 way = there.at - here.at;
        const double u = dot(way, here.along);
        const double radius = 0.5 * there.width;
        if (std::abs(u) > radius) return;
        if (static_cast<std::size_t>(entry.stroke) == s) {
          double along =
              std::abs(own.so_far[i] - own.so_far[static_cast<std::size_t>(entry.place)]);
          if (own.ring) along = std::min(along, own.length - along);
          if (along < 1.3 * length(way) + 1.0) return;
        }
        const double h = dot(way, right);
        const double chord = std::sqrt(radius * radius - u * u);
        if (h + chord > edge)
          here.right = std::min(here.right.value_or(1e9), std::max(h - chord, 0.0));
        if (h - chord < -edge)
          here.left = std::min(here.left.value_or(1e9), std::max(-h - chord, 0.0));
      });
    }
  }
}

// Pen widths at equal steps of length from single readings, gaps bridged.
std::vector<double> even_widths(const Places& places,
                                const std::vector<LineReading>& readings,
                                double px_per_mm) {
  const std::size_t count =
      2 + static_cast<std::size_t>(places.length / (kWidthEveryMm * px_per_mm));
  const double reach = kWidthOverMm * px_per_mm;
  std::vector<double> out(count, 0.0);
  std::size_t from = 0;
  for (std::size_t k = 0; k < count; ++k) {
    const double at = places.length * static_cast<double>(k) / static_cast<double>(count - 1);
    while (from < places.so_far.size() && places.so_far[from] < at - reach) ++from;
    std::vector<double> near;
    for (std::size_t i = from; i < places.so_far.size() && places.so_far[i] <= at + reach; ++i) {
      const LinePlace& p = places.list[i];
      const double clear = 0.5 * p.width + 0.6;
      const bool alone = p.left.value_or(1e9) > clear && p.right.value_or(1e9) > clear;
      if (alone && readings[i].width > 0.0) near.push_back(readings[i].width);
    }
    if (near.size() >= 3) out[k] = median(std::move(near));
  }
  // Unread stretches take the nearest width that was read.
  std::vector<double> filled = out;
  for (std::size_t k = 0; k < count; ++k) {
    for (std::size_t d = 0; filled[k] <= 0.0 && d < count; ++d) {
      if (k >= d && out[k - d] > 0.0)
        filled[k] = out[k - d];
      else if (k + d < count && out[k + d] > 0.0)
        filled[k] = out[k + d];
    }
  }
  if (filled.front() <= 0.0) filled.clear();
  return filled;
}

double mean_of(const std::vector<double>& values) {
  double sum = 0.0;
  for (const double v : values) sum += v;
  return sum / static_cast<double>(values.size());
}

}  // namespace

void polish_strokes(std::vector<FittedStroke>& strokes,
                    const cv::Mat& smooth,
                    const PolishOptions& options) {
  std::vector<Places> places;
  places.reserve(strokes.size());
  for (const FittedStroke& stroke : strokes) places.push_back(places_of(stroke));
  mark_neighbours(places);
  for (std::size_t s = 0; s < strokes.size(); ++s) {
    FittedStroke& stroke = strokes[s];
    const Places& own = places[s];
    if (own.list.size() < 4) continue;
    const bool ring = stroke.path.closed;
    const std::vector<LineReading> readings =
        measure_line(smooth, own.list, {.stretch_px = 0.3 * options.px_per_mm, .ring = ring});
    std::vector<Vec2> points;
    std::vector<double> weights;
    for (std::size_t i = 0; i < own.list.size(); ++i) {
      const double most = 0.5 * own.list[i].width;
      const bool read = readings[i].weight > 0.0 && std::abs(readings[i].aside) < most;
      const double aside = read ? readings[i].aside : 0.0;
      points.push_back(own.list[i].at + perpendicular(own.list[i].along) * aside);
      weights.push_back(read ? std::max(kUnread, readings[i].weight) : kUnread);
    }
    stroke.widths = even_widths(own, readings, options.px_per_mm);
    if (!stroke.widths.empty()) stroke.width = mean_of(stroke.widths);
    stroke.path = fit_cubics(points,
                             own.corners,
                             ring,
                             {.tolerance = options.tolerance, .even_over = 0.5 * options.px_per_mm},
                             weights);
  }
}

}  // namespace underdraw
