// A motif at one size, made ready for asking how far a spot is from its outline.
//
// Stage:   repeat. Pure.
// Frame:   of the motif, centred on its ink box, at the size it is placed, mm; not mirrored, not
//          turned.
// Source:  signed distance on a grid, interpolated between its nodes; own construction.
#pragma once

#include <vector>

#include "geometry/outline.h"

namespace underdraw {

struct SignedDistance {
  double mm = 0.0;  // below 0 inside
  Vec2 away;        // the way that it grows, about unit length
};

// Signed distance from outlines, tabulated. Spots beyond the table are far: more than its reach.
class DistanceTable {
 public:
  DistanceTable() = default;
  DistanceTable(const Rings& rings, double reach_mm, int nodes);

  bool covers(Vec2 p) const {
    const Vec2 q = (p - origin_) / cell_;
    return q.x >= 0.0 && q.y >= 0.0 && q.x < columns_ - 1 && q.y < rows_ - 1;
  }
  SignedDistance at(Vec2 p) const;  // p must be covered
  double cell_mm() const { return cell_; }

 private:
  Vec2 origin_;
  double cell_ = 1.0;
  int columns_ = 0, rows_ = 0;
  std::vector<float> mm_;
};

struct OutlinePoint {
  Vec2 at;
  double share_mm = 0.0;  // of the outline's length that it stands for
};

// Some points in a row and the circle that holds them.
struct PointRun {
  std::size_t from = 0, to = 0;
  Vec2 centre;
  double radius_mm = 0.0;
};

constexpr double kExactToleranceMm = 0.002;

struct ScatterForm {
  int kind = 0;
  int rank = 0;  // among the sizes of its kind, the largest 0
  double scale = 1.0;
  Rings rings;
  double area_mm2 = 0.0;
  double grown_mm2 = 0.0;            // area with half the gap all round
  double radius_mm = 0.0;            // of the circle about (0, 0) that holds it
  std::vector<OutlinePoint> points;  // to push with
  std::vector<PointRun> runs;        // of the points
  Rings exact;                       // within kExactToleranceMm, edges no longer than the step
  double exact_step_mm = 0.0;
  DistanceTable distance;
};

// `reach_mm`: how far outside distances must be known. `half_gap_mm`: of grown_mm2.
ScatterForm scatter_form(
    const Rings& outline, int kind, double scale, double reach_mm, double half_gap_mm);

// Corners that are left out stay within tolerance of the new ring.
std::vector<Vec2> thinned_ring(const std::vector<Vec2>& ring, double tolerance_mm);

}  // namespace underdraw
