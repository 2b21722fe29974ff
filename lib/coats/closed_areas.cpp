#include "coats/closed_areas.h"

#include <algorithm>
#include <cmath>
#include <cstdint>
#include <limits>
#include <map>
#include <numeric>
#include <optional>
#include <set>

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

constexpr std::size_t kSmoothed = 3;   // corners to either side
constexpr double kTouchingMm = 0.2;    // from ink to ink
constexpr double kLeakRoom = 6.0;      // openings in a small shape are its shape
constexpr double kAsideCells = 3.0;    // from an opening's middle to either side of it
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

// From the end of a line to where it might have gone on.
struct Bridge {
  Vec2 from, to;
};

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

  // How far each cell is from the middle of a line, cells.
  cv::Mat depth() const {
    cv::Mat depth;
    cv::distanceTransform(cells_ == 0, depth, cv::DIST_L2, cv::DIST_MASK_PRECISE);
    return depth;
  }

  // Ways from loose ends to the nearest loose end, or else the nearest other line, up to `most_mm`
  // long.
  std::vector<Bridge> bridges(const Linework& lines, double touching_mm, double most_mm) const {
    std::vector<Vec2> ends;
    std::vector<int> numbers;  // of their lines
    int number = 0;
    for (const Stroke& stroke : lines.strokes) {
      if (stroke.path.is_dot()) continue;
      ++number;
      if (stroke.path.closed) continue;
      for (const Vec2 end : {stroke.path.points.front(), stroke.path.points.back()}) {
        if (nearest_other(end, number, touching_mm)) continue;
        ends.push_back(end);
        numbers.push_back(number);
      }
    }
    std::vector<std::size_t> by_x(ends.size());
    std::iota(by_x.begin(), by_x.end(), std::size_t{0});
    std::sort(by_x.begin(), by_x.end(), [&](auto a, auto b) { return ends[a].x < ends[b].x; });
    std::vector<std::optional<Vec2>> nearest(ends.size());
    const auto offer = [&](std::size_t end, Vec2 to) {
      if (!nearest[end] || distance(ends[end], to) < distance(ends[end], *nearest[end])) {
        nearest[end] = to;
      }
    };
    for (std::size_t i = 0; i < by_x.size(); ++i) {
      for (std::size_t k = i + 1; k < by_x.size(); ++k) {
        const Vec2 a = ends[by_x[i]];
        const Vec2 b = ends[by_x[k]];
        if (b.x - a.x > most_mm) break;
        if (distance(a, b) > most_mm) continue;
        offer(by_x[i], b);
        offer(by_x[k], a);
      }
    }
    std::vector<Bridge> out;
    for (std::size_t i = 0; i < ends.size(); ++i) {
      if (!nearest[i]) nearest[i] = nearest_other(ends[i], numbers[i], most_mm);
      if (nearest[i]) out.push_back({ends[i], *nearest[i]});
    }
    return out;
  }

  // Drawn as lines of their own.
  void draw(const std::vector<Bridge>& bridges) {
    for (const Bridge& bridge : bridges) draw(Path::polyline({bridge.from, bridge.to}));
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

  // The middle of the nearest cell of another line.
  std::optional<Vec2> nearest_other(Vec2 end, int number, double reach_mm) const {
    const Vec2 at = grid_.cell_from(end);
    const int reach = static_cast<int>(std::ceil(reach_mm / grid_.cell_mm));
    std::optional<Vec2> nearest;
    int least = reach * reach + 1;
    for (int dy = -reach; dy <= reach; ++dy) {
      for (int dx = -reach; dx <= reach; ++dx) {
        const cv::Point cell(static_cast<int>(at.x) + dx, static_cast<int>(at.y) + dy);
        if (dx * dx + dy * dy >= least || !cv::Rect({}, grid_.size).contains(cell)) continue;
        const int other = cells_.at<std::int32_t>(cell);
        if (other == 0 || other == number) continue;
        least = dx * dx + dy * dy;
        nearest = grid_.mm_from({cell.x + 0.5, cell.y + 0.5});
      }
    }
    return nearest;
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
  };

  Flood(const cv::Mat& depth, const Rules& rules)
      : depth_(depth), rules_(rules), labels_(depth.total(), -1) {
    deepest_.push_back(std::numeric_limits<float>::max());
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

  // Every cell's basin, numbered by its root.
  std::vector<int> labels() {
    std::vector<int> out(labels_.size());
    for (std::size_t i = 0; i < out.size(); ++i) out[i] = root(labels_[i]);
    return out;
  }

 private:
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

  float deepest(int basin) const { return deepest_[static_cast<std::size_t>(basin)]; }

  void take(int cell, int basin) { labels_[static_cast<std::size_t>(cell)] = basin; }

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
      mine = static_cast<int>(deepest_.size());
      deepest_.push_back(depth);
      parent_.push_back(mine);
    }
    take(cell, mine);
  }

  // The basin that the cell between two belongs to.
  int joined(int one, int other, int cell, float depth) {
    if (one == other) return one;
    if (deepest(one) < deepest(other)) std::swap(one, other);
    const double open = 2.0 * (depth - rules_.half_pen);
    if (open <= rules_.closed && deepest(other) > kWaist * depth + kWaistCells) {
      // Cells on a line are shared out, so that the border runs along its middle.
      const int x = cell % depth_.cols;
      const int y = cell / depth_.cols;
      return ((x ^ (y >> 1)) & 1) ? one : other;
    }
    parent_[static_cast<std::size_t>(other)] = one;
    return one;
  }

  const cv::Mat& depth_;
  Rules rules_;
  std::vector<int> labels_;
  std::vector<float> deepest_;  // of each basin, as deep as its deepest cell
  std::vector<int> parent_;
};

