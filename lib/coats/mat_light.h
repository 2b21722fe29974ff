// The light on a photo mat, read off its white paper, and what other places throw back of it.
//
// Stage:   coats. Pure.
// Frames:  photo: px, a pixel's corner is (0, 0); mat: mm, see photo/camera.h.
// How:     paper shows in the rims of the white squares and along the inside of the band. A
//          surface of second degree through the logarithm of its light, channel by channel, says
//          what white would be anywhere on the mat: colour of the light, exposure and its fall to
//          one side go out together. Places that something covers or shades count less the farther
//          they are off it, and not at all beyond 3 standard deviations.
// Refuses: a photo in which the paper is burnt out, too dark or hardly to be seen, or shows the mat
//          too small (InputError that names the photo).
// Source:  weights: P. J. Huber, Robust estimation of a location parameter, Ann. Math. Stat. 35
//          (1964). What paper throws back: common practice, no source.
#pragma once

#include <array>
#include <optional>

#include <opencv2/core.hpp>

#include "coats/lab_colour.h"
#include "photo/camera_pose.h"
#include "photo/mat.h"

namespace underdraw {

// Of the light that falls on office paper, what it throws back; taken as free of colour.
constexpr double kPaperLight = 0.86;

// A posed photo, read place by place.
struct MatPhoto {
  cv::Mat bgr;  // CV_8UC3, sRGB
  FoundMarks marks;
  PosedPhoto posed;
};

struct SeenPlace {
  LinearRgb light;     // mean over the place, sRGB's light
  bool burnt = false;  // part of it is as bright as the file can say, in some channel
};

// The mean over a square of this side about `at`, seen straight from above; nothing when part of it
// is out of view.
std::optional<SeenPlace> seen_place(const MatPhoto& photo, Vec3 at, double side_mm);

class MatLight {
 public:
  explicit MatLight(const MatPhoto& photo);  // throws InputError

  // What white paper would show there.
  LinearRgb paper_at(Vec2 mat) const;
  // What the place throws back of the light that falls on it.
  LinearRgb reflected(Vec2 mat, LinearRgb seen) const;
  // Of the paper about the surface, standard deviation, relative: shadows and folds.
  double unevenness() const { return off_; }

 private:
  using Surface = std::array<double, 6>;
  std::array<Surface, 3> surfaces_{};  // of log light: red, green, blue
  double off_ = 0.0;
};

}  // namespace underdraw
