#include "photo/drawing_sheet.h"

#include <algorithm>
#include <cmath>
#include <set>

#include <fmt/format.h>

#include "core/error.h"
#include "core/listed.h"
#include "sheet/page_frame.h"

namespace underdraw {
namespace {

constexpr double kMarginMm = 8.0;  // fixed: the marks must not depend on the printer
constexpr double kMarkMm = 8.0;
constexpr double kClearMm = 4.0;  // white round the marks
constexpr double kColumnGapMm = 6.0;
constexpr double kRowGapMm = 9.0;   // room for the names
constexpr double kCaptionMm = 6.0;  // over the first row
constexpr int kAcross = 4, kDown = 6;
constexpr int kMarks = static_cast<int>(kSheetMarks);
static_assert(kMarks == 2 * (kAcross + kDown) - 4);
constexpr int kDigits = 4;
constexpr int kBase = 25;
constexpr int kMostColumns = 4, kMostRows = 6;

// Paper and grid as one number, then the page's.
std::array<int, kDigits> digits_of(const SheetKind& kind) {
  const std::vector<std::string> papers = paper_names();
  const auto paper = static_cast<int>(
      std::find(papers.begin(), papers.end(), paper_size(kind.paper).name) - papers.begin());
  const int layout =
      (paper * kMostRows + kind.grid.rows - 1) * kMostColumns + kind.grid.columns - 1;
  return {layout / kBase, layout % kBase, (kind.page - 1) / kBase, (kind.page - 1) % kBase};
}

std::optional<SheetKind> kind_of_digits(const std::array<int, kDigits>& digits) {
  const int layout = digits[0] * kBase + digits[1];
  const auto paper = static_cast<std::size_t>(layout / (kMostRows * kMostColumns));
  const std::vector<std::string> papers = paper_names();
  if (paper >= papers.size()) return {};
  SheetKind kind;
  kind.paper = papers[paper];
  kind.grid = {layout % kMostColumns + 1, layout / kMostColumns % kMostRows + 1};
  kind.page = digits[2] * kBase + digits[3] + 1;
  return kind;
}

// Neighbours have different digits, and opposite corners too.
int digit_at(int mark) { return mark % kDigits; }

// Of mark i, clockwise from the top left: steps across and down.
std::array<int, 2> step_of(int i) {
  if (i < kAcross) return {i, 0};
  i -= kAcross - 1;
  if (i < kDown) return {kAcross - 1, i};
  i -= kDown - 1;
  if (i < kAcross) return {kAcross - 1 - i, kDown - 1};
  i -= kAcross - 1;
  return {0, kDown - 1 - i};
}

}  // namespace

void SheetKind::validate() const {
  paper_size(paper);
  require_between(grid.columns, 1, kMostColumns, "columns of frames", "");
  require_between(grid.rows, 1, kMostRows, "rows of frames", "");
  require_between(page, 1, kMostSheetPage, "page number", "");
}

std::array<Vec2, 4> SheetMark::corners() const {
  return {box.min, Vec2{box.max.x, box.min.y}, box.max, Vec2{box.min.x, box.max.y}};
}

DrawingSheet drawing_sheet(const SheetKind& kind) {
  kind.validate();
  DrawingSheet sheet;
  sheet.kind = kind;
  sheet.paper = paper_size(kind.paper);
  sheet.kind.paper = sheet.paper.name;
  SheetOptions page;
  page.paper = sheet.paper;
  page.margin_mm = kMarginMm;
  sheet.frame = frame_of(page);
  const Box& work = sheet.frame.work;

  const std::array<int, kDigits> digits = digits_of(kind);
  for (int i = 0; i < kMarks; ++i) {
    const auto [across, down] = step_of(i);
    const Vec2 at{work.min.x + (work.width() - kMarkMm) * across / (kAcross - 1),
                  work.min.y + (work.height() - kMarkMm) * down / (kDown - 1)};
    sheet.marks.push_back(
        {kFirstSheetCode + i * kBase + digits[static_cast<std::size_t>(digit_at(i))],
         {at, at + Vec2{kMarkMm, kMarkMm}}});
  }

  Box room = work.grown(-kMarkMm - kClearMm);
  room.min.y += kCaptionMm;
  const int columns = kind.grid.columns;
  const int rows = kind.grid.rows;
  const double width = (room.width() - (columns - 1) * kColumnGapMm) / columns;
  const double height = (room.height() - (rows - 1) * kRowGapMm) / rows;
  for (int r = 0; r < rows; ++r) {
    for (int c = 0; c < columns; ++c) {
      const Vec2 at = room.min + Vec2{c * (width + kColumnGapMm), r * (height + kRowGapMm)};
      sheet.frames.push_back({at, at + Vec2{width, height}});
    }
  }
  return sheet;
}

FrameGrid grid_of(int frames, const std::string& paper) {
  std::optional<FrameGrid> best;
  double best_off = 0.0;
  std::set<int> counts;
  for (int rows = 1; rows <= kMostRows; ++rows) {
    for (int columns = 1; columns <= kMostColumns; ++columns) {
      counts.insert(rows * columns);
      if (rows * columns != frames) continue;
      SheetKind kind;
      kind.paper = paper;
      kind.grid = {columns, rows};
      const Box frame = drawing_sheet(kind).frames.front();
      const double off = std::abs(std::log(frame.width() / frame.height()));
      if (best && off >= best_off) continue;
      best = kind.grid;
      best_off = off;
    }
  }
  if (best) return *best;
  std::vector<std::string> words;
  for (const int count : counts) words.push_back(fmt::format("{}", count));
  throw OptionError({.file = {},
                     .line = {},
                     .found = fmt::format("{} frames make no grid", frames),
                     .expected = listed(words),
                     .remedy = "take the next larger count and leave frames empty"});
}

std::optional<std::size_t> sheet_mark_of_code(int code) {
  if (code < kFirstSheetCode || code >= kFirstSheetCode + kMarks * kBase) return {};
  return static_cast<std::size_t>((code - kFirstSheetCode) / kBase);
}

std::optional<SheetKind> kind_of_codes(const std::vector<int>& codes) {
  std::array<std::map<int, int>, kDigits> votes;
  for (const int code : codes) {
    const auto mark = sheet_mark_of_code(code);
    if (!mark) continue;
    ++votes[static_cast<std::size_t>(digit_at(static_cast<int>(*mark)))]
           [(code - kFirstSheetCode) % kBase];
  }
  std::array<int, kDigits> digits{};
  for (std::size_t d = 0; d < kDigits; ++d) {
    int most = 0, all = 0;
    for (const auto& [digit, count] : votes[d]) {
      all += count;
      if (count <= most) continue;
      most = count;
      digits[d] = digit;
    }
    if (most == 0 || 3 * most < 2 * all) return {};
  }
  return kind_of_digits(digits);
}

void BlankSheets::validate() const {
  first.validate();
  require_between(pages, 1, 100, "count of pages", "");
  require_between(first.page + pages - 1, 1, kMostSheetPage, "number of the last page", "");
  const int frames = pages * first.grid.columns * first.grid.rows;
  if (static_cast<int>(names.size()) <= frames) return;
  throw OptionError(
      {.file = {},
       .line = {},
       .found = fmt::format(
           "there are {} names for {} frame{}", names.size(), frames, frames == 1 ? "" : "s"),
       .expected = "at most one a frame",
       .remedy = "leave names out, or make more frames or pages"});
}

}  // namespace underdraw
