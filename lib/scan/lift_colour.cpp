#include "scan/lift_colour.h"

#include <algorithm>
#include <array>
#include <cmath>
#include <vector>

#include <opencv2/imgproc.hpp>

namespace underdraw {
namespace {

constexpr float kLeastTaken = 0.03F;      // of the light, for a place to count as inked
constexpr float kLeastColour = 0.025F;    // difference between the colours, for ink to be coloured
constexpr float kNeutral = 0.18F;         // saturation that scanners give to graphite, at most
constexpr float kColoured = 0.34F;        // saturation of coloured ink, at least
constexpr double kLeastOfNeutral = 0.01;  // coloured ink below this share of the drawing is left
constexpr double kSoftMm = 2.5;           // what is wider than a line: stains, shadows
constexpr double kPrintedMm = 0.7;        // to both sides of a ruled line
constexpr std::size_t kHues = 12;

// The light that ink takes at one place, as shares of the paper's.
struct Taken {
  float most = 0.0F;  // in the colour that it takes most of
  float least = 0.0F;
  std::size_t hue = 0;

  float colour() const { return most - least; }
  float saturation() const { return most > kLeastTaken ? colour() / most : 0.0F; }
};

Taken taken_of(const std::array<float, 3>& a) {
  Taken out;
  const auto [low, high] = std::minmax_element(a.begin(), a.end());
  out.most = *high;
  out.least = std::max(0.0F, *low);
  const float c = std::max(1e-6F, *high - *low);
  float turn = 0.0F;  // sixths of the circle
  if (high == a.begin()) {
    turn = (a[1] - a[2]) / c;
  } else if (high == a.begin() + 1) {
    turn = 2.0F + (a[2] - a[0]) / c;
  } else {
    turn = 4.0F + (a[0] - a[1]) / c;
  }
  if (turn < 0.0F) turn += 6.0F;
  out.hue = std::min(kHues - 1, static_cast<std::size_t>(turn * static_cast<float>(kHues) / 6.0F));
  return out;
}

// The colours of the page on the coarse grid of its light, evened over the scanner's colour
// fringes.
cv::Mat coarse_tint(const Page& page, const PaperLight& light) {
  cv::Mat tint = page.tint;
  const double step = light.shrink / page.tint_shrink;
  if (std::abs(step - 1.0) > 1e-9 || tint.size() != light.grey.size()) {
    const cv::Mat from_coarse =
        (cv::Mat_<double>(2, 3) << step, 0.0, 0.5 * step - 0.5, 0.0, step, 0.5 * step - 0.5);
    cv::warpAffine(page.tint,
                   tint,
                   from_coarse,
                   light.grey.size(),
                   cv::INTER_LINEAR | cv::WARP_INVERSE_MAP,
                   cv::BORDER_REPLICATE);
  }
  cv::Mat even;
  cv::blur(tint, even, {3, 3});
  return even;
}

// Is any place of the page more coloured than its paper?
bool has_colour(const cv::Mat& tint) {
  const cv::Scalar mean = cv::mean(tint);
  std::array<float, 3> scale{};
  for (int c = 0; c < 3; ++c) {
    scale[static_cast<std::size_t>(c)] = 1.0F / std::max(1.0F, static_cast<float>(mean[c]));
  }
  int coloured = 0;
  for (int y = 0; y < tint.rows; y += 2) {
    const auto* row = tint.ptr<cv::Vec3b>(y);
    for (int x = 0; x < tint.cols; x += 2) {
      const float r = static_cast<float>(row[x][0]) * scale[0];
      const float g = static_cast<float>(row[x][1]) * scale[1];
      const float b = static_cast<float>(row[x][2]) * scale[2];
      coloured += std::max(std::max(r, g), b) - std::min(std::min(r, g), b) > kLeastColour ? 1 : 0;
    }
  }
  return coloured > 20;
}

cv::Mat printed_mask(const Ruling& ruling, const PaperLight& light, double px_per_mm) {
  cv::Mat mask = cv::Mat::zeros(light.grey.size(), CV_8U);
  const int thick = std::max(1, static_cast<int>(std::lround(2.0 * kPrintedMm * px_per_mm)));
  for (const bool down : {false, true}) {
    const RuledDirection& direction = down ? ruling.down : ruling.across;
    for (const RuledLine& line : direction.lines) {
      std::vector<cv::Point> points;
      for (std::size_t i = 0; i <= line.at_px.size() + 1; ++i) {  // to the page's edges
        const double along = static_cast<double>(i) * direction.strip_px;
        const auto a = static_cast<int>(std::lround(along / light.shrink));
        const auto b = static_cast<int>(std::lround(direction.at(line, along) / light.shrink));
        points.push_back(down ? cv::Point(b, a) : cv::Point(a, b));
      }
      cv::polylines(mask, points, false, 255, thick);
    }
  }
  return mask;
}

// How saturated each hue's ink is where nothing else lies on it.
std::array<float, kHues> ink_saturations(const std::vector<std::array<double, 50>>& seen) {
  std::array<float, kHues> out{};
  for (std::size_t h = 0; h < kHues; ++h) {
    std::array<double, 50> sum{};
    double total = 0.0;
    for (const std::size_t beside : {h + kHues - 1, h, h + 1}) {
      for (std::size_t i = 0; i < sum.size(); ++i) {
        sum[i] += seen[beside % kHues][i];
        total += seen[beside % kHues][i];
      }
    }
    double below = 0.0;
    std::size_t i = 0;
    while (i + 1 < sum.size() && below + sum[i] < 0.5 * total) below += sum[i++];
    out[h] = total > 0.0 ? (static_cast<float>(i) + 0.5F) / 50.0F : 1.0F;
  }
  return out;
}

float eased(float t) {
  t = std::clamp(t, 0.0F, 1.0F);
  return t * t * (3.0F - 2.0F * t);
}

// Multiplies the darkness of the page by `keep`, which is read between its coarse points.
void weaken(cv::Mat& grey, const PaperLight& light, const cv::Mat& keep) {
  const int s = light.shrink;
  for (int cy = 0; cy < keep.rows; ++cy) {
    for (int cx = 0; cx < keep.cols; ++cx) {
      float least = 1.0F;
      for (int y = std::max(0, cy - 1); y <= std::min(keep.rows - 1, cy + 1); ++y) {
        for (int x = std::max(0, cx - 1); x <= std::min(keep.cols - 1, cx + 1); ++x) {
          least = std::min(least, keep.ptr<float>(y)[x]);
        }
      }
      if (least >= 1.0F) continue;
      const float paper = light.light.ptr<float>(cy)[cx];
      for (int y = cy * s; y < std::min(grey.rows, (cy + 1) * s); ++y) {
        const float v = (static_cast<float>(y) + 0.5F) / static_cast<float>(s) - 0.5F;
        const int y0 = std::clamp(static_cast<int>(std::floor(v)), 0, keep.rows - 1);
        const int y1 = std::min(y0 + 1, keep.rows - 1);
        const float ty = std::clamp(v - static_cast<float>(y0), 0.0F, 1.0F);
        uchar* row = grey.ptr<uchar>(y);
        for (int x = cx * s; x < std::min(grey.cols, (cx + 1) * s); ++x) {
          const float u = (static_cast<float>(x) + 0.5F) / static_cast<float>(s) - 0.5F;
          const int x0 = std::clamp(static_cast<int>(std::floor(u)), 0, keep.cols - 1);
          const int x1 = std::min(x0 + 1, keep.cols - 1);
          const float tx = std::clamp(u - static_cast<float>(x0), 0.0F, 1.0F);
          const float top = keep.ptr<float>(y0)[x0] * (1.0F - tx) + keep.ptr<float>(y0)[x1] * tx;
          const float low = keep.ptr<float>(y1)[x0] * (1.0F - tx) + keep.ptr<float>(y1)[x1] * tx;
          const float share = top * (1.0F - ty) + low * ty;
          const float value = paper + share * (static_cast<float>(row[x]) - paper);
          row[x] = cv::saturate_cast<uchar>(value);
        }
      }
    }
  }
}

}  // namespace

std::optional<Page> lift_colour(const Page& page, const PaperLight& light, const Ruling& ruling) {
  if (page.tint.empty()) return {};
  const cv::Mat tint = coarse_tint(page, light);
  if (!has_colour(tint)) return {};
  const double px_per_mm = page.dpi() / 25.4 / light.shrink;
  std::array<cv::Mat, 3> planes;
  std::array<cv::Mat, 3> per_light;
  for (int c = 0; c < 3; ++c) {
    const auto i = static_cast<std::size_t>(c);
    cv::extractChannel(tint, planes[i], c);
    cv::divide(1.0, plane_light(planes[i], px_per_mm), per_light[i]);
  }
  cv::Mat dark;  // of the page's grey, less what is wider than a line
  cv::divide(light.grey, light.light, dark, -1.0, CV_32F);
  dark += cv::Scalar(1.0);
  cv::Mat soft;
  const int reach = 2 * static_cast<int>(std::lround(0.5 * kSoftMm * px_per_mm)) + 1;
  cv::blur(dark, soft, {reach, reach});
  dark -= soft;
  const cv::Mat printed = printed_mask(ruling, light, px_per_mm);

  struct Coloured {
    int x, y;
    Taken taken;
  };
  std::vector<Coloured> found;
  std::vector<std::array<double, 50>> seen(kHues);
  double inked = 0.0;  // in lines, off the print
  for (int y = 0; y < tint.rows; ++y) {
    for (int x = 0; x < tint.cols; ++x) {
      std::array<float, 3> a{};
      for (std::size_t c = 0; c < 3; ++c) {
        a[c] =
            1.0F - static_cast<float>(planes[c].ptr<uchar>(y)[x]) * per_light[c].ptr<float>(y)[x];
      }
      const float line = dark.ptr<float>(y)[x];
      if (line > kLeastTaken && printed.ptr<uchar>(y)[x] == 0) inked += static_cast<double>(line);
      const float most = std::max(std::max(a[0], a[1]), a[2]);
      if (most - std::min(std::min(a[0], a[1]), a[2]) < kLeastColour) continue;
      const Taken t = taken_of(a);
      if (t.colour() < kLeastColour || t.saturation() < kNeutral) continue;
      found.push_back({x, y, t});
      if (t.colour() < 2.0F * kLeastColour || t.saturation() < kColoured) continue;
      const auto bin = std::min<std::size_t>(49, static_cast<std::size_t>(50.0F * t.saturation()));
      seen[t.hue][bin] += static_cast<double>(t.colour());
    }
  }
  const std::array<float, kHues> pure = ink_saturations(seen);

  cv::Mat keep(tint.size(), CV_32F, cv::Scalar(1.0));
  double coloured = 0.0;
  for (const Coloured& f : found) {
    // A little more is laid to the ink than it takes on average, as it varies.
    const float ink = 1.15F * f.taken.colour() / pure[f.taken.hue];
    const float graphite = std::clamp((f.taken.most - ink) / f.taken.most, 0.0F, 1.0F);
    const float sure = eased((f.taken.saturation() - kNeutral) / (kColoured - kNeutral));
    const float share = 1.0F - sure * (1.0F - eased(graphite / 0.75F));  // that is graphite's
    keep.ptr<float>(f.y)[f.x] = share;
    const float line = dark.ptr<float>(f.y)[f.x];
    if (line > kLeastTaken && printed.ptr<uchar>(f.y)[f.x] == 0) {
      coloured += static_cast<double>((1.0F - share) * line);
    }
  }
  const double neutral = inked - coloured;
  if (neutral <= coloured || coloured < kLeastOfNeutral * neutral) return {};
  Page out = page;
  out.grey = page.grey.clone();
  weaken(out.grey, light, keep);
  return out;
}

}  // namespace underdraw
