#include "recover/standing.h"

#include <algorithm>
#include <cmath>
#include <memory>

#include "core/error.h"

namespace underdraw {
namespace {

constexpr double kStepMm = 0.5;  // of the table along the wall

// Radius and height at a share of the measured length.
Vec2 true_wall(const Profile& measured, const FaceStanding& standing, double share) {
  const double s = share * measured.length_mm();
  const double scale = standing.size * standing.grown;
  return {measured.radius_mm(s) * scale + wider_mm(standing, share), measured.height_mm(s) * scale};
}

// The wall as it really is, at equal steps of its true length.
struct TrueWall {
  std::vector<double> radius, height;
  double step_mm = kStepMm;

  TrueWall(const Profile& measured, const FaceStanding& standing) {
    const double length_mm = measured.length_mm();
    const int count = std::max(2, static_cast<int>(std::ceil(length_mm / kStepMm)));
    std::vector<double> along{0.0}, r, h;
    for (int i = 0; i <= count; ++i) {
      const double share = static_cast<double>(i) / count;
      const Vec2 p = true_wall(measured, standing, share);
      r.push_back(p.x);
      h.push_back(p.y);
      if (i > 0) {
        const auto k = static_cast<std::size_t>(i);
        along.push_back(along.back() + std::hypot(r[k] - r[k - 1], h[k] - h[k - 1]));
      }
    }
    const int steps = std::max(2, static_cast<int>(std::ceil(along.back() / kStepMm)));
    step_mm = along.back() / steps;
    std::size_t piece = 0;
    for (int i = 0; i <= steps; ++i) {
      const double s = step_mm * i;
      while (piece + 2 < along.size() && along[piece + 1] < s) ++piece;
      const double t = (s - along[piece]) / (along[piece + 1] - along[piece]);
      radius.push_back(std::lerp(r[piece], r[piece + 1], t));
      height.push_back(std::lerp(h[piece], h[piece + 1], t));
    }
  }

  // Runs straight on above the rim: the tape may say more than the wall is.
  Vec2 at(double s) const {
    const double t = s / step_mm;
    const auto i = static_cast<std::size_t>(
        std::clamp(std::floor(t), 0.0, static_cast<double>(radius.size() - 2)));
    const double share = t - static_cast<double>(i);
    return {std::lerp(radius[i], radius[i + 1], share), std::lerp(height[i], height[i + 1], share)};
  }
};

}  // namespace

double wider_mm(const FaceStanding& standing, double share) {
  const std::vector<double>& knots = standing.radius_mm;
  if (knots.empty()) return 0.0;
  if (knots.size() == 1) return knots.front();
  const auto last = static_cast<double>(knots.size() - 1);
  const double t = std::clamp(share, 0.0, 1.0) * last;
  const auto i = static_cast<std::size_t>(std::min(std::floor(t), last - 1.0));
  const double u = t - static_cast<double>(i);
  // Through the knots, its slope at each that of the chord between its neighbours.
  const auto slope = [&](std::size_t k) {
    const std::size_t low = k == 0 ? 0 : k - 1;
    const std::size_t high = std::min(k + 1, knots.size() - 1);
    return (knots[high] - knots[low]) / static_cast<double>(high - low);
  };
  const double v = 1.0 - u;
  return knots[i] * v * v * (1.0 + 2.0 * u) + knots[i + 1] * u * u * (3.0 - 2.0 * u) +
         slope(i) * u * v * v - slope(i + 1) * u * u * v;
}

Vec3 wall_in_mat(const Surface& surface, const FaceStanding& standing, double a_deg, double share) {
  const Vec2 wall = true_wall(*surface.profile(), standing, share);
  const double a = radians(a_deg + standing.turn_deg);
  return {standing.shift_mm.x + wall.x * std::sin(a),
          standing.shift_mm.y - wall.x * std::cos(a),
          standing.lift_mm + wall.y};
}

StandingFace standing_face(const Surface& surface, const FaceStanding& standing) {
  const double c = std::cos(radians(standing.turn_deg));
  const double s = std::sin(radians(standing.turn_deg));
  const Vec3 to{standing.shift_mm.x, standing.shift_mm.y, standing.lift_mm};
  const auto placed = [c, s, to](Vec3 p) {
    return Vec3{c * p.x - s * p.y, s * p.x + c * p.y, p.z} + to;
  };
  if (!surface.round()) {
    if (surface.profile()) {
      throw InputError({.file = {},
                        .line = {},
                        .found = "a patch does not stand on the mat by itself",
                        .expected = "a round face or a flat one",
                        .remedy = "align photos of the same view from before and after"});
    }
    const Vec2 middle{surface.widest_mm() / 2.0, surface.along_mm() / 2.0};
    return {&surface, [placed, middle, size = standing.size](FacePoint p) {
              return placed({(p.across - middle.x) * size, (middle.y - p.along) * size, 0.0});
            }};
  }
  const auto wall = std::make_shared<const TrueWall>(*surface.profile(), standing);
  return {&surface, [placed, wall, size = standing.size](FacePoint p) {
            const Vec2 at = wall->at(p.along * size);
            const double a = radians(p.across);
            return placed({at.x * std::sin(a), -at.x * std::cos(a), at.y});
          }};
}

}  // namespace underdraw
