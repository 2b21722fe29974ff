#include "recover/see_face.h"

#include <algorithm>
#include <array>
#include <cmath>
#include <optional>

#include <opencv2/imgproc.hpp>

#include "core/error.h"

namespace underdraw {
namespace {

constexpr double kNearMm = 2.0;    // behind the nearest face by less is still that face
constexpr double kSteepCos = 0.1;  // seen flatter than this, a line is no help

struct Corner {
  Vec2 px;
  double depth = 0.0;
  FacePoint face;
};

double side(Vec2 a, Vec2 b, Vec2 p) { return cross(b - a, p - a); }

// Every pixel whose middle lies in the triangle, where it is the nearest. What is turned away is
// the inside of a vessel, seen through its mouth, and goes to `inside`: it hides what lies behind
// it. `front`: sign of the area of those that are not.
void draw_triangle(const std::array<Corner, 3>& t, double front, FaceView& view, cv::Mat& inside) {
  const double area = side(t[0].px, t[1].px, t[2].px);
  if (std::abs(area) < 1e-9) return;
  const bool away = area * front < 0.0;
  Box box;
  for (const Corner& c : t) box.add(c.px);
  const int left = std::max(0, static_cast<int>(std::ceil(box.min.x - 0.5)));
  const int right = std::min(view.depth.cols - 1, static_cast<int>(std::floor(box.max.x - 0.5)));
  const int top = std::max(0, static_cast<int>(std::ceil(box.min.y - 0.5)));
  const int bottom = std::min(view.depth.rows - 1, static_cast<int>(std::floor(box.max.y - 0.5)));
  for (int y = top; y <= bottom; ++y) {
    for (int x = left; x <= right; ++x) {
      const Vec2 p{x + 0.5, y + 0.5};
      const double u = side(t[1].px, t[2].px, p) / area;
      const double v = side(t[2].px, t[0].px, p) / area;
      const double w = 1.0 - u - v;
      if (u < 0.0 || v < 0.0 || w < 0.0) continue;
      const auto depth = static_cast<float>(u * t[0].depth + v * t[1].depth + w * t[2].depth);
      float& nearest = (away ? inside : view.depth).at<float>(y, x);
      if (nearest > 0.0f && nearest <= depth) continue;
      nearest = depth;
      if (away) continue;
      view.across.at<float>(y, x) =
          static_cast<float>(u * t[0].face.across + v * t[1].face.across + w * t[2].face.across);
      view.along.at<float>(y, x) =
          static_cast<float>(u * t[0].face.along + v * t[1].face.along + w * t[2].face.along);
    }
  }
}

std::optional<Corner> corner_at(const StandingFace& face,
                                const Camera& camera,
                                const CameraPose& pose,
                                FacePoint point,
                                double scale) {
  const Vec3 mat = face.mat_from_face(point);
  const std::optional<Vec2> px = px_from_mat(camera, pose, mat);
  if (!px) return std::nullopt;
  return Corner{*px * scale, pose.to_camera(mat).z, point};
}

// Cosine of the angle between the line of sight and the face's normal, from the face itself.
double facing(const StandingFace& face, const CameraPose& pose, FacePoint p) {
  const Surface& surface = *face.surface;
  const double along = std::clamp(p.along, 0.1, surface.along_mm() - 0.1);
  const double da = 0.2 / std::max(1e-6, surface.mm_per_across(along));
  const Vec3 right =
      face.mat_from_face({p.across + da, along}) - face.mat_from_face({p.across - da, along});
  const Vec3 up =
      (face.mat_from_face({p.across, along + 0.1}) - face.mat_from_face({p.across, along - 0.1})) *
      surface.up_per_along();
  return dot(normalized(cross(right, up)), normalized(pose.eye() - face.mat_from_face(p)));
}

}  // namespace

void SeeFaceOptions::validate() const {
  require_between(longest_px, 100.0, 8000.0, "longer side of views", "px");
  require_between(step_mm, 0.5, 20.0, "step of the face's net", "mm");
}

bool FaceView::shows(Vec2 px) const {
  const int x = static_cast<int>(std::floor(px.x));
  const int y = static_cast<int>(std::floor(px.y));
  return x >= 0 && y >= 0 && x < depth.cols && y < depth.rows && depth.at<float>(y, x) > 0.0f;
}

FaceView see_face(const StandingFace& face,
                  const Camera& camera,
                  const CameraPose& pose,
                  const SeeFaceOptions& options) {
  options.validate();
  const Surface& surface = *face.surface;
  FaceView view;
  view.px_from_photo = std::min(
      1.0, static_cast<double>(options.longest_px) / std::max(camera.width_px, camera.height_px));
  const cv::Size size(
      std::max(1, static_cast<int>(std::lround(camera.width_px * view.px_from_photo))),
      std::max(1, static_cast<int>(std::lround(camera.height_px * view.px_from_photo))));
  view.depth = cv::Mat::zeros(size, CV_32FC1);
  view.across = cv::Mat::zeros(size, CV_32FC1);
  view.along = cv::Mat::zeros(size, CV_32FC1);
  cv::Mat inside = cv::Mat::zeros(size, CV_32FC1);

  const int columns =
      std::max(3, static_cast<int>(std::ceil(surface.widest_mm() / options.step_mm)));
  const int rows = std::max(1, static_cast<int>(std::ceil(surface.along_mm() / options.step_mm)));
  const double wide = surface.round() ? 360.0 : surface.widest_mm();
  std::vector<std::optional<Corner>> below(static_cast<std::size_t>(columns) + 1);
  for (int r = 0; r <= rows; ++r) {
    std::vector<std::optional<Corner>> row(below.size());
    for (int c = 0; c <= columns; ++c) {
      const FacePoint p{wide * c / columns, surface.along_mm() * r / rows};
      row[static_cast<std::size_t>(c)] = corner_at(face, camera, pose, p, view.px_from_photo);
    }
    for (std::size_t c = 0; r > 0 && c + 1 < row.size(); ++c) {
      const auto& [a, b, d, e] = std::tie(below[c], below[c + 1], row[c], row[c + 1]);
      if (!a || !b || !d || !e) continue;
      // Right, then along: that turns against the clock on paper where along runs up.
      draw_triangle({*a, *b, *e}, -surface.up_per_along(), view, inside);
      draw_triangle({*a, *e, *d}, -surface.up_per_along(), view, inside);
    }
    below = std::move(row);
  }
  const cv::Mat hidden = (inside > 0.0f) & (inside + kNearMm < view.depth);
  for (cv::Mat* layer : {&view.depth, &view.across, &view.along}) layer->setTo(0.0f, hidden);
  return view;
}

std::vector<PhotoLine> lines_in_view(const StandingFace& face,
                                     const FaceView& view,
                                     const Camera& camera,
                                     const CameraPose& pose,
                                     const std::vector<RecoveredStroke>& strokes,
                                     const std::vector<std::vector<bool>>& covered) {
  std::vector<PhotoLine> out;
  for (std::size_t i = 0; i < strokes.size(); ++i) {
    const RecoveredStroke& stroke = strokes[i];
    if (!stroke.photo.empty()) continue;
    const auto is_covered = [&](std::size_t k) {
      return covered.empty() || covered[i].empty() || covered[i][k];
    };
    PhotoLine run;
    const auto end_run = [&] {
      if (!run.px.empty()) out.push_back(run);
      run.px.clear();
    };
    for (std::size_t k = 0; k < stroke.points.size(); ++k) {
      const FacePoint p{stroke.points[k].x, stroke.points[k].y};
      const auto corner = corner_at(face, camera, pose, p, view.px_from_photo);
      const bool shows =
          corner && view.shows(corner->px) && facing(face, pose, p) > kSteepCos &&
          corner->depth < static_cast<double>(view.depth.at<float>(
                              static_cast<int>(corner->px.y), static_cast<int>(corner->px.x))) +
                              kNearMm;
      if (!shows) {
        end_run();
        continue;
      }
      const Vec2 px = corner->px / view.px_from_photo;
      if (!run.px.empty() && run.covered != is_covered(k)) {
        run.px.push_back(px);
        end_run();
      }
      run.placement = stroke.placement;
      run.covered = is_covered(k);
      run.px.push_back(px);
    }
    end_run();
  }
  return out;
}

cv::Mat seen_as(const FaceView& view, const Unrolled& face, const cv::Mat& photo) {
  cv::Mat map_x(view.depth.size(), CV_32FC1);
  cv::Mat map_y(view.depth.size(), CV_32FC1);
  for (int y = 0; y < view.depth.rows; ++y) {
    for (int x = 0; x < view.depth.cols; ++x) {
      const bool there = view.depth.at<float>(y, x) > 0.0f;
      const Vec2 px =
          there ? face.px_from_face({view.across.at<float>(y, x), view.along.at<float>(y, x)})
                : Vec2{-10.0, -10.0};
      map_x.at<float>(y, x) = static_cast<float>(px.x - 0.5);  // OpenCV counts from pixel middles
      map_y.at<float>(y, x) = static_cast<float>(px.y - 0.5);
    }
  }
  cv::Mat colour;
  cv::Mat trust;
  const int border = face.round ? cv::BORDER_WRAP : cv::BORDER_CONSTANT;
  cv::remap(face.colour, colour, map_x, map_y, cv::INTER_LINEAR, border);
  cv::remap(face.trust, trust, map_x, map_y, cv::INTER_LINEAR, border);
  cv::Mat out = photo.clone();
  for (int y = 0; y < out.rows; ++y) {
    for (int x = 0; x < out.cols; ++x) {
      if (view.depth.at<float>(y, x) <= 0.0f || trust.at<float>(y, x) <= 0.0f) continue;
      out.at<cv::Vec3b>(y, x) = colour.at<cv::Vec3b>(y, x);
    }
  }
  return out;
}

}  // namespace underdraw
