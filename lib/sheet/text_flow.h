// Words on pages: blocks of lines, filled from top to bottom, over as many pages as they need.
//
// Stage:   sheet. Pure.
// Frame:   sheet, mm.
#pragma once

#include <string>
#include <vector>

#include "sheet/sheet_plan.h"

namespace underdraw {

constexpr double kTitleSize = 7.6;
constexpr double kSubtitleSize = 3.2;
constexpr double kHeadSize = 3.4;
constexpr double kTextSize = 2.8;

// One printed line of a block, before it has a place.
struct TextLine {
  std::string text;
  double size_mm = kTextSize;
  bool bold = false;
  double indent_mm = 0.0;
  double gap_before_mm = 0.0;
  std::string hanging;  // printed at the left of the indent: "1", "2"

  double advance_mm() const;
};
using TextLines = std::vector<TextLine>;

double height_of(const TextLines& lines);

// The text, broken into lines that look like `like`; only the first has its gap and what hangs.
void append_text(TextLines& lines, const std::string& text, double width_mm, const TextLine& like);

// A heading and points 1, 2, 3….
TextLines numbered(const std::string& head,
                   const std::vector<std::string>& points,
                   double width_mm);

// Pages filled from top to bottom; from the second on with the piece's name and "NAME, page 2".
class TextFlow {
 public:
  TextFlow(const PaperSize& paper, const SheetFrame& frame, std::string piece, std::string name);

  double left() const { return room_.max.y - y_; }
  double width() const { return room_.width(); }
  double full_height() const { return room_.height() - (pages_.size() > 1 ? kHeadHeight : 0.0); }
  Box rest() const { return {{room_.min.x, y_}, room_.max}; }
  bool at_top() const { return y_ <= top_ + 1e-9; }
  void skip(double mm) {
    if (!at_top()) y_ += mm;
  }
  void take(double mm) { y_ += mm; }
  void add(std::vector<Mark> marks);
  void turn_page();

  // At the cursor, or at x beside what is there; the cursor stays.
  void write(const TextLines& lines, double x);
  void flow(const TextLines& lines);

  std::vector<Drawing> pages() { return std::move(pages_); }

 private:
  static constexpr double kHeadHeight = 14.0;

  void put(const TextLine& line, double x, double& y);

  PaperSize paper_;
  SheetFrame frame_;
  std::string piece_, name_;
  Box room_;
  std::vector<Drawing> pages_;
  double y_ = 0.0;
  double top_ = 0.0;
};

}  // namespace underdraw
