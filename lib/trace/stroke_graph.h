// Thinned ink as a graph: ends and junctions, and the lines between them.
//
// Stage:   trace. Pure.
// In/out:  pixel frame of the thinned image (pixel centres at +0.5).
#pragma once

#include <optional>
#include <vector>

#include "geometry/vec2.h"
#include "trace/thin.h"

namespace underdraw {

// A line between two nodes, or a closed ring (both nodes -1).
struct GraphEdge {
  int from = -1;
  int to = -1;
  std::vector<Vec2> points;    // px, from node to node; a ring does not repeat its first point
  std::vector<double> radius;  // px, from each point to the nearest paper
  double width = 0.0;          // px, of the pen; 0 until the line has been refined
  bool removed = false;

  bool ring() const { return from < 0; }
  double length() const;
};

struct GraphNode {
  Vec2 at;
  double radius = 0.0;      // px, half the ink's width there; 0 once the node is gone
  std::vector<int> edges;   // an edge with both ends here is listed twice
  std::optional<Vec2> tip;  // where the ink of a sharp point ends, when two lines meet in one here
};

struct StrokeGraph {
  std::vector<GraphNode> nodes;
  std::vector<GraphEdge> edges;
};

// Consumes the thinned lines in one walk over the ink.
StrokeGraph make_stroke_graph(const Thinned& thinned);

// Takes away the hairs that thinning grows on rough edges: a loose end that does not reach beyond
// the ink of the line it hangs on. Nodes left with two edges are dissolved, but where the hair was
// the point of a sharp corner: there the node stays and remembers the tip.
void remove_spurs(StrokeGraph& graph, double px_per_mm);

// Edges that are left, with nodes dissolved where just two of them meet.
void dissolve_passing_nodes(StrokeGraph& graph);

}  // namespace underdraw
