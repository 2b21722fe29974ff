// One look at a decorated face, in perspective: the arrangement wrapped on the measured form.
//
// Stage:   sheet. Pure.
// In/out:  placements on their face; marks round (0, 0), mm, the piece as large as it is where it
//          is nearest to the eye.
// Hidden:  what turns away from the eye, and what the wall itself stands in front of (waists,
//          hollows). Handles and lids are not drawn: nobody measured them.
// Source:  central projection as in any textbook; the silhouette is where the surface is seen
//          edge-on. Shading: Lambert's law, in steps.
#pragma once

#include <optional>
#include <string>
#include <vector>

#include "geometry/vec3.h"
#include "repeat/arrange.h"
#include "sheet/drawing.h"
#include "sheet/sheet_plan.h"

namespace underdraw {

// Where one looks from. On a round face `around_deg` is an angle a; on others it is how far to the
// right of the middle the eye stands. `above_deg` up to 90: straight from above.
struct ViewPoint {
  double around_deg = 0.0;
  double above_deg = 12.0;
  std::string caption;
};

// The views that show all of a form.
std::vector<ViewPoint> view_points(const FaceForm& form);

class PieceView {
 public:
  PieceView(const Surface& surface, const ViewPoint& from);

  // On the drawing, y down.
  Vec2 seen_at(Vec3 point) const;
  Vec2 seen_at(FacePoint point) const { return seen_at(surface_.in_space(point)); }

  // Cosine between the surface and the way to the eye: below 0 it is turned away.
  double facing(FacePoint point) const;

  // Turned towards the eye and nothing in front of it.
  bool visible(FacePoint point) const { return clear(point) > 0.0; }

  // Above 0 where visible; changes its sign about linearly at the silhouette.
  double clear(FacePoint point) const;

  // Whether the wall stands between the point and the eye.
  bool blocked(FacePoint point) const;

  // Length on the drawing of a mm at the point, across the way one looks.
  double scale_at(FacePoint point) const;

  // A direction as one who looks sees it: to the right, up and towards the eye.
  Vec3 towards_eye(double right, double up, double near) const;

  Vec3 eye() const { return eye_; }
  const Surface& surface() const { return surface_; }

 private:
  bool inside(Vec3 point) const;
  double radius_at(double height) const;

  Surface surface_;
  Vec3 centre_, eye_, right_, up_, forward_;
  double distance_ = 1.0;  // to the plane where lengths are true
  bool can_hide_ = false;  // parts of the wall stand in front of others
  double size_ = 1.0;
  std::vector<double> radii_;  // of the wall by height, evenly
  double low_ = 0.0, high_ = 0.0;
  double axis_depth_ = 0.0;  // of a patch: its wall's axis behind it
  double half_angle_ = 0.0;  // of a patch about that axis
};

// All that is seen: shaded form, edges, zones, copies, numbers.
std::vector<Mark> draw_view(const PlacedFace& face,
                            const std::vector<Motif>& motifs,
                            const PieceView& view,
                            double page_scale);

// Of the form as drawn.
Box view_box(const PieceView& view);

}  // namespace underdraw
