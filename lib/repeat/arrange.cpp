#include "repeat/arrange.h"

#include <algorithm>
#include <cmath>
#include <map>

#include <fmt/format.h>

#include "core/error.h"
#include "core/parallel.h"
#include "motif/vary.h"
#include "repeat/row_fit.h"
#include "repeat/touching.h"

namespace underdraw {
namespace {

constexpr double kSlack = 1e-6;    // mm: a motif exactly as high as its face fits
constexpr int kMostCopies = 5000;  // above this nobody places by hand

double rounded(double value, double step) { return std::round(value / step) * step; }

[[noreturn]] void refuse(const Arrangement& asked,
                         std::string found,
                         std::string expected,
                         std::string remedy) {
  throw GeometryError(
      {.file = {},
       .line = asked.line > 0 ? std::optional(asked.line) : std::nullopt,
       .found = fmt::format("{} on '{}': {}", name_of(asked.style), asked.face, found),
       .expected = std::move(expected),
       .remedy = std::move(remedy)});
}

// One member of the unit that is repeated.
struct Copy {
  const Motif* motif;
  const Rings* shape;
  Change change;
  double width() const { return motif->width_mm * change.scale; }
  double height() const { return motif->height_mm * change.scale; }
};

struct Shapes {
  const std::vector<Motif>& motifs;
  std::vector<Rings> silhouettes;  // of the motifs, motif frame
};

// Lengths at the stage when the lines go on.
struct Asked {
  const Arrangement& asked;
  std::vector<Copy> unit;
  double gap = 0.0;
  double row_gap = 0.0;
  double tallest = 0.0;
  double ink_width = 0.0;  // of the unit
  double transfer_from_finished = 1.0;

