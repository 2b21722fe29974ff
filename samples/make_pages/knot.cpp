// A figure-of-eight knot in laid rope, its ends whipped and frayed.
#include <cmath>

#include "sketch.h"
#include "sketches.h"

namespace harbour {
namespace {

using namespace underdraw;

constexpr double kHalfRope_mm = 1.95;
constexpr double kLay_mm = 2.5;    // from one twist mark to the next
constexpr double kSlant_mm = 1.5;  // how far a twist mark runs on from edge to edge
constexpr double kGap_mm = 0.5;    // white beside a strand that passes over

struct Crossing {
  double over, under;  // shares of the rope's length
};

// Where the rope's middle crosses itself, as pairs of shares; the first passage comes first.
std::vector<std::pair<double, double>> meetings(const Track& rope) {
  constexpr int kSteps = 600;
  std::vector<std::pair<double, double>> out;
  for (int i = 0; i < kSteps; ++i) {
    for (int j = i + 2; j < kSteps; ++j) {
      const Vec2 a = rope.at(double(i) / kSteps);
      const Vec2 ab = rope.at(double(i + 1) / kSteps) - a;
      const Vec2 c = rope.at(double(j) / kSteps);
      const Vec2 cd = rope.at(double(j + 1) / kSteps) - c;
      const double turn = cross(ab, cd);
      if (turn == 0.0) continue;
      const double t = cross(c - a, cd) / turn;
      const double s = cross(c - a, ab) / turn;
      if (t >= 0.0 && t < 1.0 && s >= 0.0 && s < 1.0)
        out.push_back({(i + t) / kSteps, (j + s) / kSteps});
    }
  }
  return out;
}

// Over, under, over, under along the rope: what makes it hold.
std::vector<Crossing> alternating(const Track& rope) {
  const auto pairs = meetings(rope);
  std::vector<double> passages;
  for (const auto& [first, second] : pairs) passages.insert(passages.end(), {first, second});
  std::sort(passages.begin(), passages.end());
  std::vector<Crossing> out;
  for (const auto& [first, second] : pairs) {
    const auto rank = std::lower_bound(passages.begin(), passages.end(), first) - passages.begin();
    const bool first_over = rank % 2 == 0;
    out.push_back(first_over ? Crossing{first, second} : Crossing{second, first});
  }
  return out;
}

// Is the point, which belongs to the rope at that share, under another strand?
bool is_under(const Track& rope, const std::vector<Crossing>& crossings, double share, Vec2 p) {
  const double near = 8.0 / rope.length();
  for (const Crossing& c : crossings) {
    if (std::abs(share - c.under) > near) continue;
    for (int i = -40; i <= 40; ++i) {
      const double over = c.over + near * i / 40.0;
      if (distance(p, rope.at(over)) < kHalfRope_mm + kGap_mm) return true;
    }
  }
  return false;
}

// A whipping of thin twine and the strands that come apart beyond it. `out` is +1 at the rope's
// last end and -1 at its first.
void draw_end(Sketch& sketch, const Track& rope, double share, double out) {
  const Vec2 on = rope.ahead(share) * out;
  const Vec2 off = perpendicular(on);
  const Vec2 end = rope.at(share);
  for (int i = 0; i < 4; ++i) {
    const Vec2 middle = end - on * (0.15 + 0.85 * i);
    const Vec2 half = off * (kHalfRope_mm + 0.12);
    sketch.line(sweep(middle - half, on * 0.25 + off * 1.2, middle + half, off * 1.2 - on * 0.25));
  }
  const double ends[] = {-1.75, -0.85, 0.0, 0.8, 1.7};
  const double reach[] = {3.6, 4.6, 4.0, 4.9, 3.4};
  for (int i = 0; i < 5; ++i) {
    const Vec2 root = end + off * (ends[i] * 0.85) + on * 0.5;
    const Vec2 tip = end + on * reach[i] + off * (ends[i] * 1.75 + 0.5);
    sketch.line(
        sweep(root, on * 1.5 - off * (0.5 * ends[i]), tip, on * 0.8 + off * (0.9 * ends[i] + 0.6)));
  }
}

}  // namespace

Linework draw_knot() {
  const Path middle = spline(
      {{9.8, 24.6},  {5.0, 20.4},  {1.4, 15.0},   {-0.8, 9.5},   {0.3, 2.0},   {4.6, -3.6},
       {8.3, -10.2}, {5.6, -16.6}, {-1.8, -17.6}, {-7.6, -12.6}, {-6.4, -5.2}, {-0.4, -0.6},
       {6.4, 2.8},   {9.6, 8.2},   {6.2, 13.6},   {-1.8, 15.0},  {-8.8, 11.6}, {-11.0, 4.4},
       {-8.2, -2.4}, {-3.0, -7.6}, {0.0, -13.2},  {0.6, -19.6},  {4.0, -24.6}, {9.6, -27.6}});
  const Track rope(middle);
  const std::vector<Crossing> crossings = alternating(rope);
  Sketch sketch;
  sketch.frame(Affine::scale(0.82));

  const double whipped = 3.0 / rope.length();
  const int turns = static_cast<int>(std::lround((1.0 - 2.0 * whipped) * rope.length() / kLay_mm));
  const double lay = (1.0 - 2.0 * whipped) / turns;
  const double slant = kSlant_mm / 2.0 / rope.length();
  const auto mark = [&](int i) { return whipped + lay * i; };

  // Edges swell between the marks' ends, one piece a strand.
  for (const double hand : {-1.0, 1.0}) {
    Path edge;
    std::vector<double> shares;
    for (int i = 0; i <= turns; ++i)
      shares.push_back(std::clamp(mark(i) + hand * slant, whipped, 1.0 - whipped));
    shares.front() = whipped;
    shares.back() = 1.0 - whipped;
    for (int i = 0; i < turns; ++i) {
      const double from = shares[static_cast<std::size_t>(i)];
      const double to = shares[static_cast<std::size_t>(i) + 1];
      const double span = to - from;
      const double off = hand * (kHalfRope_mm - 0.12);
      const Vec2 swell = rope.across(from + span / 2.0) * (hand * 0.38);
      edge.append({rope.beside(from, off),
                   rope.beside(from + 0.3 * span, off) + swell,
                   rope.beside(to - 0.3 * span, off) + swell,
                   rope.beside(to, off)});
    }
    sketch.line_unless(edge, [&](double at) {
      const auto i = std::min(static_cast<std::size_t>(at), edge.piece_count() - 1);
      const double t = at - static_cast<double>(i);
      return is_under(
          rope, crossings, mix({shares[i], 0}, {shares[i + 1], 0}, t).x, edge.piece(i).at(t));
    });
  }
  for (int i = 1; i < turns; ++i) {
    const double u = mark(i);
    const Vec2 from = rope.beside(u - slant, -(kHalfRope_mm - 0.12));
    const Vec2 to = rope.beside(u + slant, kHalfRope_mm - 0.12);
    const Vec2 lean = rope.across(u) * 0.95 - rope.ahead(u) * 0.25;
    const Path twist = sweep(from, lean, to, lean);
    sketch.line_unless(twist, [&](double t) {
      return is_under(rope, crossings, u, twist.piece(0).at(std::min(t, 1.0)));
    });
  }
  draw_end(sketch, rope, whipped * 0.15, -1.0);
  draw_end(sketch, rope, 1.0 - whipped * 0.15, 1.0);
  return sketch.lines();
}

}  // namespace harbour
