#include <algorithm>
#include <array>
#include <cmath>

#include "support/photo_body.h"

namespace underdraw::test {
namespace {

// Smoothly joined ellipsoids, met by marching along the ray by less than the distance to them:
// J. Hart, Sphere tracing, The Visual Computer 12 (1996).
class BirdBody : public Body {
 public:
  explicit BirdBody(Vec2 board_mm) : board_(board_mm) {}

  std::optional<BodyHit> meet(const SightRay& ray) const override {
    // Only the part of the ray within a ball round the bird.
    const Vec3 middle{0.0, 0.0, 55.0};
    const Vec3 o = ray.from - middle;
    const double b = dot(o, ray.towards);
    const double disc = b * b - (dot(o, o) - kReach * kReach);
    if (disc <= 0.0) return {};
    double t = std::max(0.0, -b - std::sqrt(disc));
    const double end = -b + std::sqrt(disc);
    for (int i = 0; i < 400 && t < end; ++i) {
      const Vec3 at = ray.from + ray.towards * t;
      const double off = distance_mm(at);
      if (off < 1e-4) {
        if (at.z < -1e-3) return {};
        BodyHit hit;
        hit.reach = t;
        hit.at = at;
        hit.normal = normal_at(at);
        if (hit.normal.y < 0.0) {
          hit.face = FacePoint{at.x + board_.x / 2.0, board_.y - at.z};
        }
        return hit;
      }
      t += 0.7 * off;
    }
    return {};
  }

  Vec3 in_space(FacePoint p) const override {
    const Vec3 from{p.across - board_.x / 2.0, -300.0, board_.y - p.along};
    const auto hit = meet({from, {0.0, 1.0, 0.0}});
    return hit ? hit->at : Vec3{from.x, 0.0, from.z};  // beside the bird: on the board
  }
  Vec3 outward(FacePoint p) const override { return normal_at(in_space(p)); }
  double from_foot_mm(Vec2 p) const override { return distance_mm({p.x, p.y, 1.0}); }

 private:
  struct Ellipsoid {
    Vec3 middle, radii;
  };
  static constexpr double kReach = 120.0;
  static constexpr std::array<Ellipsoid, 5> kParts = {{
      {{0.0, 0.0, 40.0}, {56.0, 36.0, 44.0}},     // body
      {{44.0, 0.0, 84.0}, {25.0, 22.0, 23.0}},    // head
      {{70.0, 0.0, 82.0}, {14.0, 6.0, 5.0}},      // bill
      {{-58.0, 0.0, 58.0}, {30.0, 14.0, 10.0}},   // tail
      {{-6.0, -26.0, 46.0}, {34.0, 14.0, 22.0}},  // wing
  }};

  static double distance_mm(Vec3 p) {
    double joined = 1e9;
    for (const Ellipsoid& part : kParts) {
      const Vec3 q = p - part.middle;
      const Vec3 r = part.radii;
      const Vec3 scaled{q.x / r.x, q.y / r.y, q.z / r.z};
      const Vec3 slope{scaled.x / r.x, scaled.y / r.y, scaled.z / r.z};
      const double k = length(scaled);
      const double off = k < 1e-9 ? -std::min({r.x, r.y, r.z}) : k * (k - 1.0) / length(slope);
      // Joined with a fillet of about 8 mm.
      const double near = std::max(8.0 - std::abs(joined - off), 0.0) / 8.0;
      joined = std::min(joined, off) - near * near * 8.0 * 0.25;
    }
    return std::max(joined, -p.z);  // flat below
  }

  static Vec3 normal_at(Vec3 p) {
    const double h = 1e-3;
    return normalized(Vec3{distance_mm(p + Vec3{h, 0, 0}) - distance_mm(p - Vec3{h, 0, 0}),
                           distance_mm(p + Vec3{0, h, 0}) - distance_mm(p - Vec3{0, h, 0}),
                           distance_mm(p + Vec3{0, 0, h}) - distance_mm(p - Vec3{0, 0, h})});
  }

  Vec2 board_;
};

}  // namespace

std::unique_ptr<Body> bird_body(Vec2 board_mm) { return std::make_unique<BirdBody>(board_mm); }

}  // namespace underdraw::test