// Areas below `least` cells go to the neighbour with which they share the longest border, smallest
// first; to the outside only when there is no other, so that the rim of a drawing stays its own.
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
  std::set<std::pair<double, int>> crumbs;
  for (const auto& [label, size] : sizes) {
    if (label != kOutside && size < least) crumbs.emplace(size, label);
  }
  std::map<int, int> now;  // crumb to whom it went
  while (!crumbs.empty()) {
    const int crumb = crumbs.begin()->second;
    crumbs.erase(crumbs.begin());
    int to = kOutside;
    int longest = 0;
    for (const auto& [other, length] : borders[crumb]) {
      if (other == kOutside || length <= longest) continue;
      longest = length;
      to = other;
    }
    now[crumb] = to;
    if (to != kOutside) crumbs.erase({sizes[to], to});
    sizes[to] += sizes[crumb];
    for (const auto& [other, length] : borders[crumb]) {
      borders[other].erase(crumb);
      if (other == to) continue;
      borders[other][to] += length;
      borders[to][other] += length;
    }
    borders.erase(crumb);
    if (to != kOutside && sizes[to] < least) crumbs.emplace(sizes[to], to);
  }
  for (int& label : labels) {
    for (auto it = now.find(label); it != now.end(); it = now.find(label)) label = it->second;
  }
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

// What was open to the outside and is closed once the lines are led on from their ends.
std::vector<Leak> leaks(const Linework& lines,
                        const Grid& grid,
                        LinePicture picture,
                        const std::vector<int>& labels,
                        const Flood::Rules& rules,
                        const ClosedAreaOptions& options) {
  const double pen = 2.0 * rules.half_pen * grid.cell_mm;
  const std::vector<Bridge> bridges =
      picture.bridges(lines, pen / 2.0 + kTouchingMm, options.leak_mm + pen);
  if (bridges.empty()) return {};
  picture.draw(bridges);
  const cv::Mat depth = picture.depth();
  const std::vector<int> closed = Flood(depth, rules).labels();
  std::map<int, double> sizes;
  for (const int label : closed) sizes[label] += grid.cell_mm * grid.cell_mm;
  const auto index_at = [&](Vec2 mm) {
    const Vec2 cell = grid.cell_from(mm);
    const int x = std::clamp(static_cast<int>(cell.x), 0, grid.size.width - 1);
    const int y = std::clamp(static_cast<int>(cell.y), 0, grid.size.height - 1);
    return static_cast<std::size_t>(y * grid.size.width + x);
  };
  std::map<int, Leak> found;  // by what is closed: its narrowest way out is told
  for (const Bridge& bridge : bridges) {
    const Vec2 middle = (bridge.from + bridge.to) / 2.0;
    const double open = distance(bridge.from, bridge.to) - pen;
    const Vec2 aside =
        normalized(perpendicular(bridge.to - bridge.from)) * (kAsideCells * grid.cell_mm);
    const std::size_t sides[] = {index_at(middle + aside), index_at(middle - aside)};
    if (open <= options.close_mm || labels[sides[0]] != kOutside || labels[sides[1]] != kOutside) {
      continue;
    }
    for (int i = 0; i < 2; ++i) {
      const int label = closed[sides[i]];
      if (label == kOutside || closed[sides[1 - i]] == label) continue;
      if (sizes[label] < std::max(options.least_mm2, kLeakRoom * open * open)) continue;
      const auto [at, is_new] = found.try_emplace(label, Leak{middle, open, sizes[label]});
      if (!is_new && open < at->second.open_mm) at->second = {middle, open, sizes[label]};
    }
  }
  std::vector<Leak> out;
  for (const auto& [label, leak] : found) out.push_back(leak);
  std::stable_sort(
      out.begin(), out.end(), [](const Leak& a, const Leak& b) { return a.size_mm2 > b.size_mm2; });
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

double edge_length(const Rings& rings) {
  double length = 0.0;
  for (const Ring& ring : rings) {
    if (!ring.empty()) length += polyline_length(ring) + distance(ring.back(), ring.front());
  }
  return length;
}

ClosedAreas closed_areas(const Linework& lines, const ClosedAreaOptions& options) {
  options.validate();
  ClosedAreas out;
  if (lines.empty()) return out;
  const Grid grid = grid_round(lines.ink_box(), options.cell_mm);
  const double cell_mm2 = grid.cell_mm * grid.cell_mm;
  const double half_pen = mean_width(lines) / 2.0;
  LinePicture picture(lines, grid);
  const cv::Mat depth = picture.depth();

  const Flood::Rules rules{.half_pen = half_pen / grid.cell_mm,
                           .closed = options.close_mm / grid.cell_mm};
  const std::vector<int> basins = Flood(depth, rules).labels();
  std::vector<int> labels = basins;
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
      area.rings.push_back(std::move(ring));
    }
    area.edge_mm = edge_length(area.rings);
    const WidestSpot& spot = spots.at(border.label);
    area.label_at = middle_of(spot.cell);
    area.label_mm = 2.0 * spot.half * grid.cell_mm;
    out.areas.push_back(std::move(area));
  }
  std::stable_sort(out.areas.begin(), out.areas.end(), [](const auto& a, const auto& b) {
    return a.size_mm2 > b.size_mm2;
  });

  out.leaks = leaks(lines, grid, std::move(picture), basins, rules, options);
  return out;
}

}  // namespace underdraw
