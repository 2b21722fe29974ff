// Outlines of copies on a face, and which of them touch.
//
// Stage:   repeat. Pure.
// Frame:   face coordinates as a plane, x across, y along (degrees and mm on a round face): whether
//          outlines touch does not depend on the scale of the axes. Outlines on a round face begin
//          within [0, 360) and may run over.
#pragma once

#include <optional>
#include <unordered_map>
#include <vector>

#include "geometry/outline.h"
#include "piece/surface.h"

namespace underdraw {

// Outlines of paper laid at a point.
Rings on_face(const Surface& surface, FacePoint at, const Rings& paper);

// The zone as outlines on the face; all the way round when it spans 360 degrees.
Rings zone_on_face(const Surface& surface, const KeepOut& zone);

// The face less a strip along its edges.
class FaceRoom {
 public:
  FaceRoom(const Surface& surface, double edge_mm);

  // All of the outline.
  bool holds(const Rings& outline) const;

 private:
  bool round_, shaped_;
  double width_mm_, along_mm_, edge_mm_;
  Rings shape_;  // of a shaped face
  double shape_mm2_ = 0.0;
};

// What already lies on a face, in buckets, so that asking costs what is near.
class TakenSpots {
 public:
  explicit TakenSpots(const Surface& surface);

  // `tag` is handed back by touched().
  void add(Rings outline, std::size_t tag);

  // The tag of the first taken spot that the outline touches, over the seam too.
  std::optional<std::size_t> touched(const Rings& outline) const;

  // The outlines of all that it touches, moved by whole turns to where it lies.
  std::vector<Rings> outlines_touched(const Rings& outline) const;

 private:
  struct Spot {
    Rings outline;
    Box box;
    std::size_t tag;
  };
  template <typename Visit>
  void visit(const Rings& outline, Visit visit) const;

  bool round_;
  Vec2 cell_;
  std::vector<Spot> spots_;
  std::unordered_map<std::int64_t, std::vector<std::size_t>> buckets_;
};

}  // namespace underdraw
