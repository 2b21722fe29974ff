#include "sheet/page_frame.h"

#include <fmt/format.h>

#include "sheet/shapes.h"
#include "sheet/text_width.h"

namespace underdraw {
namespace {

constexpr double kHead = 14.0;     // from the margin to the first cut-out
constexpr double kFoot = 9.5;      // from the last cut-out to the margin
constexpr double kSide = 8.5;      // from the margin to the first cut-out
constexpr double kBarInset = 2.4;  // of the down bar from the margin
constexpr double kBarAbove = 5.4;  // of the across bar from the margin
constexpr double kTitleSize = 4.6;
constexpr double kRightSize = 3.4;
constexpr double kDetailSize = 2.7;
constexpr double kLegendSize = 2.5;
constexpr double kRule = 11.6;
constexpr double kSignWidth = 7.0;
constexpr double kSignHeight = 8.0;
constexpr Grey kQuiet{0.25};

// The longest of the wordings that fits.
std::string first_that_fits(const std::vector<std::string>& wordings,
                            double width_mm,
                            double size) {
  for (const std::string& words : wordings) {
    if (text_width_mm(words, size) <= width_mm) return words;
  }
  return fitted_text(wordings.back(), width_mm, size, false);
}

std::string bar_legend(double length_mm) {
  return first_that_fits(
      {fmt::format("{0:.0f} mm – measure with a ruler: if it is not {0:.0f} mm, print at 100 %",
                   length_mm),
       fmt::format("{0:.0f} mm – if not, print at 100 %", length_mm),
       fmt::format("{0:.0f} mm – measure it", length_mm),
       fmt::format("{0:.0f} mm", length_mm)},
      length_mm - 6.0,
      kLegendSize);
}

}  // namespace

PathMark bar_mark(const Bar& bar, double tick_mm) {
  PathMark mark;
  mark.line_width_mm = 0.25;
  mark.paths = {line_between(bar.from, bar.to)};
  const Vec2 along = normalized(bar.to - bar.from);
  const Vec2 up = perpendicular(along);
  const int tens = static_cast<int>(std::lround(bar.length_mm() / 10.0));
  for (int i = 0; i <= tens; ++i) {
    const bool end = i == 0 || i == tens;
    const double reach = end ? tick_mm / 2.0 : i == 5 ? 1.1 : 0.7;
    const Vec2 at = i == tens ? bar.to : bar.from + along * (10.0 * i);
    mark.paths.push_back(line_between(at - up * reach, at + up * reach));
  }
  return mark;
}

SheetFrame frame_of(const SheetOptions& options) {
  SheetFrame frame;
  const double w = options.paper.width_mm;
  const double h = options.paper.height_mm;
  const Vec2 margins = printed_margins(options.printer, {w, h}, options.margin_mm);
  frame.printable = {margins, Vec2{w, h} - margins};
  const Box& room = frame.printable;
  frame.work = {room.min + Vec2{kSide, kHead}, room.max - Vec2{0.3, kFoot}};
  const Vec2 corner{room.min.x + kBarInset, room.max.y - kBarAbove};
  const auto length = [](double available) {
    return std::clamp(10.0 * std::floor(available / 10.0 + 1e-9), 10.0, 100.0);
  };
  // Pen width stays inside the margin too.
  const double across = length(room.max.x - corner.x - 0.2);
  const double down = length(corner.y - room.min.y - kHead);
  frame.across = {corner, corner + Vec2{across, 0.0}};
  frame.down = {corner - Vec2{0.0, down}, corner};
  frame.sheet_from_sign =
      Affine::translate({room.max.x - kSignWidth - 0.2, room.max.y - kSignHeight - 0.2});
  return frame;
}

Linework reading_sign() {
  Linework sign;
  const double w = 0.4;
  sign.strokes.push_back({Path::polyline({{1.0, 0.3}, {1.0, 7.7}}), w});
  Path flag;  // top edge to the fly, then back along a gull's two wing beats
  flag.append({{1.0, 0.5}, {2.8, -0.1}, {4.6, 1.3}, {6.7, 0.6}});
  flag.append({{6.7, 0.6}, {6.4, 1.8}, {6.0, 2.6}, {5.4, 3.2}});
  flag.append({{5.4, 3.2}, {4.9, 2.5}, {4.1, 2.4}, {3.4, 3.9}});
  flag.append({{3.4, 3.9}, {2.8, 3.0}, {1.9, 3.0}, {1.0, 4.1}});
  sign.strokes.push_back({flag, w});
  sign.strokes.push_back({Path::polyline({{1.0, 7.7}, {3.4, 7.7}}), w});
  sign.strokes.push_back({Path{{{3.4, 6.6}}, false}, 1.1});
  return sign;
}

Box text_room(const SheetFrame& frame) {
  const Vec2 inset{kTextInset, 0.0};
  return {frame.printable.min + inset, frame.printable.max - inset};
}

std::vector<Mark> head_marks(const SheetFrame& frame, const HeadLine& head) {
  const Box room = text_room(frame);
  std::vector<Mark> marks;
  // Room for accents on capitals, so that they stay inside the margin.
  const double baseline = room.min.y + 1.15 * kTitleSize;
  const std::string right = fitted_text(head.right, 0.6 * room.width(), kRightSize, false);
  const double right_mm = text_width_mm(right, kRightSize);
  marks.emplace_back(
      TextMark{right, {room.max.x, baseline}, kRightSize, Align::right, false, 0, {}});
  marks.emplace_back(
      TextMark{fitted_text(head.title, room.width() - right_mm - 4.0, kTitleSize, true),
               {room.min.x, baseline},
               kTitleSize,
               Align::left,
               true,
               0.0,
               {}});
  const double below = baseline + 4.7;
  double x = room.min.x;
  if (!head.strong.empty()) {
    const std::string strong = fitted_text(head.strong, room.width(), kDetailSize, true);
    marks.emplace_back(TextMark{strong, {x, below}, kDetailSize, Align::left, true, 0.0, {}});
    x += text_width_mm(strong, kDetailSize, true) + 0.5 * kDetailSize;
  }
  marks.emplace_back(
      TextMark{fitted_text(head.detail, std::max(0.0, room.max.x - x), kDetailSize, false),
               {x, below},
               kDetailSize,
               Align::left,
               false,
               0.0,
               kQuiet});
  PathMark rule;
  rule.line_width_mm = 0.2;
  rule.line = {0.5};
  rule.paths = {line_between({room.min.x, room.min.y + kRule}, {room.max.x, room.min.y + kRule})};
  marks.emplace_back(rule);
  return marks;
}

std::vector<Mark> measure_marks(const SheetFrame& frame) {
  std::vector<Mark> marks;
  marks.emplace_back(bar_mark(frame.across, frame.tick_mm));
  marks.emplace_back(bar_mark(frame.down, frame.tick_mm));
  TextMark legend;
  legend.height_mm = kLegendSize;
  legend.text = bar_legend(frame.across.length_mm());
  legend.at = frame.across.from + Vec2{3.2, 4.6};
  marks.emplace_back(legend);
  legend.text = bar_legend(frame.down.length_mm());
  legend.turn_deg = -90.0;
  legend.at = frame.down.to + Vec2{4.6, -3.2};
  marks.emplace_back(legend);

  for (PathMark& mark : linework_marks(transformed(reading_sign(), frame.sheet_from_sign), 0.0)) {
    marks.emplace_back(std::move(mark));
  }
  // Words left of the sign, if the bar leaves room.
  const double right = frame.sheet_from_sign.tx - 1.5;
  const double room = right - frame.across.to.x - 5.0;
  const double baseline = frame.printable.max.y - 1.9;
  TextMark words{"", {right, baseline - 3.4}, kLegendSize, Align::right, false, 0.0, {}};
  words.text = "reads right:";
  const std::string second = "this side as printed";
  if (text_width_mm(second, kLegendSize) <= room) {
    marks.emplace_back(words);
    words.text = second;
    words.at.y = baseline;
    marks.emplace_back(words);
  }
  return marks;
}

std::vector<std::string> broken_text(const std::string& text,
                                     double width_mm,
                                     double height_mm,
                                     bool bold) {
  std::vector<std::string> lines;
  std::string line;
  for (std::size_t from = 0; from < text.size();) {
    const std::size_t space = std::min(text.find(' ', from), text.size());
    const std::string word = text.substr(from, space - from);
    from = space + 1;
    const std::string longer = line.empty() ? word : line + " " + word;
    if (!line.empty() && text_width_mm(longer, height_mm, bold) > width_mm) {
      lines.push_back(line);
      line = word;
    } else {
      line = longer;
    }
    line = fitted_text(line, width_mm, height_mm, bold);
  }
  if (!line.empty()) lines.push_back(line);
  return lines;
}

}  // namespace underdraw
