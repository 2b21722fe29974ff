#include "photo/camera_pose.h"

#include <algorithm>
#include <cmath>
#include <map>

#include <ceres/ceres.h>
#include <fmt/format.h>
#include <opencv2/calib3d.hpp>

#include "core/error.h"
#include "photo/pose_terms.h"
#include "photo/refuse_photo.h"

namespace underdraw {
namespace {

constexpr double kUsualFocal = 0.78;   // of the longer side: phones' main cameras, common practice
constexpr double kUsualFocalSd = 0.3;  // relative, when nothing is stated
constexpr double kLeastSd = 0.03;      // px: what the printer's edges and lens leave beside noise
constexpr double kMostRms = 3.0;       // px: above this it was not this mat
constexpr double kOutlier = 4.0;
constexpr double kOtherFocal = 0.06;  // relative: more than whole mm of EXIF leave open

struct Corner {
  Vec2 mat, px;
  double sd_px;
  bool used = true;
};

double median_of(std::vector<double> values) {
  const auto middle = values.begin() + static_cast<std::ptrdiff_t>(values.size() / 2);
  std::nth_element(values.begin(), middle, values.end());
  return *middle;
}

struct View {
  const PosePhoto* photo;
  Frame frame;
  std::vector<Corner> corners;
  double scatter = 1.0;  // of its corners, over what each says of itself
  std::array<double, own_count> own{};
};

// Sets the view's turn and shift for a focal length; returns the squared misses, px².
double start_pose(View& view, double focal_px) {
  std::vector<cv::Point3d> from;
  std::vector<cv::Point2d> to;
  for (const Corner& corner : view.corners) {
    from.emplace_back(corner.mat.x, corner.mat.y, 0.0);
    to.emplace_back(corner.px.x, corner.px.y);
  }
  const cv::Matx33d k(focal_px, 0, view.frame.middle.x, 0, focal_px, view.frame.middle.y, 0, 0, 1);
  cv::Mat turn, shift;
  if (!cv::solvePnP(from, to, k, cv::noArray(), turn, shift, false, cv::SOLVEPNP_IPPE)) return 1e30;
  std::vector<cv::Point2d> seen;
  cv::projectPoints(from, turn, shift, k, cv::noArray(), seen);
  double sum = 0.0;
  for (std::size_t i = 0; i < seen.size(); ++i) {
    const cv::Point2d d = seen[i] - to[i];
    sum += d.dot(d);
  }
  for (int i = 0; i < 3; ++i) {
    view.own[static_cast<std::size_t>(turn_x + i)] = turn.at<double>(i);
    view.own[static_cast<std::size_t>(shift_x + i)] = shift.at<double>(i) / kShiftUnit;
  }
  return sum;
}

class Bundle {
 public:
  Bundle(const std::vector<PosePhoto>& photos, const CameraPoseOptions& options)
      : options_(options) {
    const FoundMarks& first = photos.front().marks;
    double stated = 0.0;
    std::size_t stating = 0;
    for (const PosePhoto& photo : photos) {
      if (!photo.exif_focal_px) continue;
      stated += *photo.exif_focal_px;
      ++stating;
    }
    longer_ = std::max(first.width_px, first.height_px);
    focal_ = stating > 0 ? stated / static_cast<double>(stating) : kUsualFocal * longer_;
    focal_stated_ = stating > 0;
    const Vec2 scale = mat_scale_of_bars();
    for (const PosePhoto& photo : photos) {
      const FoundMarks& marks = photo.marks;
      View view;
      view.photo = &photo;
      view.frame = {focal_,
                    longer_,
                    {marks.width_px / 2.0, marks.height_px / 2.0},
                    marks.width_px != first.width_px};
      for (const FoundCorner& corner : marks.corners) {
        view.corners.push_back({{corner.mat.x * scale.x, corner.mat.y * scale.y},
                                corner.px,
                                std::hypot(corner.sd_px, kLeastSd)});
      }
      views_.push_back(std::move(view));
    }
  }

  CameraPoses solved() {
    find_start();
    solve(true);
    for (int i = 0; i < 2; ++i) {
      leave_out();
      solve(false);
    }
    return result();
  }

 private:
  Vec2 mat_scale_of_bars() const {
    if (!options_.bars) return {1.0, 1.0};
    return {options_.bars->across_mm / 100.0, options_.bars->down_mm / 100.0};
  }

  void find_start() {
    std::vector<double> tries{focal_};
    if (!focal_stated_)
      tries = {0.55 * longer_,
               0.7 * longer_,
               0.85 * longer_,
               1.1 * longer_,
               1.5 * longer_,
               2.2 * longer_,
               3.5 * longer_};
    double best = 1e300;
    double best_focal = focal_;
    for (const double focal : tries) {
      double sum = 0.0;
      for (View& view : views_) sum += start_pose(view, focal);
      if (sum < best) {
        best = sum;
        best_focal = focal;
      }
    }
    shared_.fill(0.0);
    for (View& view : views_) start_pose(view, best_focal);
    shared_[log_focal] = std::log(best_focal / focal_);
  }

