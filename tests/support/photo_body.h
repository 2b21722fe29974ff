// Bodies that stand on a photo mat, as rays meet them: for rendered photos whose truth is known.
//
// Frame: piece: mm, see geometry/vec3.h.
#pragma once

#include <memory>
#include <optional>
#include <vector>

#include "geometry/vec3.h"
#include "photo/camera.h"
#include "piece/surface.h"

namespace underdraw::test {

struct BodyHit {
  double reach = 0.0;  // along the ray, mm
  Vec3 at;
  Vec3 normal;                    // unit, outward
  std::optional<FacePoint> face;  // where a decorated face was met
  bool hollow = false;            // the opening of a vessel
};

class Body {
 public:
  virtual ~Body() = default;
  virtual std::optional<BodyHit> meet(const SightRay& ray) const = 0;
  virtual Vec3 in_space(FacePoint point) const = 0;
  virtual Vec3 outward(FacePoint point) const = 0;
  // How far outside the foot a point of the table is, mm; below 0 under the body.
  virtual double from_foot_mm(Vec2 point) const = 0;
};

// A vessel, open above, turned about z; the wall's surface is the face.
std::unique_ptr<Body> turned_body(const Surface& wall, double lip_mm = 4.0);

// A tile that lies on the table, its middle at the origin, upper edge towards +y.
std::unique_ptr<Body> tile_body(const Surface& face, double thickness_mm);

// A bird at rest, modelled by hand: no surface of the piece stage fits it. Its face is its left
// side: (x, y) as someone who stands towards -y sees them, mm from the top left of a board of that
// size that stands on the table behind it, its middle over the origin.
std::unique_ptr<Body> bird_body(Vec2 board_mm = {170.0, 130.0});

}  // namespace underdraw::test
