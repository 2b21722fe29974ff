#include "piece/template_fit.h"

#include <algorithm>
#include <cmath>
#include <memory>
#include <numbers>

#include <fmt/format.h>

#include "core/error.h"

namespace underdraw {
namespace {

constexpr double kPi = std::numbers::pi;
constexpr int kSamples = 48;     // of a band
constexpr int kScan = 200;       // steps along a wall when looking for a band's end
constexpr int kEdgeSteps = 240;  // along a gore's edge
constexpr int kFewestGores = 3;
constexpr double kCatchUp = 4.0;
constexpr double kBad = 1e9;  // strain of what cannot be made

[[noreturn]] void refuse_too_many(const char* what, double limit) {
  throw GeometryError(
      {.file = {},
       .line = {},
       .found = fmt::format(
           "a template within {:g} % would take more than {} {}", 100.0 * limit, kMostParts, what),
       .expected = fmt::format("at most {}", kMostParts),
       .remedy = "allow more strain"});
}

Band band_of(const Profile& wall, double from, double to) {
  Band band{from, to, {}, kBad};
  const double r0 = wall.radius_mm(from), r1 = wall.radius_mm(to);
  const double slope = (r1 - r0) / (to - from);
  double least = 1.0, most = 1.0;
  for (int i = 0; i < kSamples; ++i) {
    const double s = from + (to - from) * (i + 0.5) / kSamples;
    const double cone = r0 + slope * (s - from);
    if (cone <= 1e-9) return band;
    const double share = wall.radius_mm(s) / cone;
    least = std::min(least, share);
    most = std::max(most, share);
  }
  // On a shoulder that is nearly level a wider cone's net would overlap itself.
  const double wider = std::min((least + most) / 2.0, 1.0 / std::max(std::abs(slope), 1e-9));
  band.net = {wider * r0, from, wider * slope};
  band.strain = std::max(most / wider - 1.0, 1.0 - least / wider);
  return band;
}

// From the foot upward, each band as long as it may be; empty when that takes too many.
std::vector<Band> longest_bands(const Profile& wall, double limit) {
  std::vector<Band> bands;
  const double length = wall.length_mm();
  const double least = length / (10.0 * kMostParts);
  double from = 0.0;
  while (from < length - 1e-9) {
    if (static_cast<int>(bands.size()) == kMostParts) return {};
    double good = from, bad = length;
    Band best;
    for (int i = 1; i <= kScan; ++i) {
      const double to = std::min(from + length * i / kScan, length);
      const Band band = band_of(wall, from, to);
      if (band.strain > limit) {
        bad = to;
        break;
      }
      good = to;
      best = band;
      if (to >= length) break;
    }
    for (int i = 0; i < 30 && good < length && bad - good > 1e-7; ++i) {
      const double to = (good + bad) / 2.0;
      const Band band = band_of(wall, from, to);
      if (band.strain > limit) {
        bad = to;
      } else {
        good = to;
        best = band;
      }
    }
    if (good - from < least) return {};
    bands.push_back(best);
    from = good;
  }
  return bands;
}

// How much longer or shorter a strip's edge is on paper than the wall, as shares.
struct EdgeStrain {
  double mean = 0.0;
  double largest = 0.0;
};

EdgeStrain edge_strain(const Levels& levels, double length, double angle) {
  EdgeStrain out;
  const double step = length / kEdgeSteps;
  Vec2 last;
  for (int i = 0; i <= kEdgeSteps; ++i) {
    const double s = step * i;
    const Vec2 on = levels(s).at(angle);
    const Vec2 here{on.x, s + on.y};
    if (i > 0) {
      const double off = std::abs(distance(here, last) / step - 1.0);
      out.mean += off / kEdgeSteps;
      out.largest = std::max(out.largest, off);
    }
    last = here;
  }
  return out;
}

}  // namespace

std::vector<Band> fit_bands(const Profile& wall, double limit, std::optional<int> count) {
  std::vector<Band> bands = longest_bands(wall, limit);
  if (bands.empty() && !count) refuse_too_many("bands", limit);
  const int wanted = count.value_or(static_cast<int>(bands.size()));
  // The least strain that so many bands can have.
  double low = 0.0, high = count ? 0.6 : limit;
  std::vector<Band> best;
  for (int i = 0; i < 26; ++i) {
    const double middle = (low + high) / 2.0;
    std::vector<Band> tried = longest_bands(wall, middle);
    if (!tried.empty() && static_cast<int>(tried.size()) <= wanted) {
      high = middle;
      best = std::move(tried);
    } else {
      low = middle;
    }
  }
  if (best.empty()) best = std::move(bands);
  if (best.empty() || static_cast<int>(best.size()) > wanted) {
    throw GeometryError(
        {.file = {},
         .line = {},
         .found = fmt::format("{} band{} cannot cover the wall", wanted, wanted == 1 ? "" : "s"),
         .expected = "more bands",
         .remedy = "leave the number out to have it chosen"});
  }
  while (static_cast<int>(best.size()) < wanted) {
    const auto longest =
        std::max_element(best.begin(), best.end(), [](const Band& a, const Band& b) {
          return a.to_mm - a.from_mm < b.to_mm - b.from_mm;
        });
    const Band whole = *longest;
    const double middle = (whole.from_mm + whole.to_mm) / 2.0;
    *longest = band_of(wall, whole.from_mm, middle);
    best.insert(longest + 1, band_of(wall, middle, whole.to_mm));
  }
  return best;
}

Gores fit_gores(const Profile& wall, double limit, std::optional<int> count) {
  const auto shape = std::make_shared<const Profile>(wall);
  const double length = wall.length_mm();
  const auto made = [&](int n) {
    // A wall's corners would tear the levels apart, so the opening is the mean over a short way.
    const double way = std::min(kPi * shape->widest_mm() / n / 2.0, length / 20.0);
    const Levels levels = [shape, way, length](double s) -> PaperLevel {
      const double low = std::max(s - way, 0.0), high = std::min(s + way, length);
      return {shape->radius_mm(s), (shape->radius_mm(high) - shape->radius_mm(low)) / (high - low)};
    };
    return Gores{n, levels, edge_strain(levels, length, kPi / n).mean};
  };
  if (count) return made(*count);
  for (int n = kFewestGores; n <= kMostParts; ++n) {
    Gores gores = made(n);
    if (gores.strain <= limit) return gores;
  }
  refuse_too_many("gores", limit);
}

FittedRibs fit_ribs(const Surface& patch, double limit, std::optional<int> count) {
  const auto shape = std::make_shared<const Profile>(*patch.profile());
  FittedRibs out;
  Ribs& ribs = out.ribs;
  ribs.axis_across = patch.axis_across();
  ribs.length_mm = shape->length_mm();
  ribs.width_mm = ribs.axis_across ? patch.along_mm() : patch.width_mm(0.0);
  const double middle = ribs.length_mm / 2.0;
  ribs.middle_radius_mm = shape->radius_mm(middle);
  ribs.slits = shape->radius_mm(0.0) > ribs.middle_radius_mm;
  // The middle stays whole: no narrower on paper up to `whole`, then catching up with the wall's
  // own opening by a few times that. The longer this takes the less strain it causes at the edges
  // of the ribs, but the less of the middle stays whole.
  const auto levels_of = [shape, middle](double whole) -> Levels {
    const double caught = std::min(kCatchUp * whole, middle);
    const double at_caught = shape->slope(middle + caught);
    const double run = caught - std::min(whole, caught);
    const double radius = shape->radius_mm(middle);
    const double more = radius + at_caught * run / 2.0 - shape->radius_mm(middle + caught);
    return [=](double s) -> PaperLevel {
      const double t = std::abs(s - middle);
      const double side = s < middle ? -1.0 : 1.0;
      if (t <= whole) return {radius, 0.0};
      if (t < caught) {
        const double in = (t - whole) / run;
        return {radius + at_caught * run * in * in / 2.0, side * at_caught * in};
      }
      return {shape->radius_mm(middle + t) + more, side * shape->slope(middle + t)};
    };
  };
  const auto across_strain = [&](double whole) {
    const Levels levels = levels_of(whole);
    double worst = 0.0;
    for (int i = 0; i <= kSamples; ++i) {
      const double s = middle + middle * i / kSamples;
      worst = std::max(worst, std::abs(shape->radius_mm(s) / levels(s).radius_mm - 1.0));
    }
    return worst;
  };
  double whole = middle;
  if (across_strain(whole) > limit) {
    double low = 0.0;
    for (int i = 0; i < 40; ++i) {
      const double tried = (low + whole) / 2.0;
      (across_strain(tried) <= limit ? low : whole) = tried;
    }
    whole = low;
  }
  ribs.whole_mm = whole;
  ribs.levels = levels_of(whole);
  const double across = across_strain(whole);
  for (int n = count.value_or(1); n <= kMostParts; ++n) {
    ribs.count = n;
    const double angle = ribs.rib_width_mm() / 2.0 / ribs.middle_radius_mm;
    const double edge = edge_strain(ribs.levels, ribs.length_mm, angle).largest;
    out.strain = std::max(edge, across);
    if (count || edge <= limit) return out;
  }
  refuse_too_many("strips", limit);
}

}  // namespace underdraw
