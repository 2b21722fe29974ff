// What the camera was, and where it stood for each photo, from the mat's corners alone.
//
// Stage:   photo. Pure.
// Frames:  see photo/camera.h.
// In/out:  photos of one camera, one is enough -> its focal length, centre and bending shared by
//          all, each photo's pose, and how sure all that is.
// How:     bundle adjustment over all corners. Focal length and centre start from what EXIF and
//          the photo's middle say and are held to that as loosely as such statements are good; each
//          photo may differ a little from the rest (focusing and stabilising move the lens).
//          Corners that fit badly count less, then those beyond four times the scatter are left
//          out. The scatter of the rest scales the reported uncertainty.
// Refuses: no photos; photos of different sizes; corners that no camera could have seen so
//          (InputError that names the photo).
// Source:  B. Triggs et al., Bundle adjustment: a modern synthesis, LNCS 1883 (2000); solver:
// Ceres;
//          start: T. Collins, A. Bartoli, Infinitesimal plane-based pose estimation, IJCV 109
//          (2014), in OpenCV.
#pragma once

#include <array>
#include <optional>
#include <string>
#include <vector>

#include "photo/camera.h"
#include "photo/find_marks.h"

namespace underdraw {

struct PosePhoto {
  FoundMarks marks;
  std::optional<double> exif_focal_px;  // focal length that the file states, in px
};

// From EXIF's FocalLengthIn35mmFilm (CIPA DC-008), whole mm. Which side it keeps is not laid down;
// taken over the diagonal, as makers of phones do (common practice, no source).
double focal_px_from_35mm(double equivalent_mm, int width_px, int height_px);

// What a person read off the mat's printed 100 mm bars.
struct MeasuredBars {
  double across_mm = 100.0, down_mm = 100.0;  // [90, 110]
};

struct CameraPoseOptions {
  double focal_sd = 0.012;           // of a stated focal length, relative; [0.0001, 0.2]
  double centre_sd = 0.012;          // of the centre, over the longer side; [0.0001, 0.2]
  double bend_sd = 0.12;             // of k1 and of k2; [0.001, 1]
  double per_photo_sd = 0.0012;      // relative, of focal length and centre from photo to photo
  std::optional<MeasuredBars> bars;  // nothing: the mat is taken as 100 % both ways
  double stretch_sd = 0.003;         // of the paper's across over down beyond the bars
  Vec3 piece_at{0.0, 0.0, 60.0};     // mat: where certainty is told

  void validate() const;  // throws OptionError
};

struct PosedPhoto {
  std::string photo;
  Camera camera;  // as it was for this photo
  CameraPose pose;
  std::size_t corners = 0;  // used
  std::size_t left_out = 0;
  double rms_px = 0.0;
  // Of turn (about the camera's axes, radians) and shift (mm), by rows; intrinsics free.
  std::array<double, 36> covariance{};
  double piece_sd_mm = 0.0;  // across the line of sight, where the piece is
};

struct CameraPoses {
  Camera camera;  // shared; its size is the first photo's
  double focal_sd_px = 0.0, centre_sd_px = 0.0, k1_sd = 0.0, k2_sd = 0.0;
  // Paper: across and down over what should be. Only their ratio shows in photos; their mean is
  // the bars'.
  Vec2 mat_scale{1.0, 1.0};
  double stretch_sd = 0.0;  // of the ratio
  std::vector<PosedPhoto> photos;
  std::vector<std::string> warnings;
};

CameraPoses camera_poses(const std::vector<PosePhoto>& photos,
                         const CameraPoseOptions& options = {});

// All lengths times `factor`: when the piece, whose size a tape gave, tells that the mat was
// printed larger or smaller than it should be.
CameraPoses rescaled(CameraPoses poses, double factor);

}  // namespace underdraw
