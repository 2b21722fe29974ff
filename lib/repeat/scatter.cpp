#include "repeat/scatter.h"

#include <algorithm>
#include <cmath>
#include <numbers>
#include <numeric>

#include <fmt/format.h>

#include "core/error.h"
#include "core/parallel.h"
#include "repeat/lay_rows.h"
#include "repeat/scatter_crowd.h"
#include "repeat/scatter_gaps.h"
#include "repeat/scatter_pack.h"

namespace underdraw {
namespace {

constexpr double kSlackShare = 0.008;  // of the radius, on top of the gap while copies move
constexpr double kLeastSlackMm = 0.02;
constexpr double kCoverageSlack = 0.02;
constexpr int kPatience = 4;
constexpr int kFinishRounds = 60;

double rounded(double value, double step) { return std::round(value / step) * step; }

std::vector<ScatterForm> make_forms(const std::vector<ScatterKind>& kinds,
                                    double reach_mm,
                                    double half_gap_mm) {
  struct Wanted {
    std::size_t kind;
    int rank;
    double scale;
  };
  std::vector<Wanted> wanted;
  for (std::size_t k = 0; k < kinds.size(); ++k) {
    std::vector<double> scales = kinds[k].scales;
    std::sort(scales.rbegin(), scales.rend());
    scales.erase(std::unique(scales.begin(), scales.end()), scales.end());
    for (const double scale : scales) {
      const int rank = wanted.empty() || wanted.back().kind != k ? 0 : wanted.back().rank + 1;
      wanted.push_back({k, rank, scale});
    }
  }
  std::vector<ScatterForm> forms(wanted.size());
  parallel_for(wanted.size(), [&](std::size_t i) {
    const Wanted& one = wanted[i];
    const int kind = static_cast<int>(one.kind);
    forms[i] = scatter_form(kinds[one.kind].outline, kind, one.scale, reach_mm, half_gap_mm);
    forms[i].rank = one.rank;
  });
  return forms;
}

// The ink of a size in proportion to its scale, so its number to 1 / scale.
std::vector<double> shares_of(const std::vector<ScatterForm>& forms,
                              const std::vector<ScatterKind>& kinds) {
  std::vector<double> all(kinds.size(), 0.0);
  double weights = 0.0;
  for (const ScatterForm& form : forms)
    all[static_cast<std::size_t>(form.kind)] += 1.0 / form.scale;
  for (const ScatterKind& kind : kinds) weights += kind.weight;
  std::vector<double> shares;
  for (const ScatterForm& form : forms) {
    const auto k = static_cast<std::size_t>(form.kind);
    shares.push_back(kinds[k].weight / weights / form.scale / all[k]);
  }
  return shares;
}

// Makes the places those that are written, and the gaps true on the outlines themselves.
class Finisher {
 public:
  Finisher(Crowd& crowd, const ScatterGround& ground, double gap_mm)
      : crowd_(crowd), ground_(ground), surface_(ground.surface()), gap_(gap_mm) {}

  // How many had to go.
  int finish(double slack_mm, double look_mm) {
    int dropped = 0;
    double least_worst = 1e300;
    int stuck = 0;
    for (int round = 0;; ++round) {
      write_down();
      const int faults = find_faults(gap_ + 0.2, slack_mm / 4.0);
      if (faults == 0) {            // true of an empty crowd too
        find_faults(look_mm, 0.0);  // further, for the nearest of all
        return dropped;
      }
      const auto worst = std::max_element(faults_.begin(), faults_.end());
      if (*worst < 0.8 * least_worst) {
        least_worst = *worst;
        stuck = 0;
      } else if (++stuck > kPatience) {
        crowd_.copies.erase(crowd_.copies.begin() + (worst - faults_.begin()));
        crowd_.ask_no_more();
        ++dropped;
        least_worst = 1e300;
        stuck = 0;
      }
      crowd_.relax(gap_ + slack_mm / 2.0, kFinishRounds, slack_mm / 4.0);
    }
  }

  double smallest_gap() const { return smallest_; }
  const std::vector<int>& nearest() const { return nearest_; }

 private:
  void write_down() {
    for (CrowdCopy& copy : crowd_.copies) {
      copy.at = as_written(surface_, copy.at);
      copy.turn = radians(rounded(degrees(copy.turn), kPlacementStepDeg));
    }
    crowd_.settle();
  }

