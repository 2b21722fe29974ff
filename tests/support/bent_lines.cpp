#include "support/bent_lines.h"

#include <cmath>
#include <numbers>

#include "support/seeded.h"

namespace underdraw::test {
namespace {

constexpr double kTwoPi = 2.0 * std::numbers::pi;
constexpr double kWidthStep_mm = 0.25;
constexpr double kLineStep_mm = 0.02;

template <typename Bend>
void append_bent(const Cubic& c, const Bend& bend, int depth, Path& path) {
  Cubic out;
  out.p0 = bend.moved(c.p0);
  out.p3 = bend.moved(c.p3);
  out.p1 = out.p0 + bend.turned(c.p0, c.p1 - c.p0);
  out.p2 = out.p3 + bend.turned(c.p3, c.p2 - c.p3);
  double worst = 0.0;
  for (const double t : {0.25, 0.5, 0.75}) {
    worst = std::max(worst, distance(out.at(t), bend.moved(c.at(t))));
  }
  if (worst < 0.001 || depth == 0) {
    path.append(out);
    return;
  }
  const CubicPair halves = split(c, 0.5);
  append_bent(halves.before, bend, depth - 1, path);
  append_bent(halves.after, bend, depth - 1, path);
}

template <typename Bend>
Path bent_path(const Path& path, const Bend& bend) {
  Path out;
  out.closed = path.closed;
  if (path.is_dot()) out.points.push_back(bend.moved(path.points.front()));
  for (std::size_t i = 0; i < path.piece_count(); ++i) {
    append_bent(path.piece(i), bend, 12, out);
  }
  return out;
}

template <typename Bend>
Linework with_paths_bent(const Linework& lines, const Bend& bend) {
  Linework out = lines;
  for (Stroke& stroke : out.strokes) stroke.path = bent_path(stroke.path, bend);
  for (Area& area : out.areas) {
    for (Path& ring : area.rings) ring = bent_path(ring, bend);
  }
  return out;
}

}  // namespace

Wobble::Wobble(double rms_mm, unsigned seed) {
  Dice dice(seed ^ 0x77u);
  for (Wave& wave : waves_) {
    const bool slow = &wave - waves_.data() < 8;
    const double length_mm = slow ? dice.uniform(14.0, 30.0) : dice.uniform(5.0, 8.0);
    const double turn = dice.uniform(0.0, kTwoPi);
    const double push = dice.uniform(0.0, kTwoPi);
    // rms over both axes: 8 slow waves carry 94 % of the power, 4 quick ones the rest.
    const double peak = rms_mm * (slow ? std::sqrt(0.94 / 4.0) : std::sqrt(0.06 / 2.0));
    wave.step = Vec2{std::cos(turn), std::sin(turn)} * (kTwoPi / length_mm);
    wave.push = Vec2{std::cos(push), std::sin(push)} * peak;
    wave.phase = dice.uniform(0.0, kTwoPi);
  }
}

Vec2 Wobble::moved(Vec2 p) const {
  Vec2 out = p;
  for (const Wave& w : waves_) out += w.push * std::sin(dot(w.step, p) + w.phase);
  return out;
}

Vec2 Wobble::turned(Vec2 p, Vec2 by) const {
  Vec2 out = by;
  for (const Wave& w : waves_) {
    out += w.push * (std::cos(dot(w.step, p) + w.phase) * dot(w.step, by));
  }
  return out;
}

Tilt::Tilt(double tilt_deg, double towards_deg, double distance_mm, Vec2 middle)
    : middle_(middle),
      ahead_{std::cos(radians(towards_deg)), std::sin(radians(towards_deg))},
      sine_(std::sin(radians(tilt_deg))),
      cosine_(std::cos(radians(tilt_deg))),
      distance_(distance_mm) {}

Vec2 Tilt::moved(Vec2 on_page) const {
  const Vec2 p = on_page - middle_;
  const double nearness = distance_ / (distance_ + dot(p, ahead_) * sine_);
  return middle_ + ahead_ * (dot(p, ahead_) * cosine_ * nearness) +
         perpendicular(ahead_) * (dot(p, perpendicular(ahead_)) * nearness);
}

Vec2 Tilt::turned(Vec2 on_page, Vec2 by) const {
  const Vec2 p = on_page - middle_;
  const double nearness = distance_ / (distance_ + dot(p, ahead_) * sine_);
  const double nearness_step = -nearness * nearness * sine_ / distance_ * dot(by, ahead_);
  const double along = cosine_ * (dot(by, ahead_) * nearness + dot(p, ahead_) * nearness_step);
  const Vec2 side = perpendicular(ahead_);
  return ahead_ * along + side * (dot(by, side) * nearness + dot(p, side) * nearness_step);
}

Vec2 Tilt::unmoved(Vec2 in_picture) const {
  const Vec2 p = in_picture - middle_;
  const double along = dot(p, ahead_) * distance_ / (distance_ * cosine_ - dot(p, ahead_) * sine_);
  const double nearness = distance_ / (distance_ + along * sine_);
  return middle_ + ahead_ * along +
         perpendicular(ahead_) * (dot(p, perpendicular(ahead_)) / nearness);
}

double Tilt::width_factor(Vec2 in_picture, Vec2 direction) const {
  const Vec2 on_page = unmoved(in_picture);
  const double area = cross(turned(on_page, {1, 0}), turned(on_page, {0, 1}));
  if (direction == Vec2{}) return std::sqrt(area);
  // The direction on the page, from the inverse of what turned() does there.
  const Vec2 ex = turned(on_page, {1, 0});
  const Vec2 ey = turned(on_page, {0, 1});
  const Vec2 unit = normalized(direction);
  const Vec2 before = Vec2{ey.y * unit.x - ey.x * unit.y, ex.x * unit.y - ex.y * unit.x} / area;
  return area * length(before);
}

Linework bent(const Linework& lines, const Wobble& wobble) {
  return with_paths_bent(lines, wobble);
}

Linework bent(const Linework& lines, const Tilt& tilt) {
  Linework out = with_paths_bent(lines, tilt);
  for (Stroke& stroke : out.strokes) {
    const std::vector<Vec2> line = sample(stroke.path, kLineStep_mm);
    const double whole = polyline_length(line);
    const std::size_t steps = width_steps(whole);
    std::vector<double> widths;
    double along = 0.0;
    std::size_t next = 1;  // line[next] is the first point beyond `along`, save for the end
    double before = 0.0;   // length up to line[next - 1]
    for (std::size_t i = 0; i <= steps; ++i) {
      along = whole * static_cast<double>(i) / static_cast<double>(steps);
      while (next + 1 < line.size() && before + distance(line[next - 1], line[next]) < along) {
        before += distance(line[next - 1], line[next]);
        ++next;
      }
      const Vec2 direction = line.size() > 1 ? line[next] - line[next - 1] : Vec2{};
      const Vec2 at = line.size() > 1 ? line[next - 1] + normalized(direction) * (along - before)
                                      : line.front();
      widths.push_back(width_along(stroke, along, whole) * tilt.width_factor(at, direction));
    }
    stroke.widths_mm = std::move(widths);
  }
  return out;
}

double width_along(const Stroke& stroke, double along, double whole) {
  if (stroke.widths_mm.empty()) return stroke.width_mm;
  if (stroke.widths_mm.size() == 1 || whole <= 0.0) return stroke.widths_mm.front();
  const auto steps = static_cast<double>(stroke.widths_mm.size() - 1);
  const double at = std::clamp(along / whole, 0.0, 1.0) * steps;
  const auto i = std::min(static_cast<std::size_t>(at), stroke.widths_mm.size() - 2);
  const double share = at - static_cast<double>(i);
  return stroke.widths_mm[i] * (1.0 - share) + stroke.widths_mm[i + 1] * share;
}

std::size_t width_steps(double length_mm) {
  return std::max<std::size_t>(1, static_cast<std::size_t>(std::lround(length_mm / kWidthStep_mm)));
}

}  // namespace underdraw::test
