#include "io/page_planes.h"

#include <algorithm>

#include <opencv2/imgproc.hpp>

namespace underdraw {

PagePlanes::PagePlanes(int width, int height, int tint_shrink, bool colour)
    : shrink_(std::clamp(tint_shrink, 1, 16)),  // 16 x 16 x 255 fits 16 bits
      stride_(shrink_ > 2 ? 2 : 1),
      colour_(colour),
      grey_(height, width, CV_8UC1) {
  if (colour) {
    sums_ =
        cv::Mat::zeros((height + shrink_ - 1) / shrink_, (width + shrink_ - 1) / shrink_, CV_16UC3);
  }
}

std::span<std::uint8_t> PagePlanes::grey_row(int y) {
  return {grey_.ptr<std::uint8_t>(y), static_cast<std::size_t>(grey_.cols)};
}

void PagePlanes::add_row(int y, std::span<const std::uint8_t> triples) {
  auto* sum = sums_.ptr<std::uint16_t>(y / shrink_);
  const std::uint8_t* from = triples.data();
  for (int left = grey_.cols; left > 0; left -= shrink_, sum += 3) {
    unsigned a = 0, b = 0, c = 0;
    for (int k = std::min(left, shrink_); k > 0; --k, from += 3) {
      a += from[0];
      b += from[1];
      c += from[2];
    }
    sum[0] = static_cast<std::uint16_t>(sum[0] + a);
    sum[1] = static_cast<std::uint16_t>(sum[1] + b);
    sum[2] = static_cast<std::uint16_t>(sum[2] + c);
  }
}

std::span<const std::uint8_t> PagePlanes::rgb_of(std::span<const std::uint8_t> samples,
                                                 const RowLayout& layout,
                                                 std::size_t count) {
  if (layout.colour == RowColour::rgb && layout.channels == 3) return samples;
  rgb_.resize(3 * count);
  fill_rgb_row(samples, layout, rgb_);
  return rgb_;
}

void PagePlanes::put_row(int y, std::span<const std::uint8_t> samples, const RowLayout& layout) {
  fill_grey_row(samples, layout, grey_row(y));
  if (in_tint(y)) add_row(y, rgb_of(samples, layout, static_cast<std::size_t>(grey_.cols)));
}

void PagePlanes::put_ycc_row(int y, std::span<const std::uint8_t> samples) {
  ycc_ = true;
  const std::uint8_t* from = samples.data();
  for (std::uint8_t& grey : grey_row(y)) {
    grey = *from;
    from += 3;
  }
  if (in_tint(y)) add_row(y, samples);
}

void PagePlanes::put_part(
    int y, int x, int step, std::span<const std::uint8_t> samples, const RowLayout& layout) {
  const auto count = static_cast<std::size_t>((grey_.cols - x + step - 1) / step);
  values_.resize(count);
  fill_grey_row(samples, layout, values_);
  const std::span<std::uint8_t> row = grey_row(y);
  for (std::size_t i = 0; i < count; ++i) {
    row[static_cast<std::size_t>(x) + i * static_cast<std::size_t>(step)] = values_[i];
  }
  if (!in_tint(y)) return;
  const std::span<const std::uint8_t> rgb = rgb_of(samples, layout, count);
  for (std::size_t i = 0; i < count; ++i) {
    auto& sum = sums_.at<cv::Vec3w>(y / shrink_, (x + static_cast<int>(i) * step) / shrink_);
    for (int c = 0; c < 3; ++c) {
      sum[c] = static_cast<std::uint16_t>(sum[c] + rgb[3 * i + static_cast<std::size_t>(c)]);
    }
  }
}

PageImage PagePlanes::finish() {
  PageImage out;
  out.grey = grey_;
  if (!colour_) return out;
  out.tint.create(sums_.size(), CV_8UC3);
  for (int y = 0; y < sums_.rows; ++y) {
    const int rows = std::min(shrink_, grey_.rows - y * shrink_);
    for (int x = 0; x < sums_.cols; ++x) {
      const int columns = std::min(shrink_, grey_.cols - x * shrink_);
      const int count = columns * ((rows + stride_ - 1) / stride_);
      const auto& sum = sums_.at<cv::Vec3w>(y, x);
      auto& mean = out.tint.at<cv::Vec3b>(y, x);
      for (int c = 0; c < 3; ++c) mean[c] = static_cast<std::uint8_t>((sum[c] + count / 2) / count);
      if (ycc_) std::swap(mean[1], mean[2]);  // as OpenCV orders them
    }
  }
  sums_.release();
  if (ycc_) cv::cvtColor(out.tint, out.tint, cv::COLOR_YCrCb2RGB);
  return out;
}

}  // namespace underdraw
