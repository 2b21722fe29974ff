#include "repeat/scatter_form.h"

#include <algorithm>
#include <cmath>

namespace underdraw {
namespace {

constexpr double kTableTolerance = 0.002;  // of the radius: how true the table's outline is
constexpr double kPointTolerance = 0.02;   // of the radius: corners that points are kept at
constexpr double kPointStep = 0.16;        // of the radius: furthest between points
constexpr double kExactStep = 0.15;        // of the radius: longest edge that is checked
constexpr std::size_t kRun = 6;            // points looked at together
constexpr int kNodes = 128;                // of the table's longer side

void keep_between(const std::vector<Vec2>& ring,
                  std::size_t from,
                  std::size_t to,
                  double tolerance,
                  std::vector<char>& kept) {
  double most = tolerance;
  std::size_t corner = from;
  for (std::size_t i = from + 1; i < to; ++i) {
    const double off = distance_to_segment(ring[i], ring[from], ring[to % ring.size()]);
    if (off > most) {
      most = off;
      corner = i;
    }
  }
  if (corner == from) return;
  kept[corner] = 1;
  keep_between(ring, from, corner, tolerance, kept);
  keep_between(ring, corner, to, tolerance, kept);
}

// Which corners a simpler ring within the tolerance needs; the first is one.
std::vector<char> corners_kept(const std::vector<Vec2>& ring, double tolerance) {
  std::vector<char> kept(ring.size(), ring.size() < 4 ? 1 : 0);
  if (ring.size() < 4) return kept;
  std::size_t far = 0;
  for (std::size_t i = 1; i < ring.size(); ++i) {
    if (distance(ring[i], ring[0]) > distance(ring[far], ring[0])) far = i;
  }
  kept[0] = kept[far] = 1;
  keep_between(ring, 0, far, tolerance, kept);
  keep_between(ring, far, ring.size(), tolerance, kept);
  return kept;
}

// Edges cut so that none is longer than the step.
std::vector<Vec2> cut_ring(const std::vector<Vec2>& ring, double step) {
  std::vector<Vec2> points;
  for (std::size_t i = 0; i < ring.size(); ++i) {
    const Vec2 a = ring[i], b = ring[(i + 1) % ring.size()];
    const int parts = std::max(1, static_cast<int>(std::ceil(distance(a, b) / step)));
    for (int k = 0; k < parts; ++k) points.push_back(mix(a, b, static_cast<double>(k) / parts));
  }
  return points;
}

// Points of the outline itself: every marked corner, and others no further than the step apart.
std::vector<OutlinePoint> spread_points(const std::vector<Vec2>& ring, double corner, double step) {
  const std::vector<Vec2> fine = cut_ring(ring, step / 4.0);
  const std::vector<char> kept = corners_kept(fine, corner);
  std::vector<Vec2> chosen;
  std::vector<double> at_mm;  // along the ring
  double run = 0.0;
  for (std::size_t i = 0; i < fine.size(); ++i) {
    const double next = distance(fine[i], fine[(i + 1) % fine.size()]);
    if (kept[i] || run - at_mm.back() + next > step) {
      chosen.push_back(fine[i]);
      at_mm.push_back(run);
    }
    run += next;
  }
  std::vector<OutlinePoint> points;
  for (std::size_t i = 0; i < chosen.size(); ++i) {
    const double before = i > 0 ? at_mm[i - 1] : at_mm.back() - run;
    const double after = i + 1 < chosen.size() ? at_mm[i + 1] : at_mm.front() + run;
    points.push_back({chosen[i], (after - before) / 2.0});
  }
  return points;
}

}  // namespace

std::vector<Vec2> thinned_ring(const std::vector<Vec2>& ring, double tolerance_mm) {
  const std::vector<char> kept = corners_kept(ring, tolerance_mm);
  std::vector<Vec2> out;
  for (std::size_t i = 0; i < ring.size(); ++i) {
    if (kept[i]) out.push_back(ring[i]);
  }
  return out;
}

DistanceTable::DistanceTable(const Rings& rings, double reach_mm, int nodes) {
  const Box box = box_of(rings).grown(reach_mm);
  cell_ = std::max(box.width(), box.height()) / (nodes - 2);
  columns_ = static_cast<int>(std::ceil(box.width() / cell_)) + 1;
  rows_ = static_cast<int>(std::ceil(box.height() / cell_)) + 1;
  origin_ = box.min;
  mm_.resize(static_cast<std::size_t>(columns_) * static_cast<std::size_t>(rows_));
  for (int y = 0; y < rows_; ++y) {
    for (int x = 0; x < columns_; ++x) {
      const Vec2 p = origin_ + Vec2{x * cell_, y * cell_};
      double square = 1e300;
      for (const auto& ring : rings) {
        for (std::size_t i = 0, j = ring.size() - 1; i < ring.size(); j = i++) {
          const Vec2 way = ring[i] - ring[j], to = p - ring[j];
          const double long2 = dot(way, way);
          const double t = long2 > 0.0 ? std::clamp(dot(to, way) / long2, 0.0, 1.0) : 0.0;
          const Vec2 off = to - way * t;
          square = std::min(square, dot(off, off));
        }
      }
      const double mm = std::sqrt(square);
      mm_[static_cast<std::size_t>(y) * static_cast<std::size_t>(columns_) +
          static_cast<std::size_t>(x)] = static_cast<float>(inside(rings, p) ? -mm : mm);
    }
  }
}

SignedDistance DistanceTable::at(Vec2 p) const {
  const double qx = (p.x - origin_.x) / cell_, qy = (p.y - origin_.y) / cell_;
  const auto x = static_cast<std::size_t>(qx);
  const auto y = static_cast<std::size_t>(qy);
  const double fx = qx - static_cast<double>(x), fy = qy - static_cast<double>(y);
  const std::size_t i = y * static_cast<std::size_t>(columns_) + x;
  const double a = static_cast<double>(mm_[i]), b = static_cast<double>(mm_[i + 1]);
  const double c = static_cast<double>(mm_[i + static_cast<std::size_t>(columns_)]);
  const double d = static_cast<double>(mm_[i + static_cast<std::size_t>(columns_) + 1]);
  const double top = a + (b - a) * fx, bottom = c + (d - c) * fx;
  return {top + (bottom - top) * fy,
          {((b - a) * (1.0 - fy) + (d - c) * fy) / cell_, (bottom - top) / cell_}};
}

ScatterForm scatter_form(
    const Rings& outline, int kind, double scale, double reach_mm, double half_gap_mm) {
  ScatterForm form;
  form.kind = kind;
  form.scale = scale;
  form.rings = transformed(outline, Affine::scale(scale));
  for (const auto& ring : form.rings) {
    for (const Vec2 p : ring) form.radius_mm = std::max(form.radius_mm, length(p));
  }
  form.area_mm2 = covered_area(form.rings);
  form.grown_mm2 = covered_area(outlines_grown(form.rings, half_gap_mm, 0.05));
  Rings fine;
  for (const auto& ring : form.rings) {
    fine.push_back(thinned_ring(ring, kTableTolerance * form.radius_mm));
    const auto points =
        spread_points(ring, kPointTolerance * form.radius_mm, kPointStep * form.radius_mm);
    for (std::size_t i = 0; i < points.size(); i += kRun) {
      PointRun run{form.points.size(), form.points.size(), {}, 0.0};
      Box box;
      for (std::size_t k = i; k < std::min(points.size(), i + kRun); ++k) {
        form.points.push_back(points[k]);
        box.add(points[k].at);
      }
      run.to = form.points.size();
      run.centre = box.centre();
      for (std::size_t k = run.from; k < run.to; ++k) {
        run.radius_mm = std::max(run.radius_mm, distance(run.centre, form.points[k].at));
      }
      form.runs.push_back(run);
    }
  }
  form.exact_step_mm = kExactStep * form.radius_mm;
  for (const auto& ring : form.rings) {
    form.exact.push_back(cut_ring(thinned_ring(ring, kExactToleranceMm), form.exact_step_mm));
  }
  form.distance = DistanceTable(fine, reach_mm, kNodes);
  return form;
}

}  // namespace underdraw
