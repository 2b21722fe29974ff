#include "coats/tile_colour.h"

#include <algorithm>
#include <cmath>

#include <fmt/format.h>

#include "core/error.h"
#include "photo/refuse_photo.h"

namespace underdraw {
namespace {

constexpr double kMostShine = 0.3;    // of the spot
constexpr double kPlainSpread = 8.0;  // CIEDE2000; above it the spot shows two colours
constexpr double kAsWhite = 3.0;      // CIEDE2000 from the paper
constexpr double kMostSteepDeg = 60.0;
constexpr double kMostUneven = 0.04;
// Toner or ink on half of the paper: 0.52 of its light, less where the dots spread.
constexpr double kGreyLow = 0.15, kGreyHigh = 0.75;
constexpr double kGreyChroma = 6.0;        // a patch of black dots alone keeps below it
constexpr double kGreyLeastLight = 0.012;  // of the file's white

struct Reading {
  std::vector<LabColour> colours;
  std::size_t places = 0, burnt = 0;
  double light = 0.0;  // mean luminance in the file

  double burnt_share() const {
    return static_cast<double>(burnt) / static_cast<double>(std::max<std::size_t>(places, 1));
  }
};

// Adds a place; false when it is out of view.
bool read_place(
    Reading& reading, const MatPhoto& photo, const MatLight& light, Vec3 at, double side) {
  const auto seen = seen_place(photo, at, side);
  if (!seen) return false;
  ++reading.places;
  reading.light += seen->light.luminance();
  if (seen->burnt) {
    ++reading.burnt;
  } else {
    reading.colours.push_back(lab_from_linear(light.reflected({at.x, at.y}, seen->light)));
  }
  return true;
}

Reading read_grey(const MatPhoto& photo, const MatLight& light) {
  constexpr double kEdge = 1.0;
  constexpr double kStep = 1.0;
  const Box patch = photo.marks.mat->grey_patch().grown(-kEdge);
  Reading reading;
  for (double x = patch.min.x + 0.5 * kStep; x < patch.max.x; x += kStep) {
    for (double y = patch.min.y + 0.5 * kStep; y < patch.max.y; y += kStep) {
      if (!read_place(reading, photo, light, {x, y, 0.0}, kStep)) {
        refuse_photo(photo.marks.photo,
                     "does not show the mat's grey patch",
                     {},
                     "take it again with the whole mat in view");
      }
    }
  }
  if (reading.burnt_share() > kMostShine) {
    refuse_photo(photo.marks.photo, "the grey patch is burnt out", {}, "take it again in shade");
  }
  if (reading.light < kGreyLeastLight * static_cast<double>(reading.places)) {
    refuse_photo(
        photo.marks.photo, "the grey patch is too dark", {}, "take it again in more light");
  }
  return reading;
}

Reading read_spot(const MatPhoto& photo, const MatLight& light, const TileColourOptions& options) {
  constexpr double kStep = 1.0;
  const double radius = 0.5 * options.spot_diameter_mm;
  Reading reading;
  for (double x = 0.5 * kStep - std::ceil(radius); x < radius; x += kStep) {
    for (double y = 0.5 * kStep - std::ceil(radius); y < radius; y += kStep) {
      if (std::hypot(x, y) > radius) continue;
      const Vec2 at = options.spot_mm + Vec2{x, y};
      if (!read_place(reading, photo, light, {at.x, at.y, options.thick_mm}, kStep)) {
        refuse_photo(photo.marks.photo,
                     "does not show the whole spot that is to be read",
                     {},
                     "take it again with the tile in view");
      }
    }
  }
  if (reading.burnt_share() > kMostShine) {
    refuse_photo(photo.marks.photo,
                 fmt::format("the tile shines: {:.0f} % of the spot is burnt out",
                             100.0 * reading.burnt_share()),
                 {},
                 "turn it until no lamp or window shows in it, or take it in shade");
  }
  return reading;
}

void require_in_opening(const MatLayout& mat, const TileColourOptions& options) {
  const Vec2 room = mat.opening_mm / 2.0 - Vec2{1.0, 1.0} * (0.5 * options.spot_diameter_mm);
  require_between(options.spot_mm.x, -room.x, room.x, "spot, right of the mat's middle", "mm");
  require_between(options.spot_mm.y, -room.y, room.y, "spot, above the mat's middle", "mm");
}

}  // namespace

void TileColourOptions::validate() const {
  require_between(spot_diameter_mm, 4.0, 60.0, "diameter of the spot", "mm");
  require_between(thick_mm, 0.0, 40.0, "thickness of the tile", "mm");
}

TileColour tile_colour(const MatPhoto& photo, const TileColourOptions& options) {
  options.validate();
  require_in_opening(*photo.marks.mat, options);
  const MatLight light(photo);
  const Reading grey = read_grey(photo, light);
  const LabColour patch = median_colour(grey.colours);
  const LabColour paper = lab_from_linear({kPaperLight, kPaperLight, kPaperLight});
  const LabColour lightest =
      lab_from_linear({kGreyHigh * kPaperLight, kGreyHigh * kPaperLight, kGreyHigh * kPaperLight});
  const LabColour darkest =
      lab_from_linear({kGreyLow * kPaperLight, kGreyLow * kPaperLight, kGreyLow * kPaperLight});
  if (patch.l > lightest.l || patch.l < darkest.l) {
    refuse_photo(
        photo.marks.photo,
        fmt::format("where the mat's grey patch should be, L* is {:.0f}", patch.l),
        fmt::format("{:.0f} to {:.0f}", darkest.l, lightest.l),
        "uncover the patch; a mat without one is to be printed for a smaller foot or tile");
  }

  TileColour out;
  const Reading spot = read_spot(photo, light, options);
  out.colour = median_colour(spot.colours);
  out.spread = colour_spread(spot.colours, out.colour);
  out.grey_l = patch.l;
  out.shine = spot.burnt_share();

  const auto warn = [&](const std::string& text) {
    out.warnings.push_back(photo.marks.photo + ": " + text);
  };
  if (patch.chroma() > kGreyChroma) {
    warn(
        "the grey patch is not grey against the paper; print the mat with black ink alone, and "
        "keep "
        "coloured light and coloured walls away");
  }
  if (light.unevenness() > kMostUneven) {
    warn("a shadow or a lamp falls on part of the mat; in even shade colours are surer");
  }
  if (ciede2000(out.colour, paper) < kAsWhite) {
    warn(
        "the spot is as white as the mat's paper; if the tile is not white, lay it over the mat's "
        "middle or name its place with --spot");
  }
  if (out.spread > kPlainSpread) {
    warn(
        fmt::format("the spot shows more than one colour: a third of it is {:.0f} or more from the "
                    "middle one; name a plainer place with --spot, or a smaller one",
                    out.spread));
  }
  const Vec3 eye = photo.posed.pose.eye() - Vec3{options.spot_mm.x, options.spot_mm.y, 0.0};
  const double steep = degrees(std::acos(std::clamp(eye.z / length(eye), -1.0, 1.0)));
  if (steep > kMostSteepDeg) {
    warn(fmt::format("the tile is seen from {:.0f}° aside; take it more from above", steep));
  }
  return out;
}

}  // namespace underdraw
