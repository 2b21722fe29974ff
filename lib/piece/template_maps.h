// The ways between a face and the flat parts of its template.
//
// Stage:   piece. Pure. Ask a part of face_template.h, not these.
// Frames:  paper of one part, before its outline is moved to the top left: mm, x right, y down.
// Source:  levels of the wall become arcs as wide as the wall is there (polyconic development;
//          J. P. Snyder, Map Projections: A Working Manual, USGS PP 1395, 1987, section 18). With
//          an opening that stays the same all the way up it is the exact net of a cone.
#pragma once

#include <functional>
#include <vector>

#include "piece/surface.h"

namespace underdraw {

struct FaceSpan {
  double across_from = 0.0;
  double across_to = 0.0;
  double along_from = 0.0;
  double along_to = 0.0;
};

class PartMap {
 public:
  virtual ~PartMap() = default;
  virtual Vec2 paper_from_face(FacePoint point) const = 0;
  virtual FacePoint face_from_paper(Vec2 point) const = 0;
  virtual bool on_paper(FacePoint) const { return true; }

  // Round a point, as far as the map has no cut and no kink.
  virtual FaceSpan smooth_around(FacePoint point) const = 0;
};

// Paper that is laid as it is.
class PlainMap : public PartMap {
 public:
  explicit PlainMap(const Surface& surface);
  Vec2 paper_from_face(FacePoint point) const override;
  FacePoint face_from_paper(Vec2 point) const override;
  bool on_paper(FacePoint point) const override;  // inside the outline, where the face has one
  FaceSpan smooth_around(FacePoint) const override { return span_; }

 private:
  FaceSpan span_;
  Rings outline_;
};

// One level of a wall on paper: an arc `radius_mm` long per radian round the axis, which bends by
// `opening` of that radian; above 0 its middle lies below it.
struct PaperLevel {
  double radius_mm = 0.0;
  double opening = 0.0;

  Vec2 at(double angle) const;  // right and up from the middle of the level
};

// A wall or a band of it as part of a cone's net. `radius_mm` at `at_mm` along the wall; it grows
// by `opening` a mm upward.
struct ConeNet {
  double radius_mm = 0.0;
  double at_mm = 0.0;
  double opening = 0.0;

  PaperLevel level(double s) const { return {radius_mm + opening * (s - at_mm), opening}; }
};

class SectorMap : public PartMap {
 public:
  SectorMap(FaceSpan span, ConeNet net);
  Vec2 paper_from_face(FacePoint point) const override;
  FacePoint face_from_paper(Vec2 point) const override;
  FaceSpan smooth_around(FacePoint) const override { return span_; }

 private:
  FaceSpan span_;
  ConeNet net_;
};

using Levels = std::function<PaperLevel(double s)>;

// A strip up the wall whose levels open as the wall does at each height.
class StripMap : public PartMap {
 public:
  StripMap(FaceSpan span, Levels levels);
  Vec2 paper_from_face(FacePoint point) const override;
  FacePoint face_from_paper(Vec2 point) const override;
  FaceSpan smooth_around(FacePoint) const override { return span_; }

 private:
  FaceSpan span_;
  Levels levels_;
};

// Strips up a patch that hang together along its middle and part towards its edges.
struct Ribs {
  bool axis_across = false;
  int count = 1;
  double width_mm = 0.0;   // of the patch along its middle, all ribs together
  double length_mm = 0.0;  // of each rib
  double middle_radius_mm = 0.0;
  double whole_mm = 0.0;  // cuts end this far from the middle
  bool slits = false;     // straight cuts that open on the piece, instead of wedges that close
  Levels levels;          // s from one end of the rib to the other

  double rib_width_mm() const { return width_mm / count; }
  double rib_middle_mm(int rib) const { return (rib + 0.5) * rib_width_mm() - width_mm / 2.0; }
};

class RibsMap : public PartMap {
 public:
  explicit RibsMap(Ribs ribs) : ribs_(std::move(ribs)) {}
  Vec2 paper_from_face(FacePoint point) const override;
  FacePoint face_from_paper(Vec2 point) const override;
  bool on_paper(FacePoint point) const override;
  FaceSpan smooth_around(FacePoint point) const override;

  // Paper of one rib: `lateral` mm from its middle line, measured along the middle of the patch.
  Vec2 paper_of(int rib, double lateral, double s) const;
  const Ribs& ribs() const { return ribs_; }

 private:
  struct OnRib {
    int rib;
    double lateral, s;
  };
  OnRib on_rib(FacePoint point) const;

  Ribs ribs_;
};

// The angle from the middle of the span, the shorter way round unless it is inside.
double from_middle_deg(const FaceSpan& span, double across_deg);

}  // namespace underdraw
