#include "repeat/unit_of_copies.h"

#include <algorithm>
#include <cmath>

#include <fmt/format.h>

#include "core/error.h"
#include "core/parallel.h"

namespace underdraw {
namespace {

constexpr double kScaleStep = 1e-9;  // as written

double height_of(const Arrangement& asked, std::size_t motif, double drawn) {
  if (asked.heights_mm.empty()) return drawn;
  return asked.heights_mm.size() == 1 ? asked.heights_mm.front() : asked.heights_mm[motif];
}

// The motif list once, as drawn.
std::vector<Copy> copies_as_drawn(const Arrangement& asked,
                                  const MotifShapes& shapes,
                                  double from_finished) {
  std::vector<Copy> list;
  for (std::size_t k = 0; k < asked.motifs.size(); ++k) {
    const std::size_t index = shapes.index_of(asked.motifs[k]);
    if (index == shapes.motifs.size()) {
      refuse_arrangement(asked,
                         fmt::format("no motif is named '{}'", asked.motifs[k]),
                         "a motif of the pages",
                         "check the name");
    }
    const Motif& motif = shapes.motifs[index];
    const double scale = height_of(asked, k, motif.height_mm) / motif.height_mm * from_finished;
    const double turn = asked.style == Style::scatter ? 0.0 : asked.turn_deg;
    list.push_back({&motif,
                    &shapes.silhouettes[index],
                    {false, turn, std::round(scale / kScaleStep) * kScaleStep}});
  }
  return list;
}

struct Image {
  bool mirrored = false;
  double turn_deg = 0.0;
  bool backwards = false;
};
constexpr Image kMirrored{true, 0.0, true};
constexpr Image kUpsideDown{true, 180.0, false};  // mirrored in the band's middle line
constexpr Image kHalfTurned{false, 180.0, true};

std::vector<Copy> image_of(std::vector<Copy> list, const Image& image) {
  for (Copy& copy : list) {
    if (image.mirrored) {
      copy.change.mirrored = !copy.change.mirrored;
      copy.change.turn_deg = -copy.change.turn_deg;
    }
    copy.change.turn_deg = std::remainder(copy.change.turn_deg + image.turn_deg, 360.0);
    if (copy.change.turn_deg == -180.0) copy.change.turn_deg = 180.0;
  }
  if (image.backwards) std::reverse(list.begin(), list.end());
  return list;
}

// Side by side, or one above the other.
std::vector<Copy> joined(std::vector<Copy> a, const std::vector<Copy>& b) {
  a.insert(a.end(), b.begin(), b.end());
  return a;
}
std::vector<Copy> stacked(std::vector<Copy> above, std::vector<Copy> below) {
  std::vector<Copy> out;
  for (std::size_t i = 0; i < above.size(); ++i) {
    above[i].storey = 1;
    below[i].storey = -1;
    out.push_back(above[i]);
    out.push_back(below[i]);
  }
  return out;
}

std::vector<Copy> frieze_unit(const std::vector<Copy>& list, Frieze frieze) {
  const std::vector<Copy> mirrored = image_of(list, kMirrored);
  const std::vector<Copy> flipped = image_of(list, kUpsideDown);
  const std::vector<Copy> turned = image_of(list, kHalfTurned);
  switch (frieze) {
    case Frieze::plain:
      return list;
    case Frieze::glide:
      return joined(list, flipped);
    case Frieze::mirror:
      return joined(list, mirrored);
    case Frieze::half_turn:
      return joined(list, turned);
    case Frieze::mirror_turn:
      return joined(joined(list, turned), joined(flipped, mirrored));
    case Frieze::reflect:
      return stacked(list, flipped);
    case Frieze::reflect_both:
      return stacked(joined(list, mirrored), joined(flipped, turned));
  }
  return list;
}

std::vector<Copy> mirrored_unit(const std::vector<Copy>& list, Mirroring mirroring) {
  // Lists of several motifs keep their order when mirrored: A B A' B'.
  constexpr Image kInOrder{true, 0.0, false};
  const std::vector<Copy> mirrored = image_of(list, kInOrder);
  if (mirroring == Mirroring::none) return list;
  if (mirroring == Mirroring::alternate) return joined(list, mirrored);
  std::vector<Copy> out;
  for (std::size_t i = 0; i < list.size(); ++i) {
    out.push_back(list[i]);
    out.push_back(mirrored[i]);
  }
  return out;
}

}  // namespace

MotifShapes::MotifShapes(const std::vector<Motif>& all) : motifs(all), silhouettes(all.size()) {
  parallel_for(all.size(), [&](std::size_t i) {
    silhouettes[i] = silhouette(all[i].lines, {.tolerance_mm = 0.02});
  });
}

std::size_t MotifShapes::index_of(const std::string& name) const {
  const auto at = std::find_if(
      motifs.begin(), motifs.end(), [&](const Motif& motif) { return motif.name == name; });
  return static_cast<std::size_t>(at - motifs.begin());
}

Copy Copy::times(double scale) const {
  Copy out = *this;
  out.change.scale *= scale;
  return out;
}

Rings Copy::shape() const { return transformed(*silhouette, change.copy_from_motif(*motif)); }

Box Copy::box() const {
  const double quarters = change.turn_deg / 180.0;
  if (quarters != std::floor(quarters)) return box_of(shape());
  const Vec2 half = Vec2{motif->width_mm, motif->height_mm} * (change.scale / 2.0);
  return {-half, half};
}

double RepeatJob::tallest() const {
  double tallest = 0.0;
  for (const Copy& copy : unit) tallest = std::max(tallest, copy.box().height());
  return tallest;
}

void refuse_arrangement(const Arrangement& asked,
                        const std::string& found,
                        std::string expected,
                        std::string remedy) {
  throw GeometryError(
      {.file = {},
       .line = asked.line > 0 ? std::optional(asked.line) : std::nullopt,
       .found = fmt::format("{} on '{}': {}", name_of(asked.style), asked.face, found),
       .expected = std::move(expected),
       .remedy = std::move(remedy)});
}

void refuse_count(const Arrangement& asked, int step) {
  const int below = *asked.count / step * step;
  refuse_arrangement(asked,
                     fmt::format("{} copies do not close", *asked.count),
                     step == 1 ? "" : fmt::format("a multiple of {}", step),
                     below > 0 ? fmt::format("ask for {} or {}", below, below + step)
                               : fmt::format("ask for {}", step));
}

RepeatJob repeat_job(const Arrangement& asked, const MotifShapes& shapes, const Clay& clay) {
  if (asked.motifs.empty()) {
    refuse_arrangement(asked, "no motif is named", "at least one", "add motifs");
  }
  const auto one_a_motif = [&](const std::vector<double>& list, const char* what) {
    if (list.size() <= 1 || list.size() == asked.motifs.size()) return;
    refuse_arrangement(
        asked,
        fmt::format("states {} {} for {} motifs", list.size(), what, asked.motifs.size()),
        "one, or one a motif",
        "state as many as there are motifs");
  };
  one_a_motif(asked.heights_mm, "heights");
  one_a_motif(asked.weights, "weights");
  for (const double height : asked.heights_mm) require_between(height, 1.0, 5000.0, "height", "mm");
  const double gap = asked.gap_mm.value_or(kDefaultGapMm);
  const double row_gap = asked.row_gap_mm.value_or(gap);
  require_between(gap, 0.0, 5000.0, "gap", "mm");
  require_between(row_gap, 0.0, 5000.0, "row_gap", "mm");
  require_between(asked.edge_mm, 0.0, 1000.0, "edge", "mm");

  const double from_finished = clay.transfer_from_finished();
  const std::vector<Copy> list = copies_as_drawn(asked, shapes, from_finished);
  RepeatJob job{
      asked, asked.frieze ? frieze_unit(list, *asked.frieze) : mirrored_unit(list, asked.mirror)};
  job.gap = gap * from_finished;
  job.row_gap = row_gap * from_finished;
  job.edge = asked.edge_mm * from_finished;
  job.transfer_from_finished = from_finished;
  job.transfer_from_measured = clay.transfer_from_measured();
  return job;
}

std::string height_that_fits(const RepeatJob& job, double share) {
  double drawn = 0.0;
  for (const Copy& copy : job.unit) {
    drawn = std::max(drawn, copy.motif->height_mm * copy.change.scale);
  }
  const double height = drawn * share / job.transfer_from_finished;
  return height < 1.0 ? "no height of 1 mm or more fits"
                      : fmt::format("the largest height that fits is {:.1f}",
                                    std::floor(height * 10.0 + 1e-6) / 10.0);
}

}  // namespace underdraw
