// How a face stood on the mat when photos were taken, and how wide its wall really is, told by the
// photos themselves.
//
// Stage:   recover. Pure.
// Frames:  see recover/standing.h.
// In/out:  posed photos of one standing -> shift, lift, the wall's widths, and how sure they are.
//          The turn of a round face shows in no photo: it stays 0, and the seam tick on the mat's
//          0° says it; that of a flat face is found.
// How:     all photos vote for one standing by the piece's outline; then outline and the shifts
//          between photos that show the same marks are brought to agree, least squares in which
//          what fits badly counts less. Tape readings hold what photos leave open.
// Refuses: no photos; photos in which nothing of the piece's form stands there; a piece more than
//          5 % wider or narrower than measured (InputError that names where); options.
// Source:  robust least squares: solver Ceres; the rest own construction. Measured effect:
//          tests/recover/fit_standing_test.cpp.
#pragma once

#include <string>
#include <vector>

#include "core/progress.h"
#include "recover/face_photo.h"
#include "recover/standing.h"

namespace underdraw {

struct FitStandingOptions {
  double shift_sd_mm = 4.0;   // how far off the middle a hand puts a piece; [0.1, 20]
  double turn_sd_deg = 3.0;   // of a flat face; [0.1, 20]
  double lift_sd_mm = 5.0;    // [0.01, 50]
  double thick_mm = 8.0;      // of a tile; what lift is expected on a flat face; [0, 60]
  double radius_sd_mm = 0.6;  // of the measured wall; [0.01, 10]
  double smooth_mm = 0.3;     // by how much neighbouring knots bend against each other; [0.01, 10]
  double most_wider = 0.05;   // relative; beyond, measuring again is asked for; [0.01, 0.3]
  // What the piece may have shrunk or grown to since, over the surface; the likeliest first; each
  // in [0.6, 1.6].
  std::vector<double> sizes{1.0};

  void validate() const;  // throws OptionError
};

struct StandingFit {
  FaceStanding standing;
  double shift_sd_mm = 0.0;
  double turn_sd_deg = 0.0;  // flat faces; a round one's is not known
  double lift_sd_mm = 0.0;
  double radius_sd_mm = 0.0;  // of the least sure knot, or the ball
  std::size_t edges = 0;      // places of the outline that took part
  double edge_rms_mm = 0.0;   // median-based
  std::size_t shifts = 0;     // patches seen in two photos
  double shift_rms_mm = 0.0;  // what they still disagree by, median-based
  std::vector<std::string> warnings;
};

StandingFit fit_standing(const Surface& surface,
                         const std::vector<FacePhoto>& photos,
                         const FitStandingOptions& options = {},
                         const Progress& progress = {});

}  // namespace underdraw
