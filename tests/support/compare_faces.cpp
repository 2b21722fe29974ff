#include "support/compare_faces.h"

#include <algorithm>
#include <cmath>
#include <optional>
#include <unordered_map>

namespace underdraw::test {
namespace {

constexpr double kStepMm = 0.1;
constexpr double kFarMm = 6.0;  // beyond, a distance is only known to be at least this

struct Sample {
  FacePoint at;
  double mm = 0.0;  // of line that it stands for
};

std::vector<Sample> samples_of(const Surface& surface,
                               const std::vector<RecoveredStroke>& strokes) {
  std::vector<Sample> out;
  for (const RecoveredStroke& stroke : strokes) {
    for (std::size_t i = 0; i + 1 < stroke.points.size(); ++i) {
      const Vec2 a = stroke.points[i];
      const Vec2 b = stroke.points[i + 1];
      const double mm = length(surface.way({a.x, a.y}, {b.x, b.y}));
      const int steps = std::max(1, static_cast<int>(std::ceil(mm / kStepMm)));
      for (int k = 0; k < steps; ++k) {
        const Vec2 p = mix(a, b, (k + 0.5) / steps);
        const double across = surface.round() ? wrapped_deg(p.x) : p.x;
        out.push_back({{across, p.y}, mm / steps});
      }
    }
  }
  return out;
}

class Near {
 public:
  Near(const Surface& surface, const std::vector<Sample>& samples)
      : surface_(surface), samples_(samples) {
    const double wide = surface.round() ? 360.0 : surface.widest_mm();
    columns_ = std::max(1, static_cast<int>(surface.widest_mm() / kFarMm * 0.6));
    across_ = wide / static_cast<double>(columns_);
    for (std::size_t i = 0; i < samples.size(); ++i) cells_[key(samples[i].at)].push_back(i);
  }

  double from(FacePoint p) const {
    double nearest = kFarMm;
    const long row = row_of(p);
    const long column = column_of(p);
    for (long r = row - 1; r <= row + 1; ++r) {
      for (long c = column - 1; c <= column + 1; ++c) {
        const long wrapped = surface_.round() ? (c + columns_) % columns_ : c;
        const auto found = cells_.find(wrapped * 100003L + r);
        if (found == cells_.end()) continue;
        for (const std::size_t i : found->second) {
          nearest = std::min(nearest, length(surface_.way(p, samples_[i].at)));
        }
      }
    }
    return nearest;
  }

 private:
  static long row_of(FacePoint p) { return std::lround(std::floor(p.along / kFarMm)); }
  long column_of(FacePoint p) const { return std::lround(std::floor(p.across / across_)); }
  long key(FacePoint p) const { return column_of(p) * 100003L + row_of(p); }

  const Surface& surface_;
  const std::vector<Sample>& samples_;
  long columns_ = 1;
  double across_ = 1.0;
  std::unordered_map<long, std::vector<std::size_t>> cells_;
};

}  // namespace

FaceAgreement compare_on_face(const Surface& surface,
                              const std::vector<RecoveredStroke>& recovered,
                              const std::vector<RecoveredStroke>& truth,
                              double reach_mm,
                              const std::function<bool(FacePoint)>& wanted) {
  const std::vector<Sample> found = samples_of(surface, recovered);
  const std::vector<Sample> drawn = samples_of(surface, truth);
  FaceAgreement out;
  const Near near_found(surface, found);
  double hit = 0.0;
  for (const Sample& s : drawn) {
    if (wanted && !wanted(s.at)) continue;
    out.truth_mm += s.mm;
    if (near_found.from(s.at) <= reach_mm) hit += s.mm;
  }
  out.recall = out.truth_mm > 0.0 ? hit / out.truth_mm : 0.0;
  const Near near_drawn(surface, drawn);
  std::vector<std::pair<double, double>> off;
  double good = 0.0;
  for (const Sample& s : found) {
    out.recovered_mm += s.mm;
    off.emplace_back(near_drawn.from(s.at), s.mm);
    if (off.back().first <= reach_mm) good += s.mm;
  }
  out.precision = out.recovered_mm > 0.0 ? good / out.recovered_mm : 0.0;
  std::sort(off.begin(), off.end());
  const auto at_share = [&](double share) {
    double sum = 0.0;
    for (const auto& [mm, weight] : off) {
      sum += weight;
      if (sum >= share * out.recovered_mm) return mm;
    }
    return kFarMm;
  };
  out.median_mm = at_share(0.5);
  out.p95_mm = at_share(0.95);
  return out;
}

}  // namespace underdraw::test
