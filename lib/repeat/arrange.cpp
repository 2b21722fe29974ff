#include "repeat/arrange.h"

#include <algorithm>
#include <cmath>
#include <map>
#include <set>
#include <span>

#include <fmt/format.h>

#include "core/error.h"
#include "motif/vary.h"
#include "piece/readings.h"
#include "repeat/cut_copy.h"
#include "repeat/judge_copies.h"
#include "repeat/lay_ring.h"
#include "repeat/lay_rows.h"
#include "repeat/lay_scatter.h"
#include "repeat/on_face.h"

namespace underdraw {
namespace {

constexpr double kSlack = 1e-6;

std::vector<std::string> notes_of(const RepeatJob& job, const Clay& clay, const FitReport& report) {
  std::vector<std::string> notes = {clay.explained()};
  std::vector<const Motif*> told;
  for (const Copy& copy : job.unit) {
    if (std::find(told.begin(), told.end(), copy.motif) != told.end()) continue;
    told.push_back(copy.motif);
    const double scale = copy.change.scale;
    const double finished = scale / job.transfer_from_finished;
    notes.push_back(fmt::format(
        "{}: drawn {:.1f} x {:.1f} mm, finished {:.1f} x {:.1f} mm, so {:.2f} x {:.2f} mm when the "
        "lines go on",
        copy.motif->name,
        copy.motif->width_mm,
        copy.motif->height_mm,
        copy.motif->width_mm * finished,
        copy.motif->height_mm * finished,
        copy.motif->width_mm * scale,
        copy.motif->height_mm * scale));
  }
  if (report.copies + report.left_out > 1) {
    notes.push_back(fmt::format("gap {:.2f} mm when the lines go on, {:.2f} mm finished",
                                report.gap_mm,
                                report.gap_finished_mm));
  }
  return notes;
}

// In the fullest row.
int gaps_round(const LaidCopies& laid) {
  return std::max(1, static_cast<int>(laid.copies.size()) / std::max(1, laid.rows));
}

void check_gaps(const RepeatJob& job, const LaidCopies& laid, const ArrangeOptions& options) {
  if (job.asked.style == Style::scatter) return;  // keeps its own gap and count
  const bool neighbours = laid.copies.size() > static_cast<std::size_t>(laid.rows);
  if (neighbours && laid.gap_mm < options.least_gap_mm - kSlack) {
    refuse_arrangement(job.asked,
                       fmt::format("neighbours come {:.2f} mm close", laid.gap_mm),
                       fmt::format("at least {:.2f} mm, the closest that two lines may come",
                                   options.least_gap_mm),
                       "ask for a larger gap");
  }
  if (laid.rows > 1 && laid.row_gap_mm < options.least_gap_mm - kSlack) {
    refuse_arrangement(job.asked,
                       fmt::format("rows come {:.2f} mm close", laid.row_gap_mm),
                       fmt::format("at least {:.2f} mm, the closest that two lines may come",
                                   options.least_gap_mm),
                       "ask for a larger row_gap");
  }
  if (laid.copies.size() > kMostCopies) {
    refuse_arrangement(job.asked,
                       fmt::format("makes {} copies", laid.copies.size()),
                       fmt::format("at most {}", kMostCopies),
                       "ask for a larger height or gap");
  }
}

class FaceFiller {
 public:
  FaceFiller(const Face& face,
             const MotifShapes& shapes,
             const std::vector<LineDetail>& details,
             const Clay& clay,
             const ArrangeOptions& options)
      : shapes_(shapes),
        details_(details),
        clay_(clay),
        options_(options),
        out_{face,
             clay.transfer_from_measured(),
             surface_of(face, clay.transfer_from_measured()),
             {},
             {},
             0.0},
        taken_(out_.surface) {
    for (const KeepOut& zone : face.keep_out) {
      placed_.push_back(zone_on_face(out_.surface, zone));
      taken_.add(placed_.back(), reasons_.size());
      reasons_.push_back(zone.why.empty() ? "keep-out" : zone.why);
    }
    zones_ = placed_.size();
  }

