#include "coats/closed_areas.h"

#include <algorithm>
#include <cmath>
#include <cstdint>
#include <limits>
#include <map>
#include <numeric>

#include <opencv2/imgproc.hpp>

#include "coats/label_borders.h"
#include "core/error.h"

namespace underdraw {
namespace {

constexpr double kMostCells = 2500.0;  // along a side
constexpr int kAround = 4;             // cells round the drawing: the outside is one place
constexpr int kOutside = 0;
constexpr int kShift = 4;       // OpenCV draws lines with ends at 1/16 cell
constexpr int kDepthSteps = 8;  // to a cell: order in which cells are flooded

// Two basins that are hardly wider than the way between them are one shape.
constexpr double kWaist = 1.3;
constexpr double kWaistCells = 1.5;
constexpr double kLeakWaist = 1.5;

constexpr std::size_t kSmoothed = 3;   // corners to either side
constexpr double kNearEndMm = 0.5;     // a line's end this near the middle of an opening made it
constexpr double kBorderCells = 0.25;  // by which borders may be off

struct Grid {
  double cell_mm = 0.1;
  Vec2 origin;  // of cell (0, 0), mm
  cv::Size size;

  Vec2 cell_from(Vec2 mm) const { return (mm - origin) / cell_mm; }
  Vec2 mm_from(Vec2 cell) const { return origin + cell * cell_mm; }
};

Grid grid_round(const Box& ink, double cell_mm) {
  Grid grid;
  grid.cell_mm = std::max(cell_mm, std::max(ink.width(), ink.height()) / kMostCells);
  grid.origin = ink.min - Vec2{kAround * grid.cell_mm, kAround * grid.cell_mm};
  grid.size = {static_cast<int>(std::ceil(ink.width() / grid.cell_mm)) + 2 * kAround,
               static_cast<int>(std::ceil(ink.height() / grid.cell_mm)) + 2 * kAround};
  return grid;
}

// Cells on the middle of a line hold 1 + its number, others 0.
class LinePicture {
 public:
  LinePicture(const Linework& lines, const Grid& grid) : grid_(grid), cells_(grid.size, CV_32S) {
    cells_ = 0;
    for (const Stroke& stroke : lines.strokes) {
      if (!stroke.path.is_dot()) draw(stroke.path);
    }
    for (const Area& area : lines.areas) {
      for (const Path& ring : area.rings) draw(ring);
    }
  }

  const cv::Mat& cells() const { return cells_; }

  // Ends of lines that touch no other line.
  std::vector<Vec2> free_ends(const Linework& lines, double reach_mm) const {
    std::vector<Vec2> ends;
    int number = 0;
    for (const Stroke& stroke : lines.strokes) {
      if (stroke.path.is_dot()) continue;
      ++number;
      if (stroke.path.closed) continue;
      for (const Vec2 end : {stroke.path.points.front(), stroke.path.points.back()}) {
        if (alone(end, number, reach_mm)) ends.push_back(end);
      }
    }
    return ends;
  }

 private:
  void draw(const Path& path) {
    ++count_;
    std::vector<cv::Point> corners;
    for (const Vec2 p : flatten(path, grid_.cell_mm / 8.0)) {
      // OpenCV's whole numbers are cells' centres.
      const Vec2 at = (grid_.cell_from(p) - Vec2{0.5, 0.5}) * (1 << kShift);
      corners.emplace_back(static_cast<int>(std::lround(at.x)),
                           static_cast<int>(std::lround(at.y)));
    }
    cv::polylines(cells_, corners, path.closed, cv::Scalar(count_), 1, cv::LINE_8, kShift);
  }

  bool alone(Vec2 end, int number, double reach_mm) const {
    const Vec2 at = grid_.cell_from(end);
    const int reach = static_cast<int>(std::ceil(reach_mm / grid_.cell_mm));
    for (int dy = -reach; dy <= reach; ++dy) {
      for (int dx = -reach; dx <= reach; ++dx) {
        const cv::Point cell(static_cast<int>(at.x) + dx, static_cast<int>(at.y) + dy);
        if (dx * dx + dy * dy > reach * reach || !cv::Rect({}, grid_.size).contains(cell)) continue;
        const int other = cells_.at<std::int32_t>(cell);
        if (other != 0 && other != number) return false;
      }
    }
    return true;
  }

