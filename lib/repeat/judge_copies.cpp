#include "repeat/judge_copies.h"

#include <algorithm>
#include <cmath>

#include <fmt/format.h>

#include "core/parallel.h"
#include "piece/creasing.h"
#include "piece/dart_lines.h"

namespace underdraw {
namespace {

constexpr std::size_t kMostNumbers = 12;  // named one by one in a warning
constexpr double kPaperMm = 1.5;          // round a drawing: darts begin inside the cut line
constexpr double kBayMm = 8.0;            // half as wide as a bay that scissors go into

Creasing crease(const Surface& surface, const MotifShapes& shapes, Placement& placement) {
  const CreasingOptions limit;
  const std::size_t index = shapes.index_of(placement.motif);
  const Motif& motif = shapes.motifs[index];
  const Affine copy_from_motif = placement.copy_from_motif(motif);
  const Rings outline = transformed(shapes.silhouettes[index], copy_from_motif);
  double reach = 0.0;
  for (const auto& ring : outline) {
    for (const Vec2 p : ring) reach = std::max(reach, length(p));
  }
  const Creasing creasing = creasing_at(surface, placement.at, reach, limit);
  placement.strain_percent = creasing.strain_percent;
  if (!creasing.flat) {
    // The paper goes a little round the drawing and fills its bays.
    const Rings paper =
        outlines_grown(outlines_grown(outline, kBayMm + kPaperMm, 0.05), -kBayMm, 0.05);
    placement.darts = dart_lines(transformed(motif.lines, copy_from_motif),
                                 paper,
                                 creasing.curvature_per_mm2,
                                 {.strain_limit_percent = limit.strain_limit_percent})
                          .cuts;
  }
  return creasing;
}

std::string numbers_of(const std::vector<int>& ids) {
  std::string text = ids.size() == 1 ? "number " : "numbers ";
  for (std::size_t i = 0; i < ids.size() && i < kMostNumbers; ++i) {
    text += fmt::format("{}{}", i > 0 ? ", " : "", ids[i]);
  }
  if (ids.size() > kMostNumbers) text += fmt::format(" and {} more", ids.size() - kMostNumbers);
  return text;
}

}  // namespace

Verdict judge_creasing(const Surface& surface,
                       const MotifShapes& shapes,
                       std::span<Placement> placements) {
  Verdict verdict;
  if (surface.developable() || placements.empty()) return verdict;
  std::vector<Creasing> creasings(placements.size());
  parallel_for(placements.size(),
               [&](std::size_t i) { creasings[i] = crease(surface, shapes, placements[i]); });
  const auto worst = std::max_element(
      creasings.begin(), creasings.end(), [](const Creasing& a, const Creasing& b) {
        return std::abs(a.strain_percent) < std::abs(b.strain_percent);
      });
  const auto creased =
      std::count_if(creasings.begin(), creasings.end(), [](const Creasing& c) { return !c.flat; });
  const std::string strain = fmt::format("the paper's edge is up to {:.1f} % too {}",
                                         std::abs(worst->strain_percent),
                                         worst->strain_percent > 0.0 ? "long" : "short");
  if (creased == 0) {
    verdict.notes.push_back(strain + ": every copy lies flat");
    return verdict;
  }
  const bool darts = std::any_of(
      placements.begin(), placements.end(), [](const Placement& p) { return !p.darts.empty(); });
  verdict.warnings.push_back(
      fmt::format("{} cop{} too large to lie flat: {}; up to {:.0f} mm across lies flat there, "
                  "{:.0f} % of this size. {} smaller height",
                  creased,
                  creased == 1 ? "y is" : "ies are",
                  strain,
                  worst->largest_flat_mm.value_or(0.0),
                  100.0 * worst->scale_that_fits.value_or(1.0),
                  darts ? "Cut along the dashed lines, or ask for a" : "Ask for a"));
  return verdict;
}

std::vector<LineDetail> details_of(const std::vector<Motif>& motifs, const LineTool& tool) {
  std::vector<LineDetail> details(motifs.size());
  parallel_for(motifs.size(),
               [&](std::size_t i) { details[i] = line_detail(motifs[i].lines, tool); });
  return details;
}

Verdict judge_detail(const MotifShapes& shapes,
                     const std::vector<LineDetail>& details,
                     std::span<Placement> placements) {
  Verdict verdict;
  std::vector<std::vector<int>> too_fine(shapes.motifs.size());
  for (Placement& placement : placements) {
    const std::size_t index = shapes.index_of(placement.motif);
    placement.too_fine = !details[index].reads_at(placement.change.scale);
    if (placement.too_fine) too_fine[index].push_back(placement.id);
  }
  for (std::size_t i = 0; i < too_fine.size(); ++i) {
    if (too_fine[i].empty()) continue;
    const Motif& motif = shapes.motifs[i];
    verdict.warnings.push_back(
        fmt::format("{} is too fine for the pen at this size ({}): {} as drawn; it reads from "
                    "{:.0f} mm high when the lines go on",
                    motif.name,
                    numbers_of(too_fine[i]),
                    details[i].reason,
                    std::ceil(motif.height_mm * details[i].least_scale)));
  }
  return verdict;
}

}  // namespace underdraw
