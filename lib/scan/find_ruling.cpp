#include "scan/find_ruling.h"

#include <algorithm>
#include <cmath>
#include <optional>

#include "scan/strip_chains.h"

namespace underdraw {
namespace {

constexpr double kShortestMm = 24.0;   // a chain below this is not looked at
constexpr double kLeastSpanMm = 60.0;  // a ruled line is longer, whatever the page
constexpr double kEdgeMm = 8.0;        // printed lines end this near to the paper's edge, or beyond
constexpr double kRimMm = 1.0;         // nearer to the page's edge a line does not show as a mark
constexpr int kFewestLines = 6;        // of a ruling
constexpr double kStraightMm = 0.09;   // typical distance of a printed line from its smooth path
constexpr double kWidestGap = 0.3;     // between lines of a ruling, as a share of the page
constexpr double kEvenMm = 0.12;       // rms distance of printed lines from even spacing

double middle_of(std::vector<double> values) {
  const auto half = values.begin() + static_cast<std::ptrdiff_t>(values.size() / 2);
  std::nth_element(values.begin(), half, values.end());
  return *half;
}

// The strips that are paper: first and last.
struct Extent {
  int first = 0;
  int last = 0;
  int count() const { return last - first + 1; }
};

Extent paper_extent(const Strips& strips) {
  Extent e{0, strips.count() - 1};
  while (e.first < e.last && !strips.paper[static_cast<std::size_t>(e.first)]) ++e.first;
  while (e.last > e.first && !strips.paper[static_cast<std::size_t>(e.last)]) --e.last;
  return e;
}

bool edge_to_edge(const Chain& chain, const Extent& paper, double strip_mm) {
  const int slack = static_cast<int>(std::ceil(kEdgeMm / strip_mm));
  return chain.first() <= paper.first + slack && chain.last() >= paper.last - slack &&
         chain.filled() > 0.5;
}

// Lines evenly spaced, each with its number in the row; numbers may be left out.
struct Lattice {
  double spacing = 0.0;  // coarse px, in the page's middle
  std::vector<std::size_t> chain;
  std::vector<int> number;