  void solve(bool robust) {
    ceres::Problem problem;
    build(problem, robust);
    ceres::Solver::Options how;
    how.linear_solver_type = ceres::DENSE_SCHUR;
    how.max_num_iterations = 100;
    how.function_tolerance = 1e-12;
    how.parameter_tolerance = 1e-12;
    how.logging_type = ceres::SILENT;
    auto ordering = std::make_shared<ceres::ParameterBlockOrdering>();
    for (View& view : views_) ordering->AddElementToGroup(view.own.data(), 0);
    ordering->AddElementToGroup(shared_.data(), 1);
    how.linear_solver_ordering = ordering;
    ceres::Solver::Summary summary;
    ceres::Solve(how, &problem, &summary);
    if (!summary.IsSolutionUsable()) {
      refuse_photo(views_.front().photo->marks.photo,
                   "shows the mat so that no camera position fits it",
                   "photos of a flat mat",
                   "take the photos again, the mat flat on the table");
    }
  }

  void build(ceres::Problem& problem, bool robust) {
    for (View& view : views_) {
      for (const Corner& corner : view.corners) {
        if (!corner.used) continue;
        problem.AddResidualBlock(
            new ceres::AutoDiffCostFunction<CornerMiss, 2, shared_count, own_count>(new CornerMiss{
                view.frame, corner.mat, corner.px, 1.0 / (corner.sd_px * view.scatter)}),
            robust ? new ceres::CauchyLoss(3.0) : nullptr,
            shared_.data(),
            view.own.data());
      }
      // One photo alone cannot tell its own change from the camera's.
      const double own = 1.0 / (views_.size() > 1 ? options_.per_photo_sd : 1e-7);
      Held<own_count> held{};
      const double centre = view.frame.turned ? 1.0 / options_.centre_sd : own;
      held.weights = {0, 0, 0, 0, 0, 0, own, centre, centre};
      problem.AddResidualBlock(
          new ceres::AutoDiffCostFunction<Held<own_count>, own_count, own_count>(
              new Held<own_count>(held)),
          nullptr,
          view.own.data());
    }
    Held<shared_count> held{};
    held.weights = {1.0 / (focal_stated_ ? options_.focal_sd : kUsualFocalSd),
                    1.0 / options_.centre_sd,
                    1.0 / options_.centre_sd,
                    1.0 / options_.bend_sd,
                    1.0 / options_.bend_sd,
                    1.0 / options_.stretch_sd};
    problem.AddResidualBlock(
        new ceres::AutoDiffCostFunction<Held<shared_count>, shared_count, shared_count>(
            new Held<shared_count>(held)),
        nullptr,
        shared_.data());
  }

  Vec2 miss(const View& view, const Corner& corner) const {
    const double half = 0.5 * shared_[stretch];
    const double at[3] = {corner.mat.x * std::exp(half), corner.mat.y * std::exp(-half), 0.0};
    double seen[2];
    project(view.frame, shared_.data(), view.own.data(), at, seen);
    return Vec2{seen[0], seen[1]} - corner.px;
  }

  // How much larger the misses of a photo are than its corners' own uncertainty says, from their
  // median, and which corners are far beyond that.
  void leave_out() {
    for (View& view : views_) {
      std::vector<double> misses;
      for (const Corner& c : view.corners) misses.push_back(length(miss(view, c)) / c.sd_px);
      // The median of a length whose two coordinates have standard deviation 1: sqrt(2 ln 2).
      view.scatter = std::max(0.5, median_of(misses) / std::sqrt(2.0 * std::numbers::ln2));
    }
    for (View& view : views_) {
      std::size_t kept = 0;
      for (Corner& c : view.corners) {
        c.used = length(miss(view, c)) <= kOutlier * view.scatter * c.sd_px;
        kept += c.used ? 1U : 0U;
      }
      if (kept < 6) {
        refuse_photo(
            view.photo->marks.photo,
            fmt::format("shows {} corners of the mat where one camera could see them, of {} found",
                        kept,
                        view.corners.size()),
            "6 or more",
            "take it again, the mat flat and whole, with the same camera and zoom as the others");
      }
    }
  }

  // The camera and pose of a view from its unknowns.
  Camera camera_of(const View& view, const double* shared, const double* own) const {
    const FoundMarks& marks = view.photo->marks;
    Camera camera;
    camera.width_px = marks.width_px;
    camera.height_px = marks.height_px;
    camera.focal_px = focal_ * std::exp(shared[log_focal] + own[own_focal]);
    const double along = view.frame.turned ? 0.0 : shared[centre_x];
    const double down = view.frame.turned ? 0.0 : shared[centre_y];
    camera.centre_px =
        view.frame.middle + Vec2{along + own[own_x], down + own[own_y]} * view.frame.longer_px;
    camera.k1 = shared[bend_1];
    camera.k2 = shared[bend_2];
    return camera;
  }

