// What changed on a face between two stages: which lines are covered, which are there (again), and
// how far off.
//
// Stage:   recover. Pure.
// Frames:  both stages in the face's own; how the piece was turned on its mat is taken out first
//          (turn_of_piece_deg).
// Source:  own construction.
#pragma once

#include <optional>
#include <string>
#include <vector>

#include "recover/recover_lines.h"

namespace underdraw {

// By how much all found placements lie further round than planned, degrees: the median, weighed by
// nothing. A piece that stands a little turned on its mat looks like a piece whose lines were all
// drawn a little further round; the photos cannot tell the one from the other, and the first is
// common. Nothing where fewer than `least` are found or they do not agree to 2 mm.
std::optional<double> turn_of_piece_deg(const std::vector<FoundPlacement>& found,
                                        const PlacedFace& placed,
                                        std::size_t least = 2);

// The lines, and what was found, as if the piece had been turned by `deg` (counter-clockwise seen
// from above).
RecoveredLines turned_round(RecoveredLines lines, const PlacedFace& placed, double deg);

enum class Now {
  shows,    // its lines are there: never covered, or drawn again
  covered,  // its place is seen, its lines are not there
  not_seen  // the later photos do not show its place
};

struct PlacementChange {
  int id = 0;
  Now now = Now::not_seen;
  Vec2 off;  // where it shows: right and down of where it was, mm
  double turned_deg = 0.0;
};

// Placements found before; the others have nothing to compare.
std::vector<PlacementChange> compare_stages(const std::vector<FoundPlacement>& before,
                                            const std::vector<FoundPlacement>& after);

// "number 4 is 2.1 mm low"; empty where it is within `near_mm` and 3°.
std::string words_for(const PlacementChange& change, double near_mm = 1.0);

// Of each stroke's points whether the later photos show no line there. Strokes are in one piece:
// short stretches of the other kind are not told.
std::vector<std::vector<bool>> covered_points(const std::vector<RecoveredStroke>& strokes,
                                              const Surface& surface,
                                              const SeenLines& after);

}  // namespace underdraw