  const Grid& grid_;
  cv::Mat cells_;
  int count_ = 0;
};

// Basins of the distance to the lines, filled from their deepest cell upwards.
class Flood {
 public:
  struct Rules {
    double half_pen = 0.0;  // cells
    double closed = 0.0;    // openings up to this many cells are closed
    double leak = 0.0;      // and above it up to this are told
    double least_cells = 0.0;
  };
  struct Opening {
    int cell = 0;
    double open = 0.0;  // cells, from ink to ink
    int deepest = 0;    // cell of the smaller basin
  };

  Flood(const cv::Mat& depth, const Rules& rules)
      : depth_(depth), rules_(rules), labels_(depth.total(), -1) {
    basins_.push_back({std::numeric_limits<float>::max(), 0, 0.0});
    parent_.push_back(kOutside);
    const int width = depth.cols;
    for (int x = 0; x < width; ++x) {
      take(x, kOutside);
      take((depth.rows - 1) * width + x, kOutside);
    }
    for (int y = 1; y + 1 < depth.rows; ++y) {
      take(y * width, kOutside);
      take(y * width + width - 1, kOutside);
    }
    for (const int cell : deepest_first()) {
      if (labels_[static_cast<std::size_t>(cell)] < 0) flood(cell);
    }
  }

  const std::vector<Opening>& openings() const { return openings_; }

  // Every cell's basin, numbered by its root.
  std::vector<int> labels() {
    std::vector<int> out(labels_.size());
    for (std::size_t i = 0; i < out.size(); ++i) out[i] = root(labels_[i]);
    return out;
  }

 private:
  struct Basin {
    float depth = 0.0F;
    int deepest = 0;  // its cell
    double cells = 0.0;
  };

  std::vector<int> deepest_first() const {
    const auto step_of = [&](int cell) {
      return static_cast<std::size_t>(depth_.ptr<float>()[cell] * kDepthSteps);
    };
    std::size_t most = 0;
    const int count = static_cast<int>(depth_.total());
    for (int cell = 0; cell < count; ++cell) most = std::max(most, step_of(cell));
    std::vector<int> starts(most + 2, 0);
    for (int cell = 0; cell < count; ++cell) ++starts[most - step_of(cell) + 1];
    std::partial_sum(starts.begin(), starts.end(), starts.begin());
    std::vector<int> order(static_cast<std::size_t>(count));
    for (int cell = 0; cell < count; ++cell) {
      order[static_cast<std::size_t>(starts[most - step_of(cell)]++)] = cell;
    }
    return order;
  }

  int root(int basin) {
    while (parent_[static_cast<std::size_t>(basin)] != basin) {
      int& up = parent_[static_cast<std::size_t>(basin)];
      up = parent_[static_cast<std::size_t>(up)];
      basin = up;
    }
    return basin;
  }

  Basin& at(int basin) { return basins_[static_cast<std::size_t>(basin)]; }

  void take(int cell, int basin) {
    labels_[static_cast<std::size_t>(cell)] = basin;
    at(basin).cells += 1.0;
  }

  // The frame is the outside's, so every other cell has four neighbours.
  void flood(int cell) {
    const float depth = depth_.ptr<float>()[cell];
    int mine = -1;
    for (const int step : {-1, 1, -depth_.cols, depth_.cols}) {
      const int label = labels_[static_cast<std::size_t>(cell + step)];
      if (label < 0) continue;
      const int other = root(label);
      mine = mine < 0 ? other : joined(mine, other, cell, depth);
    }
    if (mine < 0) {
      mine = static_cast<int>(basins_.size());
      basins_.push_back({depth, cell, 0.0});
      parent_.push_back(mine);
    }
    take(cell, mine);
  }

