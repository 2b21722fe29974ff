// Things at points of a face, in buckets, so that asking for those near a place costs what is near.
//
// Stage:   recover, internal to it.
// Frame:   face points; a round face is asked through its seam.
#pragma once

#include <cstddef>
#include <unordered_map>
#include <vector>

#include "piece/surface.h"

namespace underdraw {

class FaceBuckets {
 public:
  FaceBuckets(const Surface& surface, double cell_mm);

  void add(FacePoint at, std::size_t thing);
  // All that lies under paper of this box laid at `at`, and some more; each once.
  std::vector<std::size_t> near(FacePoint at, const Box& paper) const;

 private:
  static long long key(long column, long row);
  long raw_column(double across) const;
  long wrapped(long column) const;
  long row_of(double along) const;

  const Surface& surface_;
  double cell_mm_;
  double wide_ = 360.0;
  long columns_ = 1;
  std::unordered_map<long long, std::vector<std::size_t>> buckets_;
};

}  // namespace underdraw
