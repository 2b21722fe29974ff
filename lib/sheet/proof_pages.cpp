#include "sheet/proof_pages.h"

#include <algorithm>
#include <cmath>
#include <map>
#include <unordered_map>

#include <fmt/format.h>

#include "core/error.h"
#include "geometry/rings.h"
#include "sheet/clip_lines.h"
#include "sheet/proof_lines.h"
#include "sheet/shapes.h"
#include "sheet/text_width.h"

namespace underdraw {
namespace {

constexpr double kLightest = 0.4;   // a lighter line is not measured
constexpr double kBlack = 0.1;      // nor the edges of an area that is lighter than this
constexpr double kThinnest = 0.13;  // mm, the same of a thinner one
constexpr double kBesideText = 0.5;
constexpr double kBesideFill = 0.4;
constexpr std::size_t kMostFaults = 5;
constexpr double kFlat = 0.01;

// Things by the square millimetres that their boxes cover.
template <typename T>
class Cells {
 public:
  void add(const Box& box, const T& thing) {
    for (long y = cell(box.min.y); y <= cell(box.max.y); ++y) {
      for (long x = cell(box.min.x); x <= cell(box.max.x); ++x) cells_[key(x, y)].push_back(thing);
    }
  }
  const std::vector<T>& at(Vec2 p) const {
    static const std::vector<T> kNone;
    const auto found = cells_.find(key(cell(p.x), cell(p.y)));
    return found == cells_.end() ? kNone : found->second;
  }