  // Height to state under [[arrange]] so that lengths shrink by `share`, rounded down to 0.1 mm.
  std::string height_for(double share) const {
    const double height = tallest * share / transfer_from_finished;
    return height < 1.0 ? "no height of 1 mm or more fits"
                        : fmt::format("the largest height that fits is {:.1f}",
                                      std::floor(height * 10.0 + 1e-6) / 10.0);
  }
};

std::vector<Copy> unit_of(const Arrangement& asked, const Shapes& shapes, double from_finished) {
  const auto copy_of = [&](const std::string& name, bool mirrored) {
    for (std::size_t i = 0; i < shapes.motifs.size(); ++i) {
      const Motif& motif = shapes.motifs[i];
      if (motif.name != name) continue;
      const double finished = asked.height_mm ? *asked.height_mm / motif.height_mm : 1.0;
      return Copy{
          &motif, &shapes.silhouettes[i], {mirrored, 0.0, rounded(finished * from_finished, 1e-9)}};
    }
    refuse(asked,
           fmt::format("no motif is named '{}'", name),
           "a motif of the pages",
           "check the name");
  };
  std::vector<Copy> unit;
  for (const std::string& name : asked.motifs) {
    unit.push_back(copy_of(name, false));
    if (asked.mirror == Mirroring::both) unit.push_back(copy_of(name, true));
  }
  if (asked.mirror == Mirroring::alternate) {
    for (const std::string& name : asked.motifs) unit.push_back(copy_of(name, true));
  }
  return unit;
}

Asked prepared(const Arrangement& asked, const Shapes& shapes, const Clay& clay) {
  const double from_finished = clay.transfer_from_finished();
  if (asked.motifs.empty()) refuse(asked, "no motif is named", "at least one", "add motifs");
  if (asked.height_mm) require_between(*asked.height_mm, 1.0, 5000.0, "height", "mm");
  const double gap = asked.gap_mm.value_or(kDefaultGapMm);
  const double row_gap = asked.row_gap_mm.value_or(gap);
  require_between(gap, 0.0, 5000.0, "gap", "mm");
  require_between(row_gap, 0.0, 5000.0, "row_gap", "mm");
  Asked out{asked, unit_of(asked, shapes, from_finished)};
  out.gap = gap * from_finished;
  out.row_gap = row_gap * from_finished;
  out.transfer_from_finished = from_finished;
  for (const Copy& copy : out.unit) {
    out.tallest = std::max(out.tallest, copy.height());
    out.ink_width += copy.width();
  }
  return out;
}

struct Row {
  int repeats = 0;
  double gap = 0.0;
  std::vector<double> centres;  // x
};

// Style centre: the unit once, side by side about the middle; on a round face opposite the tick.
Row centred_row(const Asked& job, const FaceTemplate& flat) {
  const double between = flat.closes_round ? static_cast<double>(job.unit.size())
                                           : static_cast<double>(job.unit.size()) - 1.0;
  const double needed = job.ink_width + between * job.gap;
  if (needed > flat.width_mm + kSlack) {
    refuse(job.asked,
           fmt::format("{} copies side by side need {:.1f} mm", job.unit.size(), needed),
           fmt::format("at most {:.1f} mm, the face's width", flat.width_mm),
           job.height_for((flat.width_mm - between * job.gap) / job.ink_width));
  }
  Row row{1, job.gap, {}};
  double left =
      (flat.width_mm - job.ink_width - (static_cast<double>(job.unit.size()) - 1.0) * job.gap) /
      2.0;
  for (const Copy& copy : job.unit) {
    row.centres.push_back(left + copy.width() / 2.0);
    left += copy.width() + job.gap;
  }
  return row;
}

Row closed_row(const Asked& job, const FaceTemplate& flat) {
  RowRequest request{flat.width_mm, {}, job.gap};
  for (const Copy& copy : job.unit) request.widths_mm.push_back(copy.width());
  RowFit fit = fit_row(request);
  if (fit.repeats == 0) {
    const double gaps = static_cast<double>(job.unit.size()) * job.gap;
    refuse(job.asked,
           fmt::format(
               "one repeat of {} copies needs {:.1f} mm", job.unit.size(), job.ink_width + gaps),
           fmt::format("at most {:.1f} mm, {}",
                       flat.width_mm,
                       flat.closes_round ? "the circumference" : "the face's width"),
           job.height_for((flat.width_mm - gaps) / job.ink_width) + ", or ask for a smaller gap");
  }
  return {fit.repeats, fit.gap_mm, std::move(fit.centres_mm)};
}

struct RowPlaces {
  std::vector<double> middles;  // y
  double gap = 0.0;
};

RowPlaces row_places(const Asked& job, const FaceTemplate& flat, double transfer_from_measured) {
  const double height = flat.height_mm;
  if (job.tallest > height + kSlack) {
    refuse(job.asked,
           fmt::format("the motifs are {:.1f} mm high when the lines go on", job.tallest),
           fmt::format("at most {:.1f} mm, the face's height", height),
           job.height_for(height / job.tallest));
  }
  if (job.asked.style == Style::rows) {
    const double pitch = job.tallest + job.row_gap;
    // One row needs no gap above or below.
    const int most = std::max(1, static_cast<int>(std::floor(height / pitch * (1.0 + 1e-9))));
    const int count = job.asked.rows.value_or(most);
    require_between(count, 1, kMostCopies, "rows", "");
    if (count > most) {
      refuse(job.asked,
             fmt::format("{} rows need {:.1f} mm", count, count * pitch),
             fmt::format("at most {:.1f} mm, the face's height", height),
             fmt::format("ask for {} rows, or {}",
                         most,
                         job.height_for((height / count - job.row_gap) / job.tallest)));
    }
    RowPlaces places;
    places.gap = count > 1 ? height / count - job.tallest : 0.0;
    for (int r = 0; r < count; ++r) places.middles.push_back((r + 0.5) * height / count);
    return places;
  }
  if (!job.asked.at_mm) return {{height / 2.0}, 0.0};
  const double at = *job.asked.at_mm * transfer_from_measured;
  const double middle = flat.closes_round ? height - at : at;
  if (middle - job.tallest / 2.0 < -kSlack || middle + job.tallest / 2.0 > height + kSlack) {
    const double low = job.tallest / 2.0 / transfer_from_measured;
    refuse(job.asked,
           fmt::format("at = {:.6g} puts motifs {:.1f} mm high over the edge of the face",
                       *job.asked.at_mm,
                       job.tallest / transfer_from_measured),
           fmt::format("at from {:.1f} to {:.1f}", low, height / transfer_from_measured - low),
           "move the band or ask for a smaller height");
  }
  return {{middle}, 0.0};
}

// The centre as it will be written, so that what is checked is what is written.
Vec2 written_centre(const FaceTemplate& flat, Vec2 centre) {
  FacePoint point = flat.face_from_template(centre);
  point.across = rounded(point.across, flat.closes_round ? kPlacementStepDeg : kPlacementStepMm);
  point.along = rounded(point.along, kPlacementStepMm);
  return flat.template_from_face(point);
}

// Largest difference between the gaps of one row, the one over the seam included.
double gap_spread(const std::vector<Vec2>& centres,
                  const std::vector<Copy>& unit,
                  const FaceTemplate& flat) {
  double least = std::numeric_limits<double>::infinity();
  double most = -least;
  const auto note = [&](double gap) {
    least = std::min(least, gap);
    most = std::max(most, gap);
  };
  const auto half = [&](std::size_t i) { return unit[i % unit.size()].width() / 2.0; };
  for (std::size_t i = 1; i < centres.size(); ++i) {
    note(centres[i].x - half(i) - centres[i - 1].x - half(i - 1));
  }
  if (flat.closes_round && !centres.empty()) {
    const std::size_t last = centres.size() - 1;
    note(centres.front().x + flat.width_mm - half(0) - centres[last].x - half(last));
  }
  return most > least ? most - least : 0.0;
}

struct Zone {
  Rings shape;
  std::string why;
};

std::vector<Zone> zones_of(const Face& face,
                           const FaceTemplate& flat,
                           double transfer_from_measured) {
  std::vector<Zone> zones;
  for (const KeepOut& zone : face.keep_out) {
    for (const Box& box : flat.boxes_of(zone, transfer_from_measured)) {
      zones.push_back({ring_of(box), zone.why.empty() ? "keep-out" : zone.why});
    }
  }
  return zones;
}

std::vector<std::string> notes_of(const Asked& job, const Clay& clay, const FitReport& report) {
  std::vector<std::string> notes = {clay.explained()};
  std::vector<const Motif*> told;
  for (const Copy& copy : job.unit) {
    if (std::find(told.begin(), told.end(), copy.motif) != told.end()) continue;
    told.push_back(copy.motif);
    const double k = job.transfer_from_finished;
    notes.push_back(fmt::format(
        "{}: drawn {:.1f} x {:.1f} mm, finished {:.1f} x {:.1f} mm, so {:.2f} x {:.2f} mm when the "
        "lines go on",
        copy.motif->name,
        copy.motif->width_mm,
        copy.motif->height_mm,
        copy.width() / k,
        copy.height() / k,
        copy.width(),
        copy.height()));
  }
  if (report.copies + report.left_out > 1) {
    notes.push_back(fmt::format("gap {:.2f} mm when the lines go on, {:.2f} mm finished",
                                report.gap_mm,
                                report.gap_finished_mm));
  }
  return notes;
}

void check_gaps(const Asked& job,
                const Row& row,
                const RowPlaces& places,
                const ArrangeOptions& options) {
  const bool neighbours = row.centres.size() > 1;
  if (neighbours && row.gap < options.least_gap_mm - kSlack) {
    refuse(job.asked,
           fmt::format("neighbours come {:.2f} mm close", row.gap),
           fmt::format("at least {:.2f} mm, the closest that two lines may come",
                       options.least_gap_mm),
           "ask for a larger gap");
  }
  if (places.middles.size() > 1 && places.gap < options.least_gap_mm - kSlack) {
    refuse(job.asked,
           fmt::format("rows come {:.2f} mm close", places.gap),
           fmt::format("at least {:.2f} mm, the closest that two lines may come",
                       options.least_gap_mm),
           "ask for a larger row_gap");
  }
  if (row.centres.size() * places.middles.size() > static_cast<std::size_t>(kMostCopies)) {
    refuse(job.asked,
           fmt::format("makes {} copies", row.centres.size() * places.middles.size()),
           fmt::format("at most {}", kMostCopies),
           "ask for a larger height or gap");
  }
}

struct Placed {
  Placement placement;
  Rings shape;  // template frame
  std::size_t arrangement;
};

class FaceFiller {
 public:
  FaceFiller(const Face& face,
             const Shapes& shapes,
             const Clay& clay,
             const ArrangeOptions& options)
      : shapes_(shapes), clay_(clay), options_(options), face_(face) {
    out_.name = face.name;
    out_.form = name_of(face.form);
    out_.flat = face_template(face, clay.transfer_from_measured());
    out_.flat.width_mm = rounded(out_.flat.width_mm, kPlacementStepMm);
    out_.flat.height_mm = rounded(out_.flat.height_mm, kPlacementStepMm);
  }

