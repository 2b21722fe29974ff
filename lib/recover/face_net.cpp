#include "recover/face_net.h"

#include <algorithm>
#include <array>
#include <cmath>

#include <opencv2/imgproc.hpp>

#include "core/parallel.h"

namespace underdraw {
namespace {

constexpr double kNetMm = 2.0;
constexpr double kHiddenMm = 2.0;  // behind what the photo shows there by more is hidden
constexpr double kLeastFacing = 0.12;
constexpr double kBorderShare = 0.01;  // of the photo's longer side

// Nearest surface in view at a photo px, the farthest of the pixels around: a net's node on the
// outline belongs to the face.
double depth_near(const FaceView& view, Vec2 px) {
  const int x = static_cast<int>(std::floor(px.x * view.px_from_photo));
  const int y = static_cast<int>(std::floor(px.y * view.px_from_photo));
  float depth = 0.0f;
  for (int v = std::max(0, y - 1); v <= std::min(view.depth.rows - 1, y + 1); ++v) {
    for (int u = std::max(0, x - 1); u <= std::min(view.depth.cols - 1, x + 1); ++u) {
      depth = std::max(depth, view.depth.at<float>(v, u));
    }
  }
  return static_cast<double>(depth);
}

// First column and number of columns of nodes that hold all seen ones.
struct Span {
  int first = 0, count = 0;
};

Span seen_span(const FaceNet& net, bool round) {
  const int blocks = net.columns - 1;
  std::vector<char> seen(static_cast<std::size_t>(blocks), 0);
  for (int r = 0; r < net.rows; ++r) {
    for (int c = 0; c < net.columns; ++c) {
      if (net.at(c, r).facing <= 0.0f) continue;
      if (c < blocks) seen[static_cast<std::size_t>(c)] = 1;
      if (c > 0) seen[static_cast<std::size_t>(c - 1)] = 1;
    }
  }
  if (std::none_of(seen.begin(), seen.end(), [](char s) { return s; })) return {};
  if (!round) {
    const auto first = std::find(seen.begin(), seen.end(), char{1}) - seen.begin();
    const auto last = seen.rend() - std::find(seen.rbegin(), seen.rend(), char{1});
    return {static_cast<int>(first), static_cast<int>(last - first)};
  }
  // All but the longest run that is not seen.
  int longest = 0, longest_end = 0, run = 0;
  for (int i = 0; i < 2 * blocks; ++i) {
    run = seen[static_cast<std::size_t>(i % blocks)] ? 0 : run + 1;
    if (run > longest) {
      longest = run;
      longest_end = i + 1;
    }
  }
  return {longest == 0 ? 0 : longest_end % blocks, blocks - longest};
}

}  // namespace

FacePoint FaceGrid::face_from_px(Vec2 px) const {
  return {px.x / px_per_across, (round ? rows - px.y : px.y) / px_per_along};
}

FaceGrid face_grid(const Surface& surface, double px_per_mm) {
  const double wide =
      surface.round() ? surface.area_mm2() / surface.along_mm() : surface.widest_mm();
  FaceGrid grid;
  grid.round = surface.round();
  grid.columns = std::max(8, static_cast<int>(std::lround(wide * px_per_mm)));
  grid.rows = std::max(8, static_cast<int>(std::lround(surface.along_mm() * px_per_mm)));
  grid.px_per_across = grid.columns / (grid.round ? 360.0 : wide);
  grid.px_per_along = grid.rows / surface.along_mm();
  return grid;
}

FaceNet face_net(const StandingFace& face, const FaceGrid& grid, const FacePhoto& photo) {
  const FaceView view = see_face(face, photo.camera, photo.pose);
  FaceNet net;
  net.step = std::max(2, static_cast<int>(std::lround(kNetMm * grid.px_per_mm())));
  net.columns = (grid.columns + net.step - 1) / net.step + 1;
  net.rows = (grid.rows + net.step - 1) / net.step + 1;
  net.nodes.resize(static_cast<std::size_t>(net.columns) * static_cast<std::size_t>(net.rows));
  const Surface& surface = *face.surface;
  const Vec3 eye = photo.pose.eye();
  parallel_for(static_cast<std::size_t>(net.rows), [&](std::size_t row) {
    for (int c = 0; c < net.columns; ++c) {
      NetNode& node =
          net.nodes[row * static_cast<std::size_t>(net.columns) + static_cast<std::size_t>(c)];
      const FacePoint p = grid.face_from_px(
          {static_cast<double>(std::min(c * net.step, grid.columns)),
           static_cast<double>(std::min(static_cast<int>(row) * net.step, grid.rows))});
      const Vec3 at = face.mat_from_face(p);
      const auto px = px_from_mat(photo.camera, photo.pose, at);
      if (!px) continue;
      node.px = *px;
      const double depth = photo.pose.to_camera(at).z;
      node.px_per_mm = static_cast<float>(photo.camera.focal_px / depth);
      if (px->x < 0.0 || px->y < 0.0 || px->x > photo.camera.width_px ||
          px->y > photo.camera.height_px) {
        continue;
      }
      const double along = std::clamp(p.along, 0.2, surface.along_mm() - 0.2);
      const double da = 0.2 / std::max(0.01, surface.mm_per_across(along));
      const Vec3 right =
          face.mat_from_face({p.across + da, along}) - face.mat_from_face({p.across - da, along});
      const Vec3 up = (face.mat_from_face({p.across, along + 0.2}) -
                       face.mat_from_face({p.across, along - 0.2})) *
                      surface.up_per_along();
      const double facing = dot(normalized(cross(right, up)), normalized(eye - at));
      if (facing < kLeastFacing || depth > depth_near(view, *px) + kHiddenMm) continue;
      node.facing = static_cast<float>(facing);
    }
  });
  return net;
}

PhotoPart part_of_photo(const FaceGrid& grid,
                        const FaceNet& net,
                        const cv::Mat& picture,
                        double shrink) {
  const Span span = seen_span(net, grid.round);
  PhotoPart part;
  if (span.count == 0) return part;
  const int blocks = net.columns - 1;
  std::vector<int> edges{0};  // columns of the part where its blocks begin
  for (int b = 0; b < span.count; ++b) {
    const int block = (span.first + b) % blocks;
    edges.push_back(edges.back() + std::min((block + 1) * net.step, grid.columns) -
                    block * net.step);
  }
  part.first = span.first * net.step;
  const cv::Size size(edges.back(), grid.rows);
  cv::Mat map_x(size, CV_32FC1), map_y(size, CV_32FC1);
  part.facing = cv::Mat::zeros(size, CV_32FC1);
  part.px_per_mm = cv::Mat::zeros(size, CV_32FC1);
  part.inside = cv::Mat::zeros(size, CV_32FC1);
  const auto width = static_cast<float>(picture.cols);
  const auto height = static_cast<float>(picture.rows);
  const float border = static_cast<float>(kBorderShare) * std::max(width, height);
  parallel_for(static_cast<std::size_t>(grid.rows), [&](std::size_t y_index) {
    const int y = static_cast<int>(y_index);
    const int row = y / net.step;
    const int tall = std::min((row + 1) * net.step, grid.rows) - row * net.step;
    const float v = (static_cast<float>(y - row * net.step) + 0.5f) / static_cast<float>(tall);
    // Px, facing and scale of the net's edge at this row.
    const auto between = [&](int column) {
      const NetNode& a = net.at(column, row);
      const NetNode& b = net.at(column, row + 1);
      const auto mixed = [v](double from, double to) {
        return static_cast<float>(from) + v * static_cast<float>(to - from);
      };
      return std::array<float, 4>{mixed(a.px.x * shrink, b.px.x * shrink),
                                  mixed(a.px.y * shrink, b.px.y * shrink),
                                  a.facing + v * (b.facing - a.facing),
                                  a.px_per_mm + v * (b.px_per_mm - a.px_per_mm)};
    };
    for (int b = 0; b < span.count; ++b) {
      const int block = (span.first + b) % blocks;
      const bool seen = net.at(block, row).facing > 0.0f && net.at(block + 1, row).facing > 0.0f &&
                        net.at(block, row + 1).facing > 0.0f &&
                        net.at(block + 1, row + 1).facing > 0.0f;
      const std::array<float, 4> left = between(block);
      const std::array<float, 4> right = between(block + 1);
      const int from = edges[static_cast<std::size_t>(b)];
      const int to = edges[static_cast<std::size_t>(b) + 1];
      for (int x = from; x < to; ++x) {
        const float u = (static_cast<float>(x - from) + 0.5f) / static_cast<float>(to - from);
        const float px = left[0] + u * (right[0] - left[0]);
        const float py = left[1] + u * (right[1] - left[1]);
        map_x.at<float>(y, x) = seen ? px - 0.5f : -10.0f;  // OpenCV counts from pixel middles
        map_y.at<float>(y, x) = seen ? py - 0.5f : -10.0f;
        if (!seen) continue;
        part.facing.at<float>(y, x) = left[2] + u * (right[2] - left[2]);
        part.px_per_mm.at<float>(y, x) = left[3] + u * (right[3] - left[3]);
        const float off = std::min(std::min(px, width - px), std::min(py, height - py));
        part.inside.at<float>(y, x) = std::clamp(off / border, 0.0f, 1.0f);
      }
    }
  });
  cv::remap(picture, part.colour, map_x, map_y, cv::INTER_CUBIC, cv::BORDER_REPLICATE);
  return part;
}

}  // namespace underdraw
