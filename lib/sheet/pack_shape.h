// An outline made ready for packing: about its middle, with circles inside it that say how deeply
// two outlines overlap.
//
// Stage:   sheet. Pure; used by pack_outlines and its parts.
// In/out:  mm. A pose turns a shape about its middle and then moves the middle to `at`.
// Refuses: rings of fewer than three places or without area (GeometryError).
// Source:  inscribed circles as a measure of overlap: J. Gardeyn, G. Vanden Berghe, T. Wauters,
//          arXiv:2509.13329 (2025); written from the idea.
#pragma once

#include <cstddef>
#include <vector>

#include "geometry/vec2.h"
#include "sheet/turns.h"

namespace underdraw {

struct PackPose {
  double turn_deg = 0.0;
  Vec2 at;
};

class PackShape;

// A shape at one turn, its middle at the origin; plain arrays, as this is what the search reads.
struct TurnedShape {
  const PackShape* shape = nullptr;
  double turn_deg = 0.0;
  Box box;  // for the room's edges
  Box skin_box;
  std::vector<double> x, y;       // the skin, its first corner repeated at the end
  std::vector<float> cx, cy, cr;  // circles, the largest first, filled up to a multiple of 4
  std::size_t circle_count = 0;
  double size = 0.0;   // of the shape: root of its hull's area
  double reach = 0.0;  // largest extent of the shape

  void turn(const PackShape& whose, double by_deg);
};

class PackShape {
 public:
  // The skin lies `inset` inside the outline. Two skins that are apart may leave their outlines
  // overlapping by twice that, which settle_poses puts right. For the room's edges a shape is as
  // large as `core` grown by `border`, which the outline may exceed by a hair.
  PackShape(const std::vector<Vec2>& outline,
            const Turns& turns,
            double inset,
            const std::vector<Vec2>& core,
            double border);

  const std::vector<Vec2>& outline() const { return outline_; }  // about its middle
  const std::vector<Vec2>& skin() const { return skin_; }
  Box box_at(double turn_deg) const;  // for the room's edges, about the middle
  struct Circle {
    Vec2 at;
    double r = 0.0;
  };
  const std::vector<Circle>& circles() const { return circles_; }
  const Turns& turns() const { return turns_; }
  const std::vector<TurnedShape>& turned() const { return turned_; }  // empty when free
  double area() const { return area_; }
  double size() const { return size_; }
  double reach() const { return reach_; }
  Vec2 middle() const { return middle_; }

  // The same pose for the outline as it was given: turned about its origin, then moved.
  Affine room_from_outline(const PackPose& pose) const;

 private:
  Turns turns_;
  Vec2 middle_;
  std::vector<Vec2> outline_, skin_, hull_;
  double border_ = 0.0;
  std::vector<Circle> circles_;
  std::vector<TurnedShape> turned_;
  double area_ = 0.0, size_ = 0.0, reach_ = 0.0;
};

// How deeply b overlaps a when its middle lies at `from_a` from a's: 0 when the skins are apart,
// touching counts as overlapping. Falls steadily as the two are drawn apart.
double overlap(const TurnedShape& a, const TurnedShape& b, Vec2 from_a);

}  // namespace underdraw
