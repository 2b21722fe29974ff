// What happens where lines meet: which arms run on into each other, and where the others end.
//
// Stage:   trace. Pure.
// In/out:  px; edges of a StrokeGraph whose points lie on the middle of the ink.
// Source:  own construction: arms are read outside the blot that crossing lines make, continued
//          into it, and paired over the whole meeting by least bending.
#pragma once

#include <array>
#include <optional>
#include <vector>

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

using EdgeArms = std::array<Arm, 2>;

// Settles every node of the graph. Edges that are only bridges inside a meeting are marked removed.
std::vector<EdgeArms> meet_arms(StrokeGraph& graph, double px_per_mm);

}  // namespace underdraw
