#include "support/ruled_paper.h"

#include <algorithm>
#include <array>
#include <cmath>
#include <vector>

#include <opencv2/imgproc.hpp>

#include "core/parallel.h"

namespace underdraw::test {
namespace {

constexpr std::array<double, 3> kLuma{0.299, 0.587, 0.114};

double luma(const Through& t) { return kLuma[0] * t[0] + kLuma[1] * t[1] + kLuma[2] * t[2]; }

// Multiplies a pixel by the light that passes ink covering `share` of it.
void lay(cv::Mat& page, int x, int y, const Through& ink, double share) {
  const auto passed = [share](std::uint8_t v, double through) {
    return cv::saturate_cast<std::uint8_t>(v * (1.0 - share * (1.0 - through)));
  };
  if (page.channels() == 1) {
    auto& v = page.at<std::uint8_t>(y, x);
    v = passed(v, luma(ink));
    return;
  }
  auto& v = page.at<cv::Vec3b>(y, x);
  for (int c = 0; c < 3; ++c) v[c] = passed(v[c], ink[c]);
}

// Share of a pixel's width covered by a line seen through the scanner's lens.
double covered(double off_px, double half_px, double blur_px) {
  const double spread = std::sqrt(2.0 * (blur_px * blur_px + 1.0 / 12.0));  // and the pixel's own
  return 0.5 * (std::erf((off_px + half_px) / spread) - std::erf((off_px - half_px) / spread));
}

}  // namespace

Through printed(const Through& ink, double strength) {
  Through out;
  for (int c = 0; c < 3; ++c) out[c] = std::clamp(1.0 - strength * (1.0 - ink[c]), 0.02, 1.0);
  return out;
}

cv::Mat print_ruling(const cv::Mat& page, double px_per_mm, const RulingOptions& o) {
  cv::Mat out = page.clone();
  const double width_mm = out.cols / px_per_mm;
  const double height_mm = out.rows / px_per_mm;
  const double turn = radians(o.skew_deg);
  const double blur_px = o.blur_mm * px_per_mm;
  const double half_px = 0.5 * o.width_mm * px_per_mm;
  const double reach_mm = (half_px + 3.0 * blur_px + 2.0) / px_per_mm;
  // One family: `along` and `across` are the paper's own coordinates of a pixel.
  const auto line_share = [&](double along, double across, double step) {
    const double number = std::round(across / step);
    const double off_mm = std::abs(across - number * step);
    if (off_mm > reach_mm) return 0.0;
    const double wave =
        std::sin(along / 23.0 + 1.7 * number + o.seed) + 0.6 * std::sin(along / 3.1 + 0.9 * number);
    return (1.0 + o.swing * wave / 1.6) * covered(off_mm * px_per_mm, half_px, blur_px);
  };
  parallel_for(static_cast<std::size_t>(out.rows), [&](std::size_t row) {
    const int y = static_cast<int>(row);
    for (int x = 0; x < out.cols; ++x) {
      const double dx = (x + 0.5) / px_per_mm - width_mm / 2.0;
      const double dy = (y + 0.5) / px_per_mm - height_mm / 2.0;
      double u = std::cos(turn) * dx + std::sin(turn) * dy;
      double v = std::cos(turn) * dy - std::sin(turn) * dx;
      const double edge = 2.0 * u / width_mm;
      v -= o.bend_mm * (1.0 - edge * edge);
      const double far = 1.0 + o.tilt * v / height_mm;
      u *= far;
      v *= 1.0 + 0.5 * o.tilt * v / height_mm;
      const bool printed_here = std::abs(u) < width_mm / 2.0 - o.unprinted_mm &&
                                std::abs(v) < height_mm / 2.0 - o.unprinted_mm;
      if (o.unprinted_mm > 0.0 && !printed_here) continue;
      if (o.across) lay(out, x, y, o.ink, line_share(u, v + kAcrossAboveMiddle_mm, o.step_mm));
      if (o.down) lay(out, x, y, o.ink, line_share(v, u + kDownLeftOfMiddle_mm, o.step_mm));
      if (o.margin_line_mm) {
        const double off_mm = std::abs(u + width_mm / 2.0 - *o.margin_line_mm);
        if (off_mm < reach_mm) {
          lay(out, x, y, o.margin_ink, covered(off_mm * px_per_mm, half_px, blur_px));
        }
      }
    }
  });
  return out;
}

cv::Mat rgb_of_grey(const cv::Mat& grey) {
  cv::Mat rgb;
  cv::cvtColor(grey, rgb, cv::COLOR_GRAY2RGB);
  return rgb;
}

cv::Mat on_coloured_paper(const cv::Mat& page, const Through& paper) {
  cv::Mat out = page.channels() == 1 ? rgb_of_grey(page) : page.clone();
  cv::multiply(out, cv::Scalar(paper[0], paper[1], paper[2]), out);
  return out;
}

cv::Mat with_coffee_ring(const cv::Mat& page, double px_per_mm, Vec2 middle_mm, double radius_mm) {
  cv::Mat out = page.channels() == 1 ? rgb_of_grey(page) : page.clone();
  const Through coffee{0.80, 0.66, 0.46};
  for (int y = 0; y < out.rows; ++y) {
    for (int x = 0; x < out.cols; ++x) {
      const Vec2 p = Vec2{(x + 0.5) / px_per_mm, (y + 0.5) / px_per_mm} - middle_mm;
      const double angle = std::atan2(p.y, p.x);
      const double r =
          length(p) - radius_mm - 0.7 * std::sin(3.0 * angle) - 0.3 * std::sin(7.0 * angle + 1.0);
      if (std::abs(r) > 8.0) continue;
      // Dries darkest at its outer rim; inside it fades over some mm.
      const double strength = 0.75 + 0.25 * std::sin(2.0 * angle + 0.5);
      const double wash = r < 0.0 ? std::exp(r / 2.0) : std::exp(-r * r / 0.18);
      const double rim = std::exp(-(r * r) / (r < 0.0 ? 0.5 : 0.12));
      lay(out, x, y, coffee, strength * std::min(1.0, 0.45 * wash + 0.55 * rim));
    }
  }
  return out;
}

cv::Mat with_coloured_lines(const cv::Mat& page,
                            const Linework& lines_mm,
                            const Through& ink,
                            const PencilOptions& options) {
  PencilOptions bare = options;
  bare.paper_grey = 255.0;
  bare.paper_grain = bare.noise = bare.uneven_light = bare.lid_edge_mm = 0.0;
  bare.folds = bare.specks = bare.smudges = 0;
  bare.darkness = 0.999;  // how far it covers; the colour says how dark that is
  const PencilPage drawn = draw_pencil_page(lines_mm, bare);
  cv::Mat out = page.channels() == 1 ? rgb_of_grey(page) : page.clone();
  for (int y = 0; y < out.rows; ++y) {
    for (int x = 0; x < out.cols; ++x) {
      const double grey = drawn.grey.at<std::uint8_t>(y, x);
      if (grey < 254.5) lay(out, x, y, ink, std::min(1.0, (255.0 - grey) / 207.0));
    }
  }
  return out;
}

Page page_of_pixels(const cv::Mat& pixels, double px_per_mm) {
  Page page;
  page.px_per_mm_x = page.px_per_mm_y = px_per_mm;
  page.file = "test page";
  if (pixels.channels() == 1) {
    page.grey = pixels;
    return page;
  }
  cv::cvtColor(pixels, page.grey, cv::COLOR_RGB2GRAY);
  const int shrink = std::max(1, static_cast<int>(std::lround(px_per_mm * 25.4 / 150.0)));
  cv::Mat padded;
  cv::copyMakeBorder(pixels,
                     padded,
                     0,
                     (shrink - pixels.rows % shrink) % shrink,
                     0,
                     (shrink - pixels.cols % shrink) % shrink,
                     cv::BORDER_REPLICATE);
  cv::resize(padded, page.tint, padded.size() / shrink, 0, 0, cv::INTER_AREA);
  page.tint_shrink = shrink;
  return page;
}

}  // namespace underdraw::test