  CameraPoses result() {
    CameraPoses all;
    const std::array<double, own_count> plain{};
    all.camera = camera_of(views_.front(), shared_.data(), plain.data());
    const Vec2 bars = mat_scale_of_bars();
    all.mat_scale = {bars.x * std::exp(0.5 * shared_[stretch]),
                     bars.y * std::exp(-0.5 * shared_[stretch])};

    ceres::Problem problem;
    build(problem, false);
    ceres::Covariance::Options how;
    how.algorithm_type = ceres::DENSE_SVD;
    how.null_space_rank = -1;
    ceres::Covariance covariance(how);
    std::vector<std::pair<const double*, const double*>> blocks{{shared_.data(), shared_.data()}};
    for (const View& view : views_) {
      blocks.emplace_back(view.own.data(), view.own.data());
      blocks.emplace_back(shared_.data(), view.own.data());
    }
    const bool known = covariance.Compute(blocks, &problem);
    Eigen::Matrix<double, shared_count, shared_count, Eigen::RowMajor> shared_cov;
    shared_cov.setZero();
    if (known) {
      covariance.GetCovarianceBlock(shared_.data(), shared_.data(), shared_cov.data());
    } else {
      all.warnings.push_back("how sure the camera's position is could not be told");
    }
    const auto sd = [&](int i) { return std::sqrt(std::max(0.0, shared_cov(i, i))); };
    all.focal_sd_px = sd(log_focal) * all.camera.focal_px;
    all.centre_sd_px = longer_ * std::hypot(sd(centre_x), sd(centre_y)) / std::numbers::sqrt2;
    all.k1_sd = sd(bend_1);
    all.k2_sd = sd(bend_2);
    all.stretch_sd = sd(stretch);
    for (View& view : views_) all.photos.push_back(posed(view, covariance, known, shared_cov));
    for (const PosedPhoto& photo : all.photos) {
      if (photo.rms_px > kMostRms) {
        refuse_photo(
            photo.photo,
            fmt::format("shows the mat's corners {:.1f} px from where one camera could see them",
                        photo.rms_px),
            fmt::format("{:g} px or less", kMostRms),
            "lay the mat flat, and give photos of one camera and zoom together");
      }
      if (photo.left_out * 4 > photo.corners) {
        all.warnings.push_back(
            fmt::format("{}: {} of {} corners of the mat were left out; is it flat and clean?",
                        photo.photo,
                        photo.left_out,
                        photo.corners + photo.left_out));
      }
    }
    if (focal_stated_ && std::abs(shared_[log_focal]) > 3.5 * options_.focal_sd) {
      all.warnings.push_back(
          fmt::format("the photos show a focal length of {:.0f} px, their files state {:.0f} px",
                      all.camera.focal_px,
                      focal_));
    }
    return all;
  }

  PosedPhoto posed(
      View& view,
      const ceres::Covariance& covariance,
      bool known,
      const Eigen::Matrix<double, shared_count, shared_count, Eigen::RowMajor>& shared_cov) const {
    PosedPhoto out;
    out.photo = view.photo->marks.photo;
    out.camera = camera_of(view, shared_.data(), view.own.data());
    const auto& own = view.own;
    out.pose = CameraPose::from_turn_vector(
        {own[0], own[1], own[2]}, {own[3] * kShiftUnit, own[4] * kShiftUnit, own[5] * kShiftUnit});
    double sum = 0.0;
    for (const Corner& corner : view.corners) {
      if (!corner.used) {
        ++out.left_out;
        continue;
      }
      ++out.corners;
      const Vec2 d = miss(view, corner);
      sum += dot(d, d);
    }
    out.rms_px = std::sqrt(sum / static_cast<double>(2 * out.corners));
    if (!known) return out;

    constexpr int kAll = shared_count + static_cast<int>(own_count);
    Eigen::Matrix<double, own_count, own_count, Eigen::RowMajor> own_cov;
    Eigen::Matrix<double, shared_count, own_count, Eigen::RowMajor> mixed;
    covariance.GetCovarianceBlock(own.data(), own.data(), own_cov.data());
    covariance.GetCovarianceBlock(shared_.data(), own.data(), mixed.data());
    Eigen::Matrix<double, kAll, kAll> joint;
    joint << shared_cov, mixed, mixed.transpose(), own_cov;
    for (int r = 0; r < 6; ++r) {
      for (int c = 0; c < 6; ++c) {
        out.covariance[static_cast<std::size_t>(6 * r + c)] =
            own_cov(r, c) * (r >= 3 ? kShiftUnit : 1.0) * (c >= 3 ? kShiftUnit : 1.0);
      }
    }
    // A line of sight to the piece: how its pixel changes with every unknown.
    const double at[3] = {options_.piece_at.x, options_.piece_at.y, options_.piece_at.z};
    Eigen::Matrix<double, 2, kAll> slopes;
    for (int i = 0; i < kAll; ++i) {
      std::array<double, 2> plus{}, minus{};
      for (const double by : {1e-6, -1e-6}) {
        auto shared = shared_;
        auto mine = own;
        (i < shared_count ? shared[static_cast<std::size_t>(i)]
                          : mine[static_cast<std::size_t>(i - shared_count)]) += by;
        project(view.frame, shared.data(), mine.data(), at, (by > 0 ? plus : minus).data());
      }
      slopes(0, i) = (plus[0] - minus[0]) / 2e-6;
      slopes(1, i) = (plus[1] - minus[1]) / 2e-6;
    }
    const Eigen::Matrix2d px_cov = slopes * joint * slopes.transpose();
    const double depth = out.pose.to_camera(options_.piece_at).z;
    out.piece_sd_mm = std::sqrt(std::max(0.0, px_cov.trace())) * depth / out.camera.focal_px;
    return out;
  }

