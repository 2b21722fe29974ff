#include "recover/standing_unknowns.h"

#include <algorithm>
#include <cmath>

namespace underdraw {
namespace {

constexpr double kKnotMm = 20.0;  // along the wall: a hand's tape errs smoothly

}  // namespace

Outline outline_of(const Surface& surface) {
  if (!surface.round()) return Outline::flat;
  const Profile& profile = *surface.profile();
  if (profile.radius_mm(0.0) < 1.0) return Outline::ball;
  // A ring leans so far that no side view shows its outline.
  const double rise = profile.height_mm(profile.length_mm());
  return rise < 0.5 * profile.length_mm() ? Outline::ring : Outline::wall;
}

StandingUnknowns::StandingUnknowns(const Surface& surface, const FaceStanding& start)
    : surface_(surface), outline_(outline_of(surface)), size_(start.size) {
  values_ = {start.shift_mm.x, start.shift_mm.y};
  if (outline_ == Outline::flat) values_.push_back(start.turn_deg);
  if (outline_ == Outline::ball) {
    values_.push_back((start.grown - 1.0) * surface.profile()->widest_mm());
  }
  if (outline_ != Outline::wall) {
    values_.push_back(start.lift_mm);
    return;
  }
  const auto knots =
      static_cast<std::size_t>(std::clamp(std::lround(surface.along_mm() / kKnotMm) + 1, 3L, 8L));
  for (std::size_t i = 0; i < knots; ++i) {
    values_.push_back(wider_mm(start, static_cast<double>(i) / static_cast<double>(knots - 1)));
  }
}

std::size_t StandingUnknowns::knots() const {
  return outline_ == Outline::wall ? values_.size() - 2 : 0;
}

FaceStanding StandingUnknowns::standing_of(const std::vector<double>& values) const {
  FaceStanding out;
  out.size = size_;
  out.shift_mm = {values[0], values[1]};
  if (outline_ == Outline::wall) {
    out.radius_mm.assign(values.begin() + 2, values.end());
    return out;
  }
  if (outline_ == Outline::flat) out.turn_deg = values[2];
  if (outline_ == Outline::ball) out.grown = 1.0 + values[2] / surface_.profile()->widest_mm();
  out.lift_mm = values.back();
  return out;
}

Vec3 StandingUnknowns::spot_in_mat(const OutlineSpot& spot, const FaceStanding& standing) const {
  if (outline_ != Outline::flat) return wall_in_mat(surface_, standing, spot.a_deg, spot.share);
  const double c = std::cos(radians(standing.turn_deg));
  const double s = std::sin(radians(standing.turn_deg));
  const Vec2 p = spot.from_middle * size_;
  return {standing.shift_mm.x + c * p.x - s * p.y,
          standing.shift_mm.y + s * p.x + c * p.y,
          spot.on_mat ? 0.0 : standing.lift_mm};
}

}  // namespace underdraw
