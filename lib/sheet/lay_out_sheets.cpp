#include "sheet/lay_out_sheets.h"

#include <map>
#include <optional>
#include <stdexcept>
#include <utility>

#include <fmt/format.h>

#include "core/error.h"
#include "core/listed.h"
#include "core/parallel.h"
#include "sheet/cut_out.h"
#include "sheet/draw_cover.h"
#include "sheet/pack_outlines.h"
#include "sheet/page_frame.h"
#include "sheet/sheet_lines.h"
#include "sheet/split_cut_out.h"

namespace underdraw {
namespace {

constexpr double kLeastLine = 0.1;    // thinner lines are lost by office printers
constexpr Grey kGuide{0.7};           // plain to see, and no ink to the proof
constexpr double kTolerance = 0.001;  // mm, of cut lines as polygons

Turns turns_of(CutOutTurn turn) {
  switch (turn) {
    case CutOutTurn::none:
      return Turns::none();
    case CutOutTurn::half:
      return Turns::half();
    case CutOutTurn::free:
      return Turns::any();
  }
  throw std::logic_error("unknown turn");
}

// The smallest of the named papers that has room, of the same family if one has: who prints on A4
// has A3 rather than Legal.
std::optional<std::string> larger_paper(const OutlineToPack& outline, const SheetOptions& options) {
  const auto iso = [](const PaperSize& p) { return p.name.front() == 'A'; };
  const auto rank = [&](const PaperSize& p) {
    return std::pair(iso(p) != iso(options.paper), p.width_mm * p.height_mm);
  };
  std::optional<PaperSize> best;
  for (const std::string& name : paper_names()) {
    SheetOptions other = options;
    other.paper = paper_size(name);
    if (!has_room(outline, frame_of(other).work)) continue;
    if (!best || rank(other.paper) < rank(*best)) best = other.paper;
  }
  if (!best) return std::nullopt;
  return best->name;
}

[[noreturn]] void refuse_too_large(const CutOut& cut_out,
                                   const OutlineToPack& outline,
                                   const SheetFrame& frame,
                                   const SheetOptions& options) {
  const std::optional<std::string> paper = larger_paper(outline, options);
  throw GeometryError(
      {.file = {},
       .line = {},
       .found = fmt::format(
           "placement {} ({}, {:.1f} mm high) needs {:.1f} x {:.1f} mm with its cut line",
           cut_out.placement,
           cut_out.motif,
           cut_out.height_mm,
           cut_out.area.width(),
           cut_out.area.height()),
       .expected = fmt::format("at most {:.1f} x {:.1f} mm on {} with margins of {:g} mm, or {} "
                               "parts of that",
                               std::max(0.0, frame.work.width()),
                               std::max(0.0, frame.work.height()),
                               options.paper.name,
                               options.margin_mm,
                               kMostParts),
       .remedy = paper ? fmt::format("print on {} or choose a smaller height", *paper)
                       : "choose larger paper or a smaller height"});
}

std::vector<PathMark> look_of(const SheetLines& lines) {
  std::vector<PathMark> look = linework_marks(lines.guide, kLeastLine, kGuide);
  for (PathMark& mark : linework_marks(lines.ink, kLeastLine)) look.push_back(std::move(mark));
  return look;
}

// Placements in parts, for the warning.
struct InParts {
  std::vector<std::string> numbers;
  std::size_t fewest = 0, most = 0;
  std::optional<OutlineToPack> largest;

  void add(int placement, std::size_t parts, const OutlineToPack& outline) {
    numbers.push_back(std::to_string(placement));
    fewest = numbers.size() == 1 ? parts : std::min(fewest, parts);
    most = std::max(most, parts);
    const auto size = [](const OutlineToPack& o) {
      const Box box = box_of(o.ring);
      return std::max(box.width(), box.height());
    };
    if (!largest || size(outline) > size(*largest)) largest = outline;
  }