  // Looks for what is too close and has it keep that much more; how many copies are concerned.
  int find_faults(double beyond, double spare_mm) {
    const std::size_t n = crowd_.copies.size();
    faults_.assign(n, 0.0);
    nearest_.assign(n, -1);
    std::vector<double> nearest_mm(n, 1e300);
    const auto pairs = crowd_.near_pairs(beyond);
    std::vector<double> gaps(pairs.size());
    parallel_for(pairs.size(), [&](std::size_t k) {
      gaps[k] = gap_between(crowd_,
                            surface_,
                            crowd_.copies[static_cast<std::size_t>(pairs[k].first)],
                            crowd_.copies[static_cast<std::size_t>(pairs[k].second)],
                            beyond);
    });
    smallest_ = beyond;
    for (std::size_t k = 0; k < pairs.size(); ++k) {
      const auto a = static_cast<std::size_t>(pairs[k].first);
      const auto b = static_cast<std::size_t>(pairs[k].second);
      smallest_ = std::min(smallest_, gaps[k]);
      for (const auto& [own, other] : {std::pair{a, b}, std::pair{b, a}}) {
        if (gaps[k] < nearest_mm[own]) {
          nearest_mm[own] = gaps[k];
          nearest_[own] = static_cast<int>(other);
        }
      }
      const double fault = gap_ - gaps[k];
      if (fault <= 0.0) continue;
      faults_[a] = std::max(faults_[a], fault);
      faults_[b] = std::max(faults_[b], fault);
      crowd_.ask_more(pairs[k].first, pairs[k].second, fault + spare_mm);
    }
    std::vector<double> lacking(n, 0.0);
    parallel_for(n, [&](std::size_t i) { lacking[i] = lacking_room(crowd_.copies[i]); });
    int count = 0;
    for (std::size_t i = 0; i < n; ++i) {
      if (lacking[i] > 0.0) {
        faults_[i] = std::max(faults_[i], lacking[i]);
        crowd_.ask_more_of_ground(static_cast<int>(i), lacking[i] + spare_mm);
      }
      if (faults_[i] > 0.0) ++count;
    }
    return count;
  }

  // How far a copy that goes nearly round the face keeps from itself, less the gap.
  double room_round(const CrowdCopy& copy) const {
    double left = 0.0, right = 0.0, narrowest = 1e300;
    for (const auto& ring : laid_outline(surface_, crowd_.form_of(copy).exact, copy)) {
      for (const FacePoint& p : ring) {
        const double off = std::remainder(p.across - copy.at.across, 360.0);
        left = std::min(left, off);
        right = std::max(right, off);
        narrowest = std::min(narrowest, surface_.mm_per_across(p.along));
      }
    }
    return (360.0 - (right - left)) * narrowest - gap_;
  }

  double lacking_room(const CrowdCopy& copy) const {
    const ScatterForm& form = crowd_.form_of(copy);
    double room = 1.0;
    if (surface_.round() &&
        2.0 * form.radius_mm + gap_ > surface_.width_mm(copy.at.along) - form.radius_mm) {
      room = std::min(room, room_round(copy));
    } else if (ground_.room_mm(copy.at) > form.radius_mm + 1.0) {
      return 0.0;
    }
    for (const auto& ring : laid_outline(surface_, form.exact, copy)) {
      room = std::min(room, ground_.exact_room_mm(ring, 1.0));
    }
    return std::max(0.0, -room);
  }