  void add(const Arrangement& asked, int& next_id) {
    const FaceTemplate& flat = out_.flat;
    const Asked job = prepared(asked, shapes_, clay_);
    const RowPlaces places = row_places(job, flat, clay_.transfer_from_measured());
    const Row row = asked.style == Style::centre ? centred_row(job, flat) : closed_row(job, flat);
    check_gaps(job, row, places, options_);

    FitReport report;
    report.style = name_of(asked.style);
    report.motifs = asked.motifs;
    report.mirror = name_of(asked.mirror);
    report.repeats = row.repeats;
    report.rows = static_cast<int>(places.middles.size());
    report.gap_mm = row.gap;
    report.gap_finished_mm = row.gap / job.transfer_from_finished;
    report.row_gap_mm = places.gap;
    if (!flat.closes_round)
      report.end_gap_mm = row.centres.front() - job.unit.front().width() / 2.0;

    const std::vector<Zone> zones = zones_of(face_, flat, clay_.transfer_from_measured());
    std::map<std::string, int> left_out;  // why, how many
    double area = 0.0;
    for (const double middle : places.middles) {
      std::vector<Vec2> centres;
      for (std::size_t i = 0; i < row.centres.size(); ++i) {
        const Copy& copy = job.unit[i % job.unit.size()];
        centres.push_back(written_centre(flat, {row.centres[i], middle}));
        Placement placement{0,
                            copy.motif->name,
                            variant_name(copy.motif->name, {.mirrored = copy.change.mirrored}),
                            copy.change,
                            centres.back()};
        Rings shape = transformed(*copy.shape, placement.template_from_motif(*copy.motif));
        const auto zone = std::find_if(
            zones.begin(), zones.end(), [&](const Zone& z) { return touching(z.shape, shape); });
        if (zone != zones.end()) {
          ++report.left_out;
          ++left_out[zone->why];
          continue;
        }
        placement.id = next_id++;
        ++report.copies;
        for (const auto& ring : shape) area += signed_area(ring);
        placed_.push_back({std::move(placement), std::move(shape), out_.reports.size()});
      }
      // Style centre leaves the rest of a round face free: its ends have no gap to keep.
      FaceTemplate open = flat;
      open.closes_round = flat.closes_round && asked.style != Style::centre;
      report.seam_error_mm = std::max(report.seam_error_mm, gap_spread(centres, job.unit, open));
    }
    report.coverage = area / flat.area_mm2();
    report.notes = notes_of(job, clay_, report);
    for (const auto& [why, count] : left_out) {
      report.warnings.push_back(
          fmt::format("{} cop{} left out: {}", count, count == 1 ? "y" : "ies", why));
    }
    if (report.copies == 0)
      report.warnings.push_back("nothing is left: move the band or the zones");
    out_.coverage += report.coverage;
    out_.reports.push_back(std::move(report));
  }

