#include "photo/bent_sheet.h"

#include <algorithm>
#include <cmath>

#include <ceres/ceres.h>
#include <opencv2/calib3d.hpp>

#include "core/error.h"
#include "photo/pose_terms.h"

namespace underdraw {
namespace {

constexpr double kUsualFocal = 0.78;  // of the longer side: phones' main cameras, common practice
constexpr double kFocalSd = 0.3;      // relative
constexpr double kCentreSd = 0.03;    // over the longer side; photos may have been cropped
constexpr double kLensSd = 0.1;       // of k1 and k2
constexpr double kNoisePx = 0.2;      // of a mark's corner
constexpr double kNoiseMm = 0.02;     // what paper does beyond the model
constexpr double kScanRmsMm = 0.06;   // a scan fits an affine map as well as this
constexpr double kScanMostMm = 0.2;
constexpr double kOutlier = 4.0;
constexpr double kLeastOutlierMm = 0.4;
constexpr double kWiderSdMm = 0.1;  // of what makes marks larger or smaller
constexpr double kFixed = 1e6;
constexpr std::size_t kBends = std::tuple_size_v<decltype(SheetBend::tangent)>;
// Of each coefficient, radians: 0.1 bows an A4 sheet by 8 mm.
constexpr std::array<double, kBends> kTangentSd{0.15, 0.12, 0.1, 0.08};

// Gauss and Legendre's eight places and weights on [-1, 1] (Abramowitz, Stegun, table 25.4).
constexpr std::array<double, 4> kPlaces{
    0.1834346424956498, 0.5255324099163290, 0.7966664774136267, 0.9602898564975363};
constexpr std::array<double, 4> kWeights{
    0.3626837833783620, 0.3137066458778873, 0.2223810344533745, 0.1012285362903763};

// bend: along, then the tangent's coefficients. x and y are off the sheet's middle, mm.
template <typename T>
void bent(const T* bend, double half_mm, const T& at_x, const T& at_y, T* space) {
  using std::cos;
  using std::sin;
  const T c = cos(bend[0]);
  const T s = sin(bend[0]);
  const T reach = (c * at_x + s * at_y) / half_mm;
  const T across = c * at_y - s * at_x;
  T x(0.0), z(0.0);
  const auto add = [&](double place, double weight) {
    const T u = reach * (0.5 + 0.5 * place);
    T angle(0.0);
    for (std::size_t k = kBends; k-- > 0;) angle = (angle + bend[1 + k]) * u;
    x += weight * cos(angle);
    z += weight * sin(angle);
  };
  for (std::size_t i = 0; i < kPlaces.size(); ++i) {
    add(kPlaces[i], kWeights[i]);
    add(-kPlaces[i], kWeights[i]);
  }
  x *= 0.5 * reach * half_mm;
  z *= 0.5 * reach * half_mm;
  space[0] = c * x - s * across;
  space[1] = s * x + c * across;
  space[2] = z;
}

struct PointMiss {
  const Frame& frame;
  double half_mm;
  Vec2 at, px, outward;
  double weight;

  template <typename T>
  bool operator()(const T* shared, const T* own, const T* bend, const T* wider, T* miss) const {
    T space[3], seen[2];
    const T x = at.x + wider[0] * outward.x;
    const T y = at.y + wider[0] * outward.y;
    bent(bend, half_mm, x, y, space);
    project(frame, shared, own, space, seen);
    miss[0] = (seen[0] - px.x) * weight;
    miss[1] = (seen[1] - px.y) * weight;
    return true;
  }
};

struct Unknowns {
  std::array<double, shared_count> shared{};
  std::array<double, own_count> own{};
  std::array<double, 1 + kBends> bend{};
  std::array<double, 1> wider{};  // mm
};

double middle_of(std::vector<double> values) {
  const auto middle = values.begin() + static_cast<std::ptrdiff_t>(values.size() / 2);
  std::nth_element(values.begin(), middle, values.end());
  return *middle;
}

class Fit {
 public:
  Fit(const std::vector<SheetPoint>& points, const FitSheetOptions& options)
      : points_(points), options_(options), used_(points.size(), true) {
    const double longer = std::max(options.width_px, options.height_px);
    frame_ = {
        kUsualFocal * longer, longer, {0.5 * options.width_px, 0.5 * options.height_px}, false};
    middle_ = options.sheet_mm / 2.0;
    half_mm_ = 0.5 * length(options.sheet_mm);
    std::vector<double> scales;
    for (std::size_t i = 1; i < points.size(); ++i) {
      const double mm = distance(points[i].sheet, points[i - 1].sheet);
      if (mm > 0.0) scales.push_back(distance(points[i].px, points[i - 1].px) / mm);
    }
    px_per_mm_ = middle_of(scales);
    noise_px_ = std::hypot(kNoisePx, kNoiseMm * px_per_mm_);
  }