  void add(const Arrangement& asked, int& next_id) {
    const RepeatJob job = repeat_job(asked, shapes_, clay_);
    const std::vector<ScatterObstacle> obstacles = obstacles_of(job);
    const LaidCopies laid = lay(job, obstacles);
    check_gaps(job, laid, options_);

    FitReport report;
    report.style = name_of(asked.style);
    report.motifs = asked.motifs;
    report.mirror = asked.frieze ? name_of(*asked.frieze) : name_of(asked.mirror);
    report.repeats = laid.repeats;
    report.rows = laid.rows;
    report.gap_mm = laid.gap_mm;
    report.gap_finished_mm = laid.gap_mm / job.transfer_from_finished;
    report.row_gap_mm = laid.row_gap_mm;
    report.end_gap_mm = laid.end_gap_mm;
    report.seam_error_mm = laid.seam_error_mm;

    const FaceRoom room(out_.surface, job.edge);
    const std::size_t first = out_.placements.size();
    std::map<std::string, int> left_out;  // why, how many
    std::vector<Rings> placed;
    double area = 0.0;
    for (const LaidCopy& copy : laid.copies) {
      const Rings paper = copy.copy.shape();
      Rings outline = on_face(out_.surface, copy.at, paper);
      // What is strewn has been held against all this already.
      const bool held = asked.behind || asked.style == Style::scatter;
      const std::string why = held ? "" : why_not(outline, room);
      if (!why.empty()) {
        ++report.left_out;
        ++left_out[why];
        continue;
      }
      Placement placement;
      placement.id = next_id++;
      placement.motif = copy.copy.motif->name;
      placement.change = copy.copy.change;
      Change variant = placement.change;
      variant.scale = 1.0;
      const bool own_turns = asked.style == Style::ring || asked.style == Style::scatter;
      if (own_turns) variant.turn_deg = 0.0;
      placement.variant = variant_name(placement.motif, variant);
      placement.at = copy.at;
      for (const auto& ring : paper) area += signed_area(ring);
      ++report.copies;
      out_.placements.push_back(std::move(placement));
      placed.push_back(std::move(outline));
    }
    if (!asked.behind) {
      for (Rings& outline : placed) {
        taken_.add(outline, reasons_.size());
        placed_.push_back(std::move(outline));
      }
    }
    reasons_.push_back(fmt::format("'{}' on this face came first", report.style));

    report.coverage = area / out_.surface.area_mm2();
    report.notes = notes_of(job, clay_, report);
    report.notes.insert(report.notes.end(), laid.notes.begin(), laid.notes.end());
    if (out_.surface.round() || !out_.surface.developable()) {
      report.notes.push_back(
          tape_effect(out_.face, gaps_round(laid), out_.transfer_from_measured).text);
    }
    if (asked.style == Style::scatter) {
      report.spacing = scatter_quality(job, out_.surface, laid.copies, obstacles);
      for (std::string& words : quality_words(*report.spacing)) {
        report.notes.push_back(std::move(words));
      }
    }
    report.warnings = laid.warnings;
    const std::set<std::string> zones(reasons_.begin(),
                                      reasons_.begin() + static_cast<std::ptrdiff_t>(zones_));
    judge(first, report);
    if (asked.behind) cut(asked, first, job.edge, report);
    for (const auto& [why, count] : left_out) {
      std::string words =
          fmt::format("{} cop{} left out: {}", count, count == 1 ? "y" : "ies", why);
      // A zone was asked for; an edge or another arrangement may come as a surprise.
      (zones.contains(why) ? report.notes : report.warnings).push_back(std::move(words));
    }
    if (report.copies == 0) {
      report.warnings.push_back("nothing is left: move the band or the zones");
    }
    out_.coverage += report.coverage;
    out_.reports.push_back(std::move(report));
  }

  PlacedFace finish() { return std::move(out_); }
  std::vector<Motif> take_cut_motifs() { return std::move(cut_motifs_); }

 private:
  LaidCopies lay(const RepeatJob& job, const std::vector<ScatterObstacle>& obstacles) const {
    if (job.asked.style == Style::ring) return lay_ring(job, out_.surface);
    if (job.asked.style == Style::scatter) return lay_scatter(job, out_.surface, obstacles);
    return lay_rows(job, out_.surface);
  }

