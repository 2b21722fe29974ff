#include "support/photo_body.h"

#include <algorithm>
#include <cmath>

namespace underdraw::test {
namespace {

class TurnedBody : public Body {
 public:
  TurnedBody(const Surface& wall, double lip_mm) : wall_(wall), lip_mm_(lip_mm) {
    // Short cones: on a wall that bends by 20 mm they lie within 0.003 mm of it.
    const Profile& profile = *wall.profile();
    const int pieces = std::max(40, static_cast<int>(std::ceil(profile.length_mm() / 0.7)));
    for (int i = 0; i <= pieces; ++i) {
      const double s = profile.length_mm() * i / pieces;
      knots_.push_back({s, profile.radius_mm(s), profile.height_mm(s), profile.slope(s)});
      widest_ = std::max(widest_, knots_.back().radius);
    }
    top_ = knots_.back().height;
  }

  std::optional<BodyHit> meet(const SightRay& ray) const override {
    // Where the ray is within the cylinder round the body, from table to rim.
    const Vec3& o = ray.from;
    const Vec3& d = ray.towards;
    const double a = d.x * d.x + d.y * d.y;
    const double b = o.x * d.x + o.y * d.y;
    const double c = o.x * o.x + o.y * o.y - widest_ * widest_;
    double in = 0.0;
    double out = 1e9;
    if (a > 1e-15) {
      const double disc = b * b - a * c;
      if (disc <= 0.0) return {};
      in = std::max(in, (-b - std::sqrt(disc)) / a);
      out = std::min(out, (-b + std::sqrt(disc)) / a);
    } else if (c > 0.0) {
      return {};
    }
    if (std::abs(d.z) > 1e-12) {
      const double t0 = (0.0 - o.z) / d.z;
      const double t1 = (top_ - o.z) / d.z;
      in = std::max(in, std::min(t0, t1));
      out = std::min(out, std::max(t0, t1));
    } else if (o.z < 0.0 || o.z > top_) {
      return {};
    }
    if (in >= out) return {};
    if (d.z < 0.0) {
      if (const auto hit = meet_rim(ray)) return hit;
    }
    // Cone by cone along the ray.
    const double z_in = o.z + in * d.z;
    const int step = d.z < 0.0 ? -1 : 1;
    int i = piece_at(z_in);
    const double z_out = o.z + out * d.z;
    for (; i >= 0 && i + 1 < static_cast<int>(knots_.size()); i += step) {
      const Knot& lower = knots_[static_cast<std::size_t>(i)];
      const Knot& upper = knots_[static_cast<std::size_t>(i) + 1];
      if (step > 0 ? lower.height > z_out : upper.height < z_out) break;
      if (const auto hit = meet_cone(ray, lower, upper, in, out)) return hit;
    }
    return {};
  }

  Vec3 in_space(FacePoint point) const override { return wall_.in_space(point); }
  Vec3 outward(FacePoint point) const override { return wall_.outward(point); }
  double from_foot_mm(Vec2 point) const override { return length(point) - knots_.front().radius; }

 private:
  struct Knot {
    double s, radius, height, slope;
  };

  int piece_at(double z) const {
    const auto above = std::upper_bound(
        knots_.begin(), knots_.end(), z, [](double v, const Knot& k) { return v < k.height; });
    const auto index = static_cast<int>(above - knots_.begin()) - 1;
    return std::clamp(index, 0, static_cast<int>(knots_.size()) - 2);
  }

  std::optional<BodyHit> meet_rim(const SightRay& ray) const {
    const double t = (top_ - ray.from.z) / ray.towards.z;
    if (t <= 0.0) return {};
    const Vec3 at = ray.from + ray.towards * t;
    const double r = std::hypot(at.x, at.y);
    if (r >= knots_.back().radius) return {};
    BodyHit hit{t, at, {0.0, 0.0, 1.0}, {}, false};
    hit.hollow = r < knots_.back().radius - lip_mm_;
    return hit;
  }

