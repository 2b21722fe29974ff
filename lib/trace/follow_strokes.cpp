#include "trace/follow_strokes.h"

#include <algorithm>
#include <cmath>
#include <optional>

#include "geometry/path.h"
#include "trace/find_corners.h"
#include "trace/ink_mask.h"
#include "trace/measure_width.h"
#include "trace/median.h"
#include "trace/meet_arms.h"
#include "trace/refine_line.h"
#include "trace/value_at.h"

namespace underdraw {
namespace {

constexpr double kEvenMm = 0.12;  // evening along the line: bends the top of a 1 mm arc by 7 µm
constexpr double kSoftestEdgeMm = 0.4;  // an edge that fades over more than this is not drawn
constexpr double kGuessed = 0.1;        // weight of a point that the ink does not show
constexpr double kWidestGapMm = 0.7;  // a line broken by less than this, and straight on, is whole

std::size_t index(int i) { return static_cast<std::size_t>(i); }

double pen_width(const GraphEdge& edge) {
  return edge.width > 0.0 ? edge.width : 2.0 * median(edge.radius);
}

// Lines onto the middle of their ink. What fades out over most of a millimetre is no line but a
// smudge, a fold or a shadow, and goes.
void refine_edges(StrokeGraph& graph, const cv::Mat& smooth, double px_per_mm) {
  for (GraphEdge& edge : graph.edges) {
    if (edge.removed || edge.points.size() < 3) continue;
    RefinedLine refined = refine_line(smooth,
                                      edge.points,
                                      edge.radius,
                                      edge.ring(),
                                      {.even_px = std::max(1.5, kEvenMm * px_per_mm)});
    edge.points = std::move(refined.points);
    edge.width = median(measure_width(smooth, edge.points, edge.radius, edge.ring()));
    edge.removed =
        refined.edge_slope > kSoftestEdgeMm * px_per_mm || refined.contrast < kLeastContrast;
  }
  dissolve_passing_nodes(graph);
}

int corner_window(const GraphEdge& edge, double px_per_mm) {
  return static_cast<int>(
      std::lround(std::max({5.0, 2.2 * median(edge.radius), 0.35 * px_per_mm})));
}

// Cuts edges at their corners, so that a corner is a meeting of two arms like any other.
void split_at_corners(StrokeGraph& graph, double px_per_mm) {
  const std::size_t count = graph.edges.size();
  for (std::size_t e = 0; e < count; ++e) {
    if (graph.edges[e].removed) continue;
    const std::vector<std::size_t> corners = find_corners(
        graph.edges[e].points, graph.edges[e].ring(), corner_window(graph.edges[e], px_per_mm));
    if (corners.empty()) continue;
    GraphEdge whole = graph.edges[e];
    graph.edges[e].removed = true;
    if (whole.ring()) {  // open it at its first corner
      const auto first = static_cast<std::ptrdiff_t>(corners.front());
      std::rotate(whole.points.begin(), whole.points.begin() + first, whole.points.end());
      std::rotate(whole.radius.begin(), whole.radius.begin() + first, whole.radius.end());
      whole.points.push_back(whole.points.front());
      whole.radius.push_back(whole.radius.front());
    } else {
      std::erase(graph.nodes[index(whole.from)].edges, static_cast<int>(e));
      std::erase(graph.nodes[index(whole.to)].edges, static_cast<int>(e));
    }
    const auto add_node = [&](std::size_t at) {
      graph.nodes.push_back({whole.points[at], whole.radius[at], {}, {}});
      return static_cast<int>(graph.nodes.size()) - 1;
    };
    const auto add_part = [&](std::size_t from, std::size_t to, int node_from, int node_to) {
      GraphEdge part;
      part.width = whole.width;
      part.from = node_from;
      part.to = node_to;
      part.points.assign(whole.points.begin() + static_cast<std::ptrdiff_t>(from),
                         whole.points.begin() + static_cast<std::ptrdiff_t>(to) + 1);
      part.radius.assign(whole.radius.begin() + static_cast<std::ptrdiff_t>(from),
                         whole.radius.begin() + static_cast<std::ptrdiff_t>(to) + 1);
      const int id = static_cast<int>(graph.edges.size());
      graph.nodes[index(node_from)].edges.push_back(id);
      graph.nodes[index(node_to)].edges.push_back(id);
      graph.edges.push_back(std::move(part));
    };
    const std::size_t shift = whole.ring() ? corners.front() : 0;
    const int start = whole.ring() ? add_node(0) : whole.from;
    std::size_t from = 0;
    int node_from = start;
    for (std::size_t k = whole.ring() ? 1 : 0; k < corners.size(); ++k) {
      const std::size_t at = corners[k] - shift;
      const int node = add_node(at);
      add_part(from, at, node_from, node);
      from = at;
      node_from = node;
    }
    add_part(from, whole.points.size() - 1, node_from, whole.ring() ? start : whole.to);
  }
}

bool is_loose(const StrokeGraph& graph, const ArmRef& ref) {
  const GraphEdge& edge = graph.edges[index(ref.edge)];
  const int node = ref.end == 0 ? edge.from : edge.to;
  return graph.nodes[index(node)].edges.size() == 1;
}

// Loose ends: the pen's tip is round, so the line ends half a width before its ink does.
void trim_loose_end(const StrokeGraph& graph,
                    const cv::Mat& smooth,
                    double px_per_mm,
                    const ArmRef& ref,
                    Arm& arm) {
  const GraphEdge& edge = graph.edges[index(ref.edge)];
  const std::size_t n = edge.points.size();
  const auto point = [&](std::size_t i) {
    return ref.end == 0 ? edge.points[i] : edge.points[n - 1 - i];
  };
  const double radius = pen_width(edge) / 2.0;
  const auto back = static_cast<std::size_t>(std::ceil(2.0 * radius)) + 2;
  if (n < back + 4) {
    arm.at = point(0);
    arm.inward = n > 1 ? normalized(point(0) - point(n - 1)) : Vec2{};
    return;
  }
  // Direction and darkness from the body of the line, where the end does not disturb them.
  const std::size_t skip = std::min(back, n / 3);
  const std::size_t far = std::min(n - 1, skip + back + 3);
  arm.skip = skip;
  arm.at = point(skip);
  arm.inward = normalized(point(skip) - point(far));
  double body = 0.0;
  for (std::size_t i = skip; i <= far; ++i) body += static_cast<double>(value_at(smooth, point(i)));
  body /= static_cast<double>(far - skip + 1);
  // Walk to where the ink stays away for good: graphite near a lifted pen is full of gaps.
  double tip = 0.0;
  const double furthest = distance(arm.at, point(0)) + 2.0 * radius + 0.4 * px_per_mm;
  for (double at = 0.0; at < furthest && at - tip < 0.3 * px_per_mm; at += 0.25) {
    if (static_cast<double>(value_at(smooth, arm.at + arm.inward * at)) > 0.4 * body) tip = at;
  }
  const double on = std::max(0.0, tip - radius);
  arm.meet = arm.at + arm.inward * on;
}

// Joins loose ends across a short break when both point at each other.
void bridge_breaks(const StrokeGraph& graph, double px_per_mm, std::vector<EdgeArms>& arms) {
  std::vector<ArmRef> loose;
  for (std::size_t e = 0; e < graph.edges.size(); ++e) {
    const GraphEdge& edge = graph.edges[e];
    if (edge.removed || edge.ring() || edge.points.size() < 6) continue;
    for (const int end : {0, 1}) {
      if (is_loose(graph, {static_cast<int>(e), end})) loose.push_back({static_cast<int>(e), end});
    }
  }
  const auto arm_of = [&](const ArmRef& r) -> Arm& { return arms[index(r.edge)][index(r.end)]; };
  const auto tip_of = [&](const ArmRef& r) { return arm_of(r).meet.value_or(arm_of(r).at); };
  // Sorted by x, so that only neighbours within reach are compared.
  std::sort(loose.begin(), loose.end(), [&](const ArmRef& a, const ArmRef& b) {
    return tip_of(a).x < tip_of(b).x;
  });
  struct Candidate {
    double cost;
    ArmRef a, b;
  };
  std::vector<Candidate> candidates;
  for (std::size_t i = 0; i < loose.size(); ++i) {
    const Arm& a = arm_of(loose[i]);
    const double reach =
        std::max(kWidestGapMm * px_per_mm, 3.0 * median(graph.edges[index(loose[i].edge)].radius));
    for (std::size_t j = i + 1; j < loose.size(); ++j) {
      if (tip_of(loose[j]).x - tip_of(loose[i]).x > reach) break;
      const Arm& b = arm_of(loose[j]);
      const double gap = distance(tip_of(loose[i]), tip_of(loose[j]));
      if (gap > reach || length(a.inward) == 0.0 || length(b.inward) == 0.0) continue;
      const Vec2 way = normalized(b.at - a.at);
      const double bend_a = std::acos(std::clamp(dot(a.inward, way), -1.0, 1.0));
      const double bend_b = std::acos(std::clamp(dot(-b.inward, way), -1.0, 1.0));
      if (std::max(bend_a, bend_b) > radians(35.0)) continue;
      if (loose[i].edge == loose[j].edge &&
          graph.edges[index(loose[i].edge)].length() < 4.0 * gap) {
        continue;
      }
      candidates.push_back({gap / reach + bend_a + bend_b, loose[i], loose[j]});
    }
  }
  std::sort(candidates.begin(), candidates.end(), [](const Candidate& x, const Candidate& y) {
    return x.cost < y.cost;
  });
  for (const Candidate& c : candidates) {
    if (arm_of(c.a).onward || arm_of(c.b).onward) continue;
    arm_of(c.a).onward = c.b;
    arm_of(c.b).onward = c.a;
    arm_of(c.a).meet.reset();
    arm_of(c.b).meet.reset();
  }
}

// Walks from arm to arm and strings their points together.
class StrokeWalker {
 public:
  StrokeWalker(const StrokeGraph& graph, const std::vector<EdgeArms>& arms)
      : graph_(graph), arms_(arms), used_(graph.edges.size(), false) {}

