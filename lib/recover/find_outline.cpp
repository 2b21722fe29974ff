#include "recover/find_outline.h"

#include <algorithm>
#include <array>
#include <cmath>
#include <functional>

#include "recover/see_face.h"

namespace underdraw {
namespace {

constexpr double kBesideMm = 2.0;       // across the outline, where it is asked what is there
constexpr double kSameHeightMm = 25.0;  // a wall that curves away is seen from above there

// Azimuths at which the wall's normal is at right angles to the line of sight.
std::vector<double> limbs_deg(const Surface& surface,
                              const FaceStanding& standing,
                              Vec3 eye,
                              double share) {
  const double d = 0.004;
  const double low = std::max(0.0, share - d);
  const double high = std::min(1.0, share + d);
  const auto radius_height = [&](double at) {
    FaceStanding there = standing;
    there.shift_mm = {};
    there.turn_deg = 0.0;
    const Vec3 p = wall_in_mat(surface, there, 0.0, at);
    return Vec2{-p.y, p.z};
  };
  const Vec2 up = radius_height(high) - radius_height(low);
  if (std::abs(up.y) < 1e-9) return {};
  const Vec2 here = radius_height(share);
  const Vec2 to_eye{eye.x - standing.shift_mm.x, eye.y - standing.shift_mm.y};
  const double reach = here.x + up.x / up.y * (eye.z - here.y);
  const double far = length(to_eye);
  if (std::abs(reach) >= far) return {};
  const double middle = degrees(std::atan2(to_eye.x, -to_eye.y)) - standing.turn_deg;
  const double off = degrees(std::acos(reach / far));
  return {middle - off, middle + off};
}

// Whether the place is where the face ends in the photo: there is the face at this height inside it
// and nothing of it outside. Else something hides it, or it lies before another part of the wall.
bool face_ends(const FaceView& view, const OutlinePlace& place, double along) {
  const auto at = [&](const cv::Mat& layer, double offset_mm) -> double {
    const Vec2 px = (place.px + place.outward * (offset_mm * place.px_per_mm)) * view.px_from_photo;
    const int x = static_cast<int>(std::floor(px.x));
    const int y = static_cast<int>(std::floor(px.y));
    if (x < 0 || y < 0 || x >= layer.cols || y >= layer.rows) return -1.0;
    return static_cast<double>(layer.at<float>(y, x));
  };
  return at(view.depth, -kBesideMm) > 0.0 && at(view.depth, kBesideMm) == 0.0 &&
         std::abs(at(view.along, -kBesideMm) - along) < kSameHeightMm;
}

// Spots on the outline, each with one next to it on the outline and one inside.
struct SpotOnOutline {
  OutlineSpot spot, beside, inside;
};

OutlineSpot round_spot(double a_deg, double share) {
  OutlineSpot spot;
  spot.a_deg = a_deg;
  spot.share = share;
  return spot;
}

void add_circle(double share,
                double inside_share,
                double step_deg,
                const std::function<bool(double)>& wanted,
                std::vector<SpotOnOutline>& spots) {
  for (double a = 0.0; a < 360.0; a += step_deg) {
    if (!wanted(a)) continue;
    spots.push_back(
        {round_spot(a, share), round_spot(a + 0.5, share), round_spot(a, inside_share)});
  }
}

std::vector<SpotOnOutline> round_spots(const Surface& surface,
                                       const StandingUnknowns& unknowns,
                                       Vec3 eye,
                                       double step_mm) {
  std::vector<SpotOnOutline> spots;
  const FaceStanding standing = unknowns.standing();
  const double along = surface.along_mm();
  if (unknowns.outline() != Outline::ring) {
    const int count = std::max(6, static_cast<int>(along / step_mm));
    for (int i = 0; i < count; ++i) {
      const double share = (i + 0.5) / count;
      const std::vector<double> limbs = limbs_deg(surface, standing, eye, share);
      for (std::size_t k = 0; k < limbs.size(); ++k) {
        // The limb runs on where the next height has its own.
        const double d = 0.5 / count;
        const std::vector<double> next = limbs_deg(surface, standing, eye, share + 0.5 * d);
        if (next.size() != limbs.size()) continue;
        const double inward = k == 0 ? 4.0 : -4.0;
        spots.push_back({round_spot(limbs[k], share),
                         round_spot(next[k], share + 0.5 * d),
                         round_spot(limbs[k] + inward, share)});
      }
    }
  }
  if (unknowns.outline() == Outline::ball) return spots;
  const double step_deg = 360.0 * step_mm / surface.width_mm(0.0);
  const double inside = std::min(0.5, 3.0 / along);
  const bool whole = unknowns.outline() == Outline::ring;
  const Vec2 to_eye = normalized(Vec2{eye.x - standing.shift_mm.x, eye.y - standing.shift_mm.y});
  add_circle(
      0.0,
      inside,
      step_deg,
      [&](double a) {
        return whole || dot(Vec2{std::sin(radians(a)), -std::cos(radians(a))}, to_eye) > 0.45;
      },
      spots);
  return spots;
}

std::vector<SpotOnOutline> flat_spots(const Surface& surface,
                                      const StandingUnknowns& unknowns,
                                      Vec3 eye,
                                      double step_mm) {
  std::vector<SpotOnOutline> spots;
  const FaceStanding standing = unknowns.standing();
  const Vec2 half{surface.widest_mm() / 2.0, surface.along_mm() / 2.0};
  const std::array<Vec2, 4> corners{
      Vec2{-half.x, -half.y}, {half.x, -half.y}, {half.x, half.y}, {-half.x, half.y}};
  for (std::size_t i = 0; i < 4; ++i) {
    const Vec2 from = corners[i];
    const Vec2 to = corners[(i + 1) % 4];
    const Vec2 along = normalized(to - from);
    const Vec2 out{along.y, -along.x};
    OutlineSpot middle;
    middle.from_middle = mix(from, to, 0.5);
    OutlineSpot beyond = middle;
    beyond.from_middle += out;
    const Vec3 at = unknowns.spot_in_mat(middle, standing);
    const Vec3 normal = unknowns.spot_in_mat(beyond, standing) - at;
    // A side that is seen hides where it meets the mat's far side: its lower edge is the outline.
    const bool side_seen = dot(normal, eye - at) > 0.0;
    const int count = std::max(4, static_cast<int>(distance(from, to) / step_mm));
    for (int k = 1; k + 1 < count; ++k) {
      OutlineSpot spot;
      spot.on_mat = side_seen;
      spot.from_middle = mix(from, to, (k + 0.5) / count);
      OutlineSpot beside = spot;
      beside.from_middle += along;
      OutlineSpot inside = spot;
      inside.from_middle += out * -3.0;
      spots.push_back({spot, beside, inside});
    }
  }
  return spots;
}

}  // namespace

std::vector<OutlinePlace> outline_places(const Surface& surface,
                                         const StandingUnknowns& unknowns,
                                         const std::vector<FacePhoto>& photos,
                                         double step_mm) {
  const FaceStanding standing = unknowns.standing();
  const StandingFace face = standing_face(surface, standing);
  std::vector<FaceStanding> stepped;
  for (std::size_t k = 0; k < unknowns.count(); ++k) {
    std::vector<double> values = unknowns.values();
    values[k] += kUnknownStep;
    stepped.push_back(unknowns.standing_of(values));
  }
  std::vector<OutlinePlace> places;
  for (std::size_t i = 0; i < photos.size(); ++i) {
    const FacePhoto& photo = photos[i];
    const FaceView view =
        see_face(face, photo.camera, photo.pose, {.longest_px = 800, .step_mm = 3.0});
    const Vec3 eye = photo.pose.eye();
    const std::vector<SpotOnOutline> spots = unknowns.outline() == Outline::flat
                                                 ? flat_spots(surface, unknowns, eye, step_mm)
                                                 : round_spots(surface, unknowns, eye, step_mm);
    for (const SpotOnOutline& s : spots) {
      const auto px_of = [&](const OutlineSpot& spot, const FaceStanding& how) {
        return px_from_mat(photo.camera, photo.pose, unknowns.spot_in_mat(spot, how));
      };
      const auto px = px_of(s.spot, standing);
      const auto beside = px_of(s.beside, standing);
      const auto inside = px_of(s.inside, standing);
      if (!px || !beside || !inside) continue;
      const double depth = photo.pose.to_camera(unknowns.spot_in_mat(s.spot, standing)).z;
      OutlinePlace place;
      place.photo = i;
      place.spot = s.spot;
      place.px = *px;
      place.outward = normalized(perpendicular(*beside - *px));
      if (dot(place.outward, *inside - *px) > 0.0) place.outward = -place.outward;
      place.px_per_mm = photo.camera.focal_px / depth;
      if (px->x < 0.0 || px->y < 0.0 || px->x > photo.camera.width_px ||
          px->y > photo.camera.height_px) {
        continue;
      }
      if (surface.round() && !face_ends(view, place, s.spot.share * surface.along_mm())) continue;
      for (const FaceStanding& other : stepped) {
        const auto moved = px_of(s.spot, other);
        place.way.push_back(
            moved ? dot(*moved - *px, place.outward) / (kUnknownStep * place.px_per_mm) : 0.0);
      }
      places.push_back(std::move(place));
    }
  }
  return places;
}

}  // namespace underdraw
