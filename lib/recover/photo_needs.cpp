#include "recover/photo_needs.h"

#include <algorithm>
#include <array>
#include <cmath>
#include <map>

#include <fmt/format.h>

#include "core/error.h"
#include "geometry/path.h"
#include "trace/median.h"

namespace underdraw {
namespace {

constexpr double kStepMm = 1.0;
constexpr float kClear = 0.5f;
constexpr double kBesideGlareDeg = 35.0;  // to the side: the lamp is mirrored elsewhere
constexpr double kFromAboveDeg = 35.0;    // a wall that looks up so far wants a photo from above

std::vector<FacePoint> on_face(const Surface& surface,
                               const Placement& placement,
                               const Path& path) {
  std::vector<FacePoint> points;
  const std::vector<Vec2> flat = flatten(path, 0.05);
  for (std::size_t i = 0; i < flat.size(); ++i) {
    const Vec2 from = i == 0 ? flat[i] : flat[i - 1];
    const int steps = std::max(1, static_cast<int>(std::ceil(distance(from, flat[i]) / kStepMm)));
    for (int k = i == 0 ? steps : 1; k <= steps; ++k) {
      points.push_back(
          surface.laid(placement.at, mix(from, flat[i], static_cast<double>(k) / steps)));
    }
  }
  return points;
}

// How one point is seen by the photo that sees it best.
struct Seen {
  PhotoLack lack = PhotoLack::not_in_view;
  double steep_deg = 90.0;
  double blur_mm = 0.0;
};

// From what is missing altogether to what is missing least.
int rank(PhotoLack lack) {
  switch (lack) {
    case PhotoLack::not_in_view:
      return 0;
    case PhotoLack::too_steep:
      return 1;
    case PhotoLack::blurred:
      return 2;
    case PhotoLack::glare:
      return 3;
    case PhotoLack::none:
      return 4;
  }
  return 0;
}

class Judge {
 public:
  Judge(const Surface& surface, const UnrolledFace& face, const PhotoNeedsOptions& options)
      : surface_(surface), face_(face), options_(options) {}

  PhotoNeed need(const PlacementLines& placement) const {
    PhotoNeed out;
    out.placement = placement.placement;
    double length_mm = 0.0;
    double seen_mm = 0.0;
    std::array<double, 5> lacking_mm{};
    Vec2 towards;  // sum of directions of what is not seen well
    double along = 0.0;
    std::vector<double> steep, blur;
    for (const std::vector<FacePoint>& line : placement.lines) {
      for (std::size_t i = 0; i < line.size(); ++i) {
        const double share_mm =
            line.size() == 1 ? kStepMm : 0.5 * (piece_mm(line, i) + piece_mm(line, i + 1));
        const Seen seen = best_sight(line[i]);
        length_mm += share_mm;
        lacking_mm[static_cast<std::size_t>(rank(seen.lack))] += share_mm;
        if (seen.lack == PhotoLack::none) {
          seen_mm += share_mm;
          continue;
        }
        const double a = radians(line[i].across);
        towards += Vec2{std::cos(a), std::sin(a)} * share_mm;
        along += line[i].along * share_mm;
        steep.push_back(seen.steep_deg);
        blur.push_back(seen.blur_mm);
      }
    }
    if (length_mm <= 0.0) {
      out.recoverable = true;
      return out;
    }
    out.seen = seen_mm / length_mm;
    out.recoverable = out.seen >= options_.least_seen;
    if (steep.empty()) {
      out.steep_deg = 0.0;
      return out;
    }
    out.steep_deg = median(std::move(steep));
    out.blur_mm = median(std::move(blur));
    std::size_t most = 0;
    for (std::size_t k = 0; k < 4; ++k) {
      if (lacking_mm[k] > lacking_mm[most]) most = k;
    }
    static constexpr std::array<PhotoLack, 4> kLacks{
        PhotoLack::not_in_view, PhotoLack::too_steep, PhotoLack::blurred, PhotoLack::glare};
    out.lack = kLacks[most];
    if (out.recoverable) return out;
    set_direction(degrees(std::atan2(towards.y, towards.x)), along / (length_mm - seen_mm), out);
    out.text = text_of(out);
    return out;
  }

 private:
  // From point i - 1 to i; 0 at the ends.
  double piece_mm(const std::vector<FacePoint>& line, std::size_t i) const {
    if (i == 0 || i >= line.size()) return 0.0;
    return length(surface_.way(line[i - 1], line[i]));
  }

