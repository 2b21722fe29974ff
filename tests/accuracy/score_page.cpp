#include "accuracy/score_page.h"

#include <algorithm>
#include <cmath>

#include "accuracy/count_breaks.h"
#include "accuracy/fewest_cubics.h"
#include "accuracy/judge_junctions.h"
#include "accuracy/line_cover.h"
#include "accuracy/page_side.h"

namespace underdraw::test {
namespace {

constexpr double kAwayWidths = 1.5;
constexpr double kAwayMm = 0.3;
constexpr double kTangentClear = 0.5;
constexpr double kDotInPlace = 0.2;
constexpr double kShownOff = 0.05;  // a line this far off is shown
constexpr double kShownRun = 0.2;   // so is a stretch this long that is missed or false

class Scorer {
 public:
  Scorer(const Linework& traced, const Linework& drawn)
      : drawn_(drawn, kDrawnKiss),
        traced_(traced, kTracedKiss),
        cover_(drawn_.lines, drawn_.line_grid, traced_.lines) {}

  PageScore score() {
    count_lines();
    compare_drawn_samples();
    compare_traced_samples();
    take_junctions(judge_junctions(drawn_, traced_, cover_));
    take_breaks(count_breaks(drawn_, traced_, cover_));
    match_dots();
    return std::move(score_);
  }

 private:
  void add(FaultKind kind, Vec2 at, double weight) {
    score_.faults.push_back(fault(kind, at, weight));
  }
  void add(const std::vector<Fault>& more) {
    score_.faults.insert(score_.faults.end(), more.begin(), more.end());
  }

  void take_junctions(const JunctionScore& its) {
    score_.junctions = its.junctions;
    score_.junctions_found = its.found;
    score_.junctions_false = its.false_ones;
    score_.crossings = its.crossings;
    score_.crossings_split = its.split;
    score_.crossings_uncut = its.uncut;
    add(its.faults);
  }

  void take_breaks(const BreakScore& its) {
    score_.spurs = its.spurs;
    score_.gaps = its.gaps;
    add(its.faults);
  }

  void count_lines() {
    for (const SampledLine& line : drawn_.lines) score_.drawn_mm += line.length;
    for (const SampledLine& line : traced_.lines) {
      score_.traced_mm += line.length;
      score_.pieces += line.piece_count;
    }
    score_.lines_drawn = drawn_.lines.size();
    score_.lines_traced = traced_.lines.size();
  }

  // A stretch of samples that have one fault in common.
  class Run {
   public:
    Run(Scorer& scorer, FaultKind kind, double least_mm)
        : scorer_(scorer), kind_(kind), least_(least_mm) {}
    ~Run() { close(); }
    Run(const Run&) = delete;
    Run& operator=(const Run&) = delete;
    void add(Vec2 at, double step, double off) {
      length_ += step;
      if (off >= worst_) at_ = at;
      worst_ = std::max(worst_, off);
    }
    void close() {
      if (length_ >= least_) {
        const double share = kind_ == FaultKind::kOff ? worst_ / kMatched / 2.0 : 1.0;
        scorer_.add(kind_, at_, length_ * share);
      }
      length_ = worst_ = 0.0;
    }

   private:
    Scorer& scorer_;
    FaultKind kind_;
    double least_;
    double length_ = 0.0;
    double worst_ = 0.0;
    Vec2 at_;
  };

  struct Mean {
    double sum = 0.0;
    double weight = 0.0;
    void add(double value, double w) {
      sum += value * w;
      weight += w;
    }
    double mean(double otherwise) const { return weight > 0.0 ? sum / weight : otherwise; }
  };