  std::vector<StrokeLine> walk_all() {
    std::vector<StrokeLine> out;
    for (std::size_t e = 0; e < graph_.edges.size(); ++e) {
      if (graph_.edges[e].removed) continue;
      if (graph_.edges[e].ring()) {
        out.push_back(ring(e));
        continue;
      }
      for (const int end : {0, 1}) {
        if (!used_[e] && !arms_[e][index(end)].onward) {
          out.push_back(walk({static_cast<int>(e), end}));
        }
      }
    }
    // What is left runs in circles through meetings: begin anywhere.
    for (std::size_t e = 0; e < graph_.edges.size(); ++e) {
      if (!graph_.edges[e].removed && !used_[e]) out.push_back(walk({static_cast<int>(e), 0}));
    }
    return out;
  }

 private:
  StrokeLine ring(std::size_t e) {
    used_[e] = true;
    StrokeLine line;
    line.points = graph_.edges[e].points;
    line.weights.assign(line.points.size(), 1.0);
    line.closed = true;
    line.width = pen_width(graph_.edges[e]);
    return line;
  }

  // `start` is the arm that the stroke begins at.
  StrokeLine walk(const ArmRef& start) {
    StrokeLine line;
    std::vector<double> widths;
    ArmRef at = start;
    if (const Arm& first = arm(at); first.meet && !first.onward) add(line, *first.meet, 1.0);
    while (true) {
      used_[index(at.edge)] = true;
      add_edge(at, line, widths);
      const ArmRef leaving{at.edge, 1 - at.end};
      const Arm& out = arm(leaving);
      if (!out.onward) {
        if (out.meet) add(line, *out.meet, 1.0);
        break;
      }
      const ArmRef next = *out.onward;
      join(out, arm(next), line);
      if (used_[index(next.edge)]) {  // back where it began
        line.closed = true;
        if (out.corner) line.corners = rotated_to_corner(line);
        break;
      }
      at = next;
    }
    line.width = median(std::move(widths));
    return line;
  }

