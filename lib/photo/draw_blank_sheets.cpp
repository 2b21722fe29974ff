#include <fmt/format.h>

#include "photo/draw_code.h"
#include "photo/drawing_sheet.h"
#include "sheet/page_frame.h"
#include "sheet/shapes.h"
#include "sheet/text_width.h"

namespace underdraw {
namespace {

// Light enough that a drawing stands out, dark enough for a printer without grey.
constexpr Grey kFrameLine{0.65};
constexpr Grey kWords{0.3};
constexpr double kNameSize = 2.8;
constexpr double kNameAbove = 3.7;  // of its baseline over the frame: outside what is traced

void add_words(std::vector<Mark>& marks,
               const std::string& words,
               Vec2 at,
               Align align,
               bool bold,
               Grey grey) {
  marks.emplace_back(TextMark{words, at, kNameSize, align, bold, 0.0, grey});
}

void add_frame(std::vector<Mark>& marks, const Box& frame, int number, const std::string& name) {
  PathMark line;
  line.paths = {rectangle(frame)};
  line.line_width_mm = kFrameLineMm;
  line.line = kFrameLine;
  marks.emplace_back(std::move(line));
  const Vec2 at = frame.min + Vec2{kTextInset, -kNameAbove};
  const std::string digits = fmt::format("{}", number);
  add_words(marks, digits, at, Align::left, true, {});
  if (name.empty()) return;
  const double used = text_width_mm(digits, kNameSize, true) + 2.0;
  add_words(marks,
            fitted_text(name, frame.width() - used - 2.0 * kTextInset, kNameSize, false),
            at + Vec2{used, 0.0},
            Align::left,
            false,
            kWords);
}

// Between the marks above and below the frames, where nothing is traced.
void add_strips(std::vector<Mark>& marks, const DrawingSheet& sheet) {
  const Box& work = sheet.frame.work;
  const double mark = sheet.marks.front().box.height();
  const double middle = work.centre().x;
  for (Mark& part : up_arrow({{middle - 1.5, work.min.y}, {middle + 1.5, work.min.y + mark}})) {
    marks.push_back(std::move(part));
  }
  add_words(marks,
            "up",
            {middle + 3.0, work.min.y + 0.5 * (mark + kCapHeight * kNameSize)},
            Align::left,
            false,
            kWords);
  // Room to sign: four marks across leave the middle free.
  const double left = sheet.marks[1].box.max.x + 3.0;
  const double right = sheet.marks[2].box.min.x - 3.0;
  const double baseline = work.max.y - 1.2;
  add_words(marks, "drawn by", {left, baseline}, Align::left, false, kWords);
  PathMark line;
  line.line_width_mm = 0.2;
  line.line = kFrameLine;
  line.paths = {line_between({left + text_width_mm("drawn by", kNameSize) + 1.5, baseline + 0.4},
                             {right, baseline + 0.4})};
  marks.emplace_back(std::move(line));
}

}  // namespace

std::vector<Drawing> draw_blank_sheets(const BlankSheets& sheets) {
  sheets.validate();
  std::vector<Drawing> pages;
  std::size_t named = 0;
  for (int i = 0; i < sheets.pages; ++i) {
    SheetKind kind = sheets.first;
    kind.page += i;
    const DrawingSheet sheet = drawing_sheet(kind);
    Drawing page{sheet.paper.width_mm, sheet.paper.height_mm, {}};
    page.marks = head_marks(
        sheet.frame,
        {fmt::format("Drawing sheet {}", kind.page),
         fmt::format("{} · {} × {}", sheet.paper.name, kind.grid.columns, kind.grid.rows),
         "Print at 100 %.",
         "Draw inside the frames. Photograph the whole sheet from above: all its marks in view, "
         "nothing on them."});
    for (Mark& mark : measure_marks(sheet.frame)) page.marks.push_back(std::move(mark));
    std::vector<CodeToDraw> codes;
    for (const SheetMark& mark : sheet.marks) codes.push_back({mark.code, mark.box});
    for (PathMark& mark : code_marks(codes)) page.marks.emplace_back(std::move(mark));
    add_strips(page.marks, sheet);
    for (std::size_t f = 0; f < sheet.frames.size(); ++f) {
      const std::string name = named < sheets.names.size() ? sheets.names[named++] : "";
      add_frame(page.marks, sheet.frames[f], static_cast<int>(f) + 1, name);
    }
    pages.push_back(std::move(page));
  }
  return pages;
}

}  // namespace underdraw
