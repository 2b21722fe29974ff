#include "recover/unrolled.h"

namespace underdraw {

FacePoint Unrolled::face_from_px(Vec2 px) const {
  const double along = round ? light.rows - px.y : px.y;
  return {px.x / px_per_across, along / px_per_along};
}

Vec2 Unrolled::px_from_face(FacePoint point) const {
  const double row = point.along * px_per_along;
  return {point.across * px_per_across, round ? light.rows - row : row};
}

}  // namespace underdraw
