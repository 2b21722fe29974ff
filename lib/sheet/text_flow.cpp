#include "sheet/text_flow.h"

#include <utility>

#include <fmt/format.h>

#include "sheet/page_frame.h"
#include "sheet/text_width.h"

namespace underdraw {

double TextLine::advance_mm() const { return gap_before_mm + kLineSpacing * size_mm; }

double height_of(const TextLines& lines) {
  double sum = 0.0;
  for (const TextLine& line : lines) sum += line.advance_mm();
  return sum;
}

void append_text(TextLines& lines, const std::string& text, double width_mm, const TextLine& like) {
  double gap = like.gap_before_mm;
  std::string hanging = like.hanging;
  for (const std::string& part :
       broken_text(text, width_mm - like.indent_mm, like.size_mm, like.bold)) {
    TextLine line = like;
    line.text = part;
    line.gap_before_mm = std::exchange(gap, 0.0);
    line.hanging = std::exchange(hanging, {});
    lines.push_back(std::move(line));
  }
}

TextLines numbered(const std::string& head,
                   const std::vector<std::string>& points,
                   double width_mm) {
  TextLines lines;
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

TextFlow::TextFlow(const PaperSize& paper,
                   const SheetFrame& frame,
                   std::string piece,
                   std::string name)
    : paper_(paper),
      frame_(frame),
      piece_(std::move(piece)),
      name_(std::move(name)),
      room_(text_room(frame)) {
  turn_page();
}

void TextFlow::add(std::vector<Mark> marks) {
  for (Mark& mark : marks) pages_.back().marks.push_back(std::move(mark));
}

void TextFlow::turn_page() {
  pages_.push_back({paper_.width_mm, paper_.height_mm, {}});
  top_ = room_.min.y;
  if (pages_.size() > 1) {
    add(head_marks(frame_,
                   {piece_, fmt::format("{}, page {}", name_, pages_.size()), "", "continued"}));
    top_ += kHeadHeight;
  }
  y_ = top_;
}

void TextFlow::write(const TextLines& lines, double x) {
  double y = y_;
  for (const TextLine& line : lines) put(line, x, y);
}

void TextFlow::flow(const TextLines& lines) {
  for (const TextLine& line : lines) {
    if (line.advance_mm() > left() && !at_top()) turn_page();
    put(line, room_.min.x, y_);
  }
}

void TextFlow::put(const TextLine& line, double x, double& y) {
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

}  // namespace underdraw
