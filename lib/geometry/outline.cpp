#include "geometry/outline.h"

#include <polyclipping/clipper.hpp>

#include "core/error.h"

namespace underdraw {
namespace {

constexpr double kUnitsPerMm = 1e4;
constexpr double kFarthestMm = 1e5;

ClipperLib::IntPoint to_units(Vec2 p) {
  if (!(std::abs(p.x) <= kFarthestMm && std::abs(p.y) <= kFarthestMm)) {
    throw GeometryError({.file = {},
                         .line = {},
                         .found = "an outline has a point that is not a usable place",
                         .expected = "within 100 m",
                         .remedy = {}});
  }
  return {std::llround(p.x * kUnitsPerMm), std::llround(p.y * kUnitsPerMm)};
}

ClipperLib::Path to_units(const std::vector<Vec2>& points) {
  ClipperLib::Path out;
  out.reserve(points.size());
  for (const Vec2 p : points) out.push_back(to_units(p));
  return out;
}

// Outer contours only: holes, which run the other way, are dropped.
Rings outer_rings(const ClipperLib::Paths& paths) {
  Rings out;
  for (const ClipperLib::Path& path : paths) {
    if (!ClipperLib::Orientation(path)) continue;
    std::vector<Vec2> ring;
    ring.reserve(path.size());
    for (const auto& p : path) {
      ring.push_back(
          {static_cast<double>(p.X) / kUnitsPerMm, static_cast<double>(p.Y) / kUnitsPerMm});
    }
    out.push_back(std::move(ring));
  }
  return out;
}

ClipperLib::Paths grown(const ClipperLib::Paths& paths,
                        double by_mm,
                        double tolerance_mm,
                        ClipperLib::EndType ends = ClipperLib::etClosedPolygon) {
  ClipperLib::ClipperOffset offset(2.0, tolerance_mm * kUnitsPerMm);
  offset.AddPaths(paths, ClipperLib::jtRound, ends);
  ClipperLib::Paths out;
  offset.Execute(out, by_mm * kUnitsPerMm);
  return out;
}

ClipperLib::Paths united(const ClipperLib::Paths& paths, ClipperLib::PolyFillType fill) {
  ClipperLib::Clipper clipper;
  clipper.AddPaths(paths, ClipperLib::ptSubject, true);
  ClipperLib::Paths out;
  clipper.Execute(ClipperLib::ctUnion, out, fill, fill);
  return out;
}

// Outlines alone, so that no hole is left for an offset to work on.
ClipperLib::Paths filled(const ClipperLib::Paths& paths) {
  ClipperLib::Paths outer;
  for (const auto& path : paths) {
    if (ClipperLib::Orientation(path)) outer.push_back(path);
  }
  return united(outer, ClipperLib::pftNonZero);
}

}  // namespace

void SilhouetteOptions::validate() const {
  require_between(close_mm, 0.0, 50.0, "close_mm", "mm");
  require_between(tolerance_mm, 0.001, 1.0, "tolerance_mm", "mm");
}

Rings silhouette(const Linework& lines, const SilhouetteOptions& options) {
  options.validate();
  ClipperLib::Paths ink;
  for (const Stroke& stroke : lines.strokes) {
    ClipperLib::Path course = to_units(flatten(stroke.path, options.tolerance_mm));
    if (course.empty()) continue;
    // A line of one point has no direction to be offset along; the library gives a disc for it.
    const ClipperLib::Paths one = grown({course},
                                        std::max(stroke.width_mm, 0.001) / 2.0,
                                        options.tolerance_mm,
                                        ClipperLib::etOpenRound);
    ink.insert(ink.end(), one.begin(), one.end());
  }
  ClipperLib::Paths all = united(ink, ClipperLib::pftNonZero);
  for (const Area& area : lines.areas) {
    ClipperLib::Paths rings;
    for (const Path& ring : area.rings)
      rings.push_back(to_units(flatten(ring, options.tolerance_mm)));
    const ClipperLib::Paths solid = united(rings, ClipperLib::pftEvenOdd);
    all.insert(all.end(), solid.begin(), solid.end());
  }
  all = filled(united(all, ClipperLib::pftNonZero));
  if (options.close_mm > 0.0) {
    all = filled(grown(all, options.close_mm, options.tolerance_mm));
    all = filled(grown(all, -options.close_mm, options.tolerance_mm));
  }
  return outer_rings(all);
}

Rings outlines_grown(const Rings& rings, double by_mm, double tolerance_mm) {
  require_between(by_mm, -200.0, 200.0, "by_mm", "mm");
  require_between(tolerance_mm, 0.001, 1.0, "tolerance_mm", "mm");
  ClipperLib::Paths paths;
  for (const auto& ring : rings) {
    paths.push_back(to_units(ring));
    if (!ClipperLib::Orientation(paths.back())) ClipperLib::ReversePath(paths.back());
  }
  paths = filled(paths);
  return outer_rings(filled(grown(paths, by_mm, tolerance_mm)));
}

double covered_area(const Rings& rings) {
  ClipperLib::Paths paths;
  for (const auto& ring : rings) paths.push_back(to_units(ring));
  double units = 0.0;
  for (const auto& path : united(paths, ClipperLib::pftNonZero)) units += ClipperLib::Area(path);
  return units / (kUnitsPerMm * kUnitsPerMm);
}

Rings transformed(const Rings& rings, const Affine& to_from_rings) {
  Rings out = rings;
  for (auto& ring : out) {
    for (Vec2& p : ring) p = to_from_rings * p;
    if (to_from_rings.determinant() < 0.0) std::reverse(ring.begin(), ring.end());
  }
  return out;
}

}  // namespace underdraw
