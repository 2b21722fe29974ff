#include "trace/meet_arms.h"

#include <algorithm>
#include <cmath>
#include <limits>
#include <numeric>

#include "geometry/path.h"
#include "trace/median.h"

namespace underdraw {
namespace {

constexpr double kMostBend = 0.95;        // rad; a line that turns more than this ends here
constexpr double kStraightOn = 0.35;      // rad; both lines through a long bridge bend less
constexpr double kLongestBridge = 12.0;   // half pen widths that two lines may run together
constexpr double kAlone = kMostBend / 2;  // cost of leaving an arm without a partner

// Point i of the edge counted from the given end.
Vec2 point_from(const GraphEdge& edge, int end, std::size_t i) {
  return end == 0 ? edge.points[i] : edge.points[edge.points.size() - 1 - i];
}
double radius_from(const GraphEdge& edge, int end, std::size_t i) {
  return end == 0 ? edge.radius[i] : edge.radius[edge.radius.size() - 1 - i];
}

// Reads position and direction of an arm just outside the blot around `centre`.
void read_arm(
    const GraphEdge& edge, int end, Vec2 centre, double blot_radius, double share, Arm& arm) {
  const std::size_t n = edge.points.size();
  const std::size_t most = std::max<std::size_t>(
      1, std::min(n - 1, static_cast<std::size_t>(share * static_cast<double>(n))));
  const double line_radius = median(edge.radius);
  std::size_t skip = 0;
  while (skip < most) {
    const double away = distance(point_from(edge, end, skip), centre);
    const bool thick = radius_from(edge, end, skip) > 1.15 * line_radius + 0.4;
    if (away > 2.0 * blot_radius + 2.0 || (away > 1.1 * blot_radius && !thick)) break;
    ++skip;
  }
  // Parabola in arc length over a few pen widths; its slope at the blot is the direction.
  const double reach = std::max(8.0, 6.0 * line_radius);
  double s = 0.0, n0 = 0, s1 = 0, s2 = 0, s3 = 0, s4 = 0;
  Vec2 p0, p1, p2;
  const Vec2 origin = point_from(edge, end, skip);
  std::size_t i = skip;
  for (; i < n; ++i) {
    if (i > skip) s += distance(point_from(edge, end, i), point_from(edge, end, i - 1));
    if (s > reach) break;
    const Vec2 p = point_from(edge, end, i) - origin;
    const double q = s * s;
    n0 += 1;
    s1 += s;
    s2 += q;
    s3 += q * s;
    s4 += q * q;
    p0 += p;
    p1 += p * s;
    p2 += p * q;
  }
  arm.skip = skip;
  arm.at = origin;
  const double d2 = n0 * s2 - s1 * s1;
  if (n0 < 2 || d2 <= 0.0) {
    arm.inward = normalized(centre - origin);
    return;
  }
  Vec2 slope = (p1 * n0 - p0 * s1) / d2;
  Vec2 start = (p0 * s2 - p1 * s1) / d2;
  const double d3 = n0 * (s2 * s4 - s3 * s3) - s1 * (s1 * s4 - s2 * s3) + s2 * (s1 * s3 - s2 * s2);
  if (n0 >= 6 && s > 4.0 * line_radius && d3 > 1e-9 * n0 * s2 * s4) {
    const auto solve = [&](double a0, double a1, double a2) {
      // Cramer's rule for constant and slope.
      const double c0 =
          a0 * (s2 * s4 - s3 * s3) - s1 * (a1 * s4 - a2 * s3) + s2 * (a1 * s3 - a2 * s2);
      const double c1 =
          n0 * (a1 * s4 - a2 * s3) - a0 * (s1 * s4 - s2 * s3) + s2 * (s1 * a2 - s2 * a1);
      return Vec2{c0 / d3, c1 / d3};
    };
    const Vec2 x = solve(p0.x, p1.x, p2.x);
    const Vec2 y = solve(p0.y, p1.y, p2.y);
    start = {x.x, y.x};
    slope = {x.y, y.y};
  }
  arm.at = origin + start;
  arm.inward = normalized(-slope);
}

// How much a line would bend that came in along a and left along b.
double bending(const Arm& a, const Arm& b, double radius) {
  const Vec2 gap = b.at - a.at;
  const double turn = angle_between(a.inward, -b.inward);
  if (length(gap) < radius) return turn;
  const Vec2 way = normalized(gap);
  return std::max(turn, 0.7 * (angle_between(a.inward, way) + angle_between(way, -b.inward)));
}

// Pairs of arms with the least sum of bending, an arm alone costing kAlone. Meetings are small.
struct Pairing {
  std::vector<int> partner;  // -1: alone
  double cost = std::numeric_limits<double>::infinity();
};

void pair_up(const std::vector<std::vector<double>>& cost,
             std::vector<int>& partner,
             std::size_t next,
             double so_far,
             Pairing& best) {
  while (next < partner.size() && partner[next] != -2) ++next;
  if (so_far >= best.cost) return;
  if (next == partner.size()) {
    best = {partner, so_far};
    return;
  }
  for (std::size_t other = next + 1; other < partner.size(); ++other) {
    if (partner[other] != -2 || cost[next][other] > kMostBend) continue;
    partner[next] = static_cast<int>(other);
    partner[other] = static_cast<int>(next);
    pair_up(cost, partner, next + 1, so_far + cost[next][other], best);
    partner[next] = partner[other] = -2;
  }
  partner[next] = -1;
  pair_up(cost, partner, next + 1, so_far + kAlone, best);
  partner[next] = -2;
}

// Where the ray of an arm first comes to the curve that runs from a to b through the meeting.
std::optional<Vec2> hit_through_line(const Arm& arm, const Arm& a, const Arm& b, double reach) {
  const double handle = distance(a.at, b.at) / 3.0;
  const Cubic way{a.at, a.at + a.inward * handle, b.at + b.inward * handle, b.at};
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

class Clusters {
 public:
  explicit Clusters(std::size_t n) : parent_(n), joined_(n, false) {
    std::iota(parent_.begin(), parent_.end(), 0);
  }
  int find(int i) {
    while (parent_[static_cast<std::size_t>(i)] != i) {
      int& up = parent_[static_cast<std::size_t>(i)];
      up = parent_[static_cast<std::size_t>(up)];
      i = up;
    }
    return i;
  }
  void join(int a, int b) {
    joined_[static_cast<std::size_t>(a)] = joined_[static_cast<std::size_t>(b)] = true;
    parent_[static_cast<std::size_t>(find(a))] = find(b);
  }
  bool joined(int i) const { return joined_[static_cast<std::size_t>(i)]; }

 private:
  std::vector<int> parent_;
  std::vector<bool> joined_;
};

// Other ends that meet at this node, but not the bridge's.
std::vector<ArmRef> arms_beside(const StrokeGraph& graph, int node, int bridge) {
  std::vector<ArmRef> out;
  for (const int e : graph.nodes[static_cast<std::size_t>(node)].edges) {
    if (e != bridge) {
      out.push_back({e, graph.edges[static_cast<std::size_t>(e)].from == node ? 0 : 1});
    }
  }
  return out;
}

// Two lines that cross or touch at a flat angle run together for a while: two meetings of three
// with a long bridge. They are one meeting when both lines run straight on through it.
bool runs_straight_through(const StrokeGraph& graph, int bridge) {
  const GraphEdge& edge = graph.edges[static_cast<std::size_t>(bridge)];
  const std::vector<ArmRef> near = arms_beside(graph, edge.from, bridge);
  const std::vector<ArmRef> far = arms_beside(graph, edge.to, bridge);
  if (near.size() != 2 || far.size() != 2) return false;
  const auto read = [&](const ArmRef& ref, int node) {
    Arm arm;
    const GraphEdge& e = graph.edges[static_cast<std::size_t>(ref.edge)];
    const GraphNode& n = graph.nodes[static_cast<std::size_t>(node)];
    read_arm(e, ref.end, n.at, n.radius, 0.45, arm);
    return arm;
  };
  const Arm a0 = read(near[0], edge.from);
  const Arm a1 = read(near[1], edge.from);
  const Arm b0 = read(far[0], edge.to);
  const Arm b1 = read(far[1], edge.to);
  const double straight = std::max(bending(a0, b0, 1.0), bending(a1, b1, 1.0));
  const double crossed = std::max(bending(a0, b1, 1.0), bending(a1, b0, 1.0));
  return std::min(straight, crossed) < kStraightOn;
}

void settle(StrokeGraph& graph,
            const std::vector<ArmRef>& refs,
            Vec2 centre,
            double radius,
            std::optional<Vec2> tip,
            std::vector<EdgeArms>& arms) {
  std::vector<Arm*> here;
  for (const ArmRef& ref : refs) {
    const GraphEdge& edge = graph.edges[static_cast<std::size_t>(ref.edge)];
    Arm& arm = arms[static_cast<std::size_t>(ref.edge)][static_cast<std::size_t>(ref.end)];
    // An arm that has a meeting at its other end too keeps its middle.
    const std::size_t other =
        ref.end == 0 ? static_cast<std::size_t>(edge.to) : static_cast<std::size_t>(edge.from);
    const double share = graph.nodes[other].edges.size() > 1 ? 0.45 : 0.8;
    read_arm(edge, ref.end, centre, radius, share, arm);
    here.push_back(&arm);
  }
  const std::size_t n = here.size();
  std::vector<std::vector<double>> cost(n, std::vector<double>(n, 10.0));
  for (std::size_t i = 0; i < n; ++i) {
    for (std::size_t j = i + 1; j < n; ++j) {
      cost[i][j] = cost[j][i] = bending(*here[i], *here[j], radius);
    }
  }
  Pairing best;
  if (n <= 10) {
    std::vector<int> partner(n, -2);
    pair_up(cost, partner, 0, 0.0, best);
  } else {
    best.partner.assign(n, -1);  // a blot where so many lines meet says nothing about bending
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
      if (hit && distance(*hit, here[i]->at) < nearest) {
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
    for (Arm* arm : ending) arm->meet = p;
  }
  // Two arms and a sharp turn: one line with a corner.
  if (n == 2 && alone.size() == 2) {
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

}  // namespace

std::vector<EdgeArms> meet_arms(StrokeGraph& graph, double px_per_mm) {
  std::vector<EdgeArms> arms(graph.edges.size());
  // Crossing lines thin to two meetings with a short bridge: take them as one.
  Clusters clusters(graph.nodes.size());
  const auto degree = [&](int n) { return graph.nodes[static_cast<std::size_t>(n)].edges.size(); };
  const auto radius_of = [&](int n) { return graph.nodes[static_cast<std::size_t>(n)].radius; };
  for (GraphEdge& edge : graph.edges) {
    if (edge.removed || edge.ring() || edge.from == edge.to) continue;
    if (degree(edge.from) < 3 || degree(edge.to) < 3) continue;
    const double blot = std::max(radius_of(edge.from), radius_of(edge.to));
    if (edge.length() > 2.2 * blot + 0.05 * px_per_mm) continue;
    if (clusters.find(edge.from) == clusters.find(edge.to)) continue;  // would close a tiny loop
    clusters.join(edge.from, edge.to);
    edge.removed = true;
  }

  for (std::size_t e = 0; e < graph.edges.size(); ++e) {
    GraphEdge& edge = graph.edges[e];
    if (edge.removed || edge.ring() || edge.from == edge.to) continue;
    if (degree(edge.from) != 3 || degree(edge.to) != 3) continue;
    if (clusters.joined(edge.from) || clusters.joined(edge.to)) continue;
    if (edge.length() > kLongestBridge * median(edge.radius)) continue;
    if (!runs_straight_through(graph, static_cast<int>(e))) continue;
    clusters.join(edge.from, edge.to);
    edge.removed = true;
  }

  std::vector<std::vector<int>> members(graph.nodes.size());
  for (std::size_t i = 0; i < graph.nodes.size(); ++i) {
    members[static_cast<std::size_t>(clusters.find(static_cast<int>(i)))].push_back(
        static_cast<int>(i));
  }
  std::vector<std::vector<ArmRef>> refs(graph.nodes.size());
  for (std::size_t e = 0; e < graph.edges.size(); ++e) {
    const GraphEdge& edge = graph.edges[e];
    if (edge.removed || edge.ring()) continue;
    const int id = static_cast<int>(e);
    refs[static_cast<std::size_t>(clusters.find(edge.from))].push_back({id, 0});
    refs[static_cast<std::size_t>(clusters.find(edge.to))].push_back({id, 1});
  }
  for (std::size_t c = 0; c < members.size(); ++c) {
    if (refs[c].size() < 2) continue;
    Vec2 centre;
    double radius = 0.0;
    for (const int n : members[c]) {
      centre += graph.nodes[static_cast<std::size_t>(n)].at;
      radius = std::max(radius, radius_of(n));
    }
    centre = centre / static_cast<double>(members[c].size());
    for (const int n : members[c]) {
      radius = std::max(
          radius,
          0.8 * distance(centre, graph.nodes[static_cast<std::size_t>(n)].at) + radius_of(n));
    }
    const std::optional<Vec2> tip =
        members[c].size() == 1
            ? corner_at_tip(graph, graph.nodes[static_cast<std::size_t>(members[c][0])])
            : std::nullopt;
    settle(graph, refs[c], centre, radius, tip, arms);
  }
  return arms;
}

}  // namespace underdraw
