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

Path ellipse(Vec2 middle, double width, double height) {
  std::vector<Vec2> through;
  for (int i = 0; i < 12; ++i) {
    const Vec2 p = polar(0.5, 30.0 * i);
    through.push_back(middle + Vec2{p.x * width, p.y * height});
  }
  return spline(through, true);
}

}  // namespace

Linework scallop_fan(double pen_mm) {
  Sketch sketch(pen_mm);
  constexpr int kRibs = 9;
  const auto rim = [](double lean) {  // lean -1 to 1 from left to right
    return polar(22.0 - 2.6 * lean * lean, -90.0 + 62.0 * lean);
  };
  // The edge bulges between ribs and meets in cusps; all of it is one stroke.
  std::vector<Path> edge;
  const Vec2 foot_left{-3.4, 2.2};
  const Vec2 foot_right{3.4, 2.2};
  edge.push_back(sweep(foot_left, {-3.0, -4.5}, rim(-1.0), {-2.0, -3.2}));
  for (int i = 0; i < kRibs - 1; ++i) {
    const double from = -1.0 + 2.0 * i / (kRibs - 1);
    const double to = -1.0 + 2.0 * (i + 1) / (kRibs - 1);
    const Vec2 out = normalized(rim((from + to) / 2.0));
    edge.push_back(sweep(rim(from),
                         out * 1.9 + (rim(to) - rim(from)) * 0.12,
                         rim(to),
                         out * -1.9 + (rim(to) - rim(from)) * 0.12));
  }
  edge.push_back(sweep(rim(1.0), {-2.0, 3.2}, foot_right, {-3.0, 4.5}));
  sketch.line(joined(edge));
  // Hinge and ears.
  const Path hinge = spline({foot_left, {-1.2, 3.0}, {1.2, 3.0}, foot_right});
  sketch.line(hinge);
  const Track hinge_way(hinge);
  for (const double hand : {-1.0, 1.0}) {
    const Vec2 root{hand * 3.4, 2.2};
    const Track side(hand < 0.0 ? edge.front() : edge.back());
    const Vec2 top = side.at(hand < 0.0 ? 0.36 : 0.64);
    const Vec2 corner{hand * 7.6, 3.4};
    sketch.line(joined({sweep(root, {hand * 1.6, 0.4}, corner, {hand * 1.6, 0.2}),
                        sweep(corner, {hand * -0.2, -1.8}, top, {hand * -0.6, -1.0})}));
  }
  // Ribs from the hinge to the cusps, two by two.
  std::vector<Path> ribs;
  for (int i = 1; i < kRibs - 1; ++i) {
    const double lean = -1.0 + 2.0 * i / (kRibs - 1);
    const double share = 0.5 + 0.40 * lean;
    const Vec2 foot = hinge_way.at(share);
    ribs.push_back(sweep(foot, Vec2{4.0 * lean, -6.0}, rim(lean), normalized(rim(lean)) * 6.0));
    sketch.line(ribs.back());
  }
  // Growth lines across all ribs, ending on the outermost ones.
  const Track left(ribs.front());
  const Track right(ribs.back());
  for (const double at : {0.42, 0.66, 0.84}) {
    std::vector<Vec2> through{left.at(at)};
    for (std::size_t i = 1; i + 1 < ribs.size(); ++i) {
      through.push_back(Track(ribs[i]).at(at + 0.012 * (i % 2 == 0 ? 1.0 : -1.0)));
    }
    through.push_back(right.at(at));
    sketch.line(spline(through));
  }
  return sketch.lines();
}

Linework starfish(double pen_mm) {
  Sketch sketch(pen_mm);
  std::vector<Vec2> outline;
  for (int arm = 0; arm < 5; ++arm) {
    const double deg = -90.0 + 72.0 * arm + 4.0 * ((arm * 2) % 5 - 2);
    outline.push_back(polar(7.2, deg - 36.0));
    outline.push_back(polar(13.0, deg - 13.5));
    outline.push_back(polar(19.4, deg - 4.4));
    outline.push_back(polar(20.4, deg));
    outline.push_back(polar(19.4, deg + 4.4));
    outline.push_back(polar(13.0, deg + 13.5));
  }
  sketch.line(spline(outline, true));
  for (int arm = 0; arm < 5; ++arm) {
    const double deg = -90.0 + 72.0 * arm + 4.0 * ((arm * 2) % 5 - 2);
    // Five seams leave the middle point.
    sketch.line(sweep({}, polar(2.4, deg), polar(8.2, deg + 2.0), polar(2.4, deg + 6.0)));
    for (int i = 0; i < 4; ++i) {
      sketch.dot(polar(10.0 + 2.2 * i, deg), 0.9 - 0.2 * i);
      if (i < 3) {
        for (const double hand : {-1.0, 1.0}) {
          sketch.dot(polar(8.2 + 2.1 * i, deg + hand * (13.6 - 3.7 * i)),
                     0.3 + 0.1 * ((arm + i) % 4));
        }
      }
    }
    // A tiny loop on each side of the seam.
    const double size = 0.8 + 0.3 * arm;
    sketch.line(ellipse(polar(5.6, deg + 31.0), size, 0.88 * size));
  }
  return sketch.lines();
}

