#include "trace/stroke_graph.h"

#include <algorithm>
#include <array>
#include <queue>

#include "geometry/path.h"

namespace underdraw {
namespace {

constexpr std::array<int, 8> kDx = {1, 1, 0, -1, -1, -1, 0, 1};
constexpr std::array<int, 8> kDy = {0, 1, 1, 1, 0, -1, -1, -1};

// Pixels that one pixel is linked to; at most eight.
struct Links {
  std::array<int, 8> to{};
  std::size_t count = 0;
  const int* begin() const { return to.data(); }
  const int* end() const { return to.data() + count; }
};

// Thinned pixels with the links that matter: a diagonal is left out where two straight steps make
// the same way, so that every pixel inside a line has two links.
class PixelLinks {
 public:
  explicit PixelLinks(const cv::Mat& line) : line_(line.ptr<uchar>()), width_(line.cols) {}

  Links of(int at) const {
    Links out;
    for (std::size_t i = 0; i < 8; ++i) {
      if (!ink(at, i)) continue;
      const bool diagonal = i % 2 == 1;
      if (diagonal && (ink(at, i - 1) || ink(at, (i + 1) % 8))) continue;
      out.to[out.count++] = at + kDy[i] * width_ + kDx[i];
    }
    return out;
  }

 private:
  bool ink(int at, std::size_t i) const { return line_[at + kDy[i] * width_ + kDx[i]] != 0; }
  const uchar* line_;
  int width_;
};

void flip(GraphEdge& edge) {
  std::swap(edge.from, edge.to);
  std::reverse(edge.points.begin(), edge.points.end());
  std::reverse(edge.radius.begin(), edge.radius.end());
}

// Direction in which an edge leaves the node, over about eight pixels.
Vec2 direction_from(const GraphEdge& edge, int node) {
  const std::size_t n = edge.points.size();
  const std::size_t far = std::min<std::size_t>(8, n - 1);
  return edge.from == node ? normalized(edge.points[far] - edge.points.front())
                           : normalized(edge.points[n - 1 - far] - edge.points.back());
}

// A hair that points away from both lines at its root is the point of a sharp corner.
bool is_point_of_corner(const StrokeGraph& graph, int root, Vec2 tip) {
  const GraphNode& node = graph.nodes[static_cast<std::size_t>(root)];
  if (node.edges.size() != 2 || node.edges[0] == node.edges[1]) return false;
  const Vec2 outward = normalized(tip - node.at);
  for (const int e : node.edges) {
    const GraphEdge& edge = graph.edges[static_cast<std::size_t>(e)];
    if (edge.points.size() < 8) return false;
    if (dot(outward, direction_from(edge, root)) > -0.2) return false;
  }
  return true;
}

}  // namespace

double GraphEdge::length() const {
  const double open = polyline_length(points);
  return ring() && points.size() > 1 ? open + distance(points.back(), points.front()) : open;
}

StrokeGraph make_stroke_graph(const Thinned& thinned) {
  StrokeGraph graph;
  const PixelLinks links(thinned.line);
  const int width = thinned.line.cols;
  const uchar* line = thinned.line.ptr<uchar>();
  const float* radius = thinned.radius.ptr<float>();
  const int total = static_cast<int>(thinned.line.total());
  const auto centre = [&](int at) { return Vec2{at % width + 0.5, at / width + 0.5}; };

  // Node pixels: every pixel without exactly two links; neighbouring ones are one node.
  std::vector<int> node_of(static_cast<std::size_t>(total), -1);
  std::vector<int> pixels;
  for (int at = 0; at < total; ++at) {
    if (line[at]) pixels.push_back(at);
  }
  const auto is_node = [&](int at) { return links.of(at).count != 2; };
  for (const int seed : pixels) {
    if (node_of[static_cast<std::size_t>(seed)] >= 0 || !is_node(seed)) continue;
    const int id = static_cast<int>(graph.nodes.size());
    GraphNode node;
    int members = 0;
    std::vector<int> stack = {seed};
    node_of[static_cast<std::size_t>(seed)] = id;
    while (!stack.empty()) {
      const int at = stack.back();
      stack.pop_back();
      node.at += centre(at);
      node.radius = std::max(node.radius, static_cast<double>(radius[at]));
      ++members;
      if (links.of(at).count < 3) continue;  // an end stands alone
      for (const int next : links.of(at)) {
        if (node_of[static_cast<std::size_t>(next)] < 0 && links.of(next).count >= 3) {
          node_of[static_cast<std::size_t>(next)] = id;
          stack.push_back(next);
        }
      }
    }
    node.at = node.at / members;
    graph.nodes.push_back(std::move(node));
  }

  std::vector<bool> used(static_cast<std::size_t>(total), false);
  const auto add_edge = [&](GraphEdge edge) {
    const int id = static_cast<int>(graph.edges.size());
    if (!edge.ring()) {
      graph.nodes[static_cast<std::size_t>(edge.from)].edges.push_back(id);
      graph.nodes[static_cast<std::size_t>(edge.to)].edges.push_back(id);
    }
    graph.edges.push_back(std::move(edge));
  };
  const auto take = [&](GraphEdge& edge, int at) {
    edge.points.push_back(centre(at));
    edge.radius.push_back(static_cast<double>(radius[at]));
  };
  // Walks from `at`, coming from `before`, until a node is reached or the ring closes.
  const auto walk = [&](GraphEdge& edge, int before, int at) {
    const int start = at;
    while (node_of[static_cast<std::size_t>(at)] < 0) {
      used[static_cast<std::size_t>(at)] = true;
      take(edge, at);
      int next = -1;
      for (const int link : links.of(at)) {
        if (link != before) next = link;
      }
      before = at;
      at = next;
      if (at < 0 || at == start) return -1;
    }
    return at;
  };
  for (const int at : pixels) {
    const int id = node_of[static_cast<std::size_t>(at)];
    if (id < 0) continue;
    for (const int next : links.of(at)) {
      const int other = node_of[static_cast<std::size_t>(next)];
      if (other >= 0) {
        // Two nodes side by side: one edge without pixels between, taken from the lower pixel.
        if (other != id && at < next) {
          GraphEdge edge;
          edge.from = id;
          edge.to = other;
          take(edge, at);
          take(edge, next);
          add_edge(std::move(edge));
        }
        continue;
      }
      if (used[static_cast<std::size_t>(next)]) continue;
      GraphEdge edge;
      edge.from = id;
      take(edge, at);
      const int last = walk(edge, at, next);
      if (last < 0) continue;
      take(edge, last);
      edge.to = node_of[static_cast<std::size_t>(last)];
      add_edge(std::move(edge));
    }
  }
  for (const int at : pixels) {
    if (node_of[static_cast<std::size_t>(at)] >= 0 || used[static_cast<std::size_t>(at)]) continue;
    GraphEdge ring;
    walk(ring, -1, at);
    add_edge(std::move(ring));
  }
  return graph;
}

void dissolve_passing_nodes(StrokeGraph& graph) {
  for (std::size_t n = 0; n < graph.nodes.size(); ++n) {
    GraphNode& node = graph.nodes[n];
    std::erase_if(node.edges,
                  [&](int e) { return graph.edges[static_cast<std::size_t>(e)].removed; });
    if (node.edges.size() != 2 || node.tip) continue;
    const int id = static_cast<int>(n);
    const int first = node.edges[0];
    const int second = node.edges[1];
    GraphEdge& a = graph.edges[static_cast<std::size_t>(first)];
    node.edges.clear();
    node.radius = 0.0;
    if (first == second) {  // a loop that hung on this node: now a ring
      a.from = a.to = -1;
      a.points.pop_back();
      a.radius.pop_back();
      continue;
    }
    GraphEdge& b = graph.edges[static_cast<std::size_t>(second)];
    if (a.to != id) flip(a);
    if (b.from != id) flip(b);
    a.points.insert(a.points.end(), b.points.begin(), b.points.end());
    a.radius.insert(a.radius.end(), b.radius.begin(), b.radius.end());
    a.to = b.to;
    b.removed = true;
    for (int& e : graph.nodes[static_cast<std::size_t>(a.to)].edges) {
      if (e == second) {
        e = first;
        break;
      }
    }
  }
}

void remove_spurs(StrokeGraph& graph, double px_per_mm) {
  const auto spur = [&](const GraphEdge& e) {
    if (e.removed || e.ring() || e.from == e.to) return false;
    const GraphNode& a = graph.nodes[static_cast<std::size_t>(e.from)];
    const GraphNode& b = graph.nodes[static_cast<std::size_t>(e.to)];
    const bool loose_a = a.edges.size() == 1;
    const bool loose_b = b.edges.size() == 1;
    if (loose_a == loose_b) return false;
    const GraphNode& root = loose_a ? b : a;
    if (root.edges.size() < 3) return false;
    const GraphNode& tip = loose_a ? a : b;
    // A pen that really left the line shows at least a pen's half width beyond its edge.
    return distance(root.at, tip.at) < 1.9 * root.radius + 0.05 * px_per_mm;
  };
  // Shortest first, so that the better half of a forked tip stays.
  using Entry = std::pair<double, int>;
  std::priority_queue<Entry, std::vector<Entry>, std::greater<>> queue;
  const auto enqueue_all = [&] {
    for (std::size_t i = 0; i < graph.edges.size(); ++i) {
      if (spur(graph.edges[i])) queue.emplace(graph.edges[i].length(), static_cast<int>(i));
    }
  };
  for (enqueue_all(); !queue.empty(); enqueue_all()) {
    bool changed = false;
    while (!queue.empty()) {
      const int id = queue.top().second;
      queue.pop();
      GraphEdge& edge = graph.edges[static_cast<std::size_t>(id)];
      if (!spur(edge)) continue;
      edge.removed = true;
      changed = true;
      for (const int n : {edge.from, edge.to}) {
        GraphNode& node = graph.nodes[static_cast<std::size_t>(n)];
        std::erase(node.edges, id);
        if (node.edges.empty()) node.radius = 0.0;
      }
      const bool from_is_root = graph.nodes[static_cast<std::size_t>(edge.from)].radius > 0.0;
      const int root = from_is_root ? edge.from : edge.to;
      const Vec2 tip = from_is_root ? edge.points.back() : edge.points.front();
      if (is_point_of_corner(graph, root, tip)) {
        graph.nodes[static_cast<std::size_t>(root)].tip = tip;
      }
    }
    dissolve_passing_nodes(graph);
    if (!changed) break;
  }
}

}  // namespace underdraw