  std::optional<BentSheet> scan() const {
    // What makes marks wider is two columns more: its share of each axis of the picture.
    const auto rows = static_cast<int>(points_.size());
    cv::Mat a(rows, 5, CV_64F);
    cv::Mat b(rows, 2, CV_64F);
    for (int i = 0; i < rows; ++i) {
      const SheetPoint& p = points_[static_cast<std::size_t>(i)];
      const std::array<double, 5> row{p.sheet.x, p.sheet.y, 1.0, p.outward.x, p.outward.y};
      std::copy(row.begin(), row.end(), a.ptr<double>(i));
      b.at<double>(i, 0) = p.px.x;
      b.at<double>(i, 1) = p.px.y;
    }
    cv::Mat x;
    if (!cv::solve(a, b, x, cv::DECOMP_SVD)) return {};
    const cv::Mat off = a * x - b;
    const auto m = [&](int row, int column) { return x.at<double>(row, column); };
    const Affine px_from_sheet{m(0, 0), m(1, 0), m(2, 0), m(0, 1), m(1, 1), m(2, 1)};
    double sum = 0.0, most = 0.0;
    for (int i = 0; i < rows; ++i) {
      const double mm = std::hypot(off.at<double>(i, 0), off.at<double>(i, 1)) / px_per_mm_;
      sum += mm * mm;
      most = std::max(most, mm);
    }
    const double rms = std::sqrt(sum / static_cast<double>(points_.size()));
    if (rms > kScanRmsMm || most > kScanMostMm || px_from_sheet.determinant() <= 0.0) return {};
    BentSheet out;
    out.px_from_sheet = px_from_sheet;
    out.used = points_.size();
    out.left_out.assign(points_.size(), false);
    out.rms_mm = rms;
    return out;
  }

  std::optional<BentSheet> solved() {
    if (!start()) return {};
    const Unknowns flat = best_;
    double least = 1e300;
    for (const double along_deg : {0.0, 45.0, 90.0, 135.0}) {
      for (const double way : {0.03, -0.03}) {
        Unknowns trial = flat;
        trial.bend[0] = radians(along_deg);
        trial.bend[1] = way;
        const double cost = solve(trial, true);
        if (cost >= least) continue;
        least = cost;
        best_ = trial;
      }
    }
    if (least > 1e299) return {};
    for (int i = 0; i < 2; ++i) {
      if (!leave_out()) return {};
      solve(best_, false);
    }
    return result();
  }

 private:
  // A flat sheet and a camera without bending.
  bool start() {
    std::vector<cv::Point3d> from;
    std::vector<cv::Point2d> to;
    for (const SheetPoint& p : points_) {
      from.emplace_back(p.sheet.x - middle_.x, p.sheet.y - middle_.y, 0.0);
      to.emplace_back(p.px.x, p.px.y);
    }
    double least = 1e300;
    for (const double times : {0.75, 1.0, 1.4, 2.5}) {
      const double f = times * frame_.focal_px;
      const cv::Matx33d k(f, 0, frame_.middle.x, 0, f, frame_.middle.y, 0, 0, 1);
      cv::Mat turn, shift;
      if (!cv::solvePnP(from, to, k, cv::noArray(), turn, shift, false, cv::SOLVEPNP_IPPE))
        continue;
      if (shift.at<double>(2) <= 0.0) continue;
      std::vector<cv::Point2d> seen;
      cv::projectPoints(from, turn, shift, k, cv::noArray(), seen);
      double sum = 0.0;
      for (std::size_t i = 0; i < seen.size(); ++i) {
        const cv::Point2d d = seen[i] - to[i];
        sum += d.dot(d);
      }
      // What the photo does not tell is as it usually is.
      sum *= 1.0 + 0.2 * std::abs(std::log(times));
      if (sum >= least) continue;
      least = sum;
      best_ = {};
      best_.shared[log_focal] = std::log(times);
      for (int i = 0; i < 3; ++i) {
        best_.own[static_cast<std::size_t>(turn_x + i)] = turn.at<double>(i);
        best_.own[static_cast<std::size_t>(shift_x + i)] = shift.at<double>(i) / kShiftUnit;
      }
    }
    return least < 1e299;
  }

