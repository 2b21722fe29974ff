#include "support/laid_out_face.h"

#include <cmath>

#include <opencv2/imgproc.hpp>

namespace underdraw::test {

Unrolled laid_out(const Surface& surface, const FaceTexture& texture, const LaidOut& how) {
  Unrolled out;
  out.round = surface.round();
  const double wide = surface.widest_mm();
  const int columns = static_cast<int>(std::lround(wide * how.px_per_mm));
  const int rows = static_cast<int>(std::lround(surface.along_mm() * how.px_per_mm));
  out.px_per_across = columns / (out.round ? 360.0 : wide);
  out.px_per_along = rows / surface.along_mm();
  out.light.create(rows, columns, CV_32F);
  for (int y = 0; y < rows; ++y) {
    for (int x = 0; x < columns; ++x) {
      const Rgb c = texture.colour_at(out.face_from_px({x + 0.5, y + 0.5}));
      // Rec. 709 weights; a tone curve near enough to sRGB's.
      out.light.at<float>(y, x) =
          std::pow(0.2126f * c.r + 0.7152f * c.g + 0.0722f * c.b, 1.0f / 2.2f);
    }
  }
  cv::GaussianBlur(out.light, out.light, {0, 0}, how.blur_mm * how.px_per_mm);
  cv::Mat noise(out.light.size(), CV_32F);
  cv::RNG(how.seed).fill(noise, cv::RNG::NORMAL, 0.0, how.noise);
  out.light += noise;
  out.light.convertTo(out.colour, CV_8U, 255.0);
  cv::cvtColor(out.colour, out.colour, cv::COLOR_GRAY2BGR);
  out.trust = cv::Mat::ones(out.light.size(), CV_32F);
  out.steep = cv::Mat::zeros(out.light.size(), CV_32F);
  return out;
}

}  // namespace underdraw::test
