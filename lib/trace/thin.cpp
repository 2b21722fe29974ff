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
  const int width = ink.cols;
  const float* radius = out.radius.ptr<float>();
  std::vector<std::vector<int>> buckets;
  const uchar* from = ink.ptr<uchar>();
  for (int at = 0; at < static_cast<int>(ink.total()); ++at) {
    if (!from[at]) continue;
    const auto b = static_cast<std::size_t>(kPerPx * radius[at]);
    if (b >= buckets.size()) buckets.resize(b + 1);
    buckets[b].push_back(at);
  }

  std::array<int, 8> offset{};
  for (std::size_t i = 0; i < 8; ++i) offset[i] = kDy[i] * width + kDx[i];
  uchar* line = out.line.ptr<uchar>();
  const auto removable = [&](int at) {
    unsigned code = 0;
    for (std::size_t i = 0; i < 8; ++i) code |= static_cast<unsigned>(line[at + offset[i]]) << i;
    return kRemovable[code];
  };
  // Pixels that had to stay for their neighbours' sake wait here until a neighbour goes.
  std::vector<uchar> waiting(ink.total(), 0);
  std::vector<int> open;
  std::vector<int> exposed;
  for (const std::vector<int>& bucket : buckets) {
    open.insert(open.end(), bucket.begin(), bucket.end());
    while (!open.empty()) {
      // One side at a time, and only what lies open on that side before the side is begun: a line
      // two pixels wide loses one of them, not its end.
      std::vector<int> again;
      for (std::size_t side = 0; side < 8; side += 2) {
        exposed.clear();
        for (const int at : open) {
          if (line[at] && !line[at + offset[side]]) exposed.push_back(at);
        }
        for (const int at : exposed) {
          if (!line[at] || !removable(at)) continue;
          line[at] = 0;
          for (const int o : offset) {
            if (waiting[static_cast<std::size_t>(at + o)]) {
              waiting[static_cast<std::size_t>(at + o)] = 0;
              again.push_back(at + o);
            }
          }
        }
      }
      for (const int at : open) {
        if (line[at]) waiting[static_cast<std::size_t>(at)] = 1;
      }
      // What waits from this round on may already be free: look once more at its neighbourhood.
      for (const int at : open) {
        if (line[at] && removable(at)) {
          waiting[static_cast<std::size_t>(at)] = 0;
          again.push_back(at);
        }
      }
      open.clear();
      for (const int at : again) {
        if (line[at]) open.push_back(at);
      }
    }
  }
  return out;
}

}  // namespace underdraw
