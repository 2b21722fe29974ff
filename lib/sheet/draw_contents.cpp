#include "sheet/draw_contents.h"

#include <fmt/format.h>

#include "sheet/page_frame.h"
#include "sheet/shapes.h"
#include "sheet/text_width.h"

namespace underdraw {
namespace {

constexpr double kNameSize = 3.4;
constexpr double kTextSize = 2.8;
constexpr double kRowHeight = 6.4;  // thirty persons on one A4
constexpr double kBelowHead = 18.0;
constexpr Grey kQuiet{0.3};

TextMark text(const std::string& words, Vec2 at, double size, bool bold, Align align) {
  return {words, at, size, align, bold, 0.0, {}};
}

// Lines of the reason under a name; one where all is well.
std::vector<std::string> reason_lines(const ContentsRow& row, double width_mm) {
  if (row.missing.empty()) return {};
  return broken_text("not made: " + row.missing, width_mm, kTextSize);
}

std::string pages_text(const ContentsRow& row) {
  if (row.first_page == row.last_page) return fmt::format("{}", row.first_page);
  return fmt::format("{} – {}", row.first_page, row.last_page);
}

}  // namespace

std::vector<Drawing> draw_contents(const std::string& title,
                                   const std::vector<ContentsRow>& rows,
                                   const SheetOptions& options) {
  const SheetFrame frame = frame_of(options);
  const Box room = text_room(frame);
  const double sheets_x = room.min.x + 0.42 * room.width();
  const double sheets_width = 0.40 * room.width();
  const auto made = static_cast<std::size_t>(
      std::count_if(rows.begin(), rows.end(), [](const auto& row) { return row.missing.empty(); }));
  const std::string made_words = made == rows.size()
                                     ? fmt::format("{} persons", rows.size())
                                     : fmt::format("{} of {} persons", made, rows.size());

  std::vector<Drawing> pages;
  double y = 0.0;
  const auto turn_page = [&] {
    pages.push_back({options.paper.width_mm, options.paper.height_mm, {}});
    for (Mark& mark : head_marks(frame,
                                 {title,
                                  pages.size() == 1 ? "contents" : "contents, continued",
                                  "print at 100 %",
                                  fmt::format("· {} · pages as counted in this file · each "
                                              "person's own cover comes before the sheets",
                                              made_words)})) {
      pages.back().marks.push_back(std::move(mark));
    }
    y = room.min.y + kBelowHead;
  };
  turn_page();
  for (const ContentsRow& row : rows) {
    const std::vector<std::string> reason = reason_lines(row, room.max.x - sheets_x);
    const double extra =
        reason.size() > 1 ? static_cast<double>(reason.size() - 1) * kLineSpacing * kTextSize : 0.0;
    const bool fresh = y <= room.min.y + kBelowHead + 1e-9;
    if (!fresh && y + extra + 1.5 > room.max.y) turn_page();
    std::vector<Mark>& marks = pages.back().marks;
    marks.emplace_back(
        text(fitted_text(row.name, sheets_x - room.min.x - 4.0, kNameSize, row.missing.empty()),
             {room.min.x, y},
             kNameSize,
             row.missing.empty(),
             Align::left));
    if (row.missing.empty()) {
      TextMark sheets = text(fitted_text(row.sheets, sheets_width, kTextSize, false),
                             {sheets_x, y},
                             kTextSize,
                             false,
                             Align::left);
      sheets.colour = kQuiet;
      marks.emplace_back(sheets);
      marks.emplace_back(text(pages_text(row), {room.max.x, y}, kNameSize, false, Align::right));
    }
    double line_y = y;
    for (const std::string& line : reason) {
      marks.emplace_back(text(line, {sheets_x, line_y}, kTextSize, false, Align::left));
      line_y += kLineSpacing * kTextSize;
    }
    PathMark rule;
    rule.line_width_mm = 0.12;
    rule.line = {0.7};
    rule.paths = {line_between({room.min.x, y + extra + 1.9}, {room.max.x, y + extra + 1.9})};
    marks.emplace_back(rule);
    y += kRowHeight + extra;
  }
  return pages;
}

}  // namespace underdraw
