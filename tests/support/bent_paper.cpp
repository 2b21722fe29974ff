#include "support/bent_paper.h"

#include <algorithm>
#include <cmath>
#include <numbers>

namespace underdraw::test {
namespace {

constexpr double kStepMm = 0.05;

// How the tangent turns along the sheet, u from -1 to 1; times a factor that sets the bow.
double bend_at(BendShape shape, double u) {
  switch (shape) {
    case BendShape::arc:
      return 1.0;
    case BendShape::one_end:  // flat, and then an end that stands up more and more
      return std::max(0.0, u + 0.2);
    case BendShape::wave:
      return std::sin(std::numbers::pi * u);
  }
  return 0.0;
}

}  // namespace

BentPaper::BentPaper(Vec2 sheet_mm, BendShape shape, double bow_mm, double along_deg)
    : sheet_mm_(sheet_mm), along_deg_(along_deg) {
  const Vec2 way = along();
  reach_ = 0.5 * (std::abs(way.x) * sheet_mm.x + std::abs(way.y) * sheet_mm.y);
  const auto count = static_cast<std::size_t>(std::ceil(2.0 * reach_ / kStepMm)) + 2;
  double factor = 0.0;
  // Small bends are nearly proportional to the factor; a few rounds make it exact.
  for (int round = 0; round < 6; ++round) {
    const double trial = round == 0 ? 1e-3 : factor;
    steps_.clear();
    double angle = 0.0;
    Step at{0.0, 0.0};
    for (std::size_t i = 0; i < count; ++i) {
      steps_.push_back(at);
      const double u = (static_cast<double>(i) + 0.5) * kStepMm / reach_ - 1.0;
      angle += 0.5 * trial * bend_at(shape, u) * kStepMm / reach_;
      at.x += kStepMm * std::cos(angle);
      at.z += kStepMm * std::sin(angle);
      angle += 0.5 * trial * bend_at(shape, u) * kStepMm / reach_;
    }
    // Its ends lie on the plane.
    const double slope = std::atan2(steps_.back().z, steps_.back().x);
    double low = 0.0, high = 0.0;
    for (Step& s : steps_) {
      s = {s.x * std::cos(slope) + s.z * std::sin(slope),
           s.z * std::cos(slope) - s.x * std::sin(slope)};
      low = std::min(low, s.z);
      high = std::max(high, s.z);
    }
    if (bow_mm == 0.0) {
      factor = 0.0;
    } else if (high - low > 1e-12) {
      factor = trial * bow_mm / (high - low);
    }
    const Step middle = steps_[count / 2];
    for (Step& s : steps_) s = {s.x - middle.x, s.z - low};
  }
}

Vec2 BentPaper::along() const {
  return {std::cos(radians(along_deg_)), std::sin(radians(along_deg_))};
}

Vec3 BentPaper::mat_from_sheet(Vec2 sheet) const {
  const Vec2 way = along();
  const Vec2 off = sheet - sheet_mm_ / 2.0;
  const double across = cross(way, off);
  const double at = std::clamp(
      (dot(way, off) + reach_) / kStepMm, 0.0, static_cast<double>(steps_.size()) - 1.001);
  const auto i = static_cast<std::size_t>(at);
  const double t = at - static_cast<double>(i);
  const double x = std::lerp(steps_[i].x, steps_[i + 1].x, t);
  const double z = std::lerp(steps_[i].z, steps_[i + 1].z, t);
  const Vec2 flat = way * x + perpendicular(way) * across;
  return {flat.x, -flat.y, z};
}

BentPaper::Place BentPaper::place_at(double x) const {
  const auto next =
      std::upper_bound(steps_.begin() + 1, steps_.end() - 1, x, [](double value, const Step& s) {
        return value < s.x;
      });
  const auto before = next - 1;
  const double t = (x - before->x) / (next->x - before->x);
  return {(static_cast<double>(before - steps_.begin()) + t) * kStepMm - reach_,
          std::lerp(before->z, next->z, t)};
}

Vec2 BentPaper::sheet_from_mat(Vec2 mat) const {
  const Vec2 way = along();
  const Vec2 flat{mat.x, -mat.y};
  return sheet_mm_ / 2.0 + way * place_at(dot(way, flat)).length +
         perpendicular(way) * cross(way, flat);
}

double BentPaper::height_at(Vec2 mat) const {
  return place_at(dot(along(), Vec2{mat.x, -mat.y})).z;
}

}  // namespace underdraw::test
