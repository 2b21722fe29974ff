// A tern's wing feather: a curved shaft, two vanes of barbs with splits, down at the quill.
#include <cmath>

#include "sketch.h"
#include "sketches.h"

namespace harbour {
namespace {

using namespace underdraw;

constexpr double kVaneFrom = 0.27;  // share of the shaft where the vanes begin

// How far a vane reaches from the shaft, at a share of the shaft.
double vane_width(double share, double widest) {
  const double v = std::clamp((share - kVaneFrom + 0.03) / (1.03 - kVaneFrom), 0.0, 1.0);
  return widest * std::pow(v, 0.30) * std::pow(1.0 - std::pow(v, 3.0), 0.75);
}

// A lock is the barbs between two splits.
struct Lock {
  double from, to;  // shares of the shaft where its first and last barb leave
};

class Vane {
 public:
  Vane(const Track& shaft, double hand, double widest, double forward)
      : shaft_(shaft), hand_(hand), widest_(widest), forward_(forward) {}

  // Where the barb that leaves at `share` ends, `spread` shifting it along the shaft.
  Vec2 tip(double share, double spread) const {
    const double at = std::min(share + 0.015 + forward_ * (1.0 - share) + spread, 1.0);
    return shaft_.beside(at, hand_ * vane_width(at, widest_));
  }
  Path barb(double share, double spread) const {
    const Vec2 root = shaft_.at(share);
    const Vec2 end = tip(share, spread);
    const double reach = distance(root, end);
    const Vec2 out = shaft_.across(share) * hand_;
    const Vec2 on = shaft_.ahead(share);
    return sweep(root, (out * 0.30 + on * 0.16) * reach, end, (out * 0.16 + on * 0.34) * reach);
  }
  void draw(Sketch& sketch, const std::vector<Lock>& locks, double step) const {
    for (const Lock& lock : locks) {
      const int count =
          static_cast<int>(std::lround((lock.to - lock.from) * shaft_.length() / step));
      const bool lowest = &lock == &locks.front();
      const bool highest = &lock == &locks.back();
      std::vector<Vec2> rim;
      for (int i = 0; i <= count; ++i) {
        const double v = double(i) / count;
        const double share = lock.from + (lock.to - lock.from) * v;
        // A lock's barbs lean together, so that splits open towards the rim.
        const bool leans = v < 0.5 ? !lowest : !highest;
        const double spread = leans ? 0.044 * (0.5 - v) * std::abs(1.0 - 2.0 * v) : 0.0;
        const Path whole = barb(share, spread);
        rim.push_back(tip(share, spread));
        if (i == 0) {
          sketch.line(lowest ? whole : part(whole, 0.22, 1.0));
        } else if (i == count) {
          if (!highest) sketch.line(whole);
        } else if (i % 3 == 1) {
          sketch.fine(part(whole, 0.0, 0.72));
        } else if (i % 3 == 2) {
          sketch.fine(part(whole, 0.34, 1.0));
        } else {
          sketch.fine(part(whole, 0.0, 0.88));
        }
      }
      if (highest) rim.push_back(shaft_.at(1.0));
      sketch.line(spline(rim));
    }
  }

 private:
  const Track& shaft_;
  double hand_, widest_, forward_;
};

}  // namespace

Linework draw_feather() {
  Sketch sketch;
  sketch.frame(Affine::turn_deg(24));
  const Path middle = spline({{-2.2, 23.5}, {-0.6, 15.0}, {0.4, 4.0}, {0.0, -8.0}, {-3.0, -22.5}});
  const Track shaft(middle);
  const auto half = [](double u) { return 0.62 * std::pow(1.0 - u, 0.9) + 0.02; };

  const Path left = beside(
      shaft, [&](double u) { return -half(u); }, 0.0, 0.62);
  const Path right = beside(
      shaft, [&](double u) { return half(u); }, 0.0, 1.0);
  sketch.line(joined({sweep(left.points.front(), {0.1, 0.7}, right.points.front(), {0.1, -0.7})}));
  sketch.line(right);
  sketch.line(left);
  sketch.cover(joined({left, reversed(beside(shaft, half, 0.0, 0.62))}, true));

  const Vane wide(shaft, 1.0, 8.4, 0.15);
  const Vane narrow(shaft, -1.0, 4.8, 0.09);
  wide.draw(sketch, {{0.27, 0.41}, {0.41, 0.64}, {0.64, 0.97}}, 1.5);
  narrow.draw(sketch, {{0.27, 0.53}, {0.53, 0.97}}, 1.6);

  // Down below the vanes: loose, curling, crossing each other.
  const double reach[] = {3.4, 4.8, 5.6, 6.4};
  const double rise[] = {0.10, 0.42, 0.18, 0.46};
  for (int i = 0; i < 4; ++i) {
    for (const double hand : {-1.0, 1.0}) {
      const double u = 0.155 + 0.027 * i + (hand > 0 ? 0.0 : 0.012);
      const Vec2 root = shaft.beside(u, hand * half(u));
      const Vec2 way =
          (shaft.across(u) * hand + shaft.ahead(u) * rise[i]) * (reach[i] * (hand > 0 ? 1.0 : 0.8));
      const Vec2 side = perpendicular(normalized(way)) * (-hand);
      sketch.fine(spline({root,
                          root + way * 0.30 + side * 0.55,
                          root + way * 0.62 - side * 0.20,
                          root + way * 0.86 + side * 0.30,
                          root + way + side * 0.95}));
    }
  }
  return sketch.lines();
}

}  // namespace harbour
