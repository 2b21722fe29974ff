#include "repeat/lay_ring.h"

#include <algorithm>
#include <cmath>
#include <numbers>

#include <fmt/format.h>

#include "core/error.h"
#include "repeat/row_fit.h"

namespace underdraw {

LaidCopies lay_ring(const RepeatJob& job, const Surface& surface) {
  const Arrangement& asked = job.asked;
  double inner = 0.0;
  for (const Copy& copy : job.unit) inner = std::max(inner, copy.box().max.y);
  const double radius = asked.radius_mm.value_or(0.0) * job.transfer_from_measured;
  if (!(radius > inner + 0.5)) {
    refuse_arrangement(
        asked,
        asked.radius_mm ? fmt::format("a radius of {:g} mm leaves no middle for "
                                      "motifs {:.1f} mm high",
                                      *asked.radius_mm,
                                      job.tallest())
                        : "no radius is stated",
        fmt::format("radius above {:.1f}", (inner + 0.5) / job.transfer_from_measured),
        "state radius, from the ring's middle to the middle of the motifs");
  }
  // Neighbours come closest at their feet, on the circle inside the ring.
  const double foot = radius - inner;
  RowRequest request{2.0 * std::numbers::pi * foot, {}, job.gap};
  for (const Copy& copy : job.unit) {
    const Box box = copy.box();
    const double half = std::max(-box.min.x, box.max.x);
    request.widths_mm.push_back(2.0 * foot * std::atan2(half, foot));
  }
  const int per_repeat = static_cast<int>(job.unit.size());
  if (asked.count && *asked.count % per_repeat != 0) refuse_count(asked, per_repeat);
  const RowFit most = fit_row(request);
  if (asked.count) request.repeats = *asked.count / per_repeat;
  const RowFit fit = fit_row(request);
  if (fit.repeats == 0) {
    refuse_arrangement(asked,
                       fmt::format("{} copies do not fit round a radius of {:g} mm",
                                   asked.count.value_or(per_repeat),
                                   *asked.radius_mm),
                       fmt::format("at most {}", most.repeats * per_repeat),
                       "ask for a larger radius, a smaller height or a smaller gap");
  }

  FacePoint middle{surface.round() ? 180.0 : surface.widest_mm() / 2.0, surface.along_mm() / 2.0};
  if (asked.centre) {
    middle = *asked.centre;
    middle.along *= job.transfer_from_measured;
    if (!surface.round()) middle.across *= job.transfer_from_measured;
  }
  LaidCopies out;
  out.repeats = fit.repeats;
  out.rows = 1;
  out.gap_mm = fit.gap_mm;
  const double first = fit.centres_mm.front();
  for (std::size_t i = 0; i < fit.centres_mm.size(); ++i) {
    const double turn = (fit.centres_mm[i] - first) / request.length_mm * 360.0;
    Copy copy = job.unit[i % job.unit.size()];
    copy.change.turn_deg = std::remainder(copy.change.turn_deg + turn, 360.0);
    const Vec2 outward = Affine::turn_deg(turn) * Vec2{0.0, -radius};
    out.copies.push_back({copy, as_written(surface, surface.laid(middle, outward))});
  }
  return out;
}

}  // namespace underdraw
