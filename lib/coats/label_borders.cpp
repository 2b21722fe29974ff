#include "coats/label_borders.h"

#include <array>
#include <cstdint>
#include <unordered_map>

namespace underdraw {
namespace {

// Directions right, down, left, up. A border runs with its label on the right-hand side (on paper,
// y down), so that outer borders run from +x towards +y.
constexpr std::array<int, 4> kDx = {1, 0, -1, 0};
constexpr std::array<int, 4> kDy = {0, 1, 0, -1};

class Borders {
 public:
  Borders(const std::vector<int>& labels, int width)
      : labels_(labels),
        width_(width),
        height_(static_cast<int>(labels.size()) / width),
        seen_(labels.size(), 0) {}

  std::vector<LabelBorder> all() {
    for (int y = 0; y < height_; ++y) {
      for (int x = 0; x < width_; ++x) {
        LabelBorder& border = border_of(label(x, y));
        border.cells += 1.0;
        for (int side = 0; side < 4; ++side) {
          if (!seen(x, y, side) && label_beyond(x, y, side) != border.label) {
            border.rings.push_back(follow(x, y, side));
          }
        }
      }
    }
    return std::move(out_);
  }

 private:
  // Sides of a cell: 0 its upper edge, walked right, 1 its right edge, down, 2 lower, 3 left.
  static int beyond_x(int side) { return kDx[static_cast<std::size_t>((side + 3) % 4)]; }
  static int beyond_y(int side) { return kDy[static_cast<std::size_t>((side + 3) % 4)]; }

  int label(int x, int y) const {
    if (x < 0 || y < 0 || x >= width_ || y >= height_) return kNone;
    return labels_[index(x, y)];
  }
  int label_beyond(int x, int y, int side) const {
    return label(x + beyond_x(side), y + beyond_y(side));
  }
  std::size_t index(int x, int y) const {
    return static_cast<std::size_t>(y) * static_cast<std::size_t>(width_) +
           static_cast<std::size_t>(x);
  }
  bool seen(int x, int y, int side) const { return (seen_[index(x, y)] >> side) & 1; }

  LabelBorder& border_of(int label) {
    const auto [at, is_new] = places_.emplace(label, out_.size());
    if (is_new) out_.push_back({label, 0.0, {}});
    return out_[at->second];
  }

  static Vec2 start_of(int x, int y, int side) {
    switch (side) {
      case 0:
        return {static_cast<double>(x), static_cast<double>(y)};
      case 1:
        return {x + 1.0, static_cast<double>(y)};
      case 2:
        return {x + 1.0, y + 1.0};
      default:
        return {static_cast<double>(x), y + 1.0};
    }
  }

  Ring follow(int x, int y, int side) {
    Ring ring;
    const int own = label(x, y);
    while (!seen(x, y, side)) {
      seen_[index(x, y)] = static_cast<std::uint8_t>(seen_[index(x, y)] | (1 << side));
      ring.push_back(start_of(x, y, side));
      // On along the side: round the own cell's corner, straight on, or into the bay.
      const int ahead_x = x + kDx[static_cast<std::size_t>(side)];
      const int ahead_y = y + kDy[static_cast<std::size_t>(side)];
      if (label(ahead_x, ahead_y) != own) {
        side = (side + 1) % 4;
      } else if (label(ahead_x + beyond_x(side), ahead_y + beyond_y(side)) != own) {
        x = ahead_x;
        y = ahead_y;
      } else {
        x = ahead_x + beyond_x(side);
        y = ahead_y + beyond_y(side);
        side = (side + 3) % 4;
      }
    }
    return ring;
  }

  static constexpr int kNone = -1;

  const std::vector<int>& labels_;
  int width_, height_;
  std::vector<std::uint8_t> seen_;  // a bit a side
  std::unordered_map<int, std::size_t> places_;
  std::vector<LabelBorder> out_;
};

}  // namespace

std::vector<LabelBorder> label_borders(const std::vector<int>& labels, int width) {
  return Borders(labels, width).all();
}

}  // namespace underdraw