Linework whelk(double pen_mm) {
  Sketch sketch(pen_mm);
  const auto at = [](double turn) {
    const double radius = 1.1 * std::pow(2.15, turn);
    const Vec2 p = polar(radius, 360.0 * turn - 60.0);
    return Vec2{p.x, 0.92 * p.y};
  };
  constexpr double kTurns = 3.2;
  std::vector<Vec2> through;
  for (int i = 0; i <= 58; ++i) through.push_back(at(kTurns * i / 58.0));
  const Path shell = spline(through);
  sketch.line(shell);
  const Track way(shell);
  // The track's share that belongs to a turn.
  const auto share_of = [&](double turn) {
    double best = 0.0;
    double nearest = 1e9;
    const Vec2 p = at(turn);
    for (double u = 0.0; u <= 1.0; u += 2e-4) {
      const double d = distance(way.at(u), p);
      if (d < nearest) {
        nearest = d;
        best = u;
      }
      if (nearest < 0.05 && d > 3.0) break;
    }
    return best;
  };
  // Ribs from each turn out to the next, so both their ends lie on the spiral.
  for (int i = 0; i < 15; ++i) {
    const double turn = 1.02 + 0.078 * i;
    const Vec2 from = way.at(share_of(turn));
    const Vec2 to = way.at(share_of(turn + 1.03));
    const Vec2 way_out = to - from;
    sketch.line(sweep(from,
                      way_out * 0.33 + perpendicular(way_out) * 0.14,
                      to,
                      way_out * 0.33 - perpendicular(way_out) * 0.14));
  }
  return sketch.lines();
}

Linework waves(double pen_mm) {
  Sketch sketch(pen_mm);
  for (int row = 0; row < 3; ++row) {
    const double y = 10.5 * row;
    const Path sea = spline({{0.0, y},
                             {9.0, y - 1.8},
                             {18.0, y + 1.0},
                             {27.0, y - 1.6},
                             {36.0, y + 1.0},
                             {46.0, y - 0.6}});
    const Track way(sea);
    sketch.line(sea);
    for (const double u : {0.1 + 0.02 * row, 0.5 - 0.02 * row}) {
      const Vec2 from = way.at(u);
      const Vec2 ahead = way.ahead(u);
      const Vec2 up = -way.across(u);
      // Leaves the sea along it and rolls up.
      std::vector<Vec2> through;
      const Vec2 eye = from + ahead * 6.2 + up * 3.7;
      for (int k = 0; k <= 11; ++k) {
        const double turn_deg = 62.0 - 52.0 * k;
        const double radius = 2.75 - 0.17 * k;
        through.push_back(eye + ahead * (radius * std::cos(radians(turn_deg))) -
                          up * (radius * std::sin(radians(turn_deg))));
      }
      const Path roll = spline(through);
      const Vec2 start = roll.points[1] - roll.points[0];
      sketch.line(
          joined({sweep(from, ahead * 2.6, through.front(), normalized(start) * 1.8), roll}));
    }
  }
  return sketch.lines();
}

Linework buoy(double pen_mm) {
  Sketch sketch(pen_mm);
  const auto edge = [](double hand) {
    return spline({{hand * 2.2, -13.0},
                   {hand * 4.6, -6.0},
                   {hand * 8.6, 1.0},
                   {hand * 9.4, 6.0},
                   {hand * 6.8, 10.6}});
  };
  const Path left = edge(-1.0);
  const Path right = edge(1.0);
  const Track left_way(left);
  const Track right_way(right);
  sketch.line(left);
  sketch.line(right);
  // Hoops from edge to edge.
  std::vector<Path> hoops;
  for (const double at : {0.0, 0.2, 0.44, 0.7, 1.0}) {
    const Vec2 from = left_way.at(at);
    const Vec2 to = right_way.at(at);
    const double sag = 0.6 + 1.5 * at;
    hoops.push_back(sweep(from, {0.3 * (to.x - from.x), sag}, to, {0.3 * (to.x - from.x), -sag}));
    sketch.line(hoops.back());
  }
  // A mast on the topmost hoop that carries a ring.
  const Path ring = ellipse({0.0, -21.7}, 3.4, 3.4);
  const Track deck(hoops.front());
  const Track ring_way(ring);  // begins at the right, its lowest point a quarter on
  sketch.line(Path::polyline({deck.at(0.3), ring_way.at(0.31)}));
  sketch.line(Path::polyline({deck.at(0.7), ring_way.at(0.19)}));
  sketch.line(ring);
  sketch.dot({0.0, -21.7}, 0.8);
  // A rope of two strands that cross again and again.
  for (const double phase : {0.0, 1.0}) {
    std::vector<Vec2> strand;
    for (int i = 0; i <= 28; ++i) {
      const double s = 7.0 + 0.9 * i;
      const double sway = std::sin(std::numbers::pi * (i / 4.0 + phase));
      strand.push_back({s + 2.0, 12.0 - 0.012 * s * s + 1.05 * sway});
    }
    sketch.line(spline(strand));
  }
  // Water.
  for (int i = 0; i < 3; ++i) {
    const double y = 14.0 + 2.3 * i;
    sketch.line(
        spline({{-16.0 + 2.0 * i, y}, {-9.0, y - 0.9}, {-2.0, y + 0.8}, {4.0 + i, y - 0.3}}));
  }
  return sketch.lines();
}