  Crowd& crowd_;
  const ScatterGround& ground_;
  const Surface& surface_;
  double gap_;
  double smallest_ = 0.0;
  std::vector<double> faults_;
  std::vector<int> nearest_;
};

}  // namespace

void ScatterOptions::validate() const {
  require_between(gap_mm, 0.0, 500.0, "gap_mm", "mm");
  require_between(edge_mm, 0.0, 500.0, "edge_mm", "mm");
  if (coverage) require_between(*coverage, 0.001, 0.95, "coverage", "");
  if (turn_limit_deg) require_between(*turn_limit_deg, 0.0, 180.0, "turn_limit_deg", "degrees");
  require_between(effort, 1, 100, "effort", "");
}

Scattering scatter(const Surface& surface,
                   const std::vector<ScatterObstacle>& obstacles,
                   const std::vector<ScatterKind>& kinds,
                   const ScatterOptions& options) {
  options.validate();
  double radius = 0.0, least = 1e300;
  for (const ScatterKind& kind : kinds) {
    require_between(kind.weight, 1e-9, 1000.0, "weight", "");
    for (const double scale : kind.scales) {
      require_between(scale, 1e-3, 1000.0, "scale", "");
      for (const auto& ring : kind.outline) {
        double own = 0.0;
        for (const Vec2 p : ring) own = std::max(own, length(p) * scale);
        radius = std::max(radius, own);
        least = std::min(least, own);
      }
    }
  }
  if (radius <= 0.0) {
    throw OptionError({.file = {},
                       .line = {},
                       .found = "no motif to scatter has an outline",
                       .expected = "at least one",
                       .remedy = "name a motif that has lines"});
  }
  const double slack = std::max(kLeastSlackMm, kSlackShare * radius);
  double wide = 0.0;
  if (options.coverage) {
    double mean_area = 0.0, weights = 0.0;
    for (const ScatterKind& kind : kinds) {
      for (const double scale : kind.scales) {
        const double share = kind.weight / static_cast<double>(kind.scales.size());
        mean_area += share * scale * scale * covered_area(kind.outline);
        weights += share;
      }
    }
    wide = Packer::wide_gap(mean_area / weights / *options.coverage, mean_area / weights);
  }
  const double most_gap = std::max(options.gap_mm + 0.6 * radius, 1.5 * wide + 0.4 * radius);
  const std::vector<ScatterForm> forms = make_forms(kinds, most_gap, options.gap_mm / 2.0);
  const ScatterGround ground(surface,
                             obstacles,
                             options.edge_mm,
                             2.0 * least + options.gap_mm,
                             1.5 * radius + 1.0,
                             std::max(0.5, least / 5.0));

  PackRequest request;
  request.gap_mm = options.gap_mm;
  request.edge_mm = options.edge_mm;
  request.slack_mm = slack;
  request.part_kin = kinds.size() > 1;
  request.shares = shares_of(forms, kinds);
  request.effort = options.effort;
  if (options.coverage) request.ink_mm2 = *options.coverage * surface.area_mm2();
  for (const ScatterForm& form : forms) {
    request.may_mirror.push_back(kinds[static_cast<std::size_t>(form.kind)].mirror ? 1 : 0);
  }
  ScatterRandom random(options.seed);
  std::optional<double> limit;
  if (options.turn_limit_deg) limit = radians(*options.turn_limit_deg);
  Crowd crowd(ground, forms, limit);
  Packer(crowd, ground, forms, request, random).pack();
  Finisher finisher(crowd, ground, options.gap_mm + 2.0 * kExactToleranceMm);
  Scattering out;
  out.report.left_out = finisher.finish(slack, 0.9 * most_gap);
  const std::vector<int>& nearest = finisher.nearest();
  double ink = 0.0;
  for (std::size_t i = 0; i < crowd.copies.size(); ++i) {
    const CrowdCopy& copy = crowd.copies[i];
    const ScatterForm& form = crowd.form_of(copy);
    ink += form.area_mm2;
    const int near = nearest[i];
    if (near >= 0 &&
        crowd.form_of(crowd.copies[static_cast<std::size_t>(near)]).kind == form.kind) {
      ++out.report.same_neighbours;
    }
    Change change;
    change.mirrored = copy.mirrored;
    change.turn_deg = rounded(degrees(copy.turn), kPlacementStepDeg);
    change.scale = form.scale;
    out.copies.push_back({form.kind, change, copy.at});
  }
  out.report.coverage = ink / surface.area_mm2();
  if (out.copies.empty()) {
    throw GeometryError(
        {.file = {},
         .line = {},
         .found = fmt::format("no copy {:.0f} mm across fits on the face", 2.0 * least),
         .expected = "room for one at least, clear of edges and zones",
         .remedy = "ask for a smaller size or edge"});
  }
  if (options.coverage && out.report.coverage < *options.coverage - kCoverageSlack) {
    out.report.warnings.push_back(
        fmt::format("{:.0f} % ink was asked for and {:.1f} % fits with a gap of {:.1f} mm",
                    100.0 * *options.coverage,
                    100.0 * out.report.coverage,
                    options.gap_mm));
  }
  if (out.copies.size() > 1) out.report.smallest_gap_mm = finisher.smallest_gap();
  std::stable_sort(out.copies.begin(), out.copies.end(), [](const auto& a, const auto& b) {
    return a.change.scale > b.change.scale;
  });
  return out;
}

}  // namespace underdraw
