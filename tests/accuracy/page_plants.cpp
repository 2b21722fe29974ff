#include <cmath>

#include "accuracy/page_motifs.h"
#include "sketch.h"

namespace underdraw::test {
namespace {

using harbour::beside;
using harbour::joined;
using harbour::polar;
using harbour::Sketch;
using harbour::spline;
using harbour::sweep;
using harbour::Track;

// A pointed leaf on a middle line whose first part is its stalk: both edges from foot to tip.
struct Leaf {
  Path left, right;
  Path whole() const { return joined({left, reversed(right)}, true); }
};
constexpr double kStalk = 0.15;  // share of the middle line
Leaf pointed_leaf(const Track& middle, double half_width) {
  const auto half = [&](double u) {
    const double t = std::clamp((u - kStalk) / (1.0 - kStalk), 0.0, 1.0);
    return half_width * std::pow(std::sin(std::numbers::pi * std::pow(t, 0.8)), 0.9);
  };
  return {beside(
              middle, [&](double u) { return -half(u); }, kStalk, 1.0, 9),
          beside(middle, half, kStalk, 1.0, 9)};
}

Vec2 nearest_on(const Track& track, Vec2 p) {
  Vec2 best = track.at(0.0);
  for (double u = 0.0; u <= 1.0; u += 2e-4) {
    if (distance(track.at(u), p) < distance(best, p)) best = track.at(u);
  }
  return best;
}

// A petal from its foot to its tip as one stroke: up one side, a sharp turn, down the other.
Path petal(Vec2 foot, double deg, double long_mm, double half_width) {
  const Vec2 tip = foot + polar(long_mm, deg);
  const Vec2 side = polar(half_width * 1.5, deg + 90.0);
  const Vec2 ahead = polar(long_mm * 0.45, deg);
  return joined({sweep(foot, ahead * 0.7 - side, tip, ahead * 0.6 + side * 0.8),
                 sweep(tip, side * 0.8 - ahead * 0.6, foot, -ahead * 0.7 - side)},
                true);
}

// One edge of a stem, with thorns on it.
Path thorned_edge(const Track& stem, double off, double first, double step_mm) {
  std::vector<Path> parts;
  double u = 0.0;
  const double half = 0.6 / stem.length();
  const auto edge = [&](double from, double to) {
    return beside(
        stem, [&](double) { return off; }, from, to, 4);
  };
  for (double thorn = first; thorn < 0.95; thorn += step_mm / stem.length()) {
    parts.push_back(edge(u, thorn - half));
    const Vec2 out = stem.across(thorn) * (off > 0.0 ? 1.0 : -1.0);
    const Vec2 ahead = stem.ahead(thorn);
    const Vec2 tip = stem.beside(thorn, off) + out * 1.3 - ahead * 0.8;
    parts.push_back(sweep(stem.beside(thorn - half, off), ahead * 0.2, tip, (out - ahead) * 0.25));
    parts.push_back(sweep(tip, (ahead - out) * 0.3, stem.beside(thorn + half, off), ahead * 0.5));
    u = thorn + half;
  }
  parts.push_back(edge(u, 1.0));
  return joined(parts);
}

}  // namespace

Linework thistle(double pen_mm) {
  Sketch sketch(pen_mm);
  const Path cup = spline({{0.0, 7.2},
                           {-5.0, 5.2},
                           {-6.8, 0.2},
                           {-4.6, -4.9},
                           {0.0, -5.8},
                           {4.6, -4.9},
                           {6.8, 0.2},
                           {5.0, 5.2}},
                          true);
  sketch.shape(cup);
  sketch.only_inside(cup);
  // The covers would hide what lies in the cup, so its lattice has a sketch of its own.
  Sketch lattice(pen_mm);
  lattice.only_inside(cup);
  for (const double hand : {-1.0, 1.0}) {
    for (int k = -2; k <= 2; ++k) {
      const double x = 2.9 * k + 0.5;
      lattice.line(
          spline({{hand * (x - 5.6), 8.5}, {hand * (x - 0.9), 0.9}, {hand * (x + 4.4), -7.5}}));
    }
  }
  sketch.anywhere();

  // Florets from the cup's rim, those in front hiding those behind.
  for (int layer = 0; layer < 2; ++layer) {
    for (int i = 0; i < 5 - layer; ++i) {
      const double lean = (i - 2.0 + 0.5 * layer) / 2.0;
      const Vec2 foot{3.4 * lean, -4.6 + 0.6 * lean * lean};
      const Vec2 tip = foot + polar(8.0 + 3.2 * layer - 0.9 * std::abs(lean), -90.0 + 40.0 * lean);
      const Track middle(sweep(foot, Vec2{0.6 * lean, -3.2}, tip, (tip - foot) * 0.35));
      const auto half = [](double u) { return 1.15 * (1.0 - u) * (0.75 + 0.75 * u); };
      const Path left = beside(
          middle, [&](double u) { return -half(u); }, 0.0, 1.0, 6);
      const Path right = beside(middle, half, 0.0, 1.0, 6);
      const Path outline = joined({left, reversed(right)});
      sketch.line(outline);
      sketch.cover(joined({outline}, true));
    }
  }

  const Track stem(spline({{0.2, 7.0}, {-0.2, 13.0}, {0.5, 20.0}, {0.0, 29.0}}));
  const Path stem_right = thorned_edge(stem, -0.85, 0.22, 6.0);
  const Path stem_left = thorned_edge(stem, 0.85, 0.3, 6.6);
  sketch.line(stem_left);
  sketch.line(stem_right);

  Linework extra = lattice.lines();
  const auto add_leaf = [&](const Path& rib, double half_width, int veins) {
    const Track middle(rib);
    const Leaf leaf = pointed_leaf(middle, half_width);
    Sketch inside(pen_mm);
    inside.only_inside(leaf.whole());
    for (int i = 0; i < veins; ++i) {
      const double u = 0.26 + 0.52 * i / veins;
      for (const double hand : {-1.0, 1.0}) {
        const Vec2 foot = middle.at(u + (hand > 0.0 ? 0.06 : 0.0));
        const Vec2 tip = middle.beside(u + 0.22, hand * 1.4 * half_width);
        inside.line(sweep(foot,
                          middle.ahead(u) * 1.2 + middle.across(u) * (0.5 * hand),
                          tip,
                          (middle.across(u) * hand + middle.ahead(u) * 0.4) * 1.4));
      }
    }
    sketch.line(joined({leaf.left, reversed(leaf.right)}));
    sketch.line(rib);
    extra.append(inside.lines());
  };
  add_leaf(
      spline({nearest_on(Track(stem_right), {1.2, 15.4}), {6.0, 10.8}, {12.0, 9.6}, {18.6, 12.4}}),
      2.7,
      4);
  add_leaf(
      spline(
          {nearest_on(Track(stem_left), {-0.4, 23.4}), {-5.6, 17.8}, {-11.6, 16.2}, {-18.2, 18.8}}),
      2.9,
      4);

  Linework out = sketch.lines();
  out.append(extra);
  return out;
}

Linework sea_pink(double pen_mm) {
  Sketch sketch(pen_mm);
  const Path ground = spline({{-8.0, 21.4}, {-3.0, 20.2}, {3.0, 20.3}, {8.5, 21.6}});
  const Track turf(ground);
  sketch.line(ground);
  const Vec2 heads[] = {{-12.5, -9.0}, {0.5, -18.0}, {13.5, -8.0}};
  for (int h = 0; h < 3; ++h) {
    const Vec2 head = heads[h];
    const double lean_deg = head.x * 1.4;
    sketch.frame(Affine::translate(head) * Affine::turn_deg(lean_deg));
    // Two rings of petals, the outer ones behind.
    for (int ring = 0; ring < 2; ++ring) {
      for (int i = 0; i < 5; ++i) {
        const double deg = -90.0 + (i - 2.0) * (34.0 + 4.0 * ring) + 17.0 * ring;
        sketch.shape(petal(polar(1.6, deg), deg, 4.1 + 2.0 * ring, 1.25));
      }
    }
    // Stamens rise between them and carry loose dots.
    for (int i = 0; i < 3; ++i) {
      const double deg = -130.0 + 38.0 * i;
      const Vec2 tip = polar(8.9 + 0.6 * (i % 2), deg + 5.0);
      sketch.line(sweep(polar(6.6, deg), polar(0.8, deg), tip, polar(0.8, deg + 12.0)));
      sketch.dot(tip + polar(1.0, deg + 12.0), 0.45 + 0.12 * i);
    }
    sketch.frame({});
    const Vec2 foot = turf.at(0.26 + 0.22 * h);
    sketch.line(sweep(
        head + polar(0.5, 90.0 + lean_deg), {-0.1 * head.x, 8.0}, foot, {-0.3 * head.x, 9.0}));
  }
  // Grassy leaves of one line each; the inner ones cross a stem at a flat angle.
  const Vec2 tips[] = {{-20.0, 6.0}, {-15.5, 2.5}, {15.0, 4.5}, {20.5, 6.5}};
  const double feet[] = {0.14, 0.41, 0.59, 0.86};
  for (int i = 0; i < 4; ++i) {
    sketch.line(sweep(turf.at(feet[i]), Vec2{0.0, -9.0}, tips[i], Vec2{0.45 * tips[i].x, -3.0}));
  }
  return sketch.lines();
}

Linework kelp(double pen_mm, double closest_mm) {
  Sketch sketch(pen_mm);
  const Path stipe = spline({{0.0, 26.0}, {1.6, 14.0}, {-1.4, 2.0}, {0.8, -10.0}, {0.0, -22.0}});
  const Track stem(stipe);
  sketch.line(stipe);
  const double steps[] = {1.5, 1.2, 0.95, 0.75, 0.6, 0.5};
  for (int b = 0; b < 6; ++b) {
    const double hand = b % 2 == 0 ? -1.0 : 1.0;
    const double share = 0.24 + 0.125 * b;
    const double step = std::max(steps[b], closest_mm);
    const Vec2 foot = stem.at(share);
    const Vec2 tip = foot + Vec2{hand * (20.0 - 1.1 * b), -9.5 + 0.8 * b};
    // A stalk leaves the stipe along it and becomes the blade's middle.
    const Path rib = sweep(foot, stem.ahead(share) * 6.0, tip, Vec2{hand * 7.0, 1.6});
    const Track middle(rib);
    sketch.line(rib);
    const int veins = step > 1.0 ? 1 : 2;
    const double half_width = step * (veins + 1.0);
    const auto profile = [](double u) {
      const double t = (u - 0.28) / 0.72;
      return t <= 0.0 || t >= 1.0 ? 0.0 : std::pow(std::sin(std::numbers::pi * t), 0.7);
    };
    for (const double side : {-1.0, 1.0}) {
      sketch.line(beside(
          middle, [&](double u) { return side * half_width * profile(u); }, 0.28, 1.0, 10));
      for (int v = 1; v <= veins; ++v) {
        // They keep their distance and stop before the blade grows narrow.
        const double off = side * step * v;
        sketch.line(beside(
            middle, [&](double) { return off; }, 0.5 + 0.03 * v, 0.8 - 0.03 * v, 8));
      }
    }
  }
  // Bladders on short stalks, each near the stipe.
  for (int i = 0; i < 4; ++i) {
    const double share = 0.07 + 0.045 * i;
    const double hand = i % 2 == 0 ? 1.0 : -1.0;
    const Vec2 foot = stem.at(share);
    const Vec2 out = stem.across(share) * hand;
    const Vec2 neck = foot + out * 1.7 - stem.ahead(share) * 0.4;
    sketch.line(sweep(foot, out * 0.6, neck, out * 0.6));
    sketch.line(petal(neck, degrees(std::atan2(out.y, out.x)), 2.6 - 0.2 * i, 0.8));
  }
  // Holdfast: roots that fork.
  for (const double deg : {58.0, 92.0, 128.0}) {
    const Vec2 foot = stem.at(0.0);
    const Vec2 end = foot + polar(5.4, deg);
    const Path root = sweep(foot, polar(1.6, deg - 8.0), end, polar(2.4, deg + 14.0));
    const Track along(root);
    sketch.line(root);
    sketch.line(sweep(along.at(0.55),
                      polar(1.0, deg - 30.0),
                      along.at(0.55) + polar(3.0, deg - 34.0),
                      polar(1.0, deg - 46.0)));
  }
  return sketch.lines();
}

Linework wrack(double pen_mm) {
  Sketch sketch(pen_mm);
  // Every fork is one point that three strokes share.
  struct Shoot {
    Vec2 from;
    double deg;
    double long_mm;
    int forks;
  };
  std::vector<Shoot> shoots{{{0.0, 18.0}, -92.0, 9.0, 3}};
  for (std::size_t i = 0; i < shoots.size(); ++i) {
    const Shoot s = shoots[i];
    const double bend = i % 2 == 0 ? 9.0 : -8.0;
    const Vec2 to = s.from + polar(s.long_mm, s.deg + bend);
    sketch.line(sweep(
        s.from, polar(s.long_mm * 0.35, s.deg), to, polar(s.long_mm * 0.35, s.deg + 2.0 * bend)));
    const double ahead = s.deg + 2.0 * bend;
    if (s.forks > 0) {
      const double open = 33.0 + 4.0 * static_cast<double>(i % 3);
      shoots.push_back({to, ahead - open, s.long_mm * 0.84, s.forks - 1});
      shoots.push_back({to, ahead + open - 3.0, s.long_mm * 0.68, s.forks - 1});
    } else if (i % 2 == 0) {
      sketch.line(petal(to, ahead, 2.6, 0.75));  // a fruit
    } else {
      sketch.dot(to + polar(1.3, ahead), 0.6);
    }
  }
  return sketch.lines();
}

Linework feather(double pen_mm, double barb_step_mm) {
  Sketch sketch(pen_mm);
  const Path shaft = spline({{0.0, 24.0}, {-1.2, 12.0}, {0.4, -4.0}, {5.0, -24.0}});
  const Track quill(shaft);
  sketch.line(shaft);
  const auto vane = [](double u) {
    return 6.6 * std::pow(std::sin(std::numbers::pi * std::pow((u - 0.2) / 0.8, 0.75)), 0.8);
  };
  for (const double hand : {-1.0, 1.0}) {
    const double width = hand < 0.0 ? 1.0 : 0.8;
    sketch.line(beside(
        quill,
        [&](double u) { return u <= 0.2 || u >= 1.0 ? 0.0 : hand * width * vane(u); },
        0.2,
        1.0,
        14));
    // Barbs end on the shaft; they stop a little inside the vane's edge.
    for (double u = hand < 0.0 ? 0.27 : 0.34; u < 0.8; u += barb_step_mm / quill.length()) {
      const double out = 0.92 * width * vane(u + 0.09) - 1.1;
      if (out < 2.0) continue;
      const Vec2 foot = quill.at(u);
      const Vec2 tip = quill.beside(u + 0.085, hand * out);
      const Vec2 side = quill.across(u) * hand;
      sketch.line(sweep(foot,
                        (quill.ahead(u) + side * 1.6) * (0.2 * out),
                        tip,
                        (quill.ahead(u) * 1.1 + side) * (0.22 * out)));
    }
  }
  return sketch.lines();
}

}  // namespace underdraw::test
