// A printed sheet as a camera saw it: where the camera stood and how the paper was bent.
//
// Stage:   photo. Pure.
// Frames:  sheet: mm, origin top left, x right, y down, along the paper. Space: mm, origin in the
//          sheet's middle, x and y as on the sheet where it touches the plane, z away from the
//          camera. Photo: px, a pixel's corner is (0, 0).
// In/out:  places on the sheet and where they are in the photo -> where any other place is.
// How:     what lies flat under a scanner is an affine map, and is taken as that. Else a camera and
//          a generalized cylinder: all rulings parallel, in a direction that is found too, the
//          curve across them with a tangent that is a polynomial of length. Paper keeps its lengths
//          on it by construction. Ink, blur and a tone curve make all marks larger or smaller by
//          the same width, which is found too: places on the sheet's edges alone would pass it off
//          as bending of the lens. Places that fit badly are left out.
// Source:  cylinders for bent pages: H. Cao, X. Ding, C. Liu, A cylindrical surface model to
//          rectify the bound document image, ICCV (2003); developable ones: J. Liang, D. DeMenthon,
//          D. Doermann, Geometric rectification of camera-captured document images, IEEE PAMI 30
//          (2008). Camera: see photo/camera_pose.h. Solver: Ceres.
#pragma once

#include <array>
#include <optional>
#include <vector>

#include "geometry/vec2.h"
#include "geometry/vec3.h"
#include "photo/camera.h"

namespace underdraw {

struct SheetPoint {
  Vec2 sheet;
  Vec2 px;
  Vec2 outward = {};  // of a mark's corner, (-1, -1) at its top left; (0, 0) where that is unknown
};

struct SheetBend {
  Vec2 middle;             // sheet
  double half_mm = 150.0;  // unit of length along the curve
  double along_deg = 0.0;  // the direction in which the paper is curved; its rulings lie across
  std::array<double, 4> tangent{};  // coefficients of the tangent's angle: length, length², …

  Vec3 in_space(Vec2 sheet) const;
};

struct BentSheet {
  std::optional<Affine> px_from_sheet;  // of a flat scan; then nothing below counts
  SheetBend bend;
  Camera camera;
  CameraPose pose;
  std::size_t used = 0;  // points
  std::vector<bool> left_out;
  double rms_mm = 0.0;    // of those used
  double wider_mm = 0.0;  // by which marks reach beyond their corners
  double bow_mm = 0.0;    // farthest that the sheet stands off the plane through its ends

  // Nothing for places that such a camera does not show.
  std::optional<Vec2> px_of(Vec2 sheet) const;
  double px_per_mm(Vec2 sheet) const;
};

struct FitSheetOptions {
  int width_px = 0, height_px = 0;  // of the photo
  Vec2 sheet_mm{210.0, 297.0};

  void validate() const;  // throws OptionError
};

// Eight points or more. Nothing when no camera could have seen them so.
std::optional<BentSheet> fit_bent_sheet(const std::vector<SheetPoint>& points,
                                        const FitSheetOptions& options);

}  // namespace underdraw
