#include "trace/meet_arms.h"

#include <algorithm>
#include <cmath>
#include <limits>

#include "trace/median.h"

namespace underdraw {
namespace {

constexpr double kBlotBridge = 1.0;     // blots; a bridge up to this shows no direction
constexpr double kLongestBridge = 4.0;  // blots that two lines may run together
constexpr double kTwoLines = 1.15;      // pens; ink this wide is two lines side by side
constexpr double kLongestPoint = 16.0;  // half pen widths that a sharp point is long, at most
constexpr double kWorthJoining = 0.1;   // rad of bending that joining two meetings must save

// Where the ray of an arm first comes to the curve that runs from a to b through the meeting.
std::optional<Vec2> hit_through_line(const Arm& arm, const Arm& a, const Arm& b, double reach) {
  const Cubic way = way_through(a, b);
  // Beyond both ends too, for arms that meet the line at a flat angle.
  std::vector<Vec2> line = {a.at - a.inward * (2.0 * reach)};
  for (int k = 0; k <= 16; ++k) line.push_back(way.at(k / 16.0));
  line.push_back(b.at - b.inward * (2.0 * reach));
  std::optional<Vec2> out;
  double nearest = 3.0 * reach;
  for (std::size_t k = 0; k + 1 < line.size(); ++k) {
    const Vec2 along = line[k + 1] - line[k];
    const double det = cross(arm.inward, along);
    if (std::abs(det) < 1e-9) continue;
    const Vec2 to = line[k] - arm.at;
    const double ray = cross(to, along) / det;
    const double t = cross(to, arm.inward) / det;
    if (t < 0.0 || t > 1.0 || ray < -0.5 * reach || ray > nearest) continue;
    nearest = ray;
    out = arm.at + arm.inward * ray;
  }
  if (out) return out;
  // Flat meeting: the nearest point of the through line.
  double least = std::numeric_limits<double>::infinity();
  for (const Vec2 p : line) {
    const double d = distance(p, arm.at + arm.inward * (0.5 * reach));
    if (d < least) {
      least = d;
      out = p;
    }
  }
  return out;
}

// The point nearest to all arms' lines.
Vec2 common_point(const std::vector<Arm*>& arms, Vec2 centre, double reach) {
  double xx = 0, xy = 0, yy = 0;
  Vec2 r;
  for (const Arm* arm : arms) {
    const Vec2 n = perpendicular(arm->inward);
    xx += n.x * n.x;
    xy += n.x * n.y;
    yy += n.y * n.y;
    r += n * dot(n, arm->at);
  }
  const double det = xx * yy - xy * xy;
  if (det < 0.02 * (xx + yy) * (xx + yy)) return centre;
  const Vec2 p{(r.x * yy - r.y * xy) / det, (r.y * xx - r.x * xy) / det};
  return distance(p, centre) <= reach ? p : centre;
}

// Nodes that belong together.
class Clusters {
 public:
  explicit Clusters(std::size_t n) : members_(n), of_(n) {
    for (std::size_t i = 0; i < n; ++i) {
      of_[i] = static_cast<int>(i);
      members_[i] = {static_cast<int>(i)};
    }
  }
  int find(int node) const { return of_[static_cast<std::size_t>(node)]; }
  const std::vector<int>& members(int cluster) const {
    return members_[static_cast<std::size_t>(cluster)];
  }
  void join(int a, int b) {  // the smaller moves into the larger
    if (members(a).size() < members(b).size()) std::swap(a, b);
    for (const int n : members(b)) {
      of_[static_cast<std::size_t>(n)] = a;
      members_[static_cast<std::size_t>(a)].push_back(n);
    }
    members_[static_cast<std::size_t>(b)].clear();
  }