  CameraPoseOptions options_;
  double focal_ = 0.0;
  double longer_ = 0.0;
  bool focal_stated_ = false;
  std::array<double, shared_count> shared_{};
  std::vector<View> views_;
};

}  // namespace

double focal_px_from_35mm(double equivalent_mm, int width_px, int height_px) {
  return equivalent_mm * std::hypot(width_px, height_px) / std::hypot(36.0, 24.0);
}

void CameraPoseOptions::validate() const {
  require_between(focal_sd, 0.0001, 0.2, "focal length's uncertainty", "");
  require_between(centre_sd, 0.0001, 0.2, "centre's uncertainty", "");
  require_between(bend_sd, 0.001, 1.0, "bending's uncertainty", "");
  require_between(per_photo_sd, 1e-7, 0.1, "change from photo to photo", "");
  require_between(stretch_sd, 1e-7, 0.05, "paper's stretch", "");
  if (bars) {
    require_between(bars->across_mm, 90.0, 110.0, "bar across", "mm");
    require_between(bars->down_mm, 90.0, 110.0, "bar down", "mm");
  }
}

CameraPoses camera_poses(const std::vector<PosePhoto>& photos, const CameraPoseOptions& options) {
  options.validate();
  if (photos.empty()) {
    refuse_photo(
        "", "there are no photos of the mat", "one or more", "photograph the piece on its mat");
  }
  const FoundMarks& first = photos.front().marks;
  std::optional<double> stated_px;
  for (const PosePhoto& photo : photos) {
    const FoundMarks& marks = photo.marks;
    if (photo.exif_focal_px && !stated_px) stated_px = photo.exif_focal_px;
    if (photo.exif_focal_px && std::abs(*photo.exif_focal_px / *stated_px - 1.0) > kOtherFocal) {
      refuse_photo(marks.photo,
                   fmt::format("states a focal length of {:.0f} px", *photo.exif_focal_px),
                   fmt::format("about {:.0f} px, as the photos before it", *stated_px),
                   "give photos of one camera and zoom together");
    }
    const bool same = (marks.width_px == first.width_px && marks.height_px == first.height_px) ||
                      (marks.width_px == first.height_px && marks.height_px == first.width_px);
    if (!same) {
      refuse_photo(marks.photo,
                   fmt::format("is {} × {} px", marks.width_px, marks.height_px),
                   fmt::format("{} × {} px, as {}", first.width_px, first.height_px, first.photo),
                   "give photos of one camera and zoom, none of them cropped");
    }
    if (marks.corners.size() < 6) {
      refuse_photo(marks.photo,
                   fmt::format("shows {} corners of the mat", marks.corners.size()),
                   "6 or more",
                   "take it again with more of the mat in view");
    }
  }
  return Bundle(photos, options).solved();
}

CameraPoses rescaled(CameraPoses poses, double factor) {
  require_between(factor, 0.8, 1.25, "mat's scale", "");
  poses.mat_scale = poses.mat_scale * factor;
  for (PosedPhoto& photo : poses.photos) {
    photo.pose.shift = photo.pose.shift * factor;
    photo.piece_sd_mm *= factor;
    for (int r = 0; r < 6; ++r) {
      for (int c = 0; c < 6; ++c) {
        photo.covariance[static_cast<std::size_t>(6 * r + c)] *=
            (r >= 3 ? factor : 1.0) * (c >= 3 ? factor : 1.0);
      }
    }
  }
  return poses;
}

}  // namespace underdraw
