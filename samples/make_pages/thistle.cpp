// A thistle in flower, with a bud: tiled bracts, a brush of florets, thorned stem, lobed leaves.
#include <cmath>

#include "sketch.h"
#include "sketches.h"

namespace harbour {
namespace {

using namespace underdraw;

// A head's cup is an egg of that width and height, its middle at (0, 0), open at the top.
struct Head {
  double half_width;
  double half_height;
  int rows;
  int across;  // bracts that fit side by side
};

double cup_half_width(const Head& head, double y) {
  const double v = std::clamp(y / head.half_height, -1.0, 1.0);
  return head.half_width * std::sqrt(std::max(0.0, 1.0 - v * v)) * (1.0 + 0.10 * v);
}

// One pointed bract.
void draw_bract(Sketch& sketch, Vec2 base, double half_width, Vec2 tip) {
  const Vec2 up = tip - base;
  const Vec2 left = base - Vec2{half_width, 0};
  const Vec2 right = base + Vec2{half_width, 0};
  const Vec2 bulge{half_width * 0.55, 0};
  const Path edge = joined({sweep(left, up * 0.45 - bulge, tip, up * 0.30 + bulge * 0.9),
                            sweep(tip, -up * 0.30 + bulge * 0.9, right, -up * 0.45 - bulge)});
  sketch.line(edge);
  sketch.cover(joined({edge}, true));
}

// The cup from its foot up to the neck, on the side of `hand`.
Path cup_side(const Head& head, double hand) {
  std::vector<Vec2> side;
  for (int i = 0; i <= 8; ++i) {
    const double y = head.half_height * (0.74 - 1.52 * i / 8.0);
    side.push_back({hand * cup_half_width(head, y), y});
  }
  return spline(side);
}

// A cup of bracts that lie like tiles, the lowest in front, on a rounded foot.
void draw_cup(Sketch& sketch, const Head& head) {
  const double w = cup_half_width(head, 0.74 * head.half_height);
  const double h = head.half_height;
  const Path rim =
      spline({{-w, 0.74 * h}, {-0.45 * w, 0.89 * h}, {0.45 * w, 0.89 * h}, {w, 0.74 * h}});
  const Path foot = spline(
      {{w, 0.74 * h}, {0.6 * w, 1.04 * h}, {0.0, 1.13 * h}, {-0.6 * w, 1.04 * h}, {-w, 0.74 * h}});
  const Path left = cup_side(head, -1.0);
  const Path right = cup_side(head, 1.0);
  const Path above = Path::polyline({right.points.back(), {0.0, -1.5 * h}, left.points.back()});
  const Path whole = joined({left, reversed(above), reversed(right)}, true);
  sketch.line(joined({rim, foot}, true));
  sketch.cover(joined({rim, foot}, true));
  sketch.line(left);
  sketch.line(right);

  const Track edge(right);
  for (int i = 0; i + 1 < head.rows; ++i) {  // spines along the sides
    const double share = (i + 0.75) / head.rows;
    for (const double hand : {-1.0, 1.0}) {
      const Affine turned{hand, 0, 0, 0, 1, 0};
      const Vec2 root = edge.at(share);
      const Vec2 out = edge.across(share);
      const Vec2 tip = root + out * 0.95 + edge.ahead(share) * 0.75;
      sketch.line(transformed(
          sweep(root, edge.ahead(share) * 0.45, tip, (out + edge.ahead(share)) * 0.3), turned));
    }
  }

  sketch.only_inside(whole);
  for (int row = 0; row < head.rows; ++row) {
    const double y = h * (0.80 - 1.42 * row / (head.rows - 1));  // from the foot upward
    const double radius = cup_half_width(head, y);
    const double tall = 2.0 * h / head.rows * (1.05 + 0.1 * row / head.rows);
    for (int i = 0; i <= head.across + 1; ++i) {
      // Those in the middle are nearest to the eye.
      const int side = (i + 1) / 2 * (i % 2 == 0 ? 1 : -1);
      const double turn_deg = 180.0 / head.across * (side + (row % 2 == 1 ? 0.5 : 0.0));
      if (std::abs(turn_deg) > 89.0) continue;
      const double sine = std::sin(radians(turn_deg));
      const double cosine = std::cos(radians(turn_deg));
      const double half =
          radius * std::sin(radians(90.0 / head.across)) * 1.12 * (0.4 + 0.6 * cosine);
      const double tip_radius = std::max(cup_half_width(head, y - tall) + 0.5, radius * 0.62);
      draw_bract(sketch, {radius * sine, y}, half, {tip_radius * sine * 1.03, y - tall});
    }
  }
  sketch.anywhere();
}

// A floret: a slender strap that bends outward and ends in a point.
void draw_floret(Sketch& sketch, Vec2 from, Vec2 to, double half_width, double bend) {
  const Vec2 way = to - from;
  const Vec2 leaving = Vec2{0.16 * way.x, -0.42 * length(way)};
  const Vec2 arriving = way * 0.34 + perpendicular(way) * bend;
  const Track middle(sweep(from, leaving, to, arriving));
  const auto half = [&](double u) {
    return half_width * (0.55 + 0.75 * u) * std::pow(std::max(0.0, 1.0 - u), 0.75) * 1.5;
  };
  const Path left = beside(
      middle, [&](double u) { return -half(u); }, 0.0, 1.0, 7);
  const Path right = beside(middle, half, 0.0, 1.0, 7);
  sketch.line(joined({left, reversed(right)}));
  sketch.cover(joined({left, reversed(right)}, true), 0.18);
}

// A lobed leaf on a midrib, a spine on every lobe.
void draw_leaf(Sketch& sketch, const Path& midrib, double half_width, int lobes) {
  const Track track(midrib);
  const auto reach = [&](double u) {
    return half_width * std::pow(std::sin(std::numbers::pi * std::pow(u, 0.78)), 0.85);
  };
  std::vector<Path> sides[2];
  std::vector<Path> veins;
  for (int s = 0; s < 2; ++s) {
    const double hand = s == 0 ? -1.0 : 1.0;
    Vec2 valley = track.beside(0.03, hand * 0.4);
    const double step = 0.90 / lobes;
    for (int i = 0; i < lobes; ++i) {
      // The lobes of the two sides take turns.
      const double u0 = 0.03 + step * (i + (s == 0 ? 0.0 : 0.16));
      const double u1 = u0 + step;
      const double tall = reach(u0 + 0.6 * step) + 0.5;
      const Vec2 out = track.across(u0 + 0.6 * step) * hand;
      const Vec2 on = track.ahead(u0 + 0.6 * step);
      const Vec2 tip = track.at(u0 + 0.62 * step) + out * tall + on * (0.30 * tall);
      const Vec2 next = track.beside(u1, hand * (0.36 * reach(u1) + 0.22));
      sides[s].push_back(sweep(valley,
                               out * (0.42 * tall) - on * (0.10 * tall),
                               tip,
                               out * (0.12 * tall) + on * (0.34 * tall)));
      sides[s].push_back(sweep(tip,
                               -out * (0.22 * tall) - on * (0.16 * tall),
                               next,
                               -out * (0.16 * tall) + on * (0.16 * tall)));
      if (tall > 1.9) {
        const Vec2 root = track.at(u0 + 0.10 * step);
        veins.push_back(sweep(root,
                              on * (0.30 * tall) + out * (0.12 * tall),
                              mix(root, tip, 0.72),
                              out * (0.26 * tall)));
      }
      valley = next;
    }
    sides[s].push_back(
        sweep(valley, track.ahead(0.97) * 0.5, track.at(1.0), track.ahead(1.0) * 0.7));
  }
  const Path left = joined(sides[0]);
  const Path right = joined(sides[1]);
  sketch.line(joined({left, reversed(right)}));
  sketch.line(part(midrib, 0.0, 0.93));
  for (const Path& vein : veins) sketch.fine(vein);
  sketch.cover(joined({left, reversed(right)}, true));
}

// One edge of the stem with thorns along it.
Path thorned_edge(const Track& stem, double off, double first, double step) {
  std::vector<Path> parts;
  double u = 0.0;
  const double half = 0.55 / stem.length();
  const auto edge = [&](double from, double to) {
    return beside(
        stem, [&](double) { return off; }, from, to, 4);
  };
  for (double thorn = first; thorn < 0.97; thorn += step) {
    parts.push_back(edge(u, thorn - half));
    const Vec2 out = stem.across(thorn) * (off > 0.0 ? 1.0 : -1.0);
    const Vec2 tip = stem.beside(thorn, off) + out * 1.15 - stem.ahead(thorn) * 0.75;
    const Vec2 a = stem.beside(thorn - half, off);
    const Vec2 b = stem.beside(thorn + half, off);
    parts.push_back(sweep(a, stem.ahead(thorn) * 0.25, tip, (out - stem.ahead(thorn)) * 0.2));
    parts.push_back(sweep(tip, (stem.ahead(thorn) - out) * 0.3, b, stem.ahead(thorn) * 0.5));
    u = thorn + half;
  }
  parts.push_back(edge(u, 1.0));
  return joined(parts);
}

void draw_stem(Sketch& sketch, const Path& middle, double half, double first_thorn) {
  const Track stem(middle);
  const Path left = thorned_edge(stem, -half, first_thorn, 5.2 / stem.length());
  const Path right =
      thorned_edge(stem, half, first_thorn + 2.6 / stem.length(), 5.2 / stem.length());
  sketch.line(left);
  sketch.line(right);
  sketch.cover(joined({left, reversed(right)}, true));
}

}  // namespace

Linework draw_thistle() {
  Sketch sketch;

  // The flower, leaning a little to the right.
  sketch.frame(Affine::translate({1.2, -8.0}) * Affine::turn_deg(7));
  const Head flower{6.1, 6.0, 5, 6};
  draw_cup(sketch, flower);
  const Vec2 neck{0.0, -3.9};
  for (int layer = 0; layer < 3; ++layer) {
    const double reach = 7.4 + 2.1 * layer;
    const int most = 3;
    for (int i = 0; i <= 2 * most; ++i) {
      const int side = (i + 1) / 2 * (i % 2 == 0 ? 1 : -1);  // from the middle outward
      const double lean = (side + (layer == 1 ? 0.5 : 0.0)) / 3.3;
      if (std::abs(lean) > 1.1) continue;
      const double wave = std::sin(2.1 * side + 1.3 * layer);
      draw_floret(sketch,
                  neck + Vec2{3.2 * lean, 0.6 * lean * lean},
                  neck + Vec2{3.0 * lean, 0.0} +
                      polar(reach + 0.7 * wave - 1.3 * lean * lean,
                            -90 + (54 + 2 * layer) * lean + 3 * wave),
                  0.86,
                  0.10 * lean + 0.03 * wave);
    }
  }

  // The bud on its branch.
  sketch.frame(Affine::translate({-11.0, 0.4}) * Affine::turn_deg(-16));
  draw_cup(sketch, {3.2, 3.5, 3, 4});
  for (const int i : {0, -1, 1, -2, 2}) {
    const double lean = i / 2.0;
    draw_floret(sketch,
                {1.4 * lean, -2.2},
                Vec2{1.5 * lean, -2.2} + polar(4.4 - 0.9 * std::abs(lean), -90 + 16 * lean),
                0.5,
                -0.05 * lean);
  }

  sketch.frame({});
  draw_stem(sketch, spline({{0.4, -1.6}, {-0.1, 6.0}, {0.6, 14.0}, {0.2, 24.0}}), 0.75, 0.19);
  draw_stem(sketch, spline({{-10.0, 3.9}, {-8.0, 6.8}, {-4.4, 8.6}, {0.0, 10.4}}), 0.6, 0.26);
  draw_leaf(sketch, spline({{0.6, 13.2}, {4.8, 7.4}, {10.0, 5.0}, {16.4, 6.8}}), 3.6, 5);
  draw_leaf(sketch, spline({{0.2, 20.4}, {-4.8, 14.8}, {-11.0, 12.8}, {-18.4, 16.8}}), 4.0, 6);
  draw_leaf(sketch, spline({{0.3, 22.5}, {4.4, 17.8}, {9.0, 16.8}, {14.6, 19.2}}), 3.1, 5);
  return sketch.lines();
}

}  // namespace harbour