  Seen best_sight(FacePoint at) const {
    const Unrolled& picture = face_.picture;
    if (picture.round) at.across = wrapped_deg(at.across);
    const Vec2 px = picture.px_from_face(at);
    Seen best;
    for (const PhotoSight& sight : face_.sights) {
      const int x = static_cast<int>(
          std::floor(px.x * sight.facing.cols / static_cast<double>(picture.light.cols)));
      const int y = static_cast<int>(
          std::floor(px.y * sight.facing.rows / static_cast<double>(picture.light.rows)));
      if (x < 0 || y < 0 || x >= sight.facing.cols || y >= sight.facing.rows) continue;
      const cv::Point cell(x, y);
      const float facing = sight.facing.at<float>(cell);
      if (facing <= 0.0f) continue;
      Seen here;
      here.steep_deg = degrees(std::acos(std::min(1.0, static_cast<double>(facing))));
      here.blur_mm = sight.blur_mm(cell);
      if (here.steep_deg > options_.steepest_deg) {
        here.lack = PhotoLack::too_steep;
      } else if (here.blur_mm >
                 std::min(options_.blur_share * options_.line_mm, options_.most_blur_mm)) {
        here.lack = PhotoLack::blurred;
      } else if (sight.clear.at<float>(cell) < kClear) {
        here.lack = PhotoLack::glare;
      } else {
        here.lack = PhotoLack::none;
      }
      if (rank(here.lack) < rank(best.lack)) continue;
      if (rank(here.lack) == rank(best.lack) && here.steep_deg >= best.steep_deg) continue;
      best = here;
    }
    return best;
  }

  void set_direction(double a_deg, double along, PhotoNeed& out) const {
    if (!surface_.round()) {
      out.from_up_deg = 90.0;
      return;
    }
    const double taper = std::clamp(surface_.taper(along), -1.0, 1.0);
    out.from_up_deg = std::max(0.0, -degrees(std::asin(taper)));
    const double beside = out.lack == PhotoLack::glare ? kBesideGlareDeg : 0.0;
    out.from_deg = wrapped_deg(a_deg + face_.fit.standing.turn_deg + beside);
  }

  std::string text_of(const PhotoNeed& need) const {
    std::string where = "from straight above";
    if (need.from_deg) {
      const auto tens = static_cast<int>(std::lround(*need.from_deg / 10.0) * 10 % 360);
      where = fmt::format("from {}°{}", tens, need.from_up_deg > kFromAboveDeg ? " and above" : "");
    }
    switch (need.lack) {
      case PhotoLack::not_in_view:
        return fmt::format("number {} is not in view; take one {}", need.placement, where);
      case PhotoLack::too_steep:
        return fmt::format("number {} is seen only at {:.0f}°; take one {}",
                           need.placement,
                           need.steep_deg,
                           where);
      case PhotoLack::blurred:
        return fmt::format(
            "number {} is too blurred ({:.2f} mm, its lines are {:g} mm wide); take a sharper one, "
            "nearer, {}",
            need.placement,
            need.blur_mm,
            options_.line_mm,
            where);
      case PhotoLack::glare:
        return fmt::format(
            "number {} lies under glare; take one {}, or move the lamp", need.placement, where);
      case PhotoLack::none:
        break;
    }
    return {};
  }

  const Surface& surface_;
  const UnrolledFace& face_;
  const PhotoNeedsOptions& options_;
};

}  // namespace

void PhotoNeedsOptions::validate() const {
  require_between(steepest_deg, 30.0, 80.0, "steepest view", "°");
  require_between(line_mm, 0.1, 5.0, "width of lines", "mm");
  require_between(blur_share, 0.1, 2.0, "most blur over a line's width", "");
  require_between(most_blur_mm, 0.05, 2.0, "most blur", "mm");
  require_between(least_seen, 0.5, 1.0, "least share of lines seen", "");
}

std::vector<PlacementLines> placement_lines(const PlacedFace& face,
                                            const std::vector<Motif>& motifs) {
  std::map<std::string, const Motif*> by_name;
  for (const Motif& motif : motifs) by_name[motif.name] = &motif;
  std::vector<PlacementLines> out;
  for (const Placement& placement : face.placements) {
    const auto motif = by_name.find(placement.motif);
    if (motif == by_name.end()) {
      throw GeometryError(
          {.file = {},
           .line = {},
           .found = fmt::format("placement {} is of the motif {}, which is not there",
                                placement.id,
                                placement.motif),
           .expected = {},
           .remedy = "place the motifs again"});
    }
    const Linework copy =
        transformed(motif->second->lines, placement.copy_from_motif(*motif->second));
    PlacementLines lines{placement.id, {}};
    for (const Stroke& stroke : copy.strokes) {
      lines.lines.push_back(on_face(face.surface, placement, stroke.path));
    }
    for (const Area& area : copy.areas) {
      for (const Path& ring : area.rings) {
        lines.lines.push_back(on_face(face.surface, placement, ring));
      }
    }
    out.push_back(std::move(lines));
  }
  return out;
}

std::vector<PhotoNeed> photo_needs(const Surface& surface,
                                   const UnrolledFace& face,
                                   const std::vector<PlacementLines>& placements,
                                   const PhotoNeedsOptions& options) {
  options.validate();
  const Judge judge(surface, face, options);
  std::vector<PhotoNeed> out;
  for (const PlacementLines& placement : placements) out.push_back(judge.need(placement));
  return out;
}

}  // namespace underdraw