Linework fish_scales(double pen_mm, int rows, int across) {
  Sketch sketch(pen_mm);
  constexpr double kWide = 5.4;
  constexpr double kTall = 3.1;
  // Neighbours share the point where they meet, which lies on the lowest point of the scale above.
  for (int row = 0; row < rows; ++row) {
    const double first = row % 2 == 0 ? 0.0 : kWide / 2.0;
    for (int i = 0; i < across - row % 2; ++i) {
      const Vec2 from{first + kWide * i, kTall * row};
      const Vec2 to = from + Vec2{kWide, 0.0};
      // Its lowest point is kTall down: 3/4 of the handles' depth.
      const Vec2 down{0.9, kTall * 4.0 / 3.0};
      Path scale;
      scale.append({from, from + down, to + Vec2{-down.x, down.y}, to});
      sketch.line(scale);
      if ((row + i) % 2 == 0) {
        const Vec2 heart = from + Vec2{kWide / 2.0, 1.4};
        sketch.dot(heart, 0.4 + 0.1 * ((row + 2 * i) % 5));
      }
    }
  }
  return sketch.lines();
}

Linework net(double pen_mm) {
  Sketch sketch(pen_mm);
  // Cords hang between two posts and lean more and more, so meshes go from square to slender.
  const auto lean = [](int i) { return 1.5 + 2.3 * i; };
  for (int i = 0; i < 9; ++i) {
    sketch.line(
        spline({{4.6 * i, 0.0}, {4.6 * i + 0.5 * lean(i), 13.0}, {4.6 * i + lean(i), 27.0}}));
  }
  for (int i = 0; i < 6; ++i) {
    const double y = 2.5 + 4.4 * i;
    sketch.line(spline({{-3.0, y + 0.2 * i},
                        {14.0, y + 1.6 - 0.2 * i},
                        {34.0, y + 1.2},
                        {54.0, y - 2.0 + 0.5 * i}}));
  }
  return sketch.lines();
}

Linework knotted_rope(double pen_mm) {
  Sketch sketch(pen_mm);
  const auto middle = [](double t) {  // a trefoil with loose ends left out
    const double a = 2.0 * std::numbers::pi * t;
    return Vec2{std::sin(a) + 2.0 * std::sin(2.0 * a), std::cos(a) - 2.0 * std::cos(2.0 * a)} * 5.6;
  };
  for (const double off : {-0.95, 0.95}) {
    std::vector<Vec2> through;
    constexpr int kSteps = 48;
    for (int i = 0; i < kSteps; ++i) {
      const double t = static_cast<double>(i) / kSteps;
      const Vec2 ahead = normalized(middle(t + 1e-4) - middle(t - 1e-4));
      through.push_back(middle(t) + perpendicular(ahead) * off);
    }
    sketch.line(spline(through, true));
  }
  // Strands twist between the two lines, where they do not cross.
  for (int lobe = 0; lobe < 3; ++lobe) {
    for (int i = -3; i <= 3; ++i) {
      const double t = (lobe + 0.5) / 3.0 + 0.021 * i;
      const Vec2 p = middle(t);
      const Vec2 ahead = normalized(middle(t + 1e-4) - middle(t - 1e-4));
      const Vec2 side = perpendicular(ahead);
      const Vec2 back = middle(t - 0.006) -
                        perpendicular(normalized(middle(t - 0.0059) - middle(t - 0.0061))) * 0.4;
      const Vec2 fore = middle(t + 0.006) + side * 0.4;
      sketch.line(spline({back, p, fore}));
    }
  }
  return sketch.lines();
}

}  // namespace underdraw::test
