#include "trace/pair_arms.h"

#include <algorithm>
#include <cmath>

#include "trace/median.h"
#include "trace/value_at.h"

namespace underdraw {
namespace {

constexpr double kMostBend = 0.95;  // rad; a line that turns more than this ends here
constexpr double kAlone = 0.36;     // cost of leaving an arm without a partner
constexpr double kInk = 0.35;       // share of the arms' darkness; less is bare paper
constexpr double kMostBare = 0.15;  // share of the way through a meeting that may be bare

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

// Whether a way of about that length, px, keeps to what is as dark as a share of `line`.
bool stays_on_ink(const cv::Mat& smooth, const Cubic& way, double length_px, double line) {
  const double ink = kInk * line;
  const int steps = 1 + static_cast<int>(length_px);
  int bare = 0;
  for (int k = 1; k < steps; ++k) {
    if (static_cast<double>(value_at(smooth, way.at(double(k) / steps))) < ink) ++bare;
  }
  return bare <= kMostBare * steps;
}

// Whether a line that came in along a and left along b would keep to the ink.
bool runs_into(const Arm& a, const Arm& b, const cv::Mat& smooth) {
  const double line = std::min(value_at(smooth, a.at), value_at(smooth, b.at));
  return stays_on_ink(smooth, way_through(a, b), distance(a.at, b.at), line);
}

// Meetings are small: every pairing is tried that is not already worse than the best.
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

}  // namespace

Vec2 point_from(const GraphEdge& edge, int end, std::size_t i) {
  return end == 0 ? edge.points[i] : edge.points[edge.points.size() - 1 - i];
}
double radius_from(const GraphEdge& edge, int end, std::size_t i) {
  return end == 0 ? edge.radius[i] : edge.radius[edge.radius.size() - 1 - i];
}

bool reaches(const Arm& arm, Vec2 place, const cv::Mat& smooth) {
  const double far = distance(arm.at, place);
  return stays_on_ink(smooth,
                      {arm.at, mix(arm.at, place, 1.0 / 3.0), mix(arm.at, place, 2.0 / 3.0), place},
                      far,
                      value_at(smooth, arm.at));
}

Cubic way_through(const Arm& a, const Arm& b) {
  return smooth_way(a.at, a.inward, b.at, -b.inward);
}

NodeMeeting describe_meeting(const StrokeGraph& graph,
                             const std::vector<int>& nodes,
                             int without_edge) {
  NodeMeeting out;
  out.nodes = nodes;
  for (const int n : nodes) {
    const GraphNode& node = graph.nodes[static_cast<std::size_t>(n)];
    out.centre += node.at;
    for (const int e : node.edges) {
      const GraphEdge& edge = graph.edges[static_cast<std::size_t>(e)];
      if (edge.removed || e == without_edge) continue;
      // A loop on one node is listed twice there: once for each of its ends.
      const ArmRef first{e, edge.from == n ? 0 : 1};
      const bool twice = std::find(out.refs.begin(), out.refs.end(), first) != out.refs.end();
      out.refs.push_back(twice ? ArmRef{e, 1} : first);
    }
  }
  out.centre = out.centre / static_cast<double>(nodes.size());
  for (const int n : nodes) {
    const GraphNode& node = graph.nodes[static_cast<std::size_t>(n)];
    const double away = nodes.size() > 1 ? 0.8 * distance(out.centre, node.at) : 0.0;
    out.radius = std::max(out.radius, away + node.radius);
  }
  return out;
}

std::vector<Arm> read_arms(const StrokeGraph& graph, const NodeMeeting& meeting) {
  std::vector<Arm> out;
  for (const ArmRef& ref : meeting.refs) {
    const GraphEdge& edge = graph.edges[static_cast<std::size_t>(ref.edge)];
    // An arm that has a meeting at its other end too keeps its middle.
    const std::size_t other =
        ref.end == 0 ? static_cast<std::size_t>(edge.to) : static_cast<std::size_t>(edge.from);
    const double share = graph.nodes[other].edges.size() > 1 ? 0.45 : 0.8;
    out.emplace_back();
    read_arm(edge, ref.end, meeting.centre, meeting.radius, share, out.back());
  }
  return out;
}

Pairing pair_arms(const std::vector<Arm>& arms, double radius, const cv::Mat& smooth) {
  const std::size_t n = arms.size();
  Pairing best;
  if (n > 10) {  // a blot where so many lines meet says nothing about bending
    best.partner.assign(n, -1);
    return best;
  }
  std::vector<std::vector<double>> cost(n, std::vector<double>(n, 10.0));
  for (std::size_t i = 0; i < n; ++i) {
    for (std::size_t j = i + 1; j < n; ++j) {
      const double bend = bending(arms[i], arms[j], radius);
      if (bend > kMostBend || !runs_into(arms[i], arms[j], smooth)) continue;
      cost[i][j] = cost[j][i] = bend;
    }
  }
  std::vector<int> partner(n, -2);
  pair_up(cost, partner, 0, 0.0, best);
  return best;
}

}  // namespace underdraw
