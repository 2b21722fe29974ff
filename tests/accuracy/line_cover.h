// Which stretches of the drawn lines each traced line follows.
//
// In/out:  drawn and traced lines in one frame, mm.
// A traced line follows a drawn one where it lies within 0.25 mm of it and within 40 degrees of its
// direction, and no other drawn line is nearer to it by more than 0.06 mm. A stretch goes on when
// the traced line strays for up to 0.8 mm and leaves out up to 1.5 mm of the drawn line, as one
// that cuts a corner does.
#pragma once

#include <vector>

#include "accuracy/sampled_lines.h"

namespace underdraw::test {

// Traced line `traced` runs along a drawn line from `from` to `to`: from < to, and on a closed line
// `to` may lie beyond its length.
struct Stretch {
  int traced = -1;
  double from = 0.0;
  double to = 0.0;
  double length() const { return to - from; }
};

class LineCover {
 public:
  LineCover(const std::vector<SampledLine>& drawn,
            const LineGrid& drawn_grid,
            const std::vector<SampledLine>& traced);

  // Of one drawn line, by `from`.
  const std::vector<Stretch>& stretches(std::size_t drawn) const { return stretches_[drawn]; }

  // For every point of a traced line, whether it follows a drawn line within 0.15 mm.
  const std::vector<bool>& on_drawn(std::size_t traced) const { return on_drawn_[traced]; }

  // Share of a traced line whose drawn line another traced line follows too: one that is longer,
  // or as long and earlier.
  double doubled_share(std::size_t traced) const { return doubled_share_[traced]; }

  // Whether one traced line follows the drawn line all the way from one place to the other.
  bool uncut(std::size_t drawn, double from, double to) const;

 private:
  void follow(std::size_t traced_index);
  void find_doubled();

  const std::vector<SampledLine>& drawn_;
  const LineGrid& grid_;
  const std::vector<SampledLine>& traced_;
  std::vector<std::vector<Stretch>> stretches_;
  std::vector<std::vector<bool>> on_drawn_;
  std::vector<double> doubled_share_;
};

// Places in the inside of a drawn line where what follows it stops: a hole when to > from, else
// two traced lines that take over from each other.
struct Break {
  double from = 0.0;
  double to = 0.0;
};

std::vector<Break> breaks_in(const SampledLine& drawn, const std::vector<Stretch>& stretches);

}  // namespace underdraw::test
