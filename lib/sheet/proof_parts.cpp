#include "sheet/proof_parts.h"

#include <algorithm>
#include <cmath>
#include <set>

#include <fmt/format.h>

#include "sheet/split_cut_out.h"

namespace underdraw {
namespace {

constexpr double kSamePlace = 1e-3;  // mm
constexpr double kOverlapMm = 10.0;  // of neighbours, see split_cut_out.h
constexpr double kOverlapSlack = 0.01;

bool same(const Affine& a, const Affine& b) {
  return std::max({std::abs(a.xx - b.xx),
                   std::abs(a.xy - b.xy),
                   std::abs(a.yx - b.yx),
                   std::abs(a.yy - b.yy)}) < 1e-6 &&
         std::hypot(a.tx - b.tx, a.ty - b.ty) < kSamePlace;
}

// Neighbours in a row or column overlap by as much as they should, all others by that both ways or
// not at all.
bool overlap_right(const CutOutPart& a, const CutOutPart& b) {
  const auto shared = [](double a_from, double a_to, double b_from, double b_to) {
    return std::min(a_to, b_to) - std::max(a_from, b_from);
  };
  const double x = shared(a.window.min.x, a.window.max.x, b.window.min.x, b.window.max.x);
  const double y = shared(a.window.min.y, a.window.max.y, b.window.min.y, b.window.max.y);
  if (x <= 0.0 || y <= 0.0) return true;
  const auto right = [](int apart, double overlap) {
    return apart == 0 || (apart == 1 && std::abs(overlap - kOverlapMm) < kOverlapSlack);
  };
  const int columns = std::abs(a.column - b.column);
  const int rows = std::abs(a.row - b.row);
  return columns + rows > 0 && right(columns, x) && right(rows, y);
}

bool carries(const CutOutPart& part, Vec2 cross) {
  return std::any_of(part.crosses.begin(), part.crosses.end(), [&](Vec2 other) {
    return distance(other, cross) < kSamePlace;
  });
}

// How many parts can be reached from the first by crosses that both sides carry.
std::size_t joined(const std::vector<const CutOut*>& parts) {
  std::set<const CutOut*> reached = {parts.front()};
  std::vector<const CutOut*> open = {parts.front()};
  while (!open.empty()) {
    const CutOut* from = open.back();
    open.pop_back();
    for (const CutOut* to : parts) {
      if (reached.contains(to)) continue;
      const std::vector<Vec2>& crosses = from->part->crosses;
      if (std::none_of(
              crosses.begin(), crosses.end(), [&](Vec2 c) { return carries(*to->part, c); }))
        continue;
      reached.insert(to);
      open.push_back(to);
    }
  }
  return reached.size();
}

}  // namespace

std::vector<std::string> check_parts(const std::vector<const CutOut*>& parts,
                                     const Motif& motif,
                                     const Affine& print_from_motif) {
  std::vector<std::string> wrong;
  const CutOut& first = *parts.front();
  const std::string placement = fmt::format("placement {}", first.placement);
  std::vector<int> times(static_cast<std::size_t>(first.part->count), 0);
  for (const CutOut* c : parts) {
    const CutOutPart& part = *c->part;
    if (part.count != first.part->count || part.number < 1 || part.number > part.count) {
      wrong.push_back(fmt::format("{} is among {} parts", words_for(*c), first.part->count));
      continue;
    }
    ++times[static_cast<std::size_t>(part.number - 1)];
    if (!same(part.sheet_from_print * print_from_motif, c->sheet_from_motif)) {
      wrong.push_back(words_for(*c) + " does not lie where its drawing does");
    }
    for (const Vec2 cross : part.crosses) {
      const auto others = std::count_if(parts.begin(), parts.end(), [&](const CutOut* other) {
        return other != c && carries(*other->part, cross);
      });
      if (others != 1 || !part.window.contains(cross)) {
        wrong.push_back(words_for(*c) + " has a register cross that no neighbour has");
      }
    }
    for (const CutOut* other : parts) {
      if (other->part->number <= part.number || overlap_right(part, *other->part)) continue;
      wrong.push_back(fmt::format("{} and part {} do not overlap by {:g} mm",
                                  words_for(*c),
                                  other->part->number,
                                  kOverlapMm));
    }
  }
  for (std::size_t i = 0; i < times.size(); ++i) {
    if (times[i] == 1) continue;
    wrong.push_back(fmt::format(
        "{} part {} of {} is on the sheets {} times", placement, i + 1, times.size(), times[i]));
  }
  if (joined(parts) != parts.size()) {
    wrong.push_back(placement + " has parts that no cross joins to the others");
  }
  const std::vector<LineSample> drawn = line_samples(transformed(motif.lines, print_from_motif));
  const auto lost = std::count_if(drawn.begin(), drawn.end(), [&](const LineSample& s) {
    return std::none_of(parts.begin(), parts.end(), [&](const CutOut* c) {
      return c->part->window.contains(s.at);
    });
  });
  if (lost > 0) {
    wrong.push_back(
        fmt::format("{} lacks {:.1f} % of its lines in its parts",
                    placement,
                    100.0 * static_cast<double>(lost) / static_cast<double>(drawn.size())));
  }
  return wrong;
}

Linework with_crosses(Linework lines, const CutOut& cut_out) {
  if (!cut_out.part) return lines;
  for (const Vec2 cross : cut_out.part->crosses) {
    for (const Path& line : cross_lines(*cut_out.part, cross)) {
      lines.strokes.push_back({transformed(line, cut_out.part->sheet_from_print), kCrossWidth});
    }
  }
  return lines;
}

std::vector<LineSample> samples_of_crosses(std::vector<LineSample>& samples,
                                           const Linework& lines,
                                           const Linework& guide,
                                           const CutOut& cut_out) {
  const std::size_t first = lines.strokes.size();  // strokes are counted before areas
  const std::size_t end = first + 2 * cut_out.part->crosses.size();
  const auto middle =
      std::stable_partition(samples.begin(), samples.end(), [&](const LineSample& s) {
        return s.stroke < first || s.stroke >= end;
      });
  std::vector<LineSample> crosses(middle, samples.end());
  samples.erase(middle, samples.end());
  std::vector<Path> near;
  for (const Stroke& stroke : guide.strokes) near.push_back(stroke.path);
  return samples_clear_of(near, std::move(crosses));
}

PartProof measure_crosses(const GreyView& page,
                          const CutOut& cut_out,
                          const std::vector<LineSample>& crosses) {
  const LineMeasure m = measure_lines(page, crosses);
  PartProof out;
  out.number = cut_out.part->number;
  out.count = cut_out.part->count;
  out.crosses = cut_out.part->crosses.size();
  out.cross_mm = m.largest_mm;
  out.crosses_missing =
      static_cast<double>(m.missing) / std::max(1.0, static_cast<double>(m.samples));
  return out;
}

}  // namespace underdraw