  double filled() const {
    return static_cast<double>(chain.size()) / static_cast<double>(number.back() + 1);
  }
};

double at_middle(const Chain& chain) { return chain.path[chain.path.size() / 2]; }

// The longest evenly spaced row among the chains, which are sorted by position.
std::optional<Lattice> find_lattice(const std::vector<Chain>& chains, double px_per_mm) {
  if (chains.size() < static_cast<std::size_t>(kFewestLines)) return {};
  std::vector<double> at;
  for (const Chain& c : chains) at.push_back(at_middle(c));
  Lattice best;
  double best_score = 0.0;
  for (std::size_t start = 0; start + 1 < at.size(); ++start) {
    double spacing = at[start + 1] - at[start];
    if (spacing < 0.8 * px_per_mm || spacing > 25.0 * px_per_mm) continue;
    Lattice row{.spacing = spacing, .chain = {start, start + 1}, .number = {0, 1}};
    // Where the paper bends or the camera tilts, the spacing changes slowly.
    for (std::size_t next = start + 2; next < at.size(); ++next) {
      const double step = at[next] - at[row.chain.back()];
      const double times = std::round(step / spacing);
      if (times < 1.0) continue;
      if (times > 12.0) break;
      if (std::abs(step - times * spacing) > 0.06 * px_per_mm + 0.04 * spacing) continue;
      row.chain.push_back(next);
      row.number.push_back(row.number.back() + static_cast<int>(times));
      spacing += 0.3 * (step / times - spacing);
    }
    const double score = static_cast<double>(row.chain.size()) * std::sqrt(row.filled());
    if (score > best_score) {
      best_score = score;
      best = std::move(row);
    }
  }
  if (best.chain.size() < static_cast<std::size_t>(kFewestLines)) return {};
  best.spacing = (at[best.chain.back()] - at[best.chain.front()]) / best.number.back();
  return best;
}

// Rms distance from even spacing that changes steadily, a parabola in the number.
double unevenness(const Lattice& row, const std::vector<Chain>& chains) {
  const double last = row.number.back();
  double m[3][4] = {};
  for (std::size_t i = 0; i < row.chain.size(); ++i) {
    const double t = row.number[i] / last - 0.5;
    const double base[3] = {1.0, t, t * t};
    for (int a = 0; a < 3; ++a) {
      for (int b = 0; b < 3; ++b) m[a][b] += base[a] * base[b];
      m[a][3] += base[a] * at_middle(chains[row.chain[i]]);
    }
  }
  for (int p = 0; p < 3; ++p) {  // symmetric and positive: no pivoting needed
    for (int r = 0; r < 3; ++r) {
      if (r == p) continue;
      const double f = m[r][p] / m[p][p];
      for (int c = p; c < 4; ++c) m[r][c] -= f * m[p][c];
    }
  }
  double squares = 0.0;
  for (std::size_t i = 0; i < row.chain.size(); ++i) {
    const double t = row.number[i] / last - 0.5;
    const double fit = m[0][3] / m[0][0] + t * m[1][3] / m[1][1] + t * t * m[2][3] / m[2][2];
    squares += std::pow(at_middle(chains[row.chain[i]]) - fit, 2);
  }
  return std::sqrt(squares / static_cast<double>(row.chain.size()));
}

// The printed line that is to be expected at this path, from the marks beside it. Empty where it
// should show and does not; where it is too near to the page's edge to show, it is taken for
// granted.
std::optional<Chain> line_at(const std::vector<double>& path,
                             const Strips& strips,
                             const Extent& extent,
                             double reach) {
  Chain out;
  int could_show = 0;
  bool on_page = false;
  const double rim = kRimMm * strips.px_per_mm;
  for (int i = extent.first; i <= extent.last; ++i) {
    const double expected = path[static_cast<std::size_t>(i)];
    on_page = on_page || (expected > 0.0 && expected < strips.length);
    if (expected < rim || expected > strips.length - rim) continue;
    ++could_show;
    const std::vector<double>& marks = strips.marks[static_cast<std::size_t>(i)];
    const auto above = std::lower_bound(marks.begin(), marks.end(), expected);
    double nearest = reach;
    double at = 0.0;
    for (const auto it : {above, above == marks.begin() ? above : above - 1}) {
      if (it == marks.end() || std::abs(*it - expected) >= nearest) continue;
      nearest = std::abs(*it - expected);
      at = *it;
    }
    if (nearest == reach) continue;
    out.strip.push_back(i);
    out.at.push_back(at);
  }
  if (!on_page) return {};
  const auto shown = static_cast<double>(out.strip.size());
  if (out.strip.size() >= 6 && shown >= 0.3 * could_show) {
    smooth_chain(out, strips.count());
    if (out.wobble < 1.3 * kStraightMm * strips.px_per_mm) return out;
  }
  if (could_show > extent.count() / 4 && could_show > 5) return {};
  return Chain{.strip = {extent.first, extent.last}, .at = {}, .path = path, .wobble = 0.0};
}

// Where a numbered line should be in each strip, going by the lines beside it: a drawing may have
// led single lines astray, hardly several at the same place.
std::vector<double> expected_path(const std::vector<std::optional<Chain>>& lines,
                                  std::size_t number,
                                  double spacing,
                                  int strip_count) {
  constexpr int kNeighbours = 4;  // on each side
  const auto k = static_cast<int>(number);
  const auto seen_at = [&](int n, int i) -> std::optional<double> {
    if (n < 0 || n >= static_cast<int>(lines.size())) return {};
    const std::optional<Chain>& line = lines[static_cast<std::size_t>(n)];
    if (!line || i < line->first() || i > line->last()) return {};
    return line->path[static_cast<std::size_t>(i)];
  };
  Chain known;
  std::vector<double> steps;
  std::vector<double> guesses;
  for (int i = 0; i < strip_count; ++i) {
    steps.clear();
    guesses.clear();
    for (int n = k - kNeighbours; n < k + kNeighbours; ++n) {
      const auto a = seen_at(n, i);
      const auto b = seen_at(n + 1, i);
      if (a && b) steps.push_back(*b - *a);
    }
    const double step = steps.size() < 3 ? spacing : middle_of(steps);
    for (int off = -kNeighbours; off <= kNeighbours; ++off) {
      if (const auto at = seen_at(k + off, i)) guesses.push_back(*at - off * step);
    }
    if (guesses.empty()) continue;
    known.strip.push_back(i);
    known.at.push_back(middle_of(guesses));
  }
  if (known.strip.empty()) return {};
  if (static_cast<int>(known.strip.size()) == strip_count) return known.at;
  smooth_chain(known, strip_count);  // goes on as it came where no neighbour is seen
  return known.path;
}

// All lines of the row: those that the chains missed too, hidden in part or at the page's edge.
std::vector<Chain> complete_row(const Lattice& row,
                                const std::vector<Chain>& chains,
                                const Strips& strips,
                                const Extent& extent) {
  const double reach = std::min(0.3 * strips.px_per_mm, 0.3 * row.spacing);
  std::vector<std::optional<Chain>> lines(static_cast<std::size_t>(row.number.back()) + 1);
  for (std::size_t i = 0; i < row.chain.size(); ++i) {
    lines[static_cast<std::size_t>(row.number[i])] = chains[row.chain[i]];
  }
  const auto look_for = [&](std::size_t k) -> std::optional<Chain> {
    const std::vector<double> path = expected_path(lines, k, row.spacing, strips.count());
    if (path.empty()) return {};
    return line_at(path, strips, extent, reach);
  };
  for (int round = 0; round < 2; ++round) {
    std::vector<std::optional<Chain>> better = lines;
    for (std::size_t k = 0; k < lines.size(); ++k) {
      if (auto line = look_for(k)) better[k] = std::move(line);
    }
    lines = std::move(better);
  }
  // Beyond the row's ends, one line after the other as long as they show.
  for (const bool before : {true, false}) {
    for (;;) {
      lines.insert(before ? lines.begin() : lines.end(), std::optional<Chain>());
      const std::size_t k = before ? 0 : lines.size() - 1;
      lines[k] = look_for(k);
      if (!lines[k]) break;
    }
  }
  std::vector<Chain> out;
  for (std::optional<Chain>& line : lines) {
    if (line) out.push_back(std::move(*line));
  }
  return out;
}

RuledLine ruled_line(const Chain& chain, const Strips& strips, const Extent& extent, int shrink) {
  RuledLine line;
  for (const double at : chain.path) line.at_px.push_back(at * shrink);
  // A strip more than it was seen in, and to the edge when it comes near.
  int first = std::min(chain.first(), extent.first) - 1;
  int last = std::max(chain.last(), extent.last) + 1;
  if (first < 4) first = 0;
  if (last > strips.count() - 5) last = strips.count();  // the remainder beyond the last strip too
  line.from_px = first * strips.strip * shrink;
  line.to_px = (last + 1) * strips.strip * shrink;
  return line;
}

// What one direction of the page shows before it is known whether the page is ruled at all.
struct Seen {
  Strips strips;
  Extent paper;
  std::vector<Chain> chains;  // long and straight, sorted by position
  std::optional<Lattice> row;
  std::vector<std::size_t> whole;  // chains from edge to edge
};

Seen look(const PaperLight& light, double px_per_mm, bool down) {
  Seen out;
  out.strips = cut_strips(light, px_per_mm, down);
  if (out.strips.count() < 8) return out;
  out.paper = paper_extent(out.strips);
  const double strip_mm = out.strips.strip / px_per_mm;
  const double least_mm = std::max(kLeastSpanMm, 0.45 * out.paper.count() * strip_mm);
  for (Chain& chain :
       follow_chains(out.strips, static_cast<int>(std::lround(kShortestMm / strip_mm)))) {
    const double span_mm = (chain.last() - chain.first() + 1) * strip_mm;
    if (span_mm < least_mm || chain.filled() < 0.4) continue;
    if (chain.wobble > kStraightMm * px_per_mm) continue;
    out.chains.push_back(std::move(chain));
  }
  std::sort(out.chains.begin(), out.chains.end(), [](const Chain& a, const Chain& b) {
    return at_middle(a) < at_middle(b);
  });
  for (std::size_t i = 0; i < out.chains.size(); ++i) {
    if (edge_to_edge(out.chains[i], out.paper, strip_mm)) out.whole.push_back(i);
  }
  out.row = find_lattice(out.chains, px_per_mm);
  return out;
}

// Is the row printed? In most of its lines it runs from edge to edge; or it fills a sheet that is
// smaller than the picture, evenly as no hand does.
bool is_printed(const Seen& seen) {
  if (!seen.row) return false;
  const Lattice& row = *seen.row;
  const double px_per_mm = seen.strips.px_per_mm;
  if (row.filled() < 0.5) return false;
  if (unevenness(row, seen.chains) > kEvenMm * px_per_mm) return false;
  std::size_t whole = 0;
  std::vector<double> spans;
  std::vector<double> wobbles;
  for (const std::size_t c : row.chain) {
    whole += std::binary_search(seen.whole.begin(), seen.whole.end(), c) ? 1 : 0;
    const Chain& chain = seen.chains[c];
    spans.push_back(static_cast<double>(chain.last() - chain.first() + 1) / seen.paper.count());
    wobbles.push_back(chain.wobble / px_per_mm);
  }
  if (whole >= static_cast<std::size_t>(kFewestLines) && 2 * whole >= row.chain.size()) return true;
  const double covers = row.number.back() * row.spacing / seen.strips.length;
  return row.chain.size() >= 10 && middle_of(spans) > 0.8 && covers > 0.6 &&
         middle_of(wobbles) < 0.05;
}

// Many lines from edge to edge, all over the page, are printed too when their spacing is not even.
bool is_uneven_ruling(const Seen& seen) {
  if (seen.whole.size() < static_cast<std::size_t>(kFewestLines)) return false;
  double gap = 0.0;
  for (std::size_t i = 1; i < seen.whole.size(); ++i) {
    gap = std::max(
        gap, at_middle(seen.chains[seen.whole[i]]) - at_middle(seen.chains[seen.whole[i - 1]]));
  }
  return gap < kWidestGap * seen.strips.length;
}

// Where most lines of the row begin and end.
Extent usual_extent(const std::vector<Chain>& lines) {
  std::vector<double> first;
  std::vector<double> last;
  for (const Chain& c : lines) {
    first.push_back(c.first());
    last.push_back(c.last());
  }
  return {static_cast<int>(middle_of(first)), static_cast<int>(middle_of(last))};
}

RuledDirection lines_of(const Seen& seen, bool row_is_printed, int shrink) {
  RuledDirection out;
  out.strip_px = seen.strips.strip * shrink;
  std::vector<Chain> lines;
  std::vector<bool> used(seen.chains.size(), false);
  Extent extent = seen.paper;
  if (row_is_printed) {
    for (const std::size_t c : seen.row->chain) {
      used[c] = true;
      lines.push_back(seen.chains[c]);
    }
    extent = usual_extent(lines);
    lines = complete_row(*seen.row, seen.chains, seen.strips, extent);
    out.spacing_mm = seen.row->spacing / seen.strips.px_per_mm;
  }
  for (const Chain& c : lines) out.lines.push_back(ruled_line(c, seen.strips, extent, shrink));
  const auto lies_on_one = [&](const Chain& chain) {
    return std::any_of(lines.begin(), lines.end(), [&](const Chain& line) {
      return std::abs(at_middle(line) - at_middle(chain)) < 0.3 * seen.strips.px_per_mm;
    });
  };
  // A margin's line, a heading's: printed with the others, at a place of its own.
  for (const std::size_t c : seen.whole) {
    if (used[c] || lies_on_one(seen.chains[c])) continue;
    out.lines.push_back(ruled_line(seen.chains[c], seen.strips, seen.paper, shrink));
  }
  return out;
}

}  // namespace

double RuledDirection::at(const RuledLine& line, double along_px) const {
  const double t = along_px / strip_px - 0.5;
  const auto last = static_cast<double>(line.at_px.size() - 1);
  const double low = std::clamp(std::floor(t), 0.0, std::max(0.0, last - 1.0));
  const auto i = static_cast<std::size_t>(low);
  if (line.at_px.size() == 1) return line.at_px[0];
  return line.at_px[i] + (t - low) * (line.at_px[i + 1] - line.at_px[i]);
}

Ruling find_ruling(const Page& page, const PaperLight& light) {
  const double px_per_mm = page.dpi() / 25.4 / light.shrink;
  const Seen across = look(light, px_per_mm, false);
  const Seen down = look(light, px_per_mm, true);
  const bool across_printed = is_printed(across);
  const bool down_printed = is_printed(down);
  if (!across_printed && !down_printed && !is_uneven_ruling(across) && !is_uneven_ruling(down)) {
    return {};
  }
  return {.across = lines_of(across, across_printed, light.shrink),
          .down = lines_of(down, down_printed, light.shrink)};
}

}  // namespace underdraw