  PlacedFace finish() {
    warn_of_overlaps();
    for (Placed& placed : placed_) out_.placements.push_back(std::move(placed.placement));
    return std::move(out_);
  }

 private:
  // Within one arrangement the gaps keep copies apart; between two nothing does.
  void warn_of_overlaps() {
    std::vector<std::string> pairs;
    for (std::size_t a = 0; a < placed_.size(); ++a) {
      for (std::size_t b = a + 1; b < placed_.size(); ++b) {
        if (placed_[a].arrangement == placed_[b].arrangement) continue;
        if (!touching(placed_[a].shape, placed_[b].shape)) continue;
        pairs.push_back(fmt::format("{} and {}", placed_[a].placement.id, placed_[b].placement.id));
      }
    }
    if (pairs.empty()) return;
    out_.reports.back().warnings.push_back(
        fmt::format("{} pair{} of copies overlap with another arrangement, first {}",
                    pairs.size(),
                    pairs.size() == 1 ? "" : "s",
                    pairs.front()));
  }

  const Shapes& shapes_;
  const Clay& clay_;
  const ArrangeOptions& options_;
  const Face& face_;
  PlacedFace out_;
  std::vector<Placed> placed_;
};

}  // namespace

void ArrangeOptions::validate() const {
  require_between(least_gap_mm, 0.0, 50.0, "least_gap_mm", "mm");
}

std::vector<PlacedFace> arrange(const std::vector<Face>& faces,
                                const std::vector<Arrangement>& arrangements,
                                const std::vector<Motif>& motifs,
                                const Clay& clay,
                                const ArrangeOptions& options) {
  options.validate();
  for (const Arrangement& asked : arrangements) {
    const bool known = std::any_of(
        faces.begin(), faces.end(), [&](const Face& face) { return face.name == asked.face; });
    if (!known) refuse(asked, "there is no such face", "a face of the piece", "check the name");
  }
  Shapes shapes{motifs, std::vector<Rings>(motifs.size())};
  parallel_for(motifs.size(), [&](std::size_t i) {
    shapes.silhouettes[i] = silhouette(motifs[i].lines, {.tolerance_mm = 0.02});
  });
  std::vector<PlacedFace> out;
  int next_id = 1;
  for (const Face& face : faces) {
    FaceFiller filler(face, shapes, clay, options);
    for (const Arrangement& asked : arrangements) {
      if (asked.face == face.name) filler.add(asked, next_id);
    }
    out.push_back(filler.finish());
  }
  return out;
}

}  // namespace underdraw