  // Zones are kept clear of as they are, drawings with the gap.
  std::vector<ScatterObstacle> obstacles_of(const RepeatJob& job) const {
    std::vector<ScatterObstacle> obstacles;
    if (job.asked.style != Style::scatter || job.asked.behind) return obstacles;
    for (std::size_t i = 0; i < placed_.size(); ++i) {
      obstacles.push_back({placed_[i], i < zones_ ? 0.0 : job.gap});
    }
    return obstacles;
  }

  void judge(std::size_t first, FitReport& report) {
    const std::span<Placement> placed(out_.placements.begin() + static_cast<std::ptrdiff_t>(first),
                                      out_.placements.end());
    for (Verdict verdict :
         {judge_creasing(out_.surface, shapes_, placed), judge_detail(shapes_, details_, placed)}) {
      report.notes.insert(report.notes.end(), verdict.notes.begin(), verdict.notes.end());
      report.warnings.insert(
          report.warnings.end(), verdict.warnings.begin(), verdict.warnings.end());
    }
  }

  // Copies that lie behind what came before, and over the edge, become motifs of their own.
  void cut(const Arrangement& asked, std::size_t first, double edge, FitReport& report) {
    int cut_copies = 0;
    std::vector<Placement> kept;
    for (std::size_t i = first; i < out_.placements.size(); ++i) {
      Placement& placement = out_.placements[i];
      const Motif& motif = shapes_.motifs[shapes_.index_of(placement.motif)];
      const CutCopy done = cut_copy(out_.surface, taken_, motif, placement, asked.cut_gap_mm, edge);
      if (done.lines.empty()) {
        --report.copies;
        ++report.left_out;
        continue;
      }
      if (done.cut) {
        ++cut_copies;
        placement.cut_from = motif.name;
        placement.motif = fmt::format("{}-cut-{}", motif.name, placement.id);
        placement.variant = placement.motif;
        cut_motifs_.push_back(make_motif(
            placement.motif, done.lines, {{0.0, 0.0}, {motif.width_mm, motif.height_mm}}));
      }
      kept.push_back(std::move(placement));
    }
    out_.placements.resize(first);
    for (Placement& placement : kept) out_.placements.push_back(std::move(placement));
    if (cut_copies > 0) {
      report.notes.push_back(fmt::format("{} cop{} cut along what lies in front, {:g} mm from it",
                                         cut_copies,
                                         cut_copies == 1 ? "y" : "ies",
                                         asked.cut_gap_mm));
    }
  }

  // Why a copy cannot lie there; empty: it can.
  std::string why_not(const Rings& outline, const FaceRoom& room) const {
    if (!room.holds(outline)) return "over the edge of the face";
    const auto touched = taken_.touched(outline);
    return touched ? reasons_[*touched] : "";
  }

  const MotifShapes& shapes_;
  const std::vector<LineDetail>& details_;
  const Clay& clay_;
  const ArrangeOptions& options_;
  PlacedFace out_;
  TakenSpots taken_;
  std::vector<std::string> reasons_;  // by the tags of taken_
  std::vector<Rings> placed_;         // zones, then outlines that lie in front
  std::size_t zones_ = 0;
  std::vector<Motif> cut_motifs_;
};

}  // namespace

void ArrangeOptions::validate() const {
  require_between(least_gap_mm, 0.0, 50.0, "least_gap_mm", "mm");
  tool.validate();
}

Arranged arrange(const std::vector<Face>& faces,
                 const std::vector<Arrangement>& arrangements,
                 const std::vector<Motif>& motifs,
                 const Clay& clay,
                 const ArrangeOptions& options) {
  options.validate();
  for (const Arrangement& asked : arrangements) {
    const bool known = std::any_of(
        faces.begin(), faces.end(), [&](const Face& face) { return face.name == asked.face; });
    if (!known) {
      refuse_arrangement(asked, "there is no such face", "a face of the piece", "check the name");
    }
  }
  const MotifShapes shapes(motifs);
  const std::vector<LineDetail> details = details_of(motifs, options.tool);
  Arranged out{{}, motifs};
  int next_id = 1;
  for (const Face& face : faces) {
    FaceFiller filler(face, shapes, details, clay, options);
    for (const Arrangement& asked : arrangements) {
      if (asked.face == face.name) filler.add(asked, next_id);
    }
    for (Motif& motif : filler.take_cut_motifs()) out.motifs.push_back(std::move(motif));
    out.faces.push_back(filler.finish());
  }
  return out;
}

}  // namespace underdraw
