#include "piece/template_maps.h"

#include <algorithm>
#include <cmath>

namespace underdraw {
namespace {

constexpr double kLeastOpening = 1e-8;

// sin(x) / x
double share_of_sine(double x) { return std::abs(x) < 1e-6 ? 1.0 - x * x / 6.0 : std::sin(x) / x; }

// Height of a level's middle and the angle on it, for a spot x right of the strip's middle line.
struct OnStrip {
  double s, angle;
};

double rise_at(const PaperLevel& level, double x) {
  if (level.radius_mm <= 0.0) return 0.0;
  const double bend = std::clamp(level.opening * x / level.radius_mm, -1.0, 1.0);
  return -bend * x / (1.0 + std::sqrt(1.0 - bend * bend));
}

double angle_at(const PaperLevel& level, double x) {
  if (level.radius_mm <= 0.0) return 0.0;
  const double bend = std::clamp(level.opening * x / level.radius_mm, -1.0, 1.0);
  if (std::abs(level.opening) < kLeastOpening) return x / level.radius_mm;
  return std::asin(bend) / level.opening;
}

OnStrip on_strip(const Levels& levels, double from, double to, double x, double up) {
  double low = from, high = to;
  for (int i = 0; i < 52; ++i) {
    const double s = (low + high) / 2.0;
    (s + rise_at(levels(s), x) < up ? low : high) = s;
  }
  const double s = (low + high) / 2.0;
  return {s, angle_at(levels(s), x)};
}

double middle_of(const FaceSpan& span) { return (span.across_from + span.across_to) / 2.0; }

}  // namespace

double from_middle_deg(const FaceSpan& span, double across_deg) {
  const double half = (span.across_to - span.across_from) / 2.0;
  const double off = across_deg - middle_of(span);
  return std::abs(off) <= half ? off : std::remainder(off, 360.0);
}

PlainMap::PlainMap(const Surface& surface)
    : span_{0.0, surface.width_mm(0.0), 0.0, surface.along_mm()}, outline_(surface.outline()) {}

Vec2 PlainMap::paper_from_face(FacePoint point) const { return {point.across, point.along}; }

FacePoint PlainMap::face_from_paper(Vec2 point) const { return {point.x, point.y}; }

bool PlainMap::on_paper(FacePoint point) const {
  return outline_.empty() || inside(outline_, {point.across, point.along});
}

Vec2 PaperLevel::at(double angle) const {
  const double turn = opening * angle;
  const double half = share_of_sine(turn / 2.0);
  return {radius_mm * angle * share_of_sine(turn),
          -radius_mm * opening * angle * angle / 2.0 * half * half};
}

SectorMap::SectorMap(FaceSpan span, ConeNet net) : span_(span), net_(net) {
  if (std::abs(net_.opening) < kLeastOpening) net_.opening = 0.0;
}

Vec2 SectorMap::paper_from_face(FacePoint point) const {
  const Vec2 p = net_.level(point.along).at(radians(from_middle_deg(span_, point.across)));
  return {p.x, -point.along - p.y};
}

FacePoint SectorMap::face_from_paper(Vec2 point) const {
  const double up = -point.y - net_.at_mm;
  if (net_.opening == 0.0) {
    return {middle_of(span_) + degrees(point.x / net_.radius_mm), net_.at_mm + up};
  }
  const double tip = net_.radius_mm / net_.opening;  // signed way down to it
  const double far = std::hypot(point.x, tip + up);
  const double toward = std::copysign(1.0, tip);
  const double angle = std::atan2(point.x, toward * (tip + up)) / std::abs(net_.opening);
  return {middle_of(span_) + degrees(angle), net_.at_mm + toward * far - tip};
}

StripMap::StripMap(FaceSpan span, Levels levels) : span_(span), levels_(std::move(levels)) {}

Vec2 StripMap::paper_from_face(FacePoint point) const {
  const Vec2 p = levels_(point.along).at(radians(from_middle_deg(span_, point.across)));
  return {p.x, -point.along - p.y};
}

FacePoint StripMap::face_from_paper(Vec2 point) const {
  const OnStrip on = on_strip(levels_, span_.along_from, span_.along_to, point.x, -point.y);
  const double across = middle_of(span_) + degrees(on.angle);
  return {std::clamp(across, span_.across_from, span_.across_to), on.s};
}

RibsMap::OnRib RibsMap::on_rib(FacePoint point) const {
  const double lateral = (ribs_.axis_across ? point.along : point.across) - ribs_.width_mm / 2.0;
  const double s = ribs_.axis_across ? point.across : ribs_.length_mm - point.along;
  const int rib = std::clamp(
      static_cast<int>(std::floor((lateral + ribs_.width_mm / 2.0) / ribs_.rib_width_mm())),
      0,
      ribs_.count - 1);
  return {rib, lateral - ribs_.rib_middle_mm(rib), s};
}

Vec2 RibsMap::paper_of(int rib, double lateral, double s) const {
  Vec2 p = ribs_.levels(s).at(lateral / ribs_.middle_radius_mm);
  const double half = ribs_.rib_width_mm() / 2.0;
  if (ribs_.slits && std::abs(p.x) > half) {
    const PaperLevel level = ribs_.levels(s);
    p = {std::copysign(half, p.x), rise_at(level, half)};
  }
  const double right = p.x + ribs_.rib_middle_mm(rib);
  const double up = s + p.y;
  return ribs_.axis_across ? Vec2{up, right} : Vec2{right, -up};
}

Vec2 RibsMap::paper_from_face(FacePoint point) const {
  const OnRib on = on_rib(point);
  return paper_of(on.rib, on.lateral, on.s);
}

FacePoint RibsMap::face_from_paper(Vec2 point) const {
  const double right = ribs_.axis_across ? point.y : point.x;
  const double up = ribs_.axis_across ? point.x : -point.y;
  const int rib = std::clamp(
      static_cast<int>(std::floor((right + ribs_.width_mm / 2.0) / ribs_.rib_width_mm())),
      0,
      ribs_.count - 1);
  const OnStrip on =
      on_strip(ribs_.levels, 0.0, ribs_.length_mm, right - ribs_.rib_middle_mm(rib), up);
  const double half = ribs_.rib_width_mm() / 2.0;
  const double lateral = ribs_.rib_middle_mm(rib) +
                         std::clamp(on.angle * ribs_.middle_radius_mm, -half, half) +
                         ribs_.width_mm / 2.0;
  return ribs_.axis_across ? FacePoint{on.s, lateral} : FacePoint{lateral, ribs_.length_mm - on.s};
}

bool RibsMap::on_paper(FacePoint point) const {
  if (!ribs_.slits) return true;
  const OnRib on = on_rib(point);
  const Vec2 p = ribs_.levels(on.s).at(on.lateral / ribs_.middle_radius_mm);
  return std::abs(p.x) <= ribs_.rib_width_mm() / 2.0 * (1.0 + 1e-9);
}

FaceSpan RibsMap::smooth_around(FacePoint point) const {
  const OnRib on = on_rib(point);
  const double from =
      ribs_.rib_middle_mm(on.rib) - ribs_.rib_width_mm() / 2.0 + ribs_.width_mm / 2.0;
  const double to = from + ribs_.rib_width_mm();
  if (ribs_.axis_across) return {0.0, ribs_.length_mm, from, to};
  return {from, to, 0.0, ribs_.length_mm};
}

}  // namespace underdraw
