// What copies must keep clear of on a face: its edges, its zones, and what lies there already.
//
// Stage:   repeat. Pure.
// Frames:  face points as in piece/face.h.
// Source:  distances on a grid over the face, interpolated; exact ones where asked for.
#pragma once

#include <vector>

#include "geometry/outline.h"
#include "piece/surface.h"

namespace underdraw {

// Something on the face and how far copies stay from it. Corners are face points, x across and y
// along; on a round face a ring may run beyond 0 or 360 degrees but not once round.
struct ScatterObstacle {
  Rings shape;
  double clear_mm = 0.0;
};

class ScatterGround {
 public:
  // `reach_mm`: up to where distances must be known. On a round face what is less than
  // `least_round_mm` round, towards either end, is no ground.
  ScatterGround(const Surface& surface,
                const std::vector<ScatterObstacle>& obstacles,
                double edge_mm,
                double least_round_mm,
                double reach_mm,
                double cell_mm);

  // What is left at a point after the clearance asked for; below 0 too close. At most the reach.
  double room_mm(FacePoint point) const;

  // The same from the outlines themselves, for a closed outline of face points laid on the face:
  // the least over it. Stops looking beyond `enough_mm`.
  double exact_room_mm(const std::vector<FacePoint>& outline, double enough_mm) const;

  double free_mm2() const { return free_mm2_; }  // where room_mm is above 0
  const Surface& surface() const { return *surface_; }

 private:
  struct Block {  // an obstacle, or the face's own outline
    std::vector<std::vector<FacePoint>> rings;
    double clear_mm = 0.0;
    bool keep_inside = false;
    Box span;  // x across, y along
  };
  double edge_room(FacePoint point) const;
  double grid_room(FacePoint point) const;
  double block_distance(const Block& block, FacePoint point) const;
  bool is_inside(const Block& block, FacePoint point) const;
  bool is_near(const Block& block, FacePoint point, double reach_mm) const;
  void note_blocks(double cell_mm);
  FacePoint node(int column, int row) const;

  const Surface* surface_;
  std::vector<Block> blocks_;
  double edge_mm_, reach_mm_;
  double along_from_ = 0.0, along_to_ = 0.0;  // of the ground
  double free_mm2_ = 0.0;
  int columns_ = 0, rows_ = 0;
  std::vector<float> room_;  // of the blocks; empty: there are none
};

}  // namespace underdraw
