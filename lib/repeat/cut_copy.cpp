#include "repeat/cut_copy.h"

#include <algorithm>
#include <cmath>

#include "repeat/cut_behind.h"

namespace underdraw {
namespace {

constexpr double kStepMm = 1.0;    // of outlines brought onto paper: sides bend on tapered walls
constexpr double kBeyondMm = 1e4;  // past any copy

// Running the way that silhouettes do.
Ring forwards(Ring ring) {
  if (signed_area(ring) < 0.0) std::reverse(ring.begin(), ring.end());
  return ring;
}

// The ring on the copy's paper.
Ring on_paper(const Surface& surface, FacePoint at, const Ring& ring) {
  Ring out;
  for (std::size_t i = 0; i < ring.size(); ++i) {
    const Vec2 a = ring[i];
    const Vec2 b = ring[(i + 1) % ring.size()];
    const double long_mm = length(surface.way({a.x, a.y}, {b.x, b.y}));
    const int parts = 1 + static_cast<int>(std::min(long_mm / kStepMm, 1000.0));
    for (int k = 0; k < parts; ++k) {
      const Vec2 p = mix(a, b, static_cast<double>(k) / parts);
      out.push_back(surface.paper_at(at, {p.x, p.y}));
    }
  }
  return forwards(std::move(out));
}

// All that is off the face, round about a copy that covers `reach` on it.
Rings off_face(const Surface& surface, FacePoint at, const Box& reach, double edge_mm) {
  Rings out;
  if (!surface.outline().empty()) {
    // Round a shaped face: everything, less the face.
    out = ring_of(Box{{-kBeyondMm, -kBeyondMm}, {kBeyondMm, kBeyondMm}});
    for (const Ring& ring : outlines_grown(surface.outline(), -edge_mm)) {
      Ring hole = on_paper(surface, at, ring);
      std::reverse(hole.begin(), hole.end());
      out.push_back(std::move(hole));
    }
    return out;
  }
  const Box wide = reach.grown(1.0);
  // What lies beyond a border of the face: the border as it runs, closed far outside.
  const auto beyond = [&](Vec2 from, Vec2 to, Vec2 far) {
    constexpr int kParts = 200;
    Ring ring;
    for (int k = 0; k <= kParts; ++k) {
      const Vec2 p = mix(from, to, static_cast<double>(k) / kParts);
      ring.push_back(surface.paper_at(at, {p.x, p.y}));
    }
    ring.push_back(ring.back() + far);
    ring.push_back(ring.front() + far);
    out.push_back(forwards(std::move(ring)));
  };
  const Vec2 up{0.0, -kBeyondMm * surface.up_per_along()};
  const double low = edge_mm;
  const double high = surface.along_mm() - edge_mm;
  if (reach.min.y < low) beyond({wide.min.x, low}, {wide.max.x, low}, -up);
  if (reach.max.y > high) beyond({wide.min.x, high}, {wide.max.x, high}, up);
  if (surface.round()) return out;
  const double right = surface.widest_mm() - edge_mm;
  if (reach.min.x < edge_mm) {
    beyond({edge_mm, wide.min.y}, {edge_mm, wide.max.y}, {-kBeyondMm, 0.0});
  }
  if (reach.max.x > right) beyond({right, wide.min.y}, {right, wide.max.y}, {kBeyondMm, 0.0});
  return out;
}

}  // namespace

CutCopy cut_copy(const Surface& surface,
                 const TakenSpots& in_front,
                 const Motif& motif,
                 const Placement& placement,
                 double gap_mm,
                 double edge_mm) {
  const Affine copy_from_motif = placement.copy_from_motif(motif);
  const Linework copy = transformed(motif.lines, copy_from_motif);
  const Rings paper = ring_of(copy.ink_box().grown(gap_mm));
  const Rings reach = on_face(surface, placement.at, paper);

  Rings front;
  for (const Rings& outline : in_front.outlines_touched(reach)) {
    for (const Ring& ring : outline) front.push_back(on_paper(surface, placement.at, ring));
  }
  const Rings edges = off_face(surface, placement.at, box_of(reach), edge_mm);
  CutResult done = cut_behind(copy, front, {.gap_mm = gap_mm});
  const double hidden = done.removed_length_mm() + done.removed_area_mm2();
  const auto dots = done.hidden_dots;
  done = cut_behind(done.lines, edges, {.gap_mm = 0.0});
  const double off = done.removed_length_mm() + done.removed_area_mm2();
  return {transformed(done.lines, copy_from_motif.inverse()),
          hidden + off > 0.0 || dots + done.hidden_dots > 0};
}

}  // namespace underdraw
