#include "accuracy/score_table.h"

#include <algorithm>
#include <cmath>
#include <optional>

#include <fmt/format.h>

namespace underdraw::test {
namespace {

// One figure: how it is read from a page, written, and judged.
struct Column {
  const char* name;
  const char* meaning;
  bool of_meetings;  // or of lines
  int decimals;
  std::optional<double> (*value)(const ScoredPage&);
  const char* goal;
  bool (*met)(double);  // none: only told
};

const std::vector<Column>& columns() {
  static const std::vector<Column> all = {
      {"away µm",
       "line error away from meetings and ends, rms",
       false,
       1,
       [](const ScoredPage& p) -> std::optional<double> { return 1e3 * p.score.rms_away_mm; },
       "≤ 15",
       [](double v) { return v <= 15.0; }},
      {"all µm",
       "line error of all that is matched, rms",
       false,
       1,
       [](const ScoredPage& p) -> std::optional<double> { return 1e3 * p.score.rms_all_mm; },
       "≤ 22",
       [](double v) { return v <= 22.0; }},
      {"recall",
       "share of the drawn lines that was traced",
       false,
       4,
       [](const ScoredPage& p) -> std::optional<double> { return p.score.recall; },
       "≥ 0.992",
       [](double v) { return v >= 0.992; }},
      {"precision",
       "share of the traced lines that was drawn",
       false,
       4,
       [](const ScoredPage& p) -> std::optional<double> { return p.score.precision; },
       "≥ 0.992",
       [](double v) { return v >= 0.992; }},
      {"faint",
       "recall on pages of faint pencil",
       false,
       4,
       [](const ScoredPage& p) -> std::optional<double> {
         return p.faint ? std::optional(p.score.recall) : std::nullopt;
       },
       "≥ 0.97",
       [](double v) { return v >= 0.97; }},
      {"junctions",
       "junctions found, right arms, in place",
       true,
       3,
       [](const ScoredPage& p) { return p.score.junction_share(); },
       "≥ 0.92",
       [](double v) { return v >= 0.92; }},
      {"false/m",
       "meetings traced where there is none, per metre",
       true,
       2,
       [](const ScoredPage& p) -> std::optional<double> { return p.score.false_junctions_per_m(); },
       "",
       nullptr},
      {"X split",
       "crossings split in two",
       true,
       3,
       [](const ScoredPage& p) { return p.score.split_share(); },
       "≤ 0.02",
       [](double v) { return v <= 0.02; }},
      {"X uncut",
       "crossings that both strokes run through",
       true,
       3,
       [](const ScoredPage& p) { return p.score.uncut_share(); },
       "≥ 0.90",
       [](double v) { return v >= 0.90; }},
      {"spurs/m",
       "spurs per metre",
       true,
       2,
       [](const ScoredPage& p) -> std::optional<double> { return p.score.spurs_per_m(); },
       "≤ 0.4",
       [](double v) { return v <= 0.4; }},
      {"gaps/m",
       "gaps per metre",
       true,
       2,
       [](const ScoredPage& p) -> std::optional<double> { return p.score.gaps_per_m(); },
       "≤ 1",
       [](double v) { return v <= 1.0; }},
      {"pieces",
       "curve pieces : fewest",
       false,
       2,
       [](const ScoredPage& p) -> std::optional<double> { return p.score.piece_ratio(); },
       "≤ 1.3",
       [](double v) { return v <= 1.3; }},
      {"strokes",
       "strokes : drawn strokes",
       false,
       2,
       [](const ScoredPage& p) -> std::optional<double> { return p.score.line_ratio(); },
       "0.85-1.25",
       [](double v) { return v >= 0.85 && v <= 1.25; }},
      {"tangent°",
       "error of direction, rms",
       false,
       2,
       [](const ScoredPage& p) -> std::optional<double> { return p.score.tangent_rms_deg; },
       "≤ 3.5",
       [](double v) { return v <= 3.5; }},
      {"dots",
       "dots found",
       true,
       3,
       [](const ScoredPage& p) { return p.score.dot_share(); },
       "≥ 0.98",
       [](double v) { return v >= 0.98; }},
      {"width µm",
       "error of the pen width, mean",
       false,
       0,
       [](const ScoredPage& p) -> std::optional<double> { return 1e3 * p.score.width_error_mm; },
       "≤ 50",
       [](double v) { return v <= 50.0; }},
  };
  return all;
}

std::optional<double> mean_of(const std::vector<ScoredPage>& pages, const Column& column) {
  double sum = 0.0;
  double count = 0.0;
  for (const ScoredPage& page : pages) {
    if (const std::optional<double> v = column.value(page)) {
      sum += *v;
      count += 1.0;
    }
  }
  if (count == 0.0) return {};
  return sum / count;
}

std::string figure(std::optional<double> value, int decimals) {
  return value ? fmt::format("{:.{}f}", *value, decimals) : "-";
}

std::string verdict_on(const Column& column, std::optional<double> mean) {
  if (column.met == nullptr || !mean) return "";
  return column.met(*mean) ? "met" : "missed";
}

using Row = std::vector<std::string>;

Row row_of(const ScoredPage& page) {
  Row row{page.name};
  for (const Column& c : columns()) row.push_back(figure(c.value(page), c.decimals));
  return row;
}

Row mean_row(const char* name, const std::vector<ScoredPage>& pages) {
  Row row{name};
  for (const Column& c : columns()) row.push_back(figure(mean_of(pages, c), c.decimals));
  return row;
}

// Width on the screen of UTF-8 without wide characters.
std::size_t width_of(const std::string& text) {
  return static_cast<std::size_t>(std::count_if(text.begin(), text.end(), [](char c) {
    return (static_cast<unsigned char>(c) & 0xC0) != 0x80;
  }));
}

std::vector<Row> rows_of(const ScoreTable& table) {
  std::vector<Row> rows;
  Row head{"page"};
  for (const Column& c : columns()) head.push_back(c.name);
  rows.push_back(head);
  for (const ScoredPage& page : table.pages) rows.push_back(row_of(page));
  rows.push_back(mean_row("mean", table.pages));
  Row goals{"goal"};
  Row verdict{""};
  for (const Column& c : columns()) {
    goals.push_back(c.goal);
    const std::optional<double> mean = mean_of(table.pages, c);
    verdict.push_back(verdict_on(c, mean));
  }
  rows.push_back(goals);
  rows.push_back(verdict);
  if (!table.reference.empty()) rows.push_back(mean_row("skeleton", table.reference));
  return rows;
}

std::string bound(double reached, double margin, int decimals, bool at_most, double limit) {
  const double loose = at_most ? reached + margin : reached - margin;
  const double step = std::pow(10.0, -decimals);
  double rounded = at_most ? std::ceil(loose / step) * step : std::floor(loose / step) * step;
  if (!at_most) rounded = std::max(rounded, limit);
  return fmt::format("{:.{}f}", rounded, decimals);
}

}  // namespace

std::string ScoreTable::text() const {
  const std::vector<Row> rows = rows_of(*this);
  std::vector<std::size_t> widths(rows.front().size(), 0);
  for (const Row& row : rows) {
    for (std::size_t i = 0; i < row.size(); ++i) widths[i] = std::max(widths[i], width_of(row[i]));
  }
  std::string out;
  for (std::size_t r = 0; r < rows.size(); ++r) {
    std::string line;
    for (std::size_t i = 0; i < rows[r].size(); ++i) {
      const std::string pad(widths[i] - width_of(rows[r][i]), ' ');
      line += i == 0 ? rows[r][i] + pad : "  " + pad + rows[r][i];
    }
    while (!line.empty() && line.back() == ' ') line.pop_back();
    if (rows[r].front() == "mean") out += '\n';
    out += line + '\n';
  }
  return out;
}

std::string ScoreTable::markdown() const {
  std::string out = "| figure | mean | goal | | skeleton |\n| --- | ---: | ---: | --- | ---: |\n";
  for (const Column& c : columns()) {
    const std::optional<double> mean = mean_of(pages, c);
    out += fmt::format("| {}: {} | {} | {} | {} | {} |\n",
                       c.name,
                       c.meaning,
                       figure(mean, c.decimals),
                       c.goal,
                       verdict_on(c, mean),
                       reference.empty() ? "" : figure(mean_of(reference, c), c.decimals));
  }
  // Side by side they would be wider than a page.
  for (const bool of_meetings : {false, true}) {
    out += "\n| page |";
    std::string rule = "\n| --- |";
    for (const Column& c : columns()) {
      if (c.of_meetings != of_meetings) continue;
      out += fmt::format(" {} |", c.name);
      rule += " ---: |";
    }
    out += rule + '\n';
    for (const ScoredPage& page : pages) {
      out += fmt::format("| {} |", page.name);
      for (const Column& c : columns()) {
        if (c.of_meetings != of_meetings) continue;
        out += fmt::format(" {} |", figure(c.value(page), c.decimals));
      }
      out += '\n';
    }
  }
  return out;
}

std::string ScoreTable::bounds() const {
  std::string out =
      "    // name, away µm, all µm, recall, precision, junctions, X split, X uncut, spurs/m, "
      "gaps/m,\n"
      "    // pieces, strokes from, to, tangent°, dots, width µm\n";
  for (const ScoredPage& p : pages) {
    const PageScore& s = p.score;
    const auto most = [](double v, double margin, int decimals) {
      return bound(v, margin, decimals, true, 0.0);
    };
    const auto least = [](std::optional<double> v, double margin, int decimals) {
      return bound(v.value_or(0.0), margin, decimals, false, 0.0);
    };
    out +=
        fmt::format("    {{\"{}\", {}, {}, {}, {}, {}, {}, {}, {}, {}, {}, {}, {}, {}, {}, {}}},\n",
                    p.name,
                    most(1e3 * s.rms_away_mm, 0.5, 1),
                    most(1e3 * s.rms_all_mm, 0.7, 1),
                    least(s.recall, 0.002, 3),
                    least(s.precision, 0.002, 3),
                    least(s.junction_share(), 0.03, 2),
                    most(s.split_share().value_or(0.0), 0.01, 2),
                    least(s.uncut_share(), 0.03, 2),
                    most(s.spurs_per_m(), 0.3, 1),
                    most(s.gaps_per_m(), 0.3, 1),
                    most(s.piece_ratio(), 0.04, 2),
                    least(s.line_ratio(), 0.03, 2),
                    most(s.line_ratio(), 0.03, 2),
                    most(s.tangent_rms_deg, 0.2, 1),
                    least(s.dot_share(), 0.01, 2),
                    most(1e3 * s.width_error_mm, 3.0, 0));
  }
  return out;
}

}  // namespace underdraw::test
