#include "sheet/draw_cover.h"

#include <algorithm>
#include <utility>

#include <fmt/format.h>

#include "sheet/draw_map.h"
#include "sheet/lay_out_sheets.h"
#include "sheet/page_frame.h"
#include "sheet/placement_list.h"
#include "sheet/shapes.h"
#include "sheet/text_width.h"

namespace underdraw {
namespace {

constexpr double kTitleSize = 7.6;
constexpr double kSubtitleSize = 3.2;
constexpr double kHeadSize = 3.4;
constexpr double kTextSize = 2.8;
constexpr double kBlockGap = 6.0;
constexpr double kGutter = 9.0;  // between two columns
constexpr Grey kQuiet{0.3};

// One printed line of a block, before it has a place.
struct Line {
  std::string text;
  double size_mm = kTextSize;
  bool bold = false;
  double indent_mm = 0.0;
  double gap_before_mm = 0.0;
  std::string hanging;  // printed at the left of the indent: "1", "2"
  double advance_mm() const { return gap_before_mm + kLineSpacing * size_mm; }
};
using Lines = std::vector<Line>;

double height_of(const Lines& lines) {
  double sum = 0.0;
  for (const Line& line : lines) sum += line.advance_mm();
  return sum;
}

void append_text(Lines& lines, const std::string& text, double width_mm, const Line& like) {
  double gap = like.gap_before_mm;
  std::string hanging = like.hanging;
  for (const std::string& part :
       broken_text(text, width_mm - like.indent_mm, like.size_mm, like.bold)) {
    Line line = like;
    line.text = part;
    line.gap_before_mm = std::exchange(gap, 0.0);
    line.hanging = std::exchange(hanging, {});
    lines.push_back(std::move(line));
  }
}

Lines numbered(const std::string& head, const std::vector<std::string>& points, double width_mm) {
  Lines lines;
  append_text(
      lines, head, width_mm, {.text = {}, .size_mm = kHeadSize, .bold = true, .hanging = {}});
  for (std::size_t i = 0; i < points.size(); ++i) {
    append_text(
        lines,
        points[i],
        width_mm,
        {.text = {}, .indent_mm = 4.5, .gap_before_mm = 0.9, .hanging = std::to_string(i + 1)});
  }
  return lines;
}

struct Caution {
  const char* head;
  const char* text;
};

// Each defers to those who know: local rules, makers' data sheets, licensed installers.
constexpr Caution kCautions[] = {
    {"Dust",
     "Clay and glaze dust holds silica and harms the lungs. Never sand or sweep it dry: work and "
     "wipe wet, and keep to local rules on dust."},
    {"Fumes",
     "Paper, wax, pencil and carbon give off fumes when they burn out. Vent the kiln outdoors, by "
     "ducting that a licensed installer has fitted."},
    {"Food",
     "Non-toxic is not food-safe. What counts is the fired surface as a whole: follow the makers' "
     "data sheets and have it tested."},
    {"Blades",
     "Cut on a mat, away from the hand that holds the paper, and put caps on knives and needles."},
    {"Children",
     "Give them only materials that the maker labels for children; keep cutting, dry powders and "
     "the kiln to adults, as local rules for schools ask."}};

Lines caution_lines(double width_mm) {
  Lines lines;
  append_text(lines,
              "Take care",
              width_mm,
              {.text = {}, .size_mm = kHeadSize, .bold = true, .hanging = {}});
  for (const Caution& caution : kCautions) {
    append_text(lines,
                caution.text,
                width_mm,
                {.text = {}, .indent_mm = 15.0, .gap_before_mm = 0.9, .hanging = caution.head});
  }
  return lines;
}

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

// Pages filled from top to bottom.
class Flow {
 public:
  explicit Flow(const SheetPlan& plan) : plan_(plan), room_(text_room(plan.frame)) { turn_page(); }

  double left() const { return room_.max.y - y_; }
  double width() const { return room_.width(); }
  double full_height() const { return room_.height() - (pages_.size() > 1 ? kHeadHeight : 0.0); }
  Box rest() const { return {{room_.min.x, y_}, room_.max}; }
  bool at_top() const { return y_ <= top_ + 1e-9; }
  void skip(double mm) {
    if (!at_top()) y_ += mm;
  }
  void take(double mm) { y_ += mm; }
  void add(std::vector<Mark> marks) {
    for (Mark& mark : marks) pages_.back().marks.push_back(std::move(mark));
  }

  void turn_page() {
    pages_.push_back({plan_.options.paper.width_mm, plan_.options.paper.height_mm, {}});
    top_ = room_.min.y;
    if (pages_.size() > 1) {
      add(head_marks(plan_.frame,
                     {plan_.piece, fmt::format("cover, page {}", pages_.size()), "", "continued"}));
      top_ += kHeadHeight;
    }
    y_ = top_;
  }

  // At the cursor, or at x beside what is there; the cursor stays.
  void write(const Lines& lines, double x) {
    double y = y_;
    for (const Line& line : lines) put(line, x, y);
  }

  void flow(const Lines& lines) {
    for (const Line& line : lines) {
      if (line.advance_mm() > left() && !at_top()) turn_page();
      put(line, room_.min.x, y_);
    }
  }

  std::vector<Drawing> pages() { return std::move(pages_); }

 private:
  static constexpr double kHeadHeight = 14.0;

  void put(const Line& line, double x, double& y) {
    y += line.advance_mm();
    const double baseline = y - 0.4 * line.size_mm;
    TextMark mark{
        line.text, {x + line.indent_mm, baseline}, line.size_mm, Align::left, line.bold, 0.0, {}};
    pages_.back().marks.emplace_back(mark);
    if (line.hanging.empty()) return;
    mark.text = line.hanging;
    mark.at.x = x;
    mark.bold = true;
    pages_.back().marks.emplace_back(mark);
  }

  const SheetPlan& plan_;
  Box room_;
  std::vector<Drawing> pages_;
  double y_ = 0.0;
  double top_ = 0.0;
};

void add_title(Flow& flow, const SheetPlan& plan) {
  const double width = flow.width();
  const std::size_t count = plan.sheets.size();
  Lines lines;
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

void add_notes(Flow& flow, const SheetPlan& plan) {
  for (const CoverNote& note : plan.cover.notes) {
    Lines lines;
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

void add_maps(Flow& flow, const SheetPlan& plan) {
  for (const PlacedFace& face : plan.faces) {
    if (face.placements.empty()) continue;
    // At most about half of a page, so that the words find room beside it.
    const double most = 0.5 * flow.full_height();
    Box box = flow.rest();
    box.max.y = box.min.y + most;
    FaceMap map = face_map(face, plan.motifs, box);
    Lines head;
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

void add_words(Flow& flow, const SheetPlan& plan) {
  const bool two = flow.width() >= 150.0;
  const double column = two ? (flow.width() - kGutter) / 2.0 : flow.width();
  const Lines how = numbered("How to use the sheets", steps(plan), column);
  const Lines care = caution_lines(column);
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

void add_list(Flow& flow, const SheetPlan& plan) {
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
  Flow flow(plan);
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
