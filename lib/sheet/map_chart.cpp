#include "sheet/map_chart.h"

#include <cmath>

namespace underdraw {
namespace {

constexpr double kTurn = 360.0;
constexpr double kStepDeg = 1.5;     // of levels drawn as arcs
constexpr double kOpenRing = -0.5;   // nets that close more than this lie round a middle
constexpr double kLeastBend = 1e-3;  // rad over the whole net
constexpr double kProbeMm = 0.5;

}  // namespace

MapChart::MapChart(const PlacedFace& face) : surface_(face.surface) {
  stretched_ = !surface_.developable();
  if (!surface_.round() || stretched_) return;
  part_ = face_template(face.face, face.transfer_from_measured).parts.front();
  const double opening = surface_.taper(0.0);
  bent_ = std::abs(opening) * 2.0 * std::numbers::pi > kLeastBend;
  full_circle_ = opening <= kOpenRing;
  if (full_circle_) chart_from_part_ = Affine::turn_deg(180.0);
}

double MapChart::mm_per_across() const { return surface_.widest_mm() / across_units(); }

Vec2 MapChart::at(FacePoint point) const {
  if (part_) return chart_from_part_ * part_->part_from_face(point);
  if (!surface_.round()) return {point.across, point.along};
  return {point.across * mm_per_across(), along_mm() - point.along};
}

Affine MapChart::chart_from_copy(FacePoint point) const {
  const Vec2 origin = at(point);
  if (!part_) return Affine::translate(origin);
  const double probe = point.along > along_mm() / 2.0 ? -kProbeMm : kProbeMm;
  const Vec2 up = (at({point.across, point.along + probe}) - origin) / probe;
  return Affine::translate(origin) * Affine::turn_deg(degrees(std::atan2(up.x, -up.y)));
}

std::optional<Affine> MapChart::once_round() const {
  if (!surface_.round()) return std::nullopt;
  const double middle = along_mm() / 2.0;
  return chart_from_copy({kTurn, middle}) * chart_from_copy({0.0, middle}).inverse();
}

std::vector<Vec2> MapChart::level(double along, double from, double to) const {
  const int n = bent_ ? std::max(2, static_cast<int>(std::ceil((to - from) / kStepDeg))) : 1;
  std::vector<Vec2> out;
  for (int i = 0; i <= n; ++i) out.push_back(at({from + (to - from) * i / n, along}));
  return out;
}

std::vector<Vec2> MapChart::side(double across, double from, double to) const {
  return {at({across, from}), at({across, to})};
}

EdgeNames edge_names(const FaceForm& form) {
  if (std::holds_alternative<RingFace>(form)) return {"outer edge", "inner edge"};
  if (std::holds_alternative<BallFace>(form)) return {"lower pole", "upper pole"};
  if (std::holds_alternative<FlatFace>(form) || std::holds_alternative<PatchFace>(form)) return {};
  return {"foot", "rim"};
}

}  // namespace underdraw
