// What a page was before anyone drew on it: printed lines, coloured paper, coffee; and lines drawn
// in colour.
//
// In/out:  a page of 8 bits, grey or RGB, in; the same with each thing laid under its light, as ink
//          lets a share of the light through. Pixel centres at (0.5, 0.5).
// Source:  own construction.
#pragma once

#include <optional>

#include <opencv2/core.hpp>

#include "geometry/linework.h"
#include "scan/page.h"
#include "support/pencil_page.h"

namespace underdraw::test {

// Share of red, green and blue light that an ink lets through. A grey page sees their luma.
using Through = cv::Vec3d;

inline const Through kGreyInk{0.68, 0.68, 0.68};
inline const Through kBlueInk{0.50, 0.70, 0.88};
inline const Through kVioletInk{0.66, 0.58, 0.86};
inline const Through kRedInk{0.92, 0.50, 0.55};
inline const Through kGreenInk{0.60, 0.82, 0.66};
inline const Through kBluePencil{0.34, 0.55, 0.84};

// The ink printed fainter (below 1) or stronger (above 1).
Through printed(const Through& ink, double strength);

// A line across passes this far above the page's middle, a line down this far left of it.
inline constexpr double kAcrossAboveMiddle_mm = 1.3;
inline constexpr double kDownLeftOfMiddle_mm = 0.7;

struct RulingOptions {
  double step_mm = 5.0;  // > 0
  bool across = true;    // lines from left to right
  bool down = true;      // lines from top to bottom
  double width_mm = 0.18;
  Through ink = kGreyInk;
  std::optional<double> margin_line_mm = {};  // from the left, one line down the page
  Through margin_ink = kRedInk;
  double unprinted_mm = 0.0;  // border of the paper without lines
  double skew_deg = 0.0;      // turned about the page's middle
  double bend_mm = 0.0;       // how far a line's middle sags below its ends
  double tilt = 0.0;          // share by which lines are closer together at the far end than here
  double swing = 0.12;        // share by which darkness swings along a line
  double blur_mm = 0.04;      // standard deviation of the scanner's spread
  unsigned seed = 7;
};

cv::Mat print_ruling(const cv::Mat& page, double px_per_mm, const RulingOptions& options);

// RGB: white becomes `paper`, and all else is darkened as much.
cv::Mat on_coloured_paper(const cv::Mat& page, const Through& paper);

// RGB: the ring that a cup left, brown, soft on the inside, with a darker rim.
cv::Mat with_coffee_ring(const cv::Mat& page, double px_per_mm, Vec2 middle_mm, double radius_mm);

// RGB: lines drawn with a pencil of that colour.
cv::Mat with_coloured_lines(const cv::Mat& page,
                            const Linework& lines_mm,
                            const Through& ink,
                            const PencilOptions& options);

cv::Mat rgb_of_grey(const cv::Mat& grey);

// As the readers make it: grey is the luma, and the colours are kept at a lower resolution.
Page page_of_pixels(const cv::Mat& pixels, double px_per_mm);

}  // namespace underdraw::test
