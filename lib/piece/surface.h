// The surface of a face at one clay stage: what is where on it, how far apart, how curved.
//
// Stage:   piece. Pure.
// Frames:  face points as in piece/face.h. Paper laid on the face at a point has its own frame:
//          origin at that point, x right, y down, mm. Space: see geometry/vec3.h.
// Refuses: readings that contradict each other or that no piece has (GeometryError, both numbers).
// Source:  paper is laid on the cone that touches the wall all round at the point's height: exact
//          on cylinders and cones, on doubly curved walls right to first order in distance times
//          curvature. A patch is taken as part of a torus with its two curvatures. Areas within
//          rings by Green's theorem.
#pragma once

#include <memory>
#include <optional>
#include <vector>

#include "geometry/vec2.h"
#include "geometry/vec3.h"
#include "piece/face.h"
#include "piece/profile.h"

namespace underdraw {

// A point in a face's own coordinates: (a in degrees, s in mm) or (x, y) in mm.
struct FacePoint {
  double across = 0.0;
  double along = 0.0;

  friend constexpr bool operator==(FacePoint, FacePoint) = default;
};

class Surface {
 public:
  // True on faces that are measured in (a, s), which all go once round.
  bool round() const { return round_; }

  // Largest along; width in mm at a height along it, the way round on a round face.
  double along_mm() const { return along_mm_; }
  double width_mm(double along) const;
  double widest_mm() const;
  double area_mm2() const;  // of the outline where the face has one

  // Within rings of face points, on the surface. Holes run the other way round. An edge is taken
  // as straight in face coordinates.
  double area_mm2(const Rings& on_face) const;

  // mm to the right per unit of across at this height, and mm upward per unit of along: 1 or -1.
  double mm_per_across(double along) const;
  double up_per_along() const { return round_ ? 1.0 : -1.0; }

  // Where a spot of paper comes to lie when the paper is laid at `at`. a in [0, 360).
  FacePoint laid(FacePoint at, Vec2 paper) const;

  // The other way: the spot of paper, laid at `at`, that covers `point`. Takes the shorter way
  // round.
  Vec2 paper_at(FacePoint at, FacePoint point) const;

  // The way from one point to another close to it (right, down), mm, the shorter way round.
  Vec2 way(FacePoint from, FacePoint to) const;

  // Slope of the radius along the wall where it has one: paper laid here opens or closes upward by
  // this. 0 on flat faces.
  double taper(double along) const;

  // Mean Gaussian curvature within `reach_mm` of a point, 1/mm²: above 0 on a belly, below on a
  // waist.
  double gaussian_curvature(FacePoint at, double reach_mm) const;

  Vec3 in_space(FacePoint point) const;
  Vec3 outward(FacePoint point) const;  // unit

  // Whether paper lies without a crease anywhere (flat, cylinder, cone, ring).
  bool developable() const { return developable_; }

  // Shape of a flat face that is not a rectangle, in its own frame; empty otherwise.
  const Rings& outline() const { return outline_; }

  // To the next of a run of tiles; 0 on all other faces.
  double joint_mm() const { return joint_mm_; }

  // The wall behind a round face or a patch; nothing on a flat face.
  const Profile* profile() const { return profile_.get(); }

  // Patch: whether the wall behind it runs from left to right instead of from the lower edge up.
  bool axis_across() const { return axis_across_; }

  // The zone's own span in this surface's lengths (tape lengths times the factor).
  KeepOut scaled(const KeepOut& zone) const;

 private:
  friend Surface surface_of(const Face& face, double factor);

  bool round_ = false;
  bool developable_ = true;
  double factor_ = 1.0;
  double along_mm_ = 0.0;
  double width_mm_ = 0.0;  // of flat faces and patches
  double joint_mm_ = 0.0;
  Rings outline_;
  std::shared_ptr<const Profile> profile_;
  bool axis_across_ = false;  // patch: the axis of its torus lies across, not up
};

// The face with its tape lengths times `factor` (Clay::transfer_from_measured for the surface that
// the lines go onto). Checks the readings.
Surface surface_of(const Face& face, double factor = 1.0);

// An angle in [0, 360).
double wrapped_deg(double deg);

}  // namespace underdraw
