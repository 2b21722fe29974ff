// How well the traced lines of one page agree with the lines that were drawn on it.
//
// In/out:  linework in the page frame, mm.
// Source:  own construction. What counts as what:
//   line      a stroke that is no dot; both sides are sampled every 0.04 mm
//   matched   a sample of a drawn line with a traced line within 0.15 mm
//   recall    matched share of the drawn length; precision: the same the other way round.
//             The outlines of areas count in both as lines
//   rms       distances of matched samples from the nearest traced line; "away" leaves out those
//             nearer than 1.5 pen widths + 0.3 mm to a meeting or to an end of a line
//   junction  a Meeting of the drawn lines (meetings.h). Found when a meeting of the traced lines
//             with as many arms lies within 0.35 mm or half a pen width, whichever is more, and no
//             other junction is nearer to it. Where two arms part at an angle a below 6.6 degrees,
//             as at a tangent, within 0.04 mm / sin a, at most 1 mm
//   crossing  a junction where two strokes run through. Split: not found, but two traced meetings
//             of three arms are, joined by a bridge, both as near as the ink of the crossing
//             reaches. Uncut: along both strokes one traced line follows it from 1 mm before to
//             1 mm after (less where the stroke ends earlier)
//   spur      a loose traced end whose last 0.25 to 3 mm follow no drawn line (more than 0.15 mm
//             off, or across it), a line that runs past a drawn end by up to a pen width excepted;
//             a traced line of 0.25 to 3 mm that follows no drawn line; one that doubles the line
//             which a longer one has traced
//   gap       a place inside a drawn line where no traced line follows it or runs alongside it
//             within 0.15 mm for more than 0.1 mm, or where one traced line ends and another takes
//             over; neither at a junction (those are cuts, which `uncut` counts), nor where two
//             ends touch at a drawn corner or at a traced meeting (a false junction). A drawn line
//             that is missing altogether is no gap, but lost recall
//   pieces    cubics of the traced lines against the fewest that the drawn lines need
//   tangent   difference of direction at matched samples, those nearer than 0.5 mm to a meeting, a
//             corner or an end left out
//   dot       found when a traced dot lies within 0.2 mm; a traced dot with no drawn one is false
//   width     difference of the pen widths at the samples of "away"
#pragma once

#include <cstddef>
#include <optional>
#include <string>
#include <vector>

#include "accuracy/fault.h"
#include "geometry/linework.h"

namespace underdraw::test {

struct PageScore {
  double drawn_mm = 0.0;
  double traced_mm = 0.0;
  double rms_away_mm = 0.0;
  double rms_all_mm = 0.0;
  double recall = 1.0;
  double precision = 1.0;
  int junctions = 0;
  int junctions_found = 0;
  int junctions_false = 0;  // traced meetings with no drawn one within reach of their ink
  int crossings = 0;
  int crossings_split = 0;
  int crossings_uncut = 0;
  int spurs = 0;
  int gaps = 0;
  std::size_t pieces = 0;
  std::size_t fewest_pieces = 0;
  std::size_t lines_drawn = 0;
  std::size_t lines_traced = 0;
  double tangent_rms_deg = 0.0;
  int dots = 0;
  int dots_found = 0;
  int dots_false = 0;
  double width_error_mm = 0.0;
  std::vector<Fault> faults;

  // Nothing when the page has none of what would be counted.
  std::optional<double> junction_share() const;
  std::optional<double> split_share() const;
  std::optional<double> uncut_share() const;
  std::optional<double> dot_share() const;
  double spurs_per_m() const { return drawn_mm > 0.0 ? 1e3 * spurs / drawn_mm : 0.0; }
  double false_junctions_per_m() const {
    return drawn_mm > 0.0 ? 1e3 * junctions_false / drawn_mm : 0.0;
  }
  double gaps_per_m() const { return drawn_mm > 0.0 ? 1e3 * gaps / drawn_mm : 0.0; }
  double piece_ratio() const;
  double line_ratio() const;
};

PageScore score_page(const Linework& traced, const Linework& drawn);

}  // namespace underdraw::test
