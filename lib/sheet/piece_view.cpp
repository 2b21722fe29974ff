#include "sheet/piece_view.h"

#include <algorithm>
#include <cmath>

#include <fmt/format.h>

namespace underdraw {
namespace {

constexpr double kFarAway = 4.5;      // of the eye from the middle, in half sizes
constexpr double kMarchShare = 0.02;  // steps towards the eye, in half sizes
constexpr double kLiftShare = 0.006;  // off the surface before the first step
constexpr int kRadii = 512;
constexpr int kBoxSteps = 72;
constexpr double kHidden = -0.05;

Vec3 on_form(const Surface& surface, double across_share, double along_share) {
  const double width = surface.round() ? 360.0 : surface.widest_mm();
  return surface.in_space({across_share * width, along_share * surface.along_mm()});
}

}  // namespace

std::vector<ViewPoint> view_points(const FaceForm& form) {
  if (std::holds_alternative<FlatFace>(form)) return {{0.0, 0.0, "as it is"}};
  if (std::holds_alternative<PatchFace>(form)) {
    return {{0.0, 0.0, "from the front"},
            {-42.0, 8.0, "from the left"},
            {42.0, 8.0, "from the right"},
            {0.0, -34.0, "from below"}};
  }
  if (std::holds_alternative<RingFace>(form)) {
    return {{0.0, 90.0, "from above, the seam tick in front"},
            {0.0, 34.0, "from the seam tick, 0°"},
            {180.0, 34.0, "from behind, 180°"}};
  }
  if (std::holds_alternative<BallFace>(form)) {
    return {{0.0, 8.0, "from the seam, 0°"},
            {90.0, 8.0, "from the right, 90°"},
            {180.0, 8.0, "from behind, 180°"},
            {270.0, 8.0, "from the left, 270°"},
            {0.0, 75.0, "from above, the seam in front"},
            {0.0, -75.0, "from below, the seam in front"}};
  }
  const double above = 12.0;
  return {{0.0, above, "from the seam tick, 0°"},
          {90.0, above, "from the right, 90°"},
          {180.0, above, "from behind, 180°"},
          {270.0, above, "from the left, 270°"}};
}

PieceView::PieceView(const Surface& surface, const ViewPoint& from) : surface_(surface) {
  Vec3 least = on_form(surface, 0.0, 0.0), most = least;
  const auto each = [&](auto visit) {
    for (int i = 0; i <= kBoxSteps; ++i) {
      for (int j = 0; j <= kBoxSteps; ++j) {
        visit(on_form(surface, i * 1.0 / kBoxSteps, j * 1.0 / kBoxSteps));
      }
    }
  };
  each([&](Vec3 p) {
    least = {std::min(least.x, p.x), std::min(least.y, p.y), std::min(least.z, p.z)};
    most = {std::max(most.x, p.x), std::max(most.y, p.y), std::max(most.z, p.z)};
  });
  centre_ = (least + most) * 0.5;
  size_ = length(most - least) / 2.0;
  const double around = radians(from.around_deg);
  const double above = radians(from.above_deg);
  const Vec3 away{
      std::sin(around) * std::cos(above), -std::cos(around) * std::cos(above), std::sin(above)};
  eye_ = centre_ + away * (kFarAway * size_);
  forward_ = away * -1.0;
  right_ = {std::cos(around), std::sin(around), 0.0};
  up_ = cross(right_, forward_);
  distance_ = kFarAway * size_;
  each([&](Vec3 p) { distance_ = std::min(distance_, dot(p - eye_, forward_)); });

  const Profile* wall = surface.profile();
  if (wall == nullptr) return;
  const double top = wall->length_mm();
  // A wall that only ever bends inwards on its way up hides nothing of itself that faces the eye.
  double slope = wall->slope(0.0);
  for (int i = 1; i <= kRadii; ++i) {
    const double next = wall->slope(top * i / kRadii);
    can_hide_ = can_hide_ || next > slope + 1e-6;
    slope = next;
  }
  low_ = wall->height_mm(0.0);
  high_ = wall->height_mm(top);
  if (!can_hide_ || high_ - low_ < 1e-9) return;
  double s = 0.0;
  for (int i = 0; i <= kRadii; ++i) {
    const double height = low_ + (high_ - low_) * i / kRadii;
    const double step = top / (4.0 * kRadii);
    while (s < top && wall->height_mm(s) < height) s += step;
    radii_.push_back(wall->radius_mm(std::min(s, top)));
  }
  if (!surface.round()) {
    axis_depth_ = wall->radius_mm(top / 2.0);
    half_angle_ =
        (surface.axis_across() ? surface.along_mm() : surface.widest_mm()) / axis_depth_ / 2.0;
  }
}

double PieceView::radius_at(double height) const {
  const double at = (height - low_) / (high_ - low_) * kRadii;
  const double below = std::clamp(std::floor(at), 0.0, kRadii - 1.0);
  const auto i = static_cast<std::size_t>(below);
  return std::lerp(radii_[i], radii_[i + 1], std::clamp(at - below, 0.0, 1.0));
}

bool PieceView::inside(Vec3 p) const {
  if (surface_.round()) {
    return p.z > low_ && p.z < high_ && std::hypot(p.x, p.y) < radius_at(p.z);
  }
  // A patch is a slice of the body that its wall turns into.
  const bool across = surface_.axis_across();
  const double height = across ? p.x + (low_ + high_) / 2.0 : p.z;
  const double side = across ? p.z : p.x;
  const double depth = axis_depth_ - p.y;
  if (height <= low_ || height >= high_) return false;
  return std::abs(std::atan2(side, depth)) < half_angle_ &&
         std::hypot(side, depth) < radius_at(height);
}

Vec2 PieceView::seen_at(Vec3 point) const {
  const Vec3 way = point - eye_;
  const double scale = distance_ / dot(way, forward_);
  return {dot(way, right_) * scale, -dot(way, up_) * scale};
}

double PieceView::facing(FacePoint point) const {
  return dot(normalized(eye_ - surface_.in_space(point)), surface_.outward(point));
}

bool PieceView::blocked(FacePoint point) const {
  if (!can_hide_ || radii_.empty()) return false;
  const Vec3 start = surface_.in_space(point) + surface_.outward(point) * (kLiftShare * size_);
  const Vec3 step = normalized(eye_ - start) * (kMarchShare * size_);
  Vec3 at = start;
  for (double gone = 0.0; gone < 2.2; gone += kMarchShare) {
    at = at + step;
    if (inside(at)) return true;
  }
  return false;
}

double PieceView::clear(FacePoint point) const {
  const double turned = facing(point);
  return turned > 0.0 && blocked(point) ? kHidden : turned;
}

double PieceView::scale_at(FacePoint point) const {
  return distance_ / dot(surface_.in_space(point) - eye_, forward_);
}

Vec3 PieceView::towards_eye(double right, double up, double near) const {
  return normalized(right_ * right + up_ * up + forward_ * -near);
}

Box view_box(const PieceView& view) {
  Box box;
  for (int i = 0; i <= kBoxSteps; ++i) {
    for (int j = 0; j <= kBoxSteps; ++j) {
      box.add(view.seen_at(on_form(view.surface(), i * 1.0 / kBoxSteps, j * 1.0 / kBoxSteps)));
    }
  }
  return box;
}

}  // namespace underdraw
