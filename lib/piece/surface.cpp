#include "piece/surface.h"

#include <algorithm>
#include <cmath>
#include <numbers>

#include <fmt/format.h>

#include "core/error.h"
#include "piece/readings.h"

namespace underdraw {
namespace {

constexpr double kPi = std::numbers::pi;
constexpr double kSmallestMm = 1.0;
constexpr double kLargestMm = 20000.0;  // a mural
constexpr double kFlatRadiusMm = 1e6;   // a patch that does not bend this way
constexpr double kLeastTaper = 1e-9;    // below this a wall is a cylinder

[[noreturn]] void refuse(const std::string& face, const std::string& found, std::string expected) {
  throw GeometryError({.file = {},
                       .line = {},
                       .found = fmt::format("face '{}' {}", face, found),
                       .expected = std::move(expected),
                       .remedy = "measure it again, in mm"});
}

double checked(double mm, const std::string& face, const char* side) {
  if (mm >= kSmallestMm && mm <= kLargestMm) return mm;
  refuse(face,
         fmt::format("has a {} of {:g} mm", side, mm),
         fmt::format("{:g} to {:g} mm", kSmallestMm, kLargestMm));
}

// Radius of the arc whose ends are `chord` apart straight and `tape` apart along it.
double arc_radius(double tape, double chord, const std::string& face, const char* side) {
  if (chord > tape) {
    refuse(
        face,
        fmt::format(
            "has a chord {} of {:g} mm, longer than its tape length of {:g} mm", side, chord, tape),
        "a straight line at most as long as the way over the surface");
  }
  if (chord < tape * 2.0 / kPi) {
    refuse(face,
           fmt::format("bends more than half round {}: {:g} mm of tape over a chord of {:g} mm",
                       side,
                       tape,
                       chord),
           "a patch that bends less; measure it as two patches");
  }
  const double bend = bend_per_mm(tape, chord);
  return bend * kFlatRadiusMm > 1.0 ? 1.0 / bend : kFlatRadiusMm;
}

// Paper on the cone that touches the wall: `taper` opens it upward, `radius` is the wall's there.
// Right and up on the paper to the angle round the axis and the way up the wall.
struct OnCone {
  double angle, up;
};

OnCone laid_on_cone(double radius, double taper, double right, double up) {
  if (std::abs(taper) < kLeastTaper) return {right / radius, up};
  const double apex = radius / taper;  // signed way down the wall to the tip
  const double far = std::copysign(std::hypot(right, apex + up), apex);
  return {std::atan2(right, std::abs(apex + up)) / std::abs(taper), far - apex};
}

Vec2 paper_on_cone(double radius, double taper, double angle, double up) {
  if (std::abs(taper) < kLeastTaper) return {angle * radius, up};
  const double apex = radius / taper;
  const double turn = angle * std::abs(taper);
  const double far = std::abs(apex + up);
  return {far * std::sin(turn), std::copysign(far * std::cos(turn), apex) - apex};
}

double half_turn_at_most(double deg) {
  const double a = wrapped_deg(deg);
  return a > 180.0 ? a - 360.0 : a;
}

}  // namespace

double wrapped_deg(double deg) {
  double a = std::fmod(deg, 360.0);
  if (a < 0.0) a += 360.0;
  return a >= 360.0 ? 0.0 : a;
}

double Surface::width_mm(double along) const {
  return round_ ? 2.0 * kPi * profile_->radius_mm(along) : width_mm_;
}

double Surface::widest_mm() const { return round_ ? 2.0 * kPi * profile_->widest_mm() : width_mm_; }

double Surface::area_mm2() const {
  if (round_) return profile_->area_mm2(0.0, along_mm_);
  if (!outline_.empty()) return covered_area(outline_);
  if (!profile_) return width_mm_ * along_mm_;
  // A patch is as wide in angle as it is half way.
  const double middle = profile_->radius_mm(profile_->length_mm() / 2.0);
  const double lateral = axis_across_ ? along_mm_ : width_mm_;
  return profile_->area_mm2(0.0, profile_->length_mm()) * lateral / (2.0 * kPi * middle);
}

double Surface::area_mm2(const Rings& on_face) const {
  double area = 0.0;
  if (!profile_) {
    for (const Ring& ring : on_face) area += signed_area(ring);
    return std::abs(area);
  }
  // A strip from the wall's start up to s, for each mm or degree to the side.
  const double middle = profile_->radius_mm(profile_->length_mm() / 2.0);
  const double share = round_ ? 1.0 / 360.0 : 1.0 / (2.0 * kPi * middle);
  const auto strip = [&](Vec2 p) {
    const double s = round_ ? p.y : axis_across_ ? p.x : along_mm_ - p.y;
    return profile_->area_mm2(0.0, s) * share;
  };
  for (const Ring& ring : on_face) {
    for (std::size_t i = 0; i < ring.size(); ++i) {
      const Vec2 from = ring[i];
      const Vec2 to = ring[(i + 1) % ring.size()];
      const double sideways = axis_across_ ? to.y - from.y : to.x - from.x;
      if (sideways == 0.0) continue;
      area += sideways * (strip(from) + 4.0 * strip(mix(from, to, 0.5)) + strip(to)) / 6.0;
    }
  }
  return std::abs(area);
}

double Surface::mm_per_across(double along) const {
  if (round_) return profile_->radius_mm(along) * kPi / 180.0;
  if (!profile_ || axis_across_) return 1.0;
  return profile_->radius_mm(along_mm_ - along) / profile_->radius_mm(along_mm_ / 2.0);
}

double Surface::taper(double along) const { return round_ ? profile_->slope(along) : 0.0; }

FacePoint Surface::laid(FacePoint at, Vec2 paper) const {
  if (round_) {
    const OnCone on =
        laid_on_cone(profile_->radius_mm(at.along), profile_->slope(at.along), paper.x, -paper.y);
    return {wrapped_deg(at.across + degrees(on.angle)), at.along + on.up};
  }
  if (!profile_) return {at.across + paper.x, at.along + paper.y};
  const double middle = profile_->radius_mm(profile_->length_mm() / 2.0);
  const double s = axis_across_ ? at.across : along_mm_ - at.along;
  const double radius = profile_->radius_mm(s);
  const double slope = profile_->slope(s);
  if (axis_across_) {
    const OnCone on = laid_on_cone(radius, slope, paper.y, paper.x);
    return {at.across + on.up, at.along + on.angle * middle};
  }
  const OnCone on = laid_on_cone(radius, slope, paper.x, -paper.y);
  return {at.across + on.angle * middle, at.along - on.up};
}

Vec2 Surface::paper_at(FacePoint at, FacePoint point) const {
  if (round_) {
    const Vec2 p = paper_on_cone(profile_->radius_mm(at.along),
                                 profile_->slope(at.along),
                                 radians(half_turn_at_most(point.across - at.across)),
                                 point.along - at.along);
    return {p.x, -p.y};
  }
  const Vec2 way{point.across - at.across, point.along - at.along};
  if (!profile_) return way;
  const double middle = profile_->radius_mm(profile_->length_mm() / 2.0);
  const double s = axis_across_ ? at.across : along_mm_ - at.along;
  const double radius = profile_->radius_mm(s);
  const double slope = profile_->slope(s);
  if (axis_across_) {
    const Vec2 p = paper_on_cone(radius, slope, way.y / middle, way.x);
    return {p.y, p.x};
  }
  const Vec2 p = paper_on_cone(radius, slope, way.x / middle, -way.y);
  return {p.x, -p.y};
}

Vec2 Surface::way(FacePoint from, FacePoint to) const {
  const double half = (from.along + to.along) / 2.0;
  const double across =
      round_ ? half_turn_at_most(to.across - from.across) : to.across - from.across;
  double per_along = 1.0;
  if (profile_ && axis_across_) {
    per_along = profile_->radius_mm((from.across + to.across) / 2.0) /
                profile_->radius_mm(profile_->length_mm() / 2.0);
  }
  return {across * mm_per_across(half), -up_per_along() * (to.along - from.along) * per_along};
}

double Surface::gaussian_curvature(FacePoint at, double reach_mm) const {
  if (developable_) return 0.0;
  const double s = round_ ? at.along : axis_across_ ? at.across : along_mm_ - at.along;
  const double low = std::clamp(s - reach_mm, 0.0, profile_->length_mm());
  const double high = std::clamp(s + reach_mm, 0.0, profile_->length_mm());
  const double area = profile_->area_mm2(low, high) / (2.0 * kPi);  // a radian's worth
  if (area <= 0.0) return 0.0;
  // Gauss and Bonnet: the curvature in a strip is what its two edges differ in turning.
  return (profile_->slope(low) - profile_->slope(high)) / area;
}

Vec3 Surface::in_space(FacePoint point) const {
  if (!profile_) return {point.across - width_mm_ / 2.0, 0.0, along_mm_ - point.along};
  if (round_) {
    const double r = profile_->radius_mm(point.along);
    const double a = radians(point.across);
    return {r * std::sin(a), -r * std::cos(a), profile_->height_mm(point.along)};
  }
  const double middle_s = profile_->length_mm() / 2.0;
  const double middle = profile_->radius_mm(middle_s);
  const double s = axis_across_ ? point.across : along_mm_ - point.along;
  const double lateral =
      (axis_across_ ? point.along - along_mm_ / 2.0 : point.across - width_mm_ / 2.0) / middle;
  const double r = profile_->radius_mm(s);
  const double sine = std::sin(lateral / 2.0);
  const double depth = middle - r + 2.0 * r * sine * sine;  // middle - r cos, without its rounding
  if (axis_across_) {
    return {profile_->height_mm(s) - profile_->height_mm(middle_s), depth, -r * std::sin(lateral)};
  }
  return {r * std::sin(lateral), depth, profile_->height_mm(s)};
}

Vec3 Surface::outward(FacePoint point) const {
  if (!profile_) return {0.0, -1.0, 0.0};
  const double s = round_ ? point.along : axis_across_ ? point.across : along_mm_ - point.along;
  const double slope = profile_->slope(s);
  const double level = std::sqrt(std::max(0.0, 1.0 - slope * slope));
  if (round_) {
    const double a = radians(point.across);
    return {level * std::sin(a), -level * std::cos(a), -slope};
  }
  const double middle = profile_->radius_mm(profile_->length_mm() / 2.0);
  const double lateral =
      (axis_across_ ? point.along - along_mm_ / 2.0 : point.across - width_mm_ / 2.0) / middle;
  if (axis_across_) return {-slope, -level * std::cos(lateral), -level * std::sin(lateral)};
  return {level * std::sin(lateral), -level * std::cos(lateral), -slope};
}

KeepOut Surface::scaled(const KeepOut& zone) const {
  KeepOut out = zone;
  out.along_from *= factor_;
  out.along_to *= factor_;
  if (!round_) {
    out.across_from *= factor_;
    out.across_to *= factor_;
  }
  return out;
}

Surface surface_of(const Face& face, double factor) {
  require_between(factor, 0.5, 2.0, "template factor", "");
  const std::string& name = face.name;
  const auto length = [&](double mm, const char* side) { return checked(mm, name, side) * factor; };
  const auto radius_round = [&](double circumference, const char* side) {
    return length(circumference, side) / (2.0 * kPi);
  };
  const auto naming_face = [&](auto make) {
    try {
      return std::make_shared<const Profile>(make());
    } catch (const GeometryError& error) {
      Complaint complaint = error.complaint();
      complaint.found = fmt::format("face '{}': {}", name, complaint.found);
      throw GeometryError(complaint);
    }
  };
  Surface out;
  out.factor_ = factor;
  if (const auto* flat = std::get_if<FlatFace>(&face.form)) {
    out.width_mm_ = length(flat->width_mm, "width");
    out.along_mm_ = length(flat->height_mm, "height");
    require_between(flat->joint_mm, 0.0, 50.0, "joint", "mm");
    out.joint_mm_ = flat->joint_mm * factor;
    out.outline_ = transformed(flat->outline, Affine::scale(factor));
    return out;
  }
  if (const auto* patch = std::get_if<PatchFace>(&face.form)) {
    const double width = length(patch->across_mm, "tape length across");
    const double height = length(patch->up_mm, "tape length up");
    const double across =
        arc_radius(width, length(patch->across_chord_mm, "chord across"), name, "across");
    const double up = arc_radius(height, length(patch->up_chord_mm, "chord up"), name, "up");
    out.width_mm_ = width;
    out.along_mm_ = height;
    out.developable_ = std::max(across, up) >= kFlatRadiusMm;
    if (std::min(across, up) >= kFlatRadiusMm) return out;
    out.axis_across_ = up > across;
    const double arc = std::min(across, up) * (patch->saddle ? -1.0 : 1.0);
    out.profile_ = naming_face(
        [&] { return Profile::arc(std::max(across, up), arc, out.axis_across_ ? width : height); });
    return out;
  }
  out.round_ = true;
  if (const auto* wall = std::get_if<CylinderFace>(&face.form)) {
    const double r = radius_round(wall->circumference_mm, "circumference");
    const double height = length(wall->height_mm, "height");
    out.profile_ = naming_face([&] { return Profile::straight(r, r, height); });
  } else if (const auto* cone = std::get_if<ConeFace>(&face.form)) {
    const double foot = radius_round(cone->foot_mm, "circumference at the foot");
    const double rim = radius_round(cone->rim_mm, "circumference at the rim");
    const double slant = length(cone->slant_mm, "slant");
    out.profile_ = naming_face([&] { return Profile::straight(foot, rim, slant); });
  } else if (const auto* ring = std::get_if<RingFace>(&face.form)) {
    const double inner = length(ring->inner_mm, "inner diameter") / 2.0;
    const double outer = length(ring->outer_mm, "outer diameter") / 2.0;
    if (!(outer > inner)) {
      refuse(name,
             fmt::format("has an outer diameter of {:g} mm and an inner one of {:g} mm",
                         ring->outer_mm,
                         ring->inner_mm),
             "an outer diameter above the inner one");
    }
    const double slant = ring->slant_mm > 0.0 ? length(ring->slant_mm, "slant") : outer - inner;
    out.profile_ = naming_face([&] { return Profile::straight(outer, inner, slant); });
  } else if (const auto* ball = std::get_if<BallFace>(&face.form)) {
    const double r = radius_round(ball->circumference_mm, "circumference");
    out.profile_ = naming_face([&] { return Profile::ball(r); });
    out.developable_ = false;
  } else {
    const auto& turned = std::get<TurnedFace>(face.form);
    for (const ProfileReading& reading : turned.readings) {
      checked(reading.circumference_mm, name, "circumference");
      if (reading.at_mm != 0.0) checked(reading.at_mm, name, "profile height");
    }
    out.profile_ = naming_face([&] { return Profile::turned(turned, factor); });
    out.developable_ = turned.readings.size() == 2;
  }
  out.along_mm_ = out.profile_->length_mm();
  return out;
}

std::string name_of(const FaceForm& form) { return form_names()[form.index()]; }

const std::vector<std::string>& form_names() {
  static const std::vector<std::string> kNames = {
      "flat", "cylinder", "cone", "turned", "ring", "ball", "patch"};
  return kNames;
}

}  // namespace underdraw
