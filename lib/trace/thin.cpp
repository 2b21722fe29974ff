#include "trace/thin.h"

#include <algorithm>
#include <array>
#include <vector>

#include <opencv2/imgproc.hpp>

namespace underdraw {
namespace {

// Neighbours in a ring: east, south-east, south… Bit i of a code is set when neighbour i is ink.
constexpr std::array<int, 8> kDx = {1, 1, 0, -1, -1, -1, 0, 1};
constexpr std::array<int, 8> kDy = {0, 1, 1, 1, 0, -1, -1, -1};

// For each code: may the pixel be taken? It may when its ink neighbours are one 8-connected part,
// some 4-neighbour is paper, and there are at least two of them (one neighbour: a line's end).
std::array<bool, 256> removable_codes() {
  std::array<bool, 256> out{};
  for (unsigned code = 0; code < 256; ++code) {
    const auto ink = [&](unsigned i) { return (code >> (i % 8U)) & 1U; };
    // 8-connectivity number (Yokoi): parts of ink around the pixel, corners joined by 4-neighbours.
    int parts = 0;
    for (unsigned i = 0; i < 8; i += 2) {
      const bool a = !ink(i);
      const bool b = !ink(i + 1);
      const bool c = !ink(i + 2);
      parts += static_cast<int>(a) - static_cast<int>(a && b && c);
    }
    int neighbours = 0;
    for (unsigned i = 0; i < 8; ++i) neighbours += static_cast<int>(ink(i));
    out[code] = parts == 1 && neighbours >= 2;
  }
  return out;
}

}  // namespace

Thinned thin(const cv::Mat& ink) {
  static const std::array<bool, 256> kRemovable = removable_codes();
  Thinned out;
  out.line = ink.clone();
  cv::distanceTransform(ink, out.radius, cv::DIST_L2, cv::DIST_MASK_PRECISE);

  // Buckets of an eighth of a pixel, thinnest ink first.
  constexpr float kPerPx = 8.0F;
  std::vector<std::vector<int>> buckets;
  const int width = ink.cols;
  const auto bucket_of = [&](int at) {
    return static_cast<std::size_t>(kPerPx * out.radius.ptr<float>()[at]);
  };
  const auto push = [&](int at, std::size_t least) {
    const std::size_t b = std::max(bucket_of(at), least);
    if (b >= buckets.size()) buckets.resize(b + 1);
    buckets[b].push_back(at);
  };
  const uchar* from = ink.ptr<uchar>();
  for (int at = 0; at < static_cast<int>(ink.total()); ++at) {
    if (from[at]) push(at, 0);
  }

  std::array<int, 8> offset{};
  for (std::size_t i = 0; i < 8; ++i) offset[i] = kDy[i] * width + kDx[i];
  uchar* line = out.line.ptr<uchar>();
  for (std::size_t b = 0; b < buckets.size(); ++b) {
    for (std::size_t k = 0; k < buckets[b].size(); ++k) {
      const int at = buckets[b][k];
      if (!line[at]) continue;
      unsigned code = 0;
      for (std::size_t i = 0; i < 8; ++i) {
        code |= static_cast<unsigned>(line[at + offset[i]]) << i;
      }
      if (!kRemovable[code]) continue;
      line[at] = 0;
      // A neighbour that had to stay may now go.
      for (std::size_t i = 0; i < 8; ++i) {
        const int next = at + offset[i];
        if (line[next] && bucket_of(next) <= b) push(next, b);
      }
    }
  }
  return out;
}

}  // namespace underdraw
