#include "sheet/proof.h"

#include <algorithm>
#include <cmath>
#include <map>

#include <fmt/format.h>

#include "core/error.h"
#include "geometry/outline.h"
#include "sheet/pack_check.h"
#include "sheet/page_frame.h"
#include "sheet/proof_lines.h"
#include "sheet/proof_parts.h"
#include "sheet/sheet_lines.h"

namespace underdraw {
namespace {

constexpr std::size_t kFewest = 12;     // measured samples that say something about a drawing
constexpr double kRoundCorner = 0.002;  // mm; cut lines are packed as polygons
constexpr double kSearch = 3.0;         // how far a displaced drawing is looked for, mm

// Where an end tick crosses the bar's direction, measured from `end` along `along`; nothing when no
// tick is near.
std::optional<double> tick_offset(const GreyView& page, Vec2 end, Vec2 along, double tick_mm) {
  const double step = 0.5 / page.px_per_mm;
  const Vec2 side = perpendicular(along);
  const int n = static_cast<int>(2.5 / step);
  const int m = static_cast<int>(0.5 * tick_mm / step);
  std::vector<double> inked;  // length of ink across, for each place along
  for (int i = -n; i <= n; ++i) {
    double sum = 0.0;
    for (int k = -m; k <= m; ++k) {
      const double v = k * step;
      if (std::abs(v) < 0.3) continue;  // the bar itself
      sum += page.ink_at_mm(end + along * (i * step) + side * v) * step;
    }
    inked.push_back(sum);
  }
  const auto peak = std::max_element(inked.begin(), inked.end());
  if (*peak < 0.35 * tick_mm) return std::nullopt;
  auto from = peak;
  auto to = peak;
  while (from != inked.begin() && *(from - 1) > 0.5 * *peak) --from;
  while (to + 1 != inked.end() && *(to + 1) > 0.5 * *peak) ++to;
  double weight = 0.0;
  double moment = 0.0;
  for (auto it = from; it <= to; ++it) {
    weight += *it;
    moment += *it * (static_cast<double>(it - inked.begin()) - n) * step;
  }
  return moment / weight;
}

std::optional<double> measured_bar(const GreyView& page, const Bar& bar, double tick_mm) {
  const Vec2 along = normalized(bar.to - bar.from);
  const std::optional<double> start = tick_offset(page, bar.from, along, tick_mm);
  const std::optional<double> end = tick_offset(page, bar.to, along, tick_mm);
  if (!start || !end) return std::nullopt;
  return bar.length_mm() + *end - *start;
}

double area_of(const GreyView& page, std::size_t pixels) {
  return static_cast<double>(pixels) / (page.px_per_mm * page.px_per_mm);
}

std::size_t dark_in_row(const GreyView& page, int y, int from, int to, int limit) {
  from = std::max(from, 0);
  to = std::min(to, page.width);
  if (from >= to) return 0;
  const std::uint8_t* row = page.pixels + static_cast<std::size_t>(y) * page.stride;
  return static_cast<std::size_t>(
      std::count_if(row + from, row + to, [&](std::uint8_t p) { return p < limit; }));
}

// Where a row at y mm lies in a ring: from, to, from, to…
std::vector<double> crossings(const std::vector<Vec2>& ring, double y) {
  std::vector<double> xs;
  for (std::size_t i = 0; i < ring.size(); ++i) {
    const Vec2 a = ring[i], b = ring[(i + 1) % ring.size()];
    if ((a.y > y) != (b.y > y)) xs.push_back(a.x + (y - a.y) * (b.x - a.x) / (b.y - a.y));
  }
  std::sort(xs.begin(), xs.end());
  return xs;
}

std::vector<Vec2> cut_ring(const CutOut& cut_out) { return flatten(cut_out.cut_line, 0.01); }

// Ink in the work area that no cut-out covers.
double stray_ink(const GreyView& page, const Box& work, const std::vector<CutOut>& cut_outs) {
  std::size_t pixels = 0;
  const double k = page.px_per_mm;
  Rings covers;
  for (const CutOut& cut_out : cut_outs) {
    for (auto& ring : outlines_grown({cut_ring(cut_out)}, 0.3)) covers.push_back(std::move(ring));
  }
  for (int y = std::max(0, static_cast<int>(work.min.y * k));
       y < std::min(page.height, static_cast<int>(work.max.y * k));
       ++y) {
    std::vector<std::pair<int, int>> covered;
    for (const auto& ring : covers) {
      const std::vector<double> xs = crossings(ring, (y + 0.5) / k);
      for (std::size_t i = 0; i + 1 < xs.size(); i += 2) {
        covered.emplace_back(static_cast<int>(xs[i] * k), static_cast<int>(xs[i + 1] * k) + 1);
      }
    }
    std::sort(covered.begin(), covered.end());
    int from = static_cast<int>(work.min.x * k);
    for (const auto& [left, right] : covered) {
      pixels += dark_in_row(page, y, from, left, 128);
      from = std::max(from, right);
    }
    pixels += dark_in_row(page, y, from, static_cast<int>(work.max.x * k), 128);
  }
  return area_of(page, pixels);
}

Affine mirrored_in_place(const Affine& sheet_from_motif, const Motif& motif) {
  return sheet_from_motif * Affine::translate(motif.centre()) * Affine::mirror_x() *
         Affine::translate(-motif.centre());
}

bool sign_is_right(const GreyView& page, const SheetFrame& frame) {
  const std::vector<LineSample> samples =
      line_samples(transformed(reading_sign(), frame.sheet_from_sign));
  if (inked_share(page, samples, {}) > 0.95) return true;
  return best_move(page, samples, kSearch).inked_share > 0.95;
}

// What is written in a box of the cut-out, without spaces. Slanting words are handed over letter by
// letter.
std::string written_in(const Box& box,
                       const CutOut& cut_out,
                       const std::vector<PrintedWord>& words) {
  const Box at_zero = Box{box.min - box.centre(), box.max - box.centre()}.grown(0.5);
  std::map<double, std::string> parts;  // by their place along the line
  for (const PrintedWord& word : words) {
    const Vec2 p = Affine::turn_deg(-cut_out.turn_deg) * (word.box.centre() - box.centre());
    if (at_zero.contains(p)) parts[p.x] += word.text;
  }
  std::string all;
  for (const auto& [x, text] : parts) all += text;
  return all;
}

PlacementProof measure_cut_out(const SheetPlan& plan,
                               const GreyView& page,
                               const CutOut& cut_out,
                               const std::vector<PrintedWord>& words,
                               const ProofOptions& options) {
  const Motif& motif = motif_named(plan.motifs, cut_out.motif);
  PlacementProof out;
  out.placement = cut_out.placement;
  out.motif = cut_out.motif;
  const auto [lines, guide] = cut_out_lines(motif, cut_out, plan.options);
  std::vector<LineSample> samples =
      samples_clear_of(cut_out.darts, line_samples(with_crosses(lines, cut_out)));
  if (cut_out.part) {
    out.part = measure_crosses(page, cut_out, samples_of_crosses(samples, lines, guide, cut_out));
    std::string due = part_words(*cut_out.part);
    std::erase(due, ' ');
    out.part->words_found = written_in(cut_out.part->words_box, cut_out, words) == due;
  }
  const LineMeasure m = measure_lines(page, samples);
  const double count = std::max(1.0, static_cast<double>(m.samples));
  out.samples = m.samples;
  out.measured_share = static_cast<double>(m.measured) / count;
  out.missing_share = static_cast<double>(m.missing) / count;
  out.mean_mm = m.measured > 0 ? m.sum_mm / static_cast<double>(m.measured) : 0.0;
  out.largest_mm = m.largest_mm;
  out.extra_ink_mm2 = unexpected_ink(page, lines, samples, cut_out);
  out.number_found =
      written_in(cut_out.number_box, cut_out, words) == std::to_string(cut_out.placement);
  if (m.measured < kFewest) {
    // Lines too close together to tell apart: the drawing as a whole is fitted instead.
    const double off = length(best_move(page, samples, kSearch).by);
    out.mean_mm = std::max(out.mean_mm, off);
    out.largest_mm = std::max(out.largest_mm, off);
  }
  if (out.missing_share > std::max(0.05, options.missing_limit)) {
    // Something is wrong: say what, if it can be told.
    CutOut mirrored = cut_out;
    mirrored.sheet_from_motif = mirrored_in_place(cut_out.sheet_from_motif, motif);
    const std::vector<LineSample> turned =
        line_samples(cut_out_lines(motif, mirrored, plan.options).ink);
    if (inked_share(page, turned, {}) > 0.95) {
      out.as_planned = false;
    } else {
      const BestMove move = best_move(page, samples, kSearch);
      if (move.inked_share > 0.85 && length(move.by) > 0.1) {
        out.displaced_mm = move.by;
        out.largest_mm = std::max(out.largest_mm, length(move.by));
      }
    }
  }
  return out;
}

// True when a is b, turned only as cut-outs may be.
bool same_shape(const Affine& a, const Affine& b, CutOutTurn allowed) {
  const Affine turn = a * b.inverse();
  if (std::max(std::abs(turn.xx - turn.yy), std::abs(turn.xy + turn.yx)) > 1e-6) return false;
  if (std::abs(std::hypot(turn.xx, turn.yx) - 1.0) > 1e-6) return false;
  if (allowed == CutOutTurn::free) return true;
  if (std::abs(turn.yx) > 1e-6) return false;
  return turn.xx > 0.0 || allowed == CutOutTurn::half;
}

}  // namespace

void ProofOptions::validate() const {
  require_between(limit_mm, 1e-3, 5.0, "proof limit", "mm");
  require_between(bar_limit_mm, 1e-3, 5.0, "bar limit", "mm");
  require_between(cross_limit_mm, 1e-3, 5.0, "cross limit", "mm");
  require_between(missing_limit, 0.0, 1.0, "missing limit", "(share)");
  require_between(extra_limit_mm2, 0.0, 100.0, "extra ink limit", "mm²");
}

double GreyView::ink_at_mm(Vec2 mm) const {
  const double fx = mm.x * px_per_mm - 0.5;  // the centre of pixel 0 is at 0.5
  const double fy = mm.y * px_per_mm - 0.5;
  const double bx = std::floor(fx);
  const double by = std::floor(fy);
  const int x = static_cast<int>(bx);
  const int y = static_cast<int>(by);
  const double tx = fx - bx;
  const double ty = fy - by;
  return (1.0 - ty) * ((1.0 - tx) * ink_at(x, y) + tx * ink_at(x + 1, y)) +
         ty * ((1.0 - tx) * ink_at(x, y + 1) + tx * ink_at(x + 1, y + 1));
}

double ink_outside(const GreyView& page, const Box& box) {
  std::size_t pixels = 0;
  const double k = page.px_per_mm;
  // Half a pixel of smoothing at the very edge is no ink.
  const int left = static_cast<int>(std::floor(box.min.x * k)) - 1;
  const int right = static_cast<int>(std::ceil(box.max.x * k)) + 1;
  const int top = static_cast<int>(std::floor(box.min.y * k)) - 1;
  const int bottom = static_cast<int>(std::ceil(box.max.y * k)) + 1;
  for (int y = 0; y < page.height; ++y) {
    if (y < top || y >= bottom) {
      pixels += dark_in_row(page, y, 0, page.width, 240);
    } else {
      pixels += dark_in_row(page, y, 0, left, 240);
      pixels += dark_in_row(page, y, right, page.width, 240);
    }
  }
  return area_of(page, pixels);
}

std::vector<std::string> check_plan(const SheetPlan& plan) {
  std::vector<std::string> wrong;
  std::map<int, const Placement*> due;
  for (const PlacedFace& face : plan.faces) {
    for (const Placement& placement : face.placements) {
      if (!due.emplace(placement.id, &placement).second) {
        wrong.push_back(fmt::format("two placements are numbered {}", placement.id));
      }
    }
  }
  std::map<int, int> seen;
  std::map<int, std::vector<const CutOut*>> parts;
  for (std::size_t i = 0; i < plan.sheets.size(); ++i) {
    const std::vector<CutOut>& cut_outs = plan.sheets[i].cut_outs;
    Rings rings;
    for (const CutOut& c : cut_outs) rings.push_back(cut_ring(c));
    for (std::size_t k = 0; k < cut_outs.size(); ++k) {
      const CutOut& c = cut_outs[k];
      if (c.part) {
        parts[c.placement].push_back(&c);
      } else {
        ++seen[c.placement];
      }
      const std::string who = fmt::format("{} ({}, sheet {})", words_for(c), c.motif, i + 1);
      const auto found = due.find(c.placement);
      if (found == due.end()) {
        wrong.push_back(who + " is on no face");
        continue;
      }
      const Placement& p = *found->second;
      const Motif& motif = motif_named(plan.motifs, c.motif);
      const Affine print = print_from_motif(p, motif, plan.options.method);
      if (p.motif != c.motif) wrong.push_back(fmt::format("{} should be {}", who, p.motif));
      const bool flipped = print.determinant() < 0.0;
      if (c.mirrored != flipped || (c.sheet_from_motif.determinant() < 0.0) != flipped) {
        wrong.push_back(who + (flipped ? " should be mirrored" : " should not be mirrored"));
      } else if (!same_shape(c.sheet_from_motif, print, plan.options.turn)) {
        wrong.push_back(fmt::format("{} is planned {:.2f} mm high, not {:.2f} mm, or is turned",
                                    who,
                                    motif.height_mm * c.sheet_from_motif.length_factor(),
                                    motif.height_mm * p.change.scale));
      }
      if (!plan.frame.work.grown(kRoundCorner).contains(c.area)) {
        wrong.push_back(who + " leaves the room on the sheet");
      }
      const std::vector<LineSample> drawn =
          line_samples(shown_lines(transformed(motif.lines, c.sheet_from_motif), c));
      if (!std::all_of(drawn.begin(), drawn.end(), [&](const LineSample& s) {
            return inside(rings[k], s.at + s.normal * s.half_mm) &&
                   inside(rings[k], s.at - s.normal * s.half_mm);
          })) {
        wrong.push_back(who + " leaves its cut line");
      }
      for (std::size_t j = k + 1; j < cut_outs.size(); ++j) {
        if (c.area.overlaps(cut_outs[j].area) && overlap_depth(rings[k], rings[j]) > 1e-3) {
          wrong.push_back(fmt::format("{} overlaps placement {}", who, cut_outs[j].placement));
        }
      }
    }
  }
  for (const auto& [id, all] : parts) {
    const auto found = due.find(id);
    if (found == due.end()) continue;
    ++seen[id];
    const Motif& motif = motif_named(plan.motifs, found->second->motif);
    for (std::string& fault :
         check_parts(all, motif, print_from_motif(*found->second, motif, plan.options.method))) {
      wrong.push_back(std::move(fault));
    }
  }
  for (const auto& [id, placement] : due) {
    const auto found = seen.find(id);
    const int times = found == seen.end() ? 0 : found->second;
    if (times == 0) wrong.push_back(fmt::format("placement {} is on no sheet", id));
    if (times > 1)
      wrong.push_back(fmt::format("placement {} is on the sheets {} times", id, times));
  }
  return wrong;
}

SheetProof measure_sheet(const SheetPlan& plan,
                         std::size_t index,
                         const GreyView& page,
                         const std::vector<PrintedWord>& words,
                         const ProofOptions& options) {
  SheetProof out;
  const Sheet& sheet = plan.sheets.at(index);
  const SheetFrame& frame = plan.frame;
  out.sheet = static_cast<int>(index) + 1;
  out.across_due_mm = frame.across.length_mm();
  out.down_due_mm = frame.down.length_mm();
  out.across_mm = measured_bar(page, frame.across, frame.tick_mm);
  out.down_mm = measured_bar(page, frame.down, frame.tick_mm);
  out.margin_ink_mm2 = ink_outside(page, frame.printable);
  out.stray_ink_mm2 = stray_ink(page, frame.work, sheet.cut_outs);
  out.sign_right = sign_is_right(page, frame);
  for (const CutOut& cut_out : sheet.cut_outs) {
    out.placements.push_back(measure_cut_out(plan, page, cut_out, words, options));
    out.placements.back().sheet = out.sheet;
  }
  return out;
}

namespace {

void add_bar_reason(std::vector<std::string>& reasons,
                    const std::string& who,
                    const std::optional<double>& measured,
                    double due,
                    double limit) {
  if (!measured) {
    reasons.push_back(fmt::format("{} was not found", who));
  } else if (std::abs(*measured - due) > limit) {
    reasons.push_back(fmt::format("{} measures {:.2f} mm, not {:.2f} mm", who, *measured, due));
  }
}

void add_placement_reasons(std::vector<std::string>& reasons,
                           const PlacementProof& p,
                           const ProofOptions& options) {
  const std::string who =
      fmt::format("placement {}{} ({}, sheet {})",
                  p.placement,
                  p.part ? fmt::format(" part {} of {}", p.part->number, p.part->count) : "",
                  p.motif,
                  p.sheet);
  if (!p.as_planned) {
    reasons.push_back(who + " is the wrong way round: left and right are exchanged");
  } else if (p.displaced_mm) {
    reasons.push_back(
        fmt::format("{} lies {:.2f} mm out of place ({:.2f} mm to the {}, {:.2f} mm {})",
                    who,
                    length(*p.displaced_mm),
                    std::abs(p.displaced_mm->x),
                    p.displaced_mm->x < 0 ? "left" : "right",
                    std::abs(p.displaced_mm->y),
                    p.displaced_mm->y < 0 ? "up" : "down"));
  } else if (p.missing_share > 0.9) {
    reasons.push_back(who + " is not printed where it should be");
  } else if (p.missing_share > options.missing_limit) {
    reasons.push_back(fmt::format("{} lacks {:.1f} % of its lines", who, 100.0 * p.missing_share));
  } else if (p.largest_mm > options.limit_mm) {
    reasons.push_back(fmt::format(
        "{} is off by up to {:.2f} mm (limit {:g} mm)", who, p.largest_mm, options.limit_mm));
  }
  if (p.extra_ink_mm2 > options.extra_limit_mm2 && p.as_planned && !p.displaced_mm) {
    reasons.push_back(
        fmt::format("{} has {:.2f} mm² of ink that it does not ask for", who, p.extra_ink_mm2));
  }
  if (!p.number_found) reasons.push_back(who + " does not carry its number");
  if (!p.part) return;
  if (!p.part->words_found) reasons.push_back(who + " does not say which part it is");
  if (p.part->crosses_missing > options.missing_limit) {
    reasons.push_back(fmt::format(
        "{} lacks {:.0f} % of its register crosses", who, 100.0 * p.part->crosses_missing));
  }
  if (p.part->cross_mm > options.cross_limit_mm) {
    reasons.push_back(
        fmt::format("{} has a register cross that is off by {:.2f} mm (limit {:g} mm)",
                    who,
                    p.part->cross_mm,
                    options.cross_limit_mm));
  }
}

}  // namespace

void conclude(ProofReport& report, const ProofOptions& options) {
  report.limit_mm = options.limit_mm;
  report.mean_mm = 0.0;
  report.largest_mm = 0.0;
  report.placements = 0;
  double weight = 0.0;
  for (const SheetProof& sheet : report.sheets) {
    const std::string who = fmt::format("sheet {}", sheet.sheet);
    add_bar_reason(report.reasons,
                   who + ": the bar across",
                   sheet.across_mm,
                   sheet.across_due_mm,
                   options.bar_limit_mm);
    add_bar_reason(report.reasons,
                   who + ": the bar down",
                   sheet.down_mm,
                   sheet.down_due_mm,
                   options.bar_limit_mm);
    if (sheet.margin_ink_mm2 > 0.0) {
      report.reasons.push_back(
          fmt::format("{}: {:.2f} mm² are printed outside the margins", who, sheet.margin_ink_mm2));
    }
    if (sheet.stray_ink_mm2 > options.extra_limit_mm2) {
      report.reasons.push_back(
          fmt::format("{}: {:.2f} mm² of ink lie between the cut-outs", who, sheet.stray_ink_mm2));
    }
    if (!sheet.sign_right) {
      report.reasons.push_back(who + ": the reading sign is missing or mirrored");
    }
    for (const PlacementProof& p : sheet.placements) {
      add_placement_reasons(report.reasons, p, options);
      const double share = static_cast<double>(p.samples) * p.measured_share;
      report.mean_mm += p.mean_mm * share;
      weight += share;
      report.largest_mm = std::max(report.largest_mm, p.largest_mm);
      if (!p.part || p.part->number == 1) ++report.placements;
    }
  }
  if (weight > 0.0) report.mean_mm /= weight;
  report.ok = report.reasons.empty();
}

}  // namespace underdraw
