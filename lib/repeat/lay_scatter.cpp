#include "repeat/lay_scatter.h"

#include <algorithm>

#include <fmt/format.h>

#include "core/error.h"
#include "repeat/on_face.h"

namespace underdraw {
namespace {

constexpr double kDenseShare = 0.6;  // of the face that outlines with half their gap fill, about

// The motif list once: mirroring is the scatter's own business.
std::vector<const Copy*> kinds_of(const RepeatJob& job) {
  std::vector<const Copy*> kinds;
  for (const Copy& copy : job.unit) {
    if (!copy.change.mirrored) kinds.push_back(&copy);
  }
  return kinds;
}

ScatterOptions options_of(const RepeatJob& job) {
  ScatterOptions options;
  options.gap_mm = job.gap;
  options.edge_mm = job.edge;
  if (job.asked.coverage_percent) options.coverage = *job.asked.coverage_percent / 100.0;
  if (!job.asked.turn_free) options.turn_limit_deg = std::min(180.0, std::abs(job.asked.turn_deg));
  options.seed = job.asked.seed;
  return options;
}

// Before the search: it would not end in a person's time.
void check_count(const RepeatJob& job,
                 const Surface& surface,
                 const std::vector<ScatterKind>& kinds,
                 const ScatterOptions& options) {
  double weights = 0.0;
  double taken = 0.0;  // by one copy of each kind and size, in the mean
  for (const ScatterKind& kind : kinds) {
    double of_kind = 0.0;
    for (const double scale : kind.scales) {
      const Rings outline = transformed(kind.outline, Affine::scale(scale));
      of_kind +=
          covered_area(options.coverage ? outline : outlines_grown(outline, options.gap_mm / 2.0));
    }
    weights += kind.weight;
    taken += kind.weight * of_kind / static_cast<double>(kind.scales.size());
  }
  const double share = options.coverage.value_or(kDenseShare);
  const double copies = share * surface.area_mm2() * weights / taken;
  if (copies <= static_cast<double>(kMostCopies)) return;
  refuse_arrangement(job.asked,
                     fmt::format("there is room for about {:.0f} copies", copies),
                     fmt::format("at most {}", kMostCopies),
                     "ask for a larger height or gap, or for less coverage");
}

}  // namespace

LaidCopies lay_scatter(const RepeatJob& job,
                       const Surface& surface,
                       const std::vector<ScatterObstacle>& obstacles) {
  const std::vector<const Copy*> copies = kinds_of(job);
  std::vector<ScatterKind> kinds;
  for (std::size_t i = 0; i < copies.size(); ++i) {
    const Copy& copy = *copies[i];
    ScatterKind kind;
    kind.outline = transformed(*copy.silhouette, Affine::translate(-copy.motif->centre()));
    kind.mirror = job.asked.mirror != Mirroring::none;
    const std::vector<double>& weights = job.asked.weights;
    if (!weights.empty()) kind.weight = weights.size() == 1 ? weights[0] : weights[i];
    kind.scales = {copy.change.scale};
    for (const double percent : job.asked.sizes_percent) {
      kind.scales.push_back(copy.change.scale * percent / 100.0);
    }
    kinds.push_back(std::move(kind));
  }
  const ScatterOptions options = options_of(job);
  check_count(job, surface, kinds, options);
  Scattering strewn = [&] {
    try {
      return scatter(surface, obstacles, kinds, options);
    } catch (const GeometryError& error) {
      const Complaint& c = error.complaint();
      refuse_arrangement(job.asked, c.found, c.expected, c.remedy);
    }
  }();
  LaidCopies out;
  out.rows = 1;
  out.gap_mm = strewn.report.smallest_gap_mm;
  out.warnings = std::move(strewn.report.warnings);
  for (const ScatterCopy& placed : strewn.copies) {
    Copy copy = *copies[static_cast<std::size_t>(placed.kind)];
    copy.change = placed.change;
    out.copies.push_back({copy, placed.at});
  }
  return out;
}

SpacingQuality scatter_quality(const RepeatJob& job,
                               const Surface& surface,
                               const std::vector<LaidCopy>& copies,
                               const std::vector<ScatterObstacle>& obstacles) {
  std::vector<SpacedShape> shapes;
  for (const LaidCopy& copy : copies) {
    const auto motif =
        std::find(job.asked.motifs.begin(), job.asked.motifs.end(), copy.copy.motif->name);
    const auto kin = 2 * (motif - job.asked.motifs.begin()) + (copy.copy.change.mirrored ? 1 : 0);
    shapes.push_back({on_face(surface, copy.at, copy.copy.shape()), static_cast<int>(kin)});
  }
  std::vector<Rings> blocked;
  for (const ScatterObstacle& obstacle : obstacles) blocked.push_back(obstacle.shape);
  return spacing_quality(spaced_plane_of(surface, shapes, blocked, job.edge));
}

std::vector<std::string> quality_words(const SpacingQuality& q) {
  return {fmt::format("gaps between outlines: {:.1f} mm at least, {:.1f} mm in the middle of all",
                      q.smallest_gap_mm,
                      q.median_gap_mm),
          fmt::format(
              "evenness: distances to the nearest vary by {:.0f} %, ink by {:.0f} % from stripe "
              "to stripe; largest empty spot {:.1f} mm, {:.1f} motif radii; {}",
              100.0 * q.nearest_cv,
              100.0 * q.profile_variation,
              q.empty_mm,
              q.empty_radii,
              q.corridor_mm < 0.05
                  ? "no straight way through without ink"
                  : fmt::format("widest straight way through {:.1f} mm", q.corridor_mm)),
          fmt::format("{:.0f} % have a nearest neighbour of the same variant",
                      100.0 * q.same_neighbour_share)};
}

}  // namespace underdraw
