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
constexpr double kBlotBridge = 1.0;       // blots; a bridge up to this shows no direction
constexpr double kLongestBridge = 4.0;    // blots that two lines may run together
constexpr double kTwoLines = 1.15;        // pens; ink this wide is two lines side by side
constexpr double kLongestPoint = 16.0;    // half pen widths that a sharp point is long, at most
constexpr double kWorthJoining = 0.1;     // rad of bending that joining two meetings must save
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

// Nodes that are taken as one meeting, with the ends of lines that come to it.
struct Meeting {
  std::vector<int> nodes;
  std::vector<ArmRef> refs;
  Vec2 centre;
  double radius = 0.0;  // of the blot that the lines make there
};

Meeting describe(const StrokeGraph& graph, const std::vector<int>& nodes, int without_edge) {
  Meeting out;
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

std::vector<Arm> read_arms(const StrokeGraph& graph, const Meeting& meeting) {
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

Pairing pair_arms(const std::vector<Arm>& arms, double radius) {
  const std::size_t n = arms.size();
  Pairing best;
  if (n > 10) {  // a blot where so many lines meet says nothing about bending
    best.partner.assign(n, -1);
    return best;
  }
  std::vector<std::vector<double>> cost(n, std::vector<double>(n, 10.0));
  for (std::size_t i = 0; i < n; ++i) {
    for (std::size_t j = i + 1; j < n; ++j) {
      cost[i][j] = cost[j][i] = bending(arms[i], arms[j], radius);
    }
  }
  std::vector<int> partner(n, -2);
  pair_up(cost, partner, 0, 0.0, best);
  return best;
}

void settle(const StrokeGraph& graph,
            const Meeting& meeting,
            std::optional<Vec2> tip,
            std::vector<EdgeArms>& arms) {
  const std::vector<ArmRef>& refs = meeting.refs;
  const Vec2 centre = meeting.centre;
  const double radius = meeting.radius;
  const std::vector<Arm> read = read_arms(graph, meeting);
  const Pairing best = pair_arms(read, radius);
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

// Half the ink's width along the middle half of an edge.
double middle_radius(const GraphEdge& edge) {
  const auto quarter = static_cast<std::ptrdiff_t>(edge.radius.size() / 4);
  return median(std::vector<double>(edge.radius.begin() + quarter, edge.radius.end() - quarter));
}

// Half the pen's width on the lines that come to a meeting, a little away from it.
double arm_radius(const StrokeGraph& graph, const Meeting& meeting) {
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
    const double far = distance(a.at, place);
    if (pairing.partner[i] < 0) {
      const double ahead = dot(place - a.at, a.inward);
      if (ahead > 0.0) nearest = std::min(nearest, std::abs(cross(a.inward, place - a.at)));
      continue;
    }
    const Arm& b = arms[static_cast<std::size_t>(pairing.partner[i])];
    const double handle = distance(a.at, b.at) / 3.0;
    const Cubic way{a.at, a.at + a.inward * handle, b.at + b.inward * handle, b.at};
    for (int k = 0; k <= 16; ++k) nearest = std::min(nearest, distance(way.at(k / 16.0), place));
    nearest = std::min(nearest, far);
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
    Meeting rest;
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
void join_meetings(StrokeGraph& graph, Clusters& clusters, double px_per_mm) {
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
      const Meeting first = describe(graph, clusters.members(a), -1);
      const Meeting second = describe(graph, clusters.members(b), -1);
      const Meeting both = describe(graph, {edge.from, edge.to}, bridge.edge);
      const std::vector<Arm> arms = read_arms(graph, both);
      const Pairing joined = pair_arms(arms, both.radius);
      const auto cost = [&](const Meeting& m) {
        return pair_arms(read_arms(graph, m), m.radius).cost;
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

std::vector<EdgeArms> meet_arms(StrokeGraph& graph, double px_per_mm) {
  fold_points(graph);
  std::vector<EdgeArms> arms(graph.edges.size());
  Clusters clusters(graph.nodes.size());
  join_meetings(graph, clusters, px_per_mm);
  std::vector<std::vector<int>> members(graph.nodes.size());
  for (std::size_t i = 0; i < graph.nodes.size(); ++i) {
    members[static_cast<std::size_t>(clusters.find(static_cast<int>(i)))].push_back(
        static_cast<int>(i));
  }
  for (const std::vector<int>& nodes : members) {
    if (nodes.empty()) continue;
    const Meeting meeting = describe(graph, nodes, -1);
    if (meeting.refs.size() < 2) continue;
    const GraphNode& first = graph.nodes[static_cast<std::size_t>(nodes[0])];
    settle(graph, meeting, nodes.size() == 1 ? corner_at_tip(graph, first) : std::nullopt, arms);
  }
  return arms;
}

}  // namespace underdraw
