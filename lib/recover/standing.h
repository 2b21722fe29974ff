// How a face of a piece stood on the photo mat, and what its wall really is.
//
// Stage:   recover. Pure.
// Frames:  mat: see photo/camera.h. A round face's foot lies on the mat about its middle; a flat
//          face lies on the mat, its upper edge towards the page's top, as high as it is thick.
// In/out:  (a, s) stays what a tape would say: s is measured along the wall as it really is.
// Refuses: a patch, which stands on nothing (InputError).
// Source:  own construction.
#pragma once

#include <vector>

#include "recover/see_face.h"

namespace underdraw {

struct FaceStanding {
  Vec2 shift_mm;                  // of the foot's or the tile's middle, mat
  double turn_deg = 0.0;          // counter-clockwise seen from above
  double lift_mm = 0.0;           // of the foot or the flat face over the mat
  std::vector<double> radius_mm;  // by how much the wall is wider than measured, at equal steps of
                                  // measured s from foot to rim, smooth between; empty: nowhere
  double grown = 1.0;             // all of it over what was measured: a ball's tape error
  // The piece when it was photographed over what the surface is: clay that has shrunk since, or was
  // yet to. a and s stay the surface's own.
  double size = 1.0;
};

// How much wider the wall is at a share of its measured length, 0 to 1.
double wider_mm(const FaceStanding& standing, double share);

// Where a point of a round wall is that was measured at this share of its length; mat.
Vec3 wall_in_mat(const Surface& surface, const FaceStanding& standing, double a_deg, double share);

// Keeps a reference to `surface`.
StandingFace standing_face(const Surface& surface, const FaceStanding& standing);

}  // namespace underdraw