 private:
  std::vector<std::vector<int>> members_;
  std::vector<int> of_;
};

void settle(const StrokeGraph& graph,
            const NodeMeeting& meeting,
            std::optional<Vec2> tip,
            const cv::Mat& smooth,
            std::vector<EdgeArms>& arms) {
  const std::vector<ArmRef>& refs = meeting.refs;
  const Vec2 centre = meeting.centre;
  const double radius = meeting.radius;
  const std::vector<Arm> read = read_arms(graph, meeting);
  const Pairing best = pair_arms(read, radius, smooth);
  const std::size_t n = refs.size();
  std::vector<Arm*> here;
  for (std::size_t i = 0; i < n; ++i) {
    const ArmRef& ref = refs[i];
    here.push_back(&arms[static_cast<std::size_t>(ref.edge)][static_cast<std::size_t>(ref.end)]);
    *here.back() = read[i];
  }
  std::vector<std::size_t> alone;
  for (std::size_t i = 0; i < n; ++i) {
    if (best.partner[i] >= 0) {
      here[i]->onward = refs[static_cast<std::size_t>(best.partner[i])];
    } else {
      alone.push_back(i);
    }
  }
  const double reach = 2.0 * radius;
  for (const std::size_t i : alone) {
    double nearest = std::numeric_limits<double>::infinity();
    for (std::size_t j = 0; j < n; ++j) {
      const int k = best.partner[j];
      if (k < static_cast<int>(j)) continue;
      const auto hit =
          hit_through_line(*here[i], *here[j], *here[static_cast<std::size_t>(k)], reach);
      if (hit && distance(*hit, here[i]->at) < nearest && reaches(*here[i], *hit, smooth)) {
        nearest = distance(*hit, here[i]->at);
        here[i]->meet = hit;
      }
    }
  }
  std::vector<Arm*> ending;
  for (const std::size_t i : alone) {
    if (!here[i]->meet) ending.push_back(here[i]);
  }
  if (!ending.empty()) {
    const Vec2 p = ending.size() > 1 ? common_point(ending, centre, 1.5 * reach) : centre;
    const auto all_reach = [&](Vec2 place) {
      return std::all_of(
          ending.begin(), ending.end(), [&](Arm* arm) { return reaches(*arm, place, smooth); });
    };
    for (Arm* arm : ending) arm->meet = all_reach(p) ? p : all_reach(centre) ? centre : arm->at;
  }
  // Two arms and a sharp turn: one line with a corner.
  if (n == 2 && alone.size() == 2 && *here[0]->meet == *here[1]->meet) {
    for (std::size_t i = 0; i < 2; ++i) {
      here[i]->onward = refs[1 - i];
      here[i]->corner = true;
      // Straight arms tell the corner better than frayed ink; bent ones overshoot it.
      if (tip && distance(*tip, *here[i]->meet) > 0.7 * radius) here[i]->meet = tip;
    }
  }
}

// The pen turned half its width before the ink of a sharp corner ends.
std::optional<Vec2> corner_at_tip(const StrokeGraph& graph, const GraphNode& node) {
  if (!node.tip || node.edges.size() != 2) return std::nullopt;
  double pen_radius = 0.0;
  for (const int e : node.edges) {
    pen_radius += median(graph.edges[static_cast<std::size_t>(e)].radius) / 2.0;
  }
  const Vec2 out = *node.tip - node.at;
  const double reach = std::max(0.0, length(out) + 0.5 - pen_radius);
  return node.at + normalized(out) * reach;
}

// Half the ink's width along the middle half of an edge.
double middle_radius(const GraphEdge& edge) {
  const auto quarter = static_cast<std::ptrdiff_t>(edge.radius.size() / 4);
  return median(std::vector<double>(edge.radius.begin() + quarter, edge.radius.end() - quarter));
}

// Half the pen's width on the lines that come to a meeting, a little away from it.
double arm_radius(const StrokeGraph& graph, const NodeMeeting& meeting) {
  std::vector<double> near;
  for (const ArmRef& ref : meeting.refs) {
    const GraphEdge& edge = graph.edges[static_cast<std::size_t>(ref.edge)];
    const auto skip = static_cast<std::size_t>(2.0 * meeting.radius);
    std::vector<double> own;
    for (std::size_t i = skip; i < edge.points.size() && i < skip + 24; ++i) {
      own.push_back(radius_from(edge, ref.end, i));
    }
    near.push_back(own.size() > 4 ? median(std::move(own)) : middle_radius(edge));
  }
  return median(std::move(near));
}

// Whether a line that runs on through a meeting, or ends in it, comes by a place: one of a bridge
// that none comes by is a line of its own.
bool passes(const std::vector<Arm>& arms, const Pairing& pairing, Vec2 place, double pen_radius) {
  double nearest = std::numeric_limits<double>::infinity();
  for (std::size_t i = 0; i < arms.size(); ++i) {
    const Arm& a = arms[i];
    if (pairing.partner[i] < 0) {
      const double ahead = dot(place - a.at, a.inward);
      if (ahead > 0.0) nearest = std::min(nearest, std::abs(cross(a.inward, place - a.at)));
      continue;
    }
    const Arm& b = arms[static_cast<std::size_t>(pairing.partner[i])];
    const Cubic way = way_through(a, b);
    for (int k = 0; k <= 16; ++k) nearest = std::min(nearest, distance(way.at(k / 16.0), place));
  }
  return nearest < 1.2 * pen_radius + 0.5;
}

// Two lines that draw together to a sharp point thin to one that ends there, thicker than the pen:
// its end is the point of a corner.
void fold_points(StrokeGraph& graph) {
  for (std::size_t n = 0; n < graph.nodes.size(); ++n) {
    GraphNode& node = graph.nodes[n];
    if (node.edges.size() != 3) continue;
    int loose = -1;
    int others = 0;
    for (const int e : node.edges) {
      const GraphEdge& edge = graph.edges[static_cast<std::size_t>(e)];
      if (edge.from == edge.to) continue;
      const int far = edge.from == static_cast<int>(n) ? edge.to : edge.from;
      if (graph.nodes[static_cast<std::size_t>(far)].edges.size() == 1) {
        if (loose >= 0) ++others;
        loose = e;
      } else {
        ++others;
      }
    }
    if (loose < 0 || others != 2) continue;
    GraphEdge& point = graph.edges[static_cast<std::size_t>(loose)];
    NodeMeeting rest;
    rest.radius = node.radius;
    const int end = point.from == static_cast<int>(n) ? 1 : 0;
    const Vec2 tip = end == 1 ? point.points.back() : point.points.front();
    const Vec2 out = normalized(tip - node.at);
    bool both_behind = true;
    for (const int e : node.edges) {
      if (e == loose) continue;
      const GraphEdge& edge = graph.edges[static_cast<std::size_t>(e)];
      const int near = edge.from == static_cast<int>(n) ? 0 : 1;
      rest.refs.push_back({e, near});
      const std::size_t far = std::min<std::size_t>(edge.points.size() - 1, 10);
      both_behind &= dot(normalized(point_from(edge, near, far) - node.at), out) < -0.5;
    }
    const double pen = arm_radius(graph, rest);
    if (!both_behind || point.length() > kLongestPoint * pen) continue;
    if (middle_radius(point) < kTwoLines * pen) continue;
    point.removed = true;
    std::erase(node.edges, loose);
    const int last = end == 1 ? point.to : point.from;
    graph.nodes[static_cast<std::size_t>(last)].edges.clear();
    graph.nodes[static_cast<std::size_t>(last)].radius = 0.0;
    node.tip = tip;
  }
}

// Lines that cross thin to two meetings with a bridge between, and so do two that leave a third
// side by side. A bridge that is all blot shows no direction: its meetings are one. A longer one
// is a bridge when the lines then run on with less bending.
void join_meetings(StrokeGraph& graph,
                   Clusters& clusters,
                   const cv::Mat& smooth,
                   double px_per_mm) {
  struct Bridge {
    double blots;  // its length, in those of the blots at its ends
    int edge;
  };
  std::vector<Bridge> bridges;
  const auto degree = [&](int n) { return graph.nodes[static_cast<std::size_t>(n)].edges.size(); };
  const auto radius_of = [&](int n) { return graph.nodes[static_cast<std::size_t>(n)].radius; };
  for (std::size_t e = 0; e < graph.edges.size(); ++e) {
    const GraphEdge& edge = graph.edges[e];
    if (edge.removed || edge.ring() || edge.from == edge.to) continue;
    if (std::min(degree(edge.from), degree(edge.to)) < 2) continue;
    if (std::max(degree(edge.from), degree(edge.to)) < 3) continue;
    const double blots =
        (edge.length() - 0.05 * px_per_mm) / (radius_of(edge.from) + radius_of(edge.to));
    if (blots < kLongestBridge) bridges.push_back({blots, static_cast<int>(e)});
  }
  std::sort(bridges.begin(), bridges.end(), [](const Bridge& a, const Bridge& b) {
    return a.blots != b.blots ? a.blots < b.blots : a.edge < b.edge;
  });
  for (const Bridge& bridge : bridges) {
    GraphEdge& edge = graph.edges[static_cast<std::size_t>(bridge.edge)];
    const int a = clusters.find(edge.from);
    const int b = clusters.find(edge.to);
    if (a == b) continue;  // would close a tiny loop
    if (bridge.blots > kBlotBridge) {
      if (degree(edge.from) != 3 || degree(edge.to) != 3) continue;
      if (clusters.members(a).size() > 1 || clusters.members(b).size() > 1) continue;
      const NodeMeeting first = describe_meeting(graph, clusters.members(a), -1);
      const NodeMeeting second = describe_meeting(graph, clusters.members(b), -1);
      const NodeMeeting both = describe_meeting(graph, {edge.from, edge.to}, bridge.edge);
      const std::vector<Arm> arms = read_arms(graph, both);
      const Pairing joined = pair_arms(arms, both.radius, smooth);
      const auto cost = [&](const NodeMeeting& m) {
        return pair_arms(read_arms(graph, m), m.radius, smooth).cost;
      };
      if (!passes(arms, joined, edge.points[edge.points.size() / 2], arm_radius(graph, both))) {
        continue;
      }
      const bool thick = middle_radius(edge) > kTwoLines * arm_radius(graph, both);
      const double apart = cost(first) + cost(second);
      const bool all_run_on =
          std::find(joined.partner.begin(), joined.partner.end(), -1) == joined.partner.end();
      if (thick ? joined.cost > apart + kWorthJoining
                : !all_run_on || joined.cost > apart - kWorthJoining) {
        continue;
      }
    }
    clusters.join(a, b);
    edge.removed = true;
  }
}

}  // namespace

std::vector<EdgeArms> meet_arms(StrokeGraph& graph, const cv::Mat& smooth, double px_per_mm) {
  fold_points(graph);
  std::vector<EdgeArms> arms(graph.edges.size());
  Clusters clusters(graph.nodes.size());
  join_meetings(graph, clusters, smooth, px_per_mm);
  std::vector<std::vector<int>> members(graph.nodes.size());
  for (std::size_t i = 0; i < graph.nodes.size(); ++i) {
    members[static_cast<std::size_t>(clusters.find(static_cast<int>(i)))].push_back(
        static_cast<int>(i));
  }
  for (const std::vector<int>& nodes : members) {
    if (nodes.empty()) continue;
    const NodeMeeting meeting = describe_meeting(graph, nodes, -1);
    if (meeting.refs.size() < 2) continue;
    const GraphNode& first = graph.nodes[static_cast<std::size_t>(nodes[0])];
    settle(graph,
           meeting,
           nodes.size() == 1 ? corner_at_tip(graph, first) : std::nullopt,
           smooth,
           arms);
  }
  return arms;
}

}  // namespace underdraw