  static void add(StrokeLine& line, Vec2 point, double weight) {
    line.points.push_back(point);
    line.weights.push_back(weight);
  }

  static void add_guess(StrokeLine& line, Vec2 from, Vec2 to) {
    const int steps = static_cast<int>(distance(from, to) / 1.5);
    for (int k = 1; k < steps; ++k) {
      add(line, mix(from, to, static_cast<double>(k) / steps), kGuessed);
    }
  }

  void add_edge(const ArmRef& from, StrokeLine& line, std::vector<double>& widths) const {
    const GraphEdge& edge = graph_.edges[index(from.edge)];
    const std::size_t n = edge.points.size();
    const std::size_t skip_begin = arm(from).skip;
    const std::size_t skip_end = arm({from.edge, 1 - from.end}).skip;
    for (std::size_t i = skip_begin; i + skip_end < n; ++i) {
      const std::size_t k = from.end == 0 ? i : n - 1 - i;
      add(line, edge.points[k], 1.0);
    }
    if (skip_begin + skip_end < n)
      widths.resize(widths.size() + n - skip_begin - skip_end, pen_width(edge));
  }

  // Across a meeting: a smooth guess that the fit may lean on, or the corner's point.
  static void join(const Arm& out, const Arm& in, StrokeLine& line) {
    if (out.corner) {
      add_guess(line, out.at, *out.meet);
      line.corners.push_back(line.points.size());
      add(line, *out.meet, kGuessed);
      add_guess(line, *out.meet, in.at);
      return;
    }
    const double gap = distance(out.at, in.at);
    const int steps = static_cast<int>(gap / 1.5);
    const Cubic way = smooth_way(out.at, out.inward, in.at, -in.inward);
    for (int k = 1; k < steps; ++k) {
      add(line, way.at(static_cast<double>(k) / steps), kGuessed);
    }
  }

