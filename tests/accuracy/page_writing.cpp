#include "accuracy/page_writing.h"

#include <algorithm>
#include <cmath>
#include <fstream>
#include <stdexcept>

#include <nlohmann/json.hpp>

#include "sketch.h"
#include "support/bent_lines.h"
#include "support/hershey.h"
#include "support/seeded.h"

namespace underdraw::test {
namespace {

constexpr double kCorner_deg = 50.0;
constexpr double kSampleStep_mm = 0.02;

using Corners = std::vector<Vec2>;  // of one stroke, in order

double turn_deg(Vec2 before, Vec2 at, Vec2 after) {
  return degrees(angle_between(at - before, after - at));
}

// A curve through the points, with a corner where they turn sharply.
Path smoothed(const Corners& points) {
  const std::size_t n = points.size();
  if (n > 3 && points.front() == points.back() &&
      turn_deg(points[n - 2], points.front(), points[1]) < kCorner_deg) {
    bool round = true;
    for (std::size_t i = 1; i + 1 < n; ++i) {
      round = round && turn_deg(points[i - 1], points[i], points[i + 1]) < kCorner_deg;
    }
    if (round) return harbour::spline({points.begin(), points.end() - 1}, true);
  }
  std::vector<Path> parts;
  Corners run{points.front()};
  for (std::size_t i = 1; i < n; ++i) {
    run.push_back(points[i]);
    if (i + 1 < n && turn_deg(points[i - 1], points[i], points[i + 1]) < kCorner_deg) continue;
    parts.push_back(harbour::spline(run));
    run = {points[i]};
  }
  return harbour::joined(parts);
}

Vec2 nearest_on(const std::vector<Vec2>& line, Vec2 p) {
  Vec2 best = line.front();
  for (std::size_t i = 1; i < line.size(); ++i) {
    const Vec2 way = line[i] - line[i - 1];
    const double whole = dot(way, way);
    const double t = whole > 0.0 ? std::clamp(dot(p - line[i - 1], way) / whole, 0.0, 1.0) : 0.0;
    const Vec2 q = line[i - 1] + way * t;
    if (distance(p, q) < distance(p, best)) best = q;
  }
  return best;
}

// What is left of a line when so much of its length is taken off at one end.
std::vector<Vec2> beyond(const std::vector<Vec2>& line, bool at_end, double length) {
  std::vector<Vec2> out(line.begin(), line.end());
  if (!at_end) std::ranges::reverse(out);
  while (out.size() > 1 && length > 0.0) {
    length -= distance(out.back(), out[out.size() - 2]);
    out.pop_back();
  }
  if (out.size() < 2) out.clear();
  return out;
}

// Ends nearer than `reach` to another stroke, or to their own farther along, move onto it, to its
// end if that is as near. Where a line moved, the ends that were on it follow, so it is done until
// nothing moves.
Linework met(std::vector<Corners> strokes, double reach, double pen_mm) {
  std::vector<Path> paths;
  std::vector<std::vector<Vec2>> lines;
  for (const Corners& stroke : strokes) {
    paths.push_back(smoothed(stroke));
    lines.push_back(sample(paths.back(), kSampleStep_mm));
  }
  constexpr int kRounds = 12;
  for (int round = 0; round < kRounds; ++round) {
    bool moved = false;
    for (std::size_t i = 0; i < strokes.size(); ++i) {
      for (const bool at_end : {false, true}) {
        Vec2& tip = at_end ? strokes[i].back() : strokes[i].front();
        if (strokes[i].front() == strokes[i].back()) continue;
        Vec2 target = tip;
        double nearest = reach;
        for (std::size_t k = 0; k < strokes.size(); ++k) {
          const std::vector<Vec2> line = k == i ? beyond(lines[i], at_end, 5.0 * reach) : lines[k];
          if (line.empty()) continue;
          Vec2 on = nearest_on(line, tip);
          for (const Vec2 other : {line.front(), line.back()}) {
            if (k != i && distance(tip, other) < reach) on = other;
          }
          if (distance(tip, on) < nearest) {
            nearest = distance(tip, on);
            target = on;
          }
        }
        if (distance(target, tip) < 1e-4) continue;
        tip = target;
        // A point that the end has come too near would bend it.
        const std::size_t second = at_end ? strokes[i].size() - 2 : 1;
        if (strokes[i].size() > 2 && distance(strokes[i][second], target) < 0.6 * reach) {
          strokes[i].erase(strokes[i].begin() + static_cast<std::ptrdiff_t>(second));
        }
        paths[i] = smoothed(strokes[i]);
        lines[i] = sample(paths[i], kSampleStep_mm);
        moved = true;
      }
    }
    if (!moved) break;
  }
  Linework out;
  for (Path& path : paths) {
    const Box box = path.box();
    const double across = std::max(box.width(), box.height());
    if (path.points.front() == path.points.back() && across < 1.5 * pen_mm) {
      path = Path{{box.centre()}, false};  // a ring this small is drawn as a dot
    }
    out.strokes.push_back({path, path.is_dot() ? std::max(across, 1.2 * pen_mm) : pen_mm});
  }
  return out;
}

Corners corners_of(const Path& polyline) {
  Corners out;
  for (std::size_t i = 0; i < polyline.points.size(); i += 3) out.push_back(polyline.points[i]);
  return out;
}

// Points crowd at a median's ends, where they only shake the line.
Corners thinned(const Corners& points, double least_mm) {
  Corners out{points.front()};
  for (std::size_t i = 1; i + 1 < points.size(); ++i) {
    if (distance(points[i], out.back()) >= least_mm &&
        distance(points[i], points.back()) >= least_mm) {
      out.push_back(points[i]);
    }
  }
  out.push_back(points.back());
  return out;
}

std::vector<std::string> utf8_characters(const std::string& text) {
  std::vector<std::string> out;
  for (const char c : text) {
    const bool goes_on = (static_cast<unsigned char>(c) & 0xC0U) == 0x80U;
    if (goes_on && !out.empty()) {
      out.back() += c;
    } else {
      out.emplace_back(1, c);
    }
  }
  return out;
}

}  // namespace

Linework written(const std::string& font, const std::string& text, double cap_mm, double pen_mm) {
  constexpr double kCapital = 21.0;  // units; it stands on 9
  const double mm_per_unit = cap_mm / kCapital;
  const std::vector<Linework> glyphs =
      read_hershey("/usr/share/hershey-fonts/" + font + ".jhf", mm_per_unit, pen_mm);
  Linework out;
  double x = 0.0;
  for (const char c : text) {
    if (c == ' ') {
      x += 12.0 * mm_per_unit;
      continue;
    }
    const Linework& glyph = glyphs.at(static_cast<std::size_t>(c - '!'));
    std::vector<Corners> strokes;
    for (const Stroke& stroke : glyph.strokes) strokes.push_back(corners_of(stroke.path));
    const Linework lines = met(std::move(strokes), 1.3 * pen_mm, pen_mm);
    const Box box = lines.ink_box();
    out.append(transformed(lines, Affine::translate({x - box.min.x, -9.0 * mm_per_unit})));
    x += box.width() + std::max(4.0 * mm_per_unit, 1.2);
  }
  return out;
}

Linework brushed(const std::string& characters, int in_a_row, double size_mm, double pen_mm) {
  const std::string path = UNDERDRAW_SOURCE_DIR "/tests/accuracy/strokes/hanzi-medians.json";
  std::ifstream in(path);
  if (!in) throw std::runtime_error(path + ": missing");
  const auto medians = nlohmann::json::parse(in).at("characters");
  const double mm_per_unit = size_mm / 1024.0;
  Linework out;
  int i = 0;
  for (const std::string& character : utf8_characters(characters)) {
    std::vector<Corners> strokes;
    for (const auto& median : medians.at(character)) {
      Corners points;
      for (const auto& point : median) {
        points.push_back(Vec2{point.at(0).get<double>(), 900.0 - point.at(1).get<double>()} *
                         mm_per_unit);
      }
      strokes.push_back(thinned(points, 0.05 * size_mm));
    }
    const Vec2 corner{size_mm * (i % in_a_row), size_mm * (i / in_a_row)};
    out.append(
        transformed(met(std::move(strokes), 1.3 * pen_mm, pen_mm), Affine::translate(corner)));
    ++i;
  }
  return out;
}

Linework pressed(Linework lines, double least_mm, double most_mm, unsigned seed) {
  Dice dice(seed);
  for (Stroke& stroke : lines.strokes) {
    const double length_mm = stroke.path.length();
    const double swing_mm = dice.uniform(7.0, 12.0);  // from thin to thick and back
    const double phase = dice.uniform(0.0, 1.0);
    const std::size_t steps = width_steps(length_mm);
    stroke.widths_mm.clear();
    for (std::size_t i = 0; i <= steps; ++i) {
      const double s_mm = length_mm * static_cast<double>(i) / static_cast<double>(steps);
      const double wave = 0.5 - 0.5 * std::cos(2.0 * std::numbers::pi * (s_mm / swing_mm + phase));
      stroke.widths_mm.push_back(least_mm + (most_mm - least_mm) * wave);
    }
  }
  return lines;
}

}  // namespace underdraw::test