  std::optional<BodyHit> meet_cone(
      const SightRay& ray, const Knot& lower, const Knot& upper, double in, double out) const {
    const double rise = upper.height - lower.height;
    if (rise < 1e-9) return {};
    const Vec3& o = ray.from;
    const Vec3& d = ray.towards;
    const double m = (upper.radius - lower.radius) / rise;
    const double ra = lower.radius + m * (o.z - lower.height);
    const double rb = m * d.z;
    const double a = d.x * d.x + d.y * d.y - rb * rb;
    const double b = o.x * d.x + o.y * d.y - ra * rb;
    const double c = o.x * o.x + o.y * o.y - ra * ra;
    std::array<double, 2> roots{};
    if (std::abs(a) < 1e-15) {
      if (std::abs(b) < 1e-15) return {};
      roots = {-c / (2.0 * b), -c / (2.0 * b)};
    } else {
      const double disc = b * b - a * c;
      if (disc < 0.0) return {};
      const double q = -(b + (b >= 0.0 ? 1.0 : -1.0) * std::sqrt(disc));
      roots = {q / a, std::abs(q) > 1e-15 ? c / q : q / a};
      if (roots[0] > roots[1]) std::swap(roots[0], roots[1]);
    }
    for (const double t : roots) {
      if (t < in - 1e-6 || t > out + 1e-6 || t <= 0.0) continue;
      const Vec3 at = o + d * t;
      if (at.z < lower.height - 1e-7 || at.z > upper.height + 1e-7) continue;
      const double share = std::clamp((at.z - lower.height) / rise, 0.0, 1.0);
      const double slope = lower.slope + share * (upper.slope - lower.slope);
      const double level = std::sqrt(std::max(0.0, 1.0 - slope * slope));
      const double r = std::hypot(at.x, at.y);
      if (r < 1e-9) continue;
      BodyHit hit;
      hit.reach = t;
      hit.at = at;
      hit.normal = {at.x / r * level, at.y / r * level, -slope};
      if (dot(hit.normal, d) >= 0.0) continue;  // from inside
      hit.face = FacePoint{wrapped_deg(degrees(std::atan2(at.x, -at.y))),
                           lower.s + share * (upper.s - lower.s)};
      return hit;
    }
    return {};
  }

  Surface wall_;
  double lip_mm_;
  double widest_ = 0.0;
  double top_ = 0.0;
  std::vector<Knot> knots_;
};

class TileBody : public Body {
 public:
  TileBody(const Surface& face, double thickness_mm)
      : half_{face.widest_mm() / 2.0, face.along_mm() / 2.0}, thick_(thickness_mm) {}

  std::optional<BodyHit> meet(const SightRay& ray) const override {
    const std::array<double, 3> from{ray.from.x, ray.from.y, ray.from.z};
    const std::array<double, 3> towards{ray.towards.x, ray.towards.y, ray.towards.z};
    const std::array<double, 3> low{-half_.x, -half_.y, 0.0};
    const std::array<double, 3> high{half_.x, half_.y, thick_};
    double in = 0.0;
    double out = 1e9;
    std::size_t side = 2;
    for (std::size_t i = 0; i < 3; ++i) {
      if (std::abs(towards[i]) < 1e-15) {
        if (from[i] < low[i] || from[i] > high[i]) return {};
        continue;
      }
      const double t0 = (low[i] - from[i]) / towards[i];
      const double t1 = (high[i] - from[i]) / towards[i];
      if (std::min(t0, t1) > in) {
        in = std::min(t0, t1);
        side = i;
      }
      out = std::min(out, std::max(t0, t1));
    }
    if (in >= out || in <= 0.0) return {};
    BodyHit hit;
    hit.reach = in;
    hit.at = ray.from + ray.towards * in;
    const double sign = towards[side] > 0.0 ? -1.0 : 1.0;
    hit.normal = {side == 0 ? sign : 0.0, side == 1 ? sign : 0.0, side == 2 ? sign : 0.0};
    if (side == 2) hit.face = FacePoint{hit.at.x + half_.x, half_.y - hit.at.y};
    return hit;
  }

  Vec3 in_space(FacePoint p) const override {
    return {p.across - half_.x, half_.y - p.along, thick_};
  }
  Vec3 outward(FacePoint) const override { return {0.0, 0.0, 1.0}; }
  double from_foot_mm(Vec2 p) const override {
    return std::max(std::abs(p.x) - half_.x, std::abs(p.y) - half_.y);
  }

 private:
  Vec2 half_;
  double thick_;
};

}  // namespace

std::unique_ptr<Body> turned_body(const Surface& wall, double lip_mm) {
  return std::make_unique<TurnedBody>(wall, lip_mm);
}

std::unique_ptr<Body> tile_body(const Surface& face, double thickness_mm) {
  return std::make_unique<TileBody>(face, thickness_mm);
}

}  // namespace underdraw::test
