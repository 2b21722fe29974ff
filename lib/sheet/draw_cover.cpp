#include "sheet/draw_cover.h"

#include <algorithm>
#include <utility>

#include <fmt/format.h>

#include "sheet/cautions.h"
#include "sheet/draw_map.h"
#include "sheet/lay_out_sheets.h"
#include "sheet/page_frame.h"
#include "sheet/placement_list.h"
#include "sheet/text_flow.h"
#include "sheet/text_width.h"

namespace underdraw {
namespace {

constexpr double kBlockGap = 6.0;
constexpr double kGutter = 9.0;  // between two columns

std::vector<std::string> steps(const SheetPlan& plan) {
  const SheetOptions& options = plan.options;
  bool any_round = false;
  bool any_flat = false;
  for (const PlacedFace& face : plan.faces) {
    if (face.placements.empty()) continue;
    (face.surface.round() ? any_round : any_flat) = true;
  }
  std::string marks = "Mark on the piece where the cut-outs go: ";
  if (any_round)
    marks += "a is the angle from the seam tick to the right, s the height from the foot";
  if (any_round && any_flat) marks += "; ";
  if (any_flat) marks += "x is counted from the left edge, y from the top";
  std::vector<std::string> out = {
      fmt::format("Print on {} at 100 %{}, nothing fitted to the page. Measure both bars on every "
                  "sheet: {:.0f} mm across, {:.0f} mm down.",
                  options.paper.name,
                  options.printer ? " with " + options.printer->name : "",
                  plan.frame.across.length_mm(),
                  plan.frame.down.length_mm()),
      marks + ".",
      plan.printed_mirrored()
          ? "Cut along the cut lines. Nick the paper at the four ticks, so that they show from the "
            "back as well."
          : "Cut along the cut lines. The four ticks at the edge meet the marks on the piece, the "
            "arrow points to the rim or the top."};
  const auto in_parts = [](const Sheet& sheet) {
    return std::any_of(sheet.cut_outs.begin(), sheet.cut_outs.end(), [](const CutOut& cut_out) {
      return cut_out.part.has_value();
    });
  };
  if (std::any_of(plan.sheets.begin(), plan.sheets.end(), in_parts)) {
    out.push_back(
        "What comes in parts is put together first: lay each part over the one above it and the "
        "one to its left, as the little picture on its label shows, until the crosses lie on each "
        "other against the light. Tape them and cut the labels off.");
  }
  for (const std::string& sentence : transfer_steps(options.method).sentences) {
    out.push_back(sentence);
  }
  return out;
}

void add_title(TextFlow& flow, const SheetPlan& plan) {
  const double width = flow.width();
  const std::size_t count = plan.sheets.size();
  TextLines lines;
  lines.push_back({fitted_text(plan.piece, width, kTitleSize, true),
                   kTitleSize,
                   true,
                   0.0,
                   0.15 * kTitleSize,
                   {}});
  append_text(lines,
              fmt::format("{} {}{} on {} · {} · {}",
                          count,
                          plan.cover.sheets,
                          count == 1 ? "" : "s",
                          plan.options.paper.name,
                          flip_words(plan.options.method),
                          method_words(plan.options.method)),
              width,
              {.text = {}, .size_mm = kSubtitleSize, .hanging = {}});
  if (plan.options.printer) {
    append_text(lines,
                fmt::format("Made for one printer: {}, and these sheets make up for it. From any "
                            "other printer they come out of scale.",
                            printer_error_words(*plan.options.printer)),
                width,
                {.text = {}, .size_mm = kSubtitleSize, .hanging = {}});
  }
  flow.flow(lines);
  flow.skip(4.0);
}

void add_notes(TextFlow& flow, const SheetPlan& plan) {
  for (const CoverNote& note : plan.cover.notes) {
    TextLines lines;
    append_text(lines,
                note.head,
                flow.width(),
                {.text = {}, .size_mm = kHeadSize, .bold = true, .hanging = {}});
    double indent = 0.0;
    for (const CoverNote::Line& line : note.lines) {
      indent = std::max(indent, text_width_mm(line.mark, kTextSize, true));
    }
    if (indent > 0.0) indent += 2.5;
    for (const CoverNote::Line& line : note.lines) {
      append_text(lines,
                  line.text,
                  flow.width(),
                  {.text = {}, .indent_mm = indent, .gap_before_mm = 0.9, .hanging = line.mark});
    }
    flow.flow(lines);
    flow.skip(kBlockGap);
  }
}

void add_maps(TextFlow& flow, const SheetPlan& plan) {
  for (const PlacedFace& face : plan.faces) {
    if (face.placements.empty()) continue;
    // At most about half of a page, so that the words find room beside it.
    const double most = 0.5 * flow.full_height();
    Box box = flow.rest();
    box.max.y = box.min.y + most;
    FaceMap map = face_map(face, plan.motifs, box);
    TextLines head;
    append_text(head,
                fmt::format("{} · map, {}", face.face.name, scale_words(map.scale)),
                flow.width(),
                {.text = {}, .size_mm = kHeadSize, .bold = true, .hanging = {}});
    if (height_of(head) + map.height_mm > flow.left() && !flow.at_top()) flow.turn_page();
    flow.flow(head);
    box = flow.rest();
    box.max.y = box.min.y + most;
    map = face_map(face, plan.motifs, box);
    flow.add(map.marks);
    flow.take(map.height_mm);
    flow.skip(kBlockGap);
  }
}

void add_words(TextFlow& flow, const SheetPlan& plan) {
  const bool two = flow.width() >= 150.0;
  const double column = two ? (flow.width() - kGutter) / 2.0 : flow.width();
  const TextLines how = numbered("How to use the sheets", steps(plan), column);
  const TextLines care = caution_lines(all_cautions(), column);
  const double tall = std::max(height_of(how), height_of(care));
  if (two && tall <= flow.full_height()) {
    if (tall > flow.left()) flow.turn_page();
    flow.write(how, flow.rest().min.x);
    flow.write(care, flow.rest().min.x + column + kGutter);
    flow.take(tall);
  } else {
    flow.flow(how);
    flow.skip(kBlockGap);
    flow.flow(care);
  }
  flow.skip(kBlockGap);
}

void add_list(TextFlow& flow, const SheetPlan& plan) {
  const std::vector<ListRow> rows = list_rows(plan.faces, plan.motifs, &plan);
  for (std::size_t done = 0; done < rows.size();) {
    const DrawnList list = draw_list(rows, done, flow.rest());
    // A few rows at the foot of a page are worse than a page of their own.
    const bool stub = list.rows < std::min<std::size_t>(rows.size() - done, 6);
    if (stub && !flow.at_top()) {
      flow.turn_page();
      continue;
    }
    if (list.rows == 0) return;  // the page has no room for even one row
    flow.add(list.marks);
    flow.take(list.height_mm);
    done += list.rows;
  }
}

}  // namespace

std::vector<Drawing> draw_cover(const SheetPlan& plan) {
  TextFlow flow(plan.options.paper, plan.frame, plan.piece, "cover");
  add_title(flow, plan);
  add_notes(flow, plan);
  add_maps(flow, plan);
  add_words(flow, plan);
  add_list(flow, plan);
  return flow.pages();
}

std::vector<Drawing> draw_pages(const SheetPlan& plan) {
  std::vector<Drawing> pages = draw_cover(plan);
  LookOfMotifs looks;
  for (std::size_t i = 0; i < plan.sheets.size(); ++i) {
    pages.push_back(draw_sheet(plan, i, looks));
  }
  return pages;
}

}  // namespace underdraw
