// Where the lines of one drawing lie on a printed page, against where they should.
//
// Stage:   sheet. Pure.
// Frame:   sheet, mm.
// Source:  own construction: the middle of a line is the centroid of its ink across it.
#pragma once

#include <optional>
#include <vector>

#include "sheet/proof.h"

namespace underdraw {

// A place on an expected line or on the edge of an expected area.
struct LineSample {
  enum class Kind { line, dot, edge };
  Kind kind = Kind::line;
  Vec2 at;
  Vec2 normal;             // across the line; on an edge: away from the ink
  double half_mm = 0.0;    // half of the line's width
  bool crowded = false;    // something else is within reach: no measuring here
  std::size_t stroke = 0;  // which line it belongs to
  double along_mm = 0.0;   // from that line's start
};

std::vector<LineSample> line_samples(const Linework& lines, double step_mm = 0.25);

// The same with those crowded that lie near a dart: its ink would move their middle.
std::vector<LineSample> samples_clear_of(const std::vector<Path>& darts,
                                         std::vector<LineSample> samples);

struct LineMeasure {
  std::size_t samples = 0;
  std::size_t measured = 0;
  std::size_t missing = 0;
  double sum_mm = 0.0;  // of deviations
  double largest_mm = 0.0;
};
LineMeasure measure_lines(const GreyView& page, const std::vector<LineSample>& samples);

// Share of the samples that are inked when all are moved.
double inked_share(const GreyView& page,
                   const std::vector<LineSample>& samples,
                   const Affine& move);

// The move within reach_mm that meets the most ink.
struct BestMove {
  Vec2 by;
  double inked_share = 0.0;
};
BestMove best_move(const GreyView& page, const std::vector<LineSample>& samples, double reach_mm);

// Inked area inside `within` that no line, area, cut line or label accounts for, mm².
double unexpected_ink(const GreyView& page,
                      const Linework& lines,
                      const std::vector<LineSample>& samples,
                      const CutOut& cut_out);

}  // namespace underdraw