  std::string warning(const SheetOptions& options) const {
    const std::optional<std::string> paper = larger_paper(*largest, options);
    const bool one = numbers.size() == 1;
    return fmt::format(
        "{} {} {} larger than a sheet of {} and {} in {} parts, to be joined by their crosses; {}",
        one ? "placement" : "placements",
        listed(numbers),
        one ? "is" : "are",
        options.paper.name,
        one ? "comes" : "come",
        fewest == most ? std::to_string(most) : fmt::format("{} to {}", fewest, most),
        paper ? fmt::format("{} would take {} whole", *paper, one ? "it" : "them")
              : "no paper that has a name would do");
  }
};

}  // namespace

SheetPlan lay_out_sheets(const std::string& piece,
                         const std::vector<PlacedFace>& faces,
                         const std::vector<Motif>& motifs,
                         const SheetOptions& options,
                         const CoverWords& cover) {
  options.validate();
  SheetPlan plan;
  plan.piece = piece;
  plan.options = options;
  plan.cover = cover;
  plan.frame = frame_of(options);
  plan.motifs = motifs;
  plan.faces = faces;
  double share = 0.0;
  InParts in_parts;
  std::map<std::string, Rings> ink;
  for (const PlacedFace& face : faces) {
    for (const Placement& placement : face.placements) {
      if (ink.contains(placement.motif)) continue;
      ink[placement.motif] = cut_out_ink(motif_named(motifs, placement.motif));
    }
  }
  for (const PlacedFace& face : faces) {
    std::vector<CutOut> cut_outs(face.placements.size());
    parallel_for(cut_outs.size(), [&](std::size_t i) {
      const Placement& placement = face.placements[i];
      cut_outs[i] = make_cut_out(
          face, placement, motif_named(motifs, placement.motif), ink.at(placement.motif), options);
    });
    std::vector<CutOut> pieces;  // cut-outs, and parts of those that are too large
    std::vector<OutlineToPack> outlines;
    const auto take = [&](const CutOut& cut_out) {
      outlines.push_back({flatten(cut_out.cut_line, kTolerance), turns_of(options.turn)});
      pieces.push_back(cut_out);
      return has_room(outlines.back(), plan.frame.work);
    };
    for (std::size_t i = 0; i < cut_outs.size(); ++i) {
      if (take(cut_outs[i])) continue;
      const OutlineToPack whole = outlines.back();
      outlines.pop_back();
      pieces.pop_back();
      const Placement& placement = face.placements[i];
      const std::optional<std::vector<CutOut>> parts =
          split_cut_out(face,
                        placement,
                        motif_named(motifs, placement.motif),
                        ink.at(placement.motif),
                        options,
                        {plan.frame.work.width(), plan.frame.work.height()});
      if (!parts || !std::all_of(parts->begin(), parts->end(), take)) {
        refuse_too_large(cut_outs[i], whole, plan.frame, options);
      }
      in_parts.add(placement.id, parts->size(), whole);
    }
    if (outlines.empty()) continue;
    const SheetsPacking packing =
        pack_on_sheets(outlines, {.room = plan.frame.work, .clearance_mm = options.spacing_mm});
    plan.least_sheets += packing.least_sheets;
    share += packing.share_used * static_cast<double>(packing.sheets);
    const std::size_t before = plan.sheets.size();
    plan.sheets.resize(before + packing.sheets, {face.face.name, {}});
    for (std::size_t i = 0; i < pieces.size(); ++i) {
      const auto& [sheet, place] = packing.places[i];
      plan.sheets[before + sheet].cut_outs.push_back(moved(pieces[i], place.room_from_outline()));
    }
  }
  if (!in_parts.numbers.empty()) plan.warnings.push_back(in_parts.warning(options));
  if (plan.sheets.empty()) {
    throw GeometryError({.file = {},
                         .line = {},
                         .found = "there is no placement to print",
                         .expected = {},
                         .remedy = "add an [[arrange]] table to piece.toml"});
  }
  plan.share_used = share / static_cast<double>(plan.sheets.size());
  plan.cover_pages = static_cast<int>(draw_cover(plan).size());
  return plan;
}

Drawing draw_sheet(const SheetPlan& plan, std::size_t index, LookOfMotifs& looks) {
  const SheetOptions& options = plan.options;
  const Sheet& sheet = plan.sheets.at(index);
  Drawing page{options.paper.width_mm, options.paper.height_mm, {}};
  const auto add = [&](const std::vector<Mark>& marks) {
    page.marks.insert(page.marks.end(), marks.begin(), marks.end());
  };
  add(head_marks(plan.frame,
                 {plan.piece,
                  fmt::format("{} · sheet {} of {}", sheet.face, index + 1, plan.sheets.size()),
                  flip_words(options.method),
                  fmt::format("· {} · {}{}",
                              method_words(options.method),
                              options.paper.name,
                              options.printer ? " · " + printer_words(*options.printer) : "")}));
  add(measure_marks(plan.frame));
  for (const CutOut& cut_out : sheet.cut_outs) {
    PathMark line;
    line.cut = true;
    line.paths = {cut_out.cut_line};
    line.line_width_mm = 0.2;
    line.line = {0.35};
    add({line});
    if (!cut_out.darts.empty()) {
      line.paths = cut_out.darts;
      line.dashes_mm = {1.6, 0.8};
      add({line});
    }
    add(cut_out.labels);
    const Motif& motif = motif_named(plan.motifs, cut_out.motif);
    if (cut_out.part) {
      const std::vector<PathMark> look = look_of(cut_out_lines(motif, cut_out, options));
      page.marks.insert(page.marks.end(), look.begin(), look.end());
      continue;
    }
    page.marks.emplace_back(
        looks.laid(cut_out.motif, cut_out.sheet_from_motif, [&](const Affine& look_from_motif) {
          return look_of(sheet_lines(motif, look_from_motif, options));
        }));
  }
  return page;
}

}  // namespace underdraw