  void compare_drawn_samples() {
    Mean recall, all, away, tangent, width;
    for (std::size_t l = 0; l < drawn_.all.size(); ++l) {
      const SampledLine& line = drawn_.all[l];
      const bool is_line = l < drawn_.lines.size();
      const std::vector<double> corners = corners_of(line);
      Run missed(*this, FaultKind::kMissed, kShownRun);
      Run off(*this, FaultKind::kOff, line.step);
      for (std::size_t i = 0; i < line.points.size(); ++i) {
        const double s = static_cast<double>(i) * line.step;
        const Vec2 p = line.points[i];
        const auto found = traced_.all_grid.nearest(p, kMatched);
        recall.add(found ? 1.0 : 0.0, line.step);
        if (found) {
          missed.close();
        } else {
          missed.add(p, line.step, 0.0);
        }
        if (!found || found->off < kShownOff) {
          off.close();
        } else {
          off.add(p, line.step, found->off);
        }
        if (!found || !is_line) continue;
        all.add(found->off * found->off, line.step);
        const double to_end = line.closed ? 1e9 : std::min(s, line.length - s);
        const double pen = line.width_at(s);
        const double clear = kAwayWidths * pen + kAwayMm;
        if (to_end > clear && !drawn_.meeting_points.any_near(p, clear)) {
          away.add(found->off * found->off, line.step);
          if (found->line < static_cast<int>(traced_.lines.size())) {
            const double its =
                traced_.lines[static_cast<std::size_t>(found->line)].width_at(found->s);
            width.add(std::abs(its - pen), line.step);
          }
        }
        const bool at_corner = std::any_of(corners.begin(), corners.end(), [&](double c) {
          return std::abs(c - s) < kTangentClear;
        });
        if (to_end > kTangentClear && !at_corner &&
            !drawn_.meeting_points.any_near(p, kTangentClear)) {
          const SampledLine& its_line = traced_.all[static_cast<std::size_t>(found->line)];
          double turn = degrees(angle_between(line.along(s), its_line.along(found->s)));
          turn = std::min(turn, 180.0 - turn);
          tangent.add(turn * turn, line.step);
        }
      }
    }
    score_.recall = recall.mean(1.0);
    score_.rms_all_mm = std::sqrt(all.mean(0.0));
    score_.rms_away_mm = std::sqrt(away.mean(0.0));
    score_.tangent_rms_deg = std::sqrt(tangent.mean(0.0));
    score_.width_error_mm = width.mean(0.0);
  }

  void compare_traced_samples() {
    Mean precision;
    for (const SampledLine& line : traced_.all) {
      Run wrong(*this, FaultKind::kFalseLine, kShownRun);
      for (const Vec2 p : line.points) {
        const bool found = drawn_.all_grid.nearest(p, kMatched).has_value();
        precision.add(found ? 1.0 : 0.0, line.step);
        if (found) {
          wrong.close();
        } else {
          wrong.add(p, line.step, 0.0);
        }
      }
    }
    score_.precision = precision.mean(1.0);
  }

  void match_dots() {
    PointGrid traced(1.0);
    for (const Vec2 p : traced_.dots) traced.add(p);
    std::vector<bool> taken(traced_.dots.size(), false);
    score_.dots = static_cast<int>(drawn_.dots.size());
    for (const Vec2 p : drawn_.dots) {
      double nearest = kDotInPlace;
      std::optional<std::size_t> best;
      traced.near(p, kDotInPlace, [&](std::size_t i, double off) {
        if (taken[i] || off > nearest) return;
        nearest = off;
        best = i;
      });
      if (best) {
        taken[*best] = true;
        ++score_.dots_found;
      } else {
        add(FaultKind::kMissedDot, p, 1.0);
      }
    }
    for (std::size_t i = 0; i < taken.size(); ++i) {
      if (taken[i]) continue;
      ++score_.dots_false;
      add(FaultKind::kFalseDot, traced_.dots[i], 0.7);
    }
  }

  PageSide drawn_;
  PageSide traced_;
  LineCover cover_;
  PageScore score_;
};

std::optional<double> share(int part, int whole) {
  if (whole == 0) return {};
  return static_cast<double>(part) / whole;
}

}  // namespace

std::optional<double> PageScore::junction_share() const {
  return share(junctions_found, junctions);
}
std::optional<double> PageScore::split_share() const { return share(crossings_split, crossings); }
std::optional<double> PageScore::uncut_share() const { return share(crossings_uncut, crossings); }
std::optional<double> PageScore::dot_share() const { return share(dots_found, dots); }

double PageScore::piece_ratio() const {
  return fewest_pieces > 0 ? static_cast<double>(pieces) / static_cast<double>(fewest_pieces) : 0.0;
}

double PageScore::line_ratio() const {
  return lines_drawn > 0 ? static_cast<double>(lines_traced) / static_cast<double>(lines_drawn)
                         : 0.0;
}

PageScore score_page(const Linework& traced, const Linework& drawn) {
  PageScore score = Scorer(traced, drawn).score();
  for (const Stroke& stroke : drawn.strokes) score.fewest_pieces += fewest_cubics(stroke.path);
  return score;
}

}  // namespace underdraw::test
