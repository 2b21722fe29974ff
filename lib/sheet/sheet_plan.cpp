#include "sheet/sheet_plan.h"

#include <algorithm>

#include <fmt/format.h>

#include "core/error.h"
#include "core/listed.h"

namespace underdraw {

const std::vector<std::string>& cut_out_turn_names() {
  static const std::vector<std::string> names = {"none", "half", "free"};
  return names;
}

CutOutTurn cut_out_turn(const std::string& name) {
  const std::vector<std::string>& names = cut_out_turn_names();
  const auto found = std::find(names.begin(), names.end(), name);
  if (found == names.end()) {
    throw OptionError({.file = {},
                       .line = {},
                       .found = fmt::format("turn \"{}\"", name),
                       .expected = "one of " + listed(names),
                       .remedy = {}});
  }
  return static_cast<CutOutTurn>(found - names.begin());
}

std::string cut_out_turn_name(CutOutTurn turn) {
  return cut_out_turn_names().at(static_cast<std::size_t>(turn));
}

void SheetOptions::validate() const {
  require_between(paper.width_mm, 50.0, 2000.0, "paper width", "mm");
  require_between(paper.height_mm, 50.0, 2000.0, "paper height", "mm");
  require_between(margin_mm, kLeastMarginMm, kMostMarginMm, "paper margin", "mm");
  require_between(clearance_mm, 1.0, 20.0, "cut line clearance", "mm");
  require_between(spacing_mm, 0.0, 20.0, "space between cut-outs", "mm");
  require_between(pitch_mm, kLeastPitchMm, kMostPitchMm, "pitch of the holes", "mm");
  if (printer) printer->validate();
}

const Motif& motif_named(const std::vector<Motif>& motifs, const std::string& name) {
  for (const Motif& motif : motifs) {
    if (motif.name == name) return motif;
  }
  throw GeometryError({.file = {},
                       .line = {},
                       .found = fmt::format("no motif is called \"{}\"", name),
                       .expected = {},
                       .remedy = "make the motifs again"});
}

Affine print_from_motif(const Placement& placement, const Motif& motif, TransferMethod method) {
  const Affine upright = placement.change.copy_from_motif(motif);
  return printed_mirrored(method) ? Affine::mirror_x() * upright : upright;
}

DatumLabels datum_labels(const Surface& surface, const Placement& placement) {
  const FacePoint at = placement.at;
  if (!surface.round()) {
    return {fmt::format("x {:.1f}", at.across), fmt::format("y {:.1f}", at.along)};
  }
  double deg = at.across;
  if (deg >= 359.95) deg = 0.0;  // would be written as 360.0
  return {fmt::format("a {:.1f}°", deg), fmt::format("s {:.1f}", at.along)};
}

std::vector<int> sheets_of(const SheetPlan& plan, int placement) {
  std::vector<int> sheets;
  for (std::size_t i = 0; i < plan.sheets.size(); ++i) {
    const std::vector<CutOut>& all = plan.sheets[i].cut_outs;
    const auto its = [&](const CutOut& cut_out) { return cut_out.placement == placement; };
    if (std::any_of(all.begin(), all.end(), its)) sheets.push_back(static_cast<int>(i) + 1);
  }
  return sheets;
}

std::string part_words(const CutOutPart& part) {
  return fmt::format("part {} of {}", part.number, part.count);
}

std::string words_for(const CutOut& cut_out) {
  const std::string words = fmt::format("placement {}", cut_out.placement);
  return cut_out.part ? words + " " + part_words(*cut_out.part) : words;
}

std::string method_words(TransferMethod method) {
  return fmt::format("{}: {}", transfer_name(method), transfer_steps(method).side);
}

std::string flip_words(TransferMethod method) {
  return printed_mirrored(method) ? "printed mirrored" : "printed as drawn";
}

}  // namespace underdraw
