#include "recover/unroll.h"

#include <algorithm>
#include <cmath>

#include <fmt/format.h>

namespace underdraw {
namespace {

constexpr double kFitShare = 0.4;    // of the work, for progress
constexpr double kBlurredMm = 0.35;  // one sigma: a line of 0.5 mm has lost half its depth
constexpr double kMuchDarker = 0.5;
constexpr double kDisagreeMm = 0.4;

}  // namespace

void UnrollOptions::validate() const {
  fit.validate();
  fuse.validate();
}

FacePhoto face_photo(const cv::Mat& picture, const PosedPhoto& posed, const FoundMarks& marks) {
  return {posed.photo, picture, posed.camera, posed.pose, marks.blur_px};
}

UnrolledFace unroll_face(const Surface& surface,
                         const std::vector<FacePhoto>& photos,
                         const UnrollOptions& options,
                         const Progress& progress) {
  options.validate();
  UnrolledFace out;
  if (options.standing) {
    out.fit.standing = *options.standing;
  } else {
    out.fit =
        fit_standing(surface, photos, options.fit, [&](const std::string& step, double share) {
          report(progress, step, kFitShare * share);
        });
  }
  FusedFace fused = fuse_photos(standing_face(surface, out.fit.standing),
                                photos,
                                options.fuse,
                                [&](const std::string& step, double share) {
                                  report(progress, step, kFitShare + (1.0 - kFitShare) * share);
                                });
  out.picture = std::move(fused.picture);
  out.photos = std::move(fused.photos);
  out.sights = std::move(fused.sights);
  out.seen = fused.seen;
  out.warnings = out.fit.warnings;
  if (out.fit.shifts > 0 && out.fit.shift_rms_mm > kDisagreeMm) {
    out.warnings.push_back(fmt::format(
        "where two photos show the same place they disagree by {:.1f} mm; was the piece "
        "moved between them?",
        out.fit.shift_rms_mm));
  }
  for (const PhotoShare& photo : out.photos) {
    if (photo.seen <= 0.0) {
      out.warnings.push_back(fmt::format("{}: the face is not seen", photo.photo));
    } else if (photo.blur_mm > kBlurredMm) {
      out.warnings.push_back(
          fmt::format("{}: blurred, fine lines are lost (edges are {:.1f} mm soft)",
                      photo.photo,
                      photo.blur_mm));
    } else if (photo.gain < kMuchDarker) {
      out.warnings.push_back(fmt::format(
          "{}: much darker than the others, {:.0f} %", photo.photo, 100.0 * photo.gain));
    }
  }
  return out;
}

}  // namespace underdraw
