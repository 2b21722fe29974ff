#include "recover/solve_standing.h"

#include <algorithm>
#include <cmath>
#include <utility>

#include <ceres/ceres.h>

namespace underdraw {
namespace {

constexpr double kCorrelated = 2.0;  // neighbouring places err alike: fewer of them count

// One residual that is linear in the unknowns: miss + slopes * (values - at).
class Linear : public ceres::CostFunction {
 public:
  Linear(double miss, std::vector<double> slopes, std::vector<double> at, double weight)
      : miss_(miss), slopes_(std::move(slopes)), at_(std::move(at)), weight_(weight) {
    set_num_residuals(1);
    mutable_parameter_block_sizes()->push_back(static_cast<int>(slopes_.size()));
  }
  bool Evaluate(double const* const* values, double* residual, double** jacobian) const override {
    residual[0] = miss_;
    for (std::size_t i = 0; i < slopes_.size(); ++i) {
      residual[0] += slopes_[i] * (values[0][i] - at_[i]);
    }
    residual[0] *= weight_;
    if (jacobian && jacobian[0]) {
      for (std::size_t i = 0; i < slopes_.size(); ++i) jacobian[0][i] = slopes_[i] * weight_;
    }
    return true;
  }

 private:
  double miss_;
  std::vector<double> slopes_, at_;
  double weight_;
};

void build(const StandingUnknowns& unknowns,
           const StandingMisses& misses,
           const FitStandingOptions& options,
           ceres::Problem& problem,
           std::vector<double>& values) {
  const std::vector<double> at = unknowns.values();
  const std::size_t n = at.size();
  const auto add = [&](const StandingMiss& miss, double scale) {
    problem.AddResidualBlock(new Linear(miss.miss, miss.slopes, at, miss.weight * scale),
                             new ceres::CauchyLoss(2.0),
                             values.data());
  };
  for (const StandingMiss& miss : misses.edges) add(miss, 1.0 / kCorrelated);
  for (const StandingMiss& miss : misses.shifts) add(miss, 1.0 / kCorrelated);
  const auto hold = [&](const std::vector<double>& slopes, double towards, double sd) {
    double miss = -towards;
    for (std::size_t k = 0; k < n; ++k) miss += slopes[k] * at[k];
    problem.AddResidualBlock(new Linear(miss, slopes, at, 1.0 / sd), nullptr, values.data());
  };
  const auto one = [n](std::size_t k) {
    std::vector<double> slopes(n, 0.0);
    slopes[k] = 1.0;
    return slopes;
  };
  hold(one(0), 0.0, options.shift_sd_mm);
  hold(one(1), 0.0, options.shift_sd_mm);
  if (unknowns.outline() == Outline::flat) hold(one(2), 0.0, options.turn_sd_deg);
  if (unknowns.outline() == Outline::ball) hold(one(2), 0.0, options.radius_sd_mm);
  if (unknowns.outline() != Outline::wall) {
    const bool flat = unknowns.outline() == Outline::flat;
    hold(one(n - 1), flat ? options.thick_mm : 0.0, options.lift_sd_mm);
    return;
  }
  for (std::size_t k = 2; k < n; ++k) {
    hold(one(k), 0.0, options.radius_sd_mm);
    if (k < 3 || k + 1 >= n) continue;
    std::vector<double> bend(n, 0.0);
    bend[k - 1] = bend[k + 1] = -0.5;
    bend[k] = 1.0;
    hold(bend, 0.0, options.smooth_mm);
  }
}

}  // namespace

std::vector<double> solve_standing(const StandingUnknowns& unknowns,
                                   const StandingMisses& misses,
                                   const FitStandingOptions& options) {
  std::vector<double> values = unknowns.values();
  ceres::Problem problem;
  build(unknowns, misses, options, problem, values);
  ceres::Solver::Options how;
  how.linear_solver_type = ceres::DENSE_QR;
  how.max_num_iterations = 50;
  how.logging_type = ceres::SILENT;
  ceres::Solver::Summary summary;
  ceres::Solve(how, &problem, &summary);
  return summary.IsSolutionUsable() ? values : unknowns.values();
}

std::optional<std::vector<double>> standing_sds(const StandingUnknowns& unknowns,
                                                const StandingMisses& misses,
                                                const FitStandingOptions& options) {
  std::vector<double> values = unknowns.values();
  ceres::Problem problem;
  build(unknowns, misses, options, problem, values);
  ceres::Covariance::Options how;
  how.algorithm_type = ceres::DENSE_SVD;
  ceres::Covariance covariance(how);
  const std::size_t n = values.size();
  std::vector<double> block(n * n);
  const std::vector<std::pair<const double*, const double*>> wanted{{values.data(), values.data()}};
  if (!covariance.Compute(wanted, &problem) ||
      !covariance.GetCovarianceBlock(values.data(), values.data(), block.data())) {
    return {};
  }
  std::vector<double> sds(n);
  for (std::size_t k = 0; k < n; ++k) sds[k] = std::sqrt(std::max(0.0, block[k * n + k]));
  return sds;
}

}  // namespace underdraw
