// Ends of lines that come to one meeting: where they are, which way they go, and which two are one
// line.
//
// Stage:   trace. Pure.
// In/out:  px; edges of a StrokeGraph whose points lie on the middle of the ink.
// Source:  own construction: arms are read outside the blot that crossing lines make, continued
//          into it, and paired over the whole meeting by least bending.
#pragma once

#include <cstddef>
#include <limits>
#include <optional>
#include <vector>

#include <opencv2/core.hpp>

#include "geometry/path.h"
#include "trace/stroke_graph.h"

namespace underdraw {

// One end of an edge: end 0 is its first point, end 1 its last.
struct ArmRef {
  int edge = -1;
  int end = 0;
  friend bool operator==(const ArmRef&, const ArmRef&) = default;
};

struct Arm {
  std::size_t skip = 0;          // points at this end that lie in the blot and are not to be used
  Vec2 at;                       // first point that counts
  Vec2 inward;                   // unit direction of travel into the meeting, read outside the blot
  std::optional<ArmRef> onward;  // the arm that this one runs into
  bool corner = false;           // with onward: it turns sharply there, at `meet`
  std::optional<Vec2> meet;      // where the line ends, or turns
};

// Nodes that are taken as one meeting, with the ends of lines that come to it.
struct NodeMeeting {
  std::vector<int> nodes;
  std::vector<ArmRef> refs;
  Vec2 centre;
  double radius = 0.0;  // of the blot that the lines make there
};

// Pairs of arms with the least sum of bending; leaving an arm alone has its price too.
struct Pairing {
  std::vector<int> partner;  // -1: alone
  double cost = std::numeric_limits<double>::infinity();
};

// Point i of the edge, and half the ink's width there, counted from the given end.
Vec2 point_from(const GraphEdge& edge, int end, std::size_t i);
double radius_from(const GraphEdge& edge, int end, std::size_t i);

// Removed edges are left out, and so is `without_edge`; -1: no other.
NodeMeeting describe_meeting(const StrokeGraph& graph,
                             const std::vector<int>& nodes,
                             int without_edge);

// Where the meeting's arms are just outside its blot, and which way they go; one a ref.
std::vector<Arm> read_arms(const StrokeGraph& graph, const NodeMeeting& meeting);

// Two arms are one line only where the way from one to the other keeps to the ink of `smooth`. More
// than ten arms are not paired.
Pairing pair_arms(const std::vector<Arm>& arms, double radius, const cv::Mat& smooth);

// Whether the straight way from an arm to a place keeps to the ink.
bool reaches(const Arm& arm, Vec2 place, const cv::Mat& smooth);

// How a line runs that comes in along a and leaves along b.
Cubic way_through(const Arm& a, const Arm& b);

}  // namespace underdraw
