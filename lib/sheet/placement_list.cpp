#include "sheet/placement_list.h"

#include <array>
#include <cmath>

#include <fmt/format.h>

#include "core/listed.h"
#include "sheet/shapes.h"
#include "sheet/text_width.h"

namespace underdraw {
namespace {

constexpr double kSize = 2.7;
constexpr double kRow = 4.3;
constexpr double kTightRow = 3.8;
constexpr double kHeadRow = 5.6;
constexpr double kColumnGap = 3.0;
constexpr double kBlockGap = 9.0;
constexpr double kLongestMotif = 30.0;
constexpr Grey kQuiet{0.35};

constexpr std::size_t kCells = 5;
using Cells = std::array<std::string, kCells>;

Cells cells_of(const ListRow& row) {
  return {row.number, row.motif, row.size, row.where, row.sheet};
}

// "3", or "3–5" and "3, 7" of a placement in parts.
std::string sheets_text(const std::vector<int>& sheets) {
  const bool run =
      sheets.size() > 2 && sheets.back() - sheets.front() + 1 == static_cast<int>(sheets.size());
  if (run) return fmt::format("{}–{}", sheets.front(), sheets.back());
  std::vector<std::string> words;
  for (const int sheet : sheets) words.push_back(std::to_string(sheet));
  return listed(words);
}

}  // namespace

std::vector<ListRow> list_rows(const std::vector<PlacedFace>& faces,
                               const std::vector<Motif>& motifs,
                               const SheetPlan* plan) {
  std::vector<ListRow> rows;
  for (const PlacedFace& face : faces) {
    for (const Placement& placement : face.placements) {
      const Motif& motif = motif_named(motifs, placement.motif);
      const double scale = placement.change.scale;
      const DatumLabels at = datum_labels(face.surface, placement);
      ListRow row;
      row.number = std::to_string(placement.id);
      row.motif = motif.name + (placement.change.mirrored ? ", mirrored" : "");
      row.size = fmt::format("{:.1f} × {:.1f} mm", motif.width_mm * scale, motif.height_mm * scale);
      row.where = fmt::format(
          "{}{}, {}", faces.size() > 1 ? face.face.name + ": " : "", at.across, at.along);
      if (plan != nullptr) row.sheet = sheets_text(sheets_of(*plan, placement.id));
      rows.push_back(std::move(row));
    }
  }
  return rows;
}

DrawnList draw_list(const std::vector<ListRow>& rows, std::size_t first, const Box& box) {
  DrawnList out;
  if (first >= rows.size() || box.height() < kHeadRow + kRow) return out;
  const bool sheets = !rows.front().sheet.empty();
  const Cells heads = {"no.", "motif", "width × height", "where", sheets ? "sheet" : ""};
  std::array<double, kCells> wide{};
  for (std::size_t c = 0; c < kCells; ++c) wide[c] = text_width_mm(heads[c], kSize);
  for (const ListRow& row : rows) {
    const Cells cells = cells_of(row);
    for (std::size_t c = 0; c < kCells; ++c) {
      wide[c] = std::max(wide[c], text_width_mm(cells[c], kSize));
    }
  }
  wide[1] = std::min(wide[1], kLongestMotif);
  double block = 0.0;
  for (std::size_t c = 0; c < kCells; ++c) {
    if (wide[c] > 0.0) block += wide[c] + (c > 0 ? kColumnGap : 0.0);
  }
  const double columns_fit = std::floor((box.width() + kBlockGap) / (block + kBlockGap));
  const auto columns = static_cast<std::size_t>(std::max(1.0, columns_fit));
  const double pitch = (box.width() + kBlockGap) / static_cast<double>(columns);
  const double room = box.height() - kHeadRow;
  const std::size_t left = rows.size() - first;
  // Columns of even length when all is left fits; a little tighter rather than a page for a few.
  const std::size_t due = (left + columns - 1) / columns;
  const double row =
      room < static_cast<double>(due) * kRow && room >= static_cast<double>(due) * kTightRow
          ? room / static_cast<double>(due)
          : kRow;
  const std::size_t deep = std::min(due, static_cast<std::size_t>(room / row + 1e-9));

  for (std::size_t column = 0; column < columns && out.rows < left; ++column) {
    const double x = box.min.x + static_cast<double>(column) * pitch;
    const auto write = [&](const Cells& cells, double baseline, Grey colour) {
      double at = x;
      for (std::size_t c = 0; c < kCells; ++c) {
        if (wide[c] == 0.0) continue;
        // Too narrow a page shortens words rather than running off it.
        const double most = std::min(wide[c], box.max.x - at);
        TextMark text{fitted_text(cells[c], most + 1e-9, kSize, false),
                      {at, baseline},
                      kSize,
                      Align::left,
                      false,
                      0.0,
                      colour};
        if (c == 0 || c == 4) {
          text.align = Align::right;
          text.at.x = at + most;
        }
        if (most > 0.0 && !text.text.empty()) out.marks.emplace_back(std::move(text));
        at += wide[c] + kColumnGap;
      }
    };
    write(heads, box.min.y + 2.6, kQuiet);
    PathMark rule;
    rule.line_width_mm = 0.15;
    rule.line = {0.5};
    const double rule_y = box.min.y + 3.9;
    rule.paths = {line_between({x + 0.2, rule_y},
                               {std::min(x + pitch - kBlockGap, box.max.x) - 0.2, rule_y})};
    out.marks.emplace_back(rule);
    for (std::size_t i = 0; i < deep && out.rows < left; ++i, ++out.rows) {
      write(cells_of(rows[first + out.rows]),
            box.min.y + kHeadRow + (static_cast<double>(i) + 0.65) * row,
            {});
    }
  }
  out.height_mm = kHeadRow + static_cast<double>(deep) * row;
  return out;
}

}  // namespace underdraw
