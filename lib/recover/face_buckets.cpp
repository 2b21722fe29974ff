#include "recover/face_buckets.h"

#include <algorithm>
#include <cmath>

namespace underdraw {

FaceBuckets::FaceBuckets(const Surface& surface, double cell_mm)
    : surface_(surface), cell_mm_(cell_mm), wide_(surface.round() ? 360.0 : surface.widest_mm()) {
  columns_ = std::max(1L, static_cast<long>(surface.widest_mm() / cell_mm));
}

long long FaceBuckets::key(long column, long row) {
  return static_cast<long long>(column) * 1000003LL + row;
}

long FaceBuckets::raw_column(double across) const {
  return static_cast<long>(std::floor(across / wide_ * static_cast<double>(columns_)));
}

long FaceBuckets::wrapped(long column) const {
  return surface_.round() ? (column % columns_ + columns_) % columns_ : column;
}

long FaceBuckets::row_of(double along) const {
  return static_cast<long>(std::floor(along / cell_mm_));
}

void FaceBuckets::add(FacePoint at, std::size_t thing) {
  buckets_[key(wrapped(raw_column(at.across)), row_of(at.along))].push_back(thing);
}

std::vector<std::size_t> FaceBuckets::near(FacePoint at, const Box& paper) const {
  const double up = surface_.up_per_along();
  const double one = at.along - up * paper.min.y;
  const double other = at.along - up * paper.max.y;
  // Where the wall is narrower, paper reaches further round.
  double k = 1e9;
  for (const double along : {at.along, one, other}) {
    k = std::min(k, surface_.mm_per_across(std::clamp(along, 0.0, surface_.along_mm())));
  }
  k = std::max(k, 1e-3);
  const long first = raw_column(at.across + paper.min.x / k) - 1;
  long last = raw_column(at.across + paper.max.x / k) + 1;
  if (surface_.round()) last = std::min(last, first + columns_ - 1);
  std::vector<std::size_t> out;
  for (long r = row_of(std::min(one, other)) - 1; r <= row_of(std::max(one, other)) + 1; ++r) {
    for (long c = first; c <= last; ++c) {
      const auto found = buckets_.find(key(wrapped(c), r));
      if (found == buckets_.end()) continue;
      out.insert(out.end(), found->second.begin(), found->second.end());
    }
  }
  return out;
}

}  // namespace underdraw