 private:
  static long cell(double mm) { return static_cast<long>(std::floor(mm)); }
  static long key(long x, long y) { return x * 100'003 + y; }
  std::unordered_map<long, std::vector<T>> cells_;
};

// What the drawing asks for, mark by mark in the order in which they are painted.
struct Asked {
  Linework lines;
  std::vector<std::size_t> mark_of_stroke;  // as line_samples() counts: strokes, then rings
  std::vector<std::size_t> mark_of_ring;
  std::vector<bool> measured;                         // of each mark
  std::vector<std::pair<std::size_t, Rings>> covers;  // light fills, by their mark
  std::vector<TextMark> texts;
};

void ask_for(const PathMark& path, Asked& asked) {
  const std::size_t mark = asked.measured.size();
  const bool dark_fill = path.filled && path.fill.lightness <= kBlack;
  const bool dark_line =
      path.line_width_mm >= kThinnest && path.line.lightness <= kLightest && path.dashes_mm.empty();
  asked.measured.push_back(dark_fill || dark_line);
  if (path.filled && !dark_fill) {
    Rings rings;
    for (const Path& ring : path.paths) rings.push_back(flatten(ring, kFlat));
    asked.covers.emplace_back(mark, std::move(rings));
  }
  if (dark_fill) {
    asked.lines.areas.push_back({path.paths});
    asked.mark_of_ring.insert(asked.mark_of_ring.end(), path.paths.size(), mark);
  } else if (path.line_width_mm > 0.0) {
    for (const Path& line : path.paths) {
      asked.lines.strokes.push_back({line, path.line_width_mm});
      asked.mark_of_stroke.push_back(mark);
    }
  }
}

Asked asked_of(const Drawing& drawing) {
  Asked asked;
  for (const Mark& mark : drawing.marks) {
    if (const auto* path = std::get_if<PathMark>(&mark)) {
      ask_for(*path, asked);
    } else if (const auto* shared = std::get_if<SharedMark>(&mark)) {
      for (const PathMark& each : marks_of(*shared)) ask_for(each, asked);
    } else {
      asked.texts.push_back(std::get<TextMark>(mark));
    }
  }
  asked.mark_of_stroke.insert(
      asked.mark_of_stroke.end(), asked.mark_of_ring.begin(), asked.mark_of_ring.end());
  return asked;
}

std::string without_spaces(std::string text) {
  std::erase(text, ' ');
  return text;
}

// The letters whose middles lie in the text's own box, in its reading direction.
std::string written_at(const TextMark& text, const Cells<const PrintedWord*>& letters) {
  const double width = text_width_mm(text);
  const double left = text.align == Align::left    ? 0.0
                      : text.align == Align::right ? -width
                                                   : -width / 2.0;
  // Boxes of slanting letters stand upright, and their middles beside the letters.
  const bool slanting = std::abs(std::remainder(text.turn_deg, 90.0)) > 0.5;
  const double beside = slanting ? std::max(0.3, 0.35 * text.height_mm) : 0.3;
  const Box own =
      Box{{left, -kAscent * text.height_mm}, {left + width, kDescent * text.height_mm}}.grown(
          beside);
  const Affine own_from_page = Affine::turn_deg(-text.turn_deg) * Affine::translate(-text.at);
  std::map<std::pair<double, const PrintedWord*>, std::string> parts;
  const Box box = text_box(text).grown(beside + 0.2);
  for (double y = std::floor(box.min.y); y <= box.max.y; y += 1.0) {
    for (double x = std::floor(box.min.x); x <= box.max.x; x += 1.0) {
      for (const PrintedWord* letter : letters.at({x + 0.5, y + 0.5})) {
        const Vec2 p = own_from_page * letter->box.centre();
        if (own.contains(p)) parts[{p.x, letter}] = letter->text;
      }
    }
  }
  std::string all;
  for (const auto& [place, part] : parts) all += part;
  return without_spaces(all);
}

std::string at_words(Vec2 at) { return fmt::format("at {:.0f}, {:.0f} mm", at.x, at.y); }

}  // namespace

void PageProofOptions::validate() const {
  require_between(limit_mm, 1e-3, 5.0, "proof limit", "mm");
  require_between(missing_limit, 0.0, 1.0, "missing limit", "(share)");
}

PageProof measure_page(const Drawing& drawing,
                       const GreyView& page,
                       const std::vector<PrintedWord>& letters,
                       const PageProofOptions& options) {
  const Asked asked = asked_of(drawing);
  Cells<std::size_t> covers;
  for (std::size_t i = 0; i < asked.covers.size(); ++i) {
    covers.add(box_of(asked.covers[i].second).grown(1.0), i);
  }
  Cells<Box> beside_text;
  for (const TextMark& text : asked.texts) {
    const Box box = text_box(text).grown(kBesideText);
    beside_text.add(box, box);
  }
  // Samples of each mark, without those that later white lies over.
  std::vector<std::vector<LineSample>> of_mark(asked.measured.size());
  for (LineSample& s : line_samples(asked.lines)) {
    const std::size_t mark = asked.mark_of_stroke[s.stroke];
    if (!asked.measured[mark]) continue;
    const auto& over = covers.at(s.at);
    if (std::any_of(over.begin(), over.end(), [&](std::size_t i) {
          const auto& [later, rings] = asked.covers[i];
          return later > mark &&
                 (inside(rings, s.at) || inside(rings, s.at + s.normal * s.half_mm) ||
                  inside(rings, s.at - s.normal * s.half_mm));
        })) {
      continue;
    }
    // On grey, or at the edge of white, ink has another middle.
    const Box reach = Box{s.at, s.at}.grown(s.half_mm + kBesideFill);
    s.crowded = s.crowded || std::any_of(over.begin(), over.end(), [&](std::size_t k) {
                  return touches(asked.covers[k].second, reach);
                });
    const auto& near = beside_text.at(s.at);
    s.crowded = s.crowded || std::any_of(near.begin(), near.end(), [&](const Box& box) {
                  return box.contains(s.at);
                });
    of_mark[mark].push_back(s);
  }

  PageProof out;
  std::size_t faults = 0;
  const auto fault = [&](std::string words_of_it) {
    if (++faults <= kMostFaults) out.faults.push_back(std::move(words_of_it));
  };
  double sum = 0.0;
  std::size_t measured = 0;
  for (const std::vector<LineSample>& samples : of_mark) {
    if (samples.empty()) continue;
    const LineMeasure m = measure_lines(page, samples);
    out.samples += m.samples;
    measured += m.measured;
    sum += m.sum_mm;
    out.largest_mm = std::max(out.largest_mm, m.largest_mm);
    const double missing = static_cast<double>(m.missing) / static_cast<double>(m.samples);
    const std::string where = at_words(samples[samples.size() / 2].at);
    if (missing > options.missing_limit) {
      fault(fmt::format("a line {} lacks {:.0f} % of its ink", where, 100.0 * missing));
    } else if (m.largest_mm > options.limit_mm) {
      fault(fmt::format("a line {} is off by up to {:.2f} mm (limit {:g} mm)",
                        where,
                        m.largest_mm,
                        options.limit_mm));
    }
  }
  Cells<const PrintedWord*> printed;
  for (const PrintedWord& letter : letters) {
    printed.add({letter.box.centre(), letter.box.centre()}, &letter);
  }
  for (const TextMark& text : asked.texts) {
    const std::string due = without_spaces(text.text);
    if (due.empty()) continue;
    ++out.words;
    const std::string found = written_at(text, printed);
    if (found == due) continue;
    fault(fmt::format("\"{}\" {} {}",
                      text.text,
                      at_words(text.at),
                      found.empty() ? "is not written" : fmt::format("reads \"{}\"", found)));
  }
  if (faults > kMostFaults) {
    out.faults.push_back(fmt::format("and {} more", faults - kMostFaults));
  }
  const auto share = [](std::size_t part, std::size_t whole) {
    return whole == 0 ? 0.0 : static_cast<double>(part) / static_cast<double>(whole);
  };
  out.measured_share = share(measured, out.samples);
  out.mean_mm = measured == 0 ? 0.0 : sum / static_cast<double>(measured);
  return out;
}

}  // namespace underdraw