  // A closed line whose last point is a corner: begin with it.
  static std::vector<std::size_t> rotated_to_corner(StrokeLine& line) {
    std::rotate(line.points.rbegin(), line.points.rbegin() + 1, line.points.rend());
    std::rotate(line.weights.rbegin(), line.weights.rbegin() + 1, line.weights.rend());
    std::vector<std::size_t> out = {0};
    for (std::size_t i = 0; i + 1 < line.corners.size(); ++i) out.push_back(line.corners[i] + 1);
    return out;
  }

  const Arm& arm(const ArmRef& r) const { return arms_[index(r.edge)][index(r.end)]; }

  const StrokeGraph& graph_;
  const std::vector<EdgeArms>& arms_;
  std::vector<bool> used_;
};

// A line hardly longer than wide, in the blot of a busy place, cannot tell its pen: it takes the
// pen of the drawing.
void even_out_pens(std::vector<StrokeLine>& lines) {
  std::vector<double> widths;  // one a px of line, so that long lines count for more
  for (const StrokeLine& line : lines) {
    widths.insert(widths.end(), static_cast<std::size_t>(polyline_length(line.points)), line.width);
  }
  const double pen = median(std::move(widths));
  for (StrokeLine& line : lines) {
    if (line.width > 1.3 * pen && polyline_length(line.points) < 5.0 * line.width) line.width = pen;
  }
}

}  // namespace

std::vector<StrokeLine> follow_strokes(StrokeGraph graph, const cv::Mat& smooth, double px_per_mm) {
  remove_spurs(graph, px_per_mm);
  refine_edges(graph, smooth, px_per_mm);
  split_at_corners(graph, px_per_mm);
  std::vector<EdgeArms> arms = meet_arms(graph, smooth, px_per_mm);
  for (std::size_t e = 0; e < graph.edges.size(); ++e) {
    if (graph.edges[e].removed || graph.edges[e].ring()) continue;
    for (const int end : {0, 1}) {
      const ArmRef ref{static_cast<int>(e), end};
      if (is_loose(graph, ref)) trim_loose_end(graph, smooth, px_per_mm, ref, arms[e][index(end)]);
    }
  }
  bridge_breaks(graph, px_per_mm, arms);
  std::vector<StrokeLine> lines = StrokeWalker(graph, arms).walk_all();
  even_out_pens(lines);
  return lines;
}

}  // namespace underdraw