  double solve(Unknowns& unknowns, bool robust) const {
    ceres::Problem problem;
    for (std::size_t i = 0; i < points_.size(); ++i) {
      if (!used_[i]) continue;
      problem.AddResidualBlock(
          new ceres::AutoDiffCostFunction<PointMiss, 2, shared_count, own_count, 1 + kBends, 1>(
              new PointMiss{frame_,
                            half_mm_,
                            points_[i].sheet - middle_,
                            points_[i].px,
                            points_[i].outward,
                            1.0 / noise_px_}),
          robust ? new ceres::CauchyLoss(4.0) : nullptr,
          unknowns.shared.data(),
          unknowns.own.data(),
          unknowns.bend.data(),
          unknowns.wider.data());
    }
    problem.AddResidualBlock(
        new ceres::AutoDiffCostFunction<Held<shared_count>, shared_count, shared_count>(
            new Held<shared_count>{{1.0 / kFocalSd,
                                    1.0 / kCentreSd,
                                    1.0 / kCentreSd,
                                    1.0 / kLensSd,
                                    1.0 / kLensSd,
                                    kFixed}}),
        nullptr,
        unknowns.shared.data());
    Held<own_count> own{};
    own.weights[own_focal] = own.weights[own_x] = own.weights[own_y] = kFixed;
    problem.AddResidualBlock(new ceres::AutoDiffCostFunction<Held<own_count>, own_count, own_count>(
                                 new Held<own_count>(own)),
                             nullptr,
                             unknowns.own.data());
    Held<1 + kBends> bend{};
    for (std::size_t k = 0; k < kBends; ++k) bend.weights[1 + k] = 1.0 / kTangentSd[k];
    problem.AddResidualBlock(
        new ceres::AutoDiffCostFunction<Held<1 + kBends>, 1 + kBends, 1 + kBends>(
            new Held<1 + kBends>(bend)),
        nullptr,
        unknowns.bend.data());
    problem.AddResidualBlock(
        new ceres::AutoDiffCostFunction<Held<1>, 1, 1>(new Held<1>{{1.0 / kWiderSdMm}}),
        nullptr,
        unknowns.wider.data());
    ceres::Solver::Options how;
    how.linear_solver_type = ceres::DENSE_QR;
    how.max_num_iterations = 60;
    how.function_tolerance = 1e-8;
    how.logging_type = ceres::SILENT;
    how.num_threads = 1;
    ceres::Solver::Summary summary;
    ceres::Solve(how, &problem, &summary);
    return summary.IsSolutionUsable() ? summary.final_cost : 1e300;
  }

  Vec2 seen(const Unknowns& unknowns, const SheetPoint& point) const {
    double space[3], px[2];
    const Vec2 at = point.sheet - middle_ + point.outward * unknowns.wider[0];
    bent(unknowns.bend.data(), half_mm_, at.x, at.y, space);
    project(frame_, unknowns.shared.data(), unknowns.own.data(), space, px);
    return {px[0], px[1]};
  }

  bool leave_out() {
    std::vector<double> off;
    for (const SheetPoint& p : points_) off.push_back(distance(seen(best_, p), p.px));
    const double limit = std::max(kOutlier * 1.25 * middle_of(off), kLeastOutlierMm * px_per_mm_);
    std::size_t count = 0;
    for (std::size_t i = 0; i < off.size(); ++i) {
      used_[i] = off[i] <= limit;
      count += used_[i] ? 1 : 0;
    }
    return 3 * count >= 2 * points_.size();
  }