  // The basin that the cell between two belongs to.
  int joined(int one, int other, int cell, float depth) {
    if (one == other) return one;
    if (at(one).depth < at(other).depth) std::swap(one, other);
    const Basin inner = at(other);
    const double open = 2.0 * (depth - rules_.half_pen);
    if (open <= rules_.closed && inner.depth > kWaist * depth + kWaistCells) {
      // Cells on a line are shared out, so that the border runs along its middle.
      const int x = cell % depth_.cols;
      const int y = cell / depth_.cols;
      return ((x ^ (y >> 1)) & 1) ? one : other;
    }
    if (open > rules_.closed && open <= rules_.leak && inner.depth > kLeakWaist * depth &&
        inner.cells >= rules_.least_cells) {
      openings_.push_back({cell, open, inner.deepest});
    }
    parent_[static_cast<std::size_t>(other)] = one;
    at(one).cells += inner.cells;
    return one;
  }

  const cv::Mat& depth_;
  Rules rules_;
  std::vector<int> labels_;
  std::vector<Basin> basins_;
  std::vector<int> parent_;
  std::vector<Opening> openings_;
};

// Areas below `least` cells go to the neighbour with which they share the longest border, smallest
// first.
void give_crumbs_away(std::vector<int>& labels, int width, double least) {
  std::map<int, double> sizes;
  for (const int label : labels) sizes[label] += 1.0;
  std::map<int, std::map<int, int>> borders;
  for (std::size_t i = 0; i + static_cast<std::size_t>(width) < labels.size(); ++i) {
    for (const std::size_t next : {i + 1, i + static_cast<std::size_t>(width)}) {
      const int a = labels[i];
      const int b = labels[next];
      if (a == b) continue;
      ++borders[a][b];
      ++borders[b][a];
    }
  }
  std::vector<std::pair<double, int>> crumbs;
  for (const auto& [label, size] : sizes) {
    if (label != kOutside && size < least) crumbs.emplace_back(size, label);
  }
  std::sort(crumbs.begin(), crumbs.end());
  std::map<int, int> now;  // crumb to whom it went
  const auto owner = [&](int label) {
    for (auto it = now.find(label); it != now.end(); it = now.find(label)) label = it->second;
    return label;
  };
  for (const auto& [size, crumb] : crumbs) {
    std::map<int, int> shared;
    for (const auto& [other, length] : borders[crumb]) shared[owner(other)] += length;
    shared.erase(crumb);
    int to = kOutside;
    int longest = 0;
    for (const auto& [other, length] : shared) {
      if (length > longest) {
        longest = length;
        to = other;
      }
    }
    now[crumb] = to;
    if (to != kOutside) borders[to].merge(borders[crumb]);
  }
  for (int& label : labels) label = owner(label);
}

double mean_width(const Linework& lines) {
  double length = 0.0;
  double sum = 0.0;
  for (const Stroke& stroke : lines.strokes) {
    const double more = stroke.path.length();
    length += more;
    sum += more * stroke.width_mm;
  }
  return length > 0.0 ? sum / length : 0.0;
}

bool near_any(Vec2 at, const std::vector<Vec2>& points, double reach) {
  return std::any_of(
      points.begin(), points.end(), [&](Vec2 p) { return distance(p, at) <= reach; });
}

// The steps of a border along cells taken out: each corner is the mean of those round it.
Ring smoothed(const Ring& ring) {
  const std::size_t count = ring.size();
  if (count < 4 * kSmoothed) return ring;
  Ring out;
  for (std::size_t i = 0; i < count; ++i) {
    Vec2 sum;
    for (std::size_t k = 0; k <= 2 * kSmoothed; ++k) {
      sum = sum + ring[(i + count + k - kSmoothed) % count];
    }
    out.push_back(sum / (2.0 * kSmoothed + 1.0));
  }
  return out;
}

// The widest spot of each label: where it can be written on.
struct WidestSpot {
  int cell = 0;
  float half = 0.0F;
};

std::map<int, WidestSpot> widest_spots(const std::vector<int>& labels, const cv::Mat& depth) {
  std::map<int, WidestSpot> spots;
  for (std::size_t i = 0; i < labels.size(); ++i) {
    WidestSpot& spot = spots[labels[i]];
    const float half = depth.ptr<float>()[i];
    if (half > spot.half) spot = {static_cast<int>(i), half};
  }
  return spots;
}

}  // namespace

void ClosedAreaOptions::validate() const {
  require_between(close_mm, 0.0, 5.0, "close_mm", "mm");
  require_between(leak_mm, 0.0, 20.0, "leak_mm", "mm");
  require_between(least_mm2, 0.0, 1000.0, "least_mm2", "mm2");
  require_between(cell_mm, 0.02, 1.0, "cell_mm", "mm");
}

ClosedAreas closed_areas(const Linework& lines, const ClosedAreaOptions& options) {
  options.validate();
  ClosedAreas out;
  if (lines.empty()) return out;
  const Grid grid = grid_round(lines.ink_box(), options.cell_mm);
  const double cell_mm2 = grid.cell_mm * grid.cell_mm;
  const double half_pen = mean_width(lines) / 2.0;
  const LinePicture picture(lines, grid);
  cv::Mat depth;
  cv::distanceTransform(picture.cells() == 0, depth, cv::DIST_L2, cv::DIST_MASK_PRECISE);

  Flood::Rules rules{.half_pen = half_pen / grid.cell_mm,
                     .closed = options.close_mm / grid.cell_mm,
                     .leak = options.leak_mm / grid.cell_mm,
                     .least_cells = options.least_mm2 / cell_mm2};
  Flood flood(depth, rules);
  std::vector<int> labels = flood.labels();
  give_crumbs_away(labels, grid.size.width, options.least_mm2 / cell_mm2);

  const auto middle_of = [&](int cell) {
    return grid.mm_from({cell % grid.size.width + 0.5, cell / grid.size.width + 0.5});
  };
  const std::map<int, WidestSpot> spots = widest_spots(labels, depth);
  for (LabelBorder& border : label_borders(labels, grid.size.width)) {
    if (border.label == kOutside) continue;
    ClosedArea area;
    area.size_mm2 = border.cells * cell_mm2;
    for (Ring& ring : border.rings) {
      ring = simpler_ring(smoothed(ring), kBorderCells);
      for (Vec2& p : ring) p = grid.mm_from(p);
      area.edge_mm += polyline_length(ring) + distance(ring.back(), ring.front());
      area.rings.push_back(std::move(ring));
    }
    const WidestSpot& spot = spots.at(border.label);
    area.label_at = middle_of(spot.cell);
    area.label_mm = 2.0 * spot.half * grid.cell_mm;
    out.areas.push_back(std::move(area));
  }
  std::stable_sort(out.areas.begin(), out.areas.end(), [](const auto& a, const auto& b) {
    return a.size_mm2 > b.size_mm2;
  });

  const std::vector<Vec2> ends = picture.free_ends(lines, half_pen + 0.2);
  std::vector<Flood::Opening> leaks = flood.openings();
  std::erase_if(leaks, [&](const Flood::Opening& opening) {
    const double reach = opening.open * grid.cell_mm / 2.0 + half_pen + kNearEndMm;
    return !near_any(middle_of(opening.cell), ends, reach);
  });
  if (leaks.empty()) return out;
  // What they would close is known when they are closed.
  rules.closed = rules.leak;
  const std::vector<int> closed = Flood(depth, rules).labels();
  std::map<int, double> sizes;
  for (const int label : closed) sizes[label] += cell_mm2;
  for (const Flood::Opening& leak : leaks) {
    const int label = closed[static_cast<std::size_t>(leak.deepest)];
    if (label == kOutside) continue;
    out.leaks.push_back({middle_of(leak.cell), leak.open * grid.cell_mm, sizes[label]});
  }
  std::stable_sort(out.leaks.begin(), out.leaks.end(), [](const auto& a, const auto& b) {
    return a.size_mm2 > b.size_mm2;
  });
  return out;
}

}  // namespace underdraw
