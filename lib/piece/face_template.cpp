#include "piece/face_template.h"

#include <cmath>

#include <fmt/format.h>

#include "core/error.h"

namespace underdraw {
namespace {

constexpr double kSmallestMm = 1.0;
constexpr double kLargestMm = 5000.0;

double checked(double mm, const std::string& face, const char* side) {
  if (mm >= kSmallestMm && mm <= kLargestMm) return mm;
  throw GeometryError({.file = {},
                       .line = {},
                       .found = fmt::format("face '{}' has a {} of {} mm", face, side, mm),
                       .expected = fmt::format("{} to {} mm", kSmallestMm, kLargestMm),
                       .remedy = "measure it again, in mm"});
}

double wrapped(double deg) {
  const double a = std::fmod(deg, 360.0);
  return a < 0.0 ? a + 360.0 : a;
}

}  // namespace

std::string name_of(const FaceForm& form) {
  return std::holds_alternative<FlatFace>(form) ? "flat" : "cylinder";
}

FaceTemplate face_template(const Face& face, double factor) {
  require_between(factor, 0.5, 2.0, "template factor", "");
  if (const auto* flat = std::get_if<FlatFace>(&face.form)) {
    return {checked(flat->width_mm, face.name, "width") * factor,
            checked(flat->height_mm, face.name, "height") * factor,
            false};
  }
  const auto& round = std::get<CylinderFace>(face.form);
  return {checked(round.circumference_mm, face.name, "circumference") * factor,
          checked(round.height_mm, face.name, "height") * factor,
          true};
}

Vec2 FaceTemplate::template_from_face(FacePoint point) const {
  if (!closes_round) return {point.across, point.along};
  return {wrapped(point.across) / 360.0 * width_mm, height_mm - point.along};
}

FacePoint FaceTemplate::face_from_template(Vec2 point) const {
  if (!closes_round) return {point.x, point.y};
  return {wrapped(point.x / width_mm * 360.0), height_mm - point.y};
}

std::vector<Box> FaceTemplate::boxes_of(const KeepOut& zone, double factor) const {
  const double low = std::min(zone.along_from, zone.along_to) * factor;
  const double high = std::max(zone.along_from, zone.along_to) * factor;
  if (!closes_round) {
    const double left = std::min(zone.across_from, zone.across_to) * factor;
    const double right = std::max(zone.across_from, zone.across_to) * factor;
    return {Box{{left, low}, {right, high}}};
  }
  const double top = height_mm - high;
  const double foot = height_mm - low;
  double span = zone.across_to - zone.across_from;
  if (span >= 360.0) return {Box{{0, top}, {width_mm, foot}}};
  span = wrapped(span);
  const double start = wrapped(zone.across_from) / 360.0 * width_mm;
  const double end = start + span / 360.0 * width_mm;
  if (end <= width_mm) return {Box{{start, top}, {end, foot}}};
  return {Box{{start, top}, {width_mm, foot}}, Box{{0, top}, {end - width_mm, foot}}};
}

}  // namespace underdraw