  BentSheet result() const {
    BentSheet out;
    out.bend = {middle_, half_mm_, degrees(best_.bend[0]), {}};
    for (std::size_t k = 0; k < kBends; ++k) out.bend.tangent[k] = best_.bend[1 + k];
    Camera& camera = out.camera;
    camera.width_px = options_.width_px;
    camera.height_px = options_.height_px;
    camera.focal_px = std::exp(best_.shared[log_focal]) * frame_.focal_px;
    camera.centre_px =
        frame_.middle + Vec2{best_.shared[centre_x], best_.shared[centre_y]} * frame_.longer_px;
    camera.k1 = best_.shared[bend_1];
    camera.k2 = best_.shared[bend_2];
    const auto own = [&](int i) { return best_.own[static_cast<std::size_t>(i)]; };
    out.pose = CameraPose::from_turn_vector(
        {own(turn_x), own(turn_x + 1), own(turn_x + 2)},
        Vec3{own(shift_x), own(shift_x + 1), own(shift_x + 2)} * kShiftUnit);
    double sum = 0.0;
    for (std::size_t i = 0; i < points_.size(); ++i) {
      out.left_out.push_back(!used_[i]);
      if (!used_[i]) continue;
      ++out.used;
      const double off = distance(seen(best_, points_[i]), points_[i].px) / px_per_mm_;
      sum += off * off;
    }
    out.rms_mm = std::sqrt(sum / static_cast<double>(out.used));
    out.wider_mm = best_.wider[0];
    out.bow_mm = bow_mm(out.bend);
    return out;
  }

  // Along the line through the middle in the direction of the bend, from edge to edge.
  double bow_mm(const SheetBend& bend) const {
    const Vec2 along{std::cos(radians(bend.along_deg)), std::sin(radians(bend.along_deg))};
    const double reach =
        0.5 * (std::abs(along.x) * options_.sheet_mm.x + std::abs(along.y) * options_.sheet_mm.y);
    const Vec3 from = bend.in_space(middle_ - along * reach);
    const Vec3 to = bend.in_space(middle_ + along * reach);
    const Vec3 way = normalized(to - from);
    double most = 0.0;
    for (int i = 1; i < 40; ++i) {
      const Vec3 p = bend.in_space(middle_ + along * (reach * (i / 20.0 - 1.0))) - from;
      most = std::max(most, length(p - way * dot(p, way)));
    }
    return most;
  }

  const std::vector<SheetPoint>& points_;
  const FitSheetOptions& options_;
  std::vector<bool> used_;
  Frame frame_;
  Vec2 middle_;
  double half_mm_ = 1.0;
  double px_per_mm_ = 1.0;
  double noise_px_ = 1.0;
  Unknowns best_;
};

}  // namespace

Vec3 SheetBend::in_space(Vec2 sheet) const {
  std::array<double, 1 + kBends> all{radians(along_deg)};
  std::copy(tangent.begin(), tangent.end(), all.begin() + 1);
  double space[3];
  bent(all.data(), half_mm, sheet.x - middle.x, sheet.y - middle.y, space);
  return {space[0], space[1], space[2]};
}

std::optional<Vec2> BentSheet::px_of(Vec2 sheet) const {
  if (px_from_sheet) return *px_from_sheet * sheet;
  return px_from_mat(camera, pose, bend.in_space(sheet));
}

double BentSheet::px_per_mm(Vec2 sheet) const {
  if (px_from_sheet) return px_from_sheet->length_factor();
  const auto left = px_of(sheet - Vec2{0.5, 0.0});
  const auto right = px_of(sheet + Vec2{0.5, 0.0});
  const auto above = px_of(sheet - Vec2{0.0, 0.5});
  const auto below = px_of(sheet + Vec2{0.0, 0.5});
  if (!left || !right || !above || !below) return 0.0;
  return std::sqrt(std::abs(cross(*right - *left, *below - *above)));
}

void FitSheetOptions::validate() const {
  require_between(width_px, 1, 1e6, "width of the photo", "px");
  require_between(height_px, 1, 1e6, "height of the photo", "px");
  require_between(sheet_mm.x, 10, 2000, "width of the sheet", "mm");
  require_between(sheet_mm.y, 10, 2000, "height of the sheet", "mm");
}

std::optional<BentSheet> fit_bent_sheet(const std::vector<SheetPoint>& points,
                                        const FitSheetOptions& options) {
  options.validate();
  if (points.size() < 8) return {};
  Fit fit(points, options);
  if (auto scan = fit.scan()) return scan;
  return fit.solved();
}

}  // namespace underdraw
