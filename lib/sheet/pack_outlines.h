// Packs real outlines, turned as allowed, at a clearance: into a short strip or on few sheets.
//
// Stage:   sheet. Pure; the same input and seed give the same places, on however many threads.
// In/out:  outlines in mm, each in its own frame, one simple ring, either way round; places in the
//          room's frame, x right, y down.
// Refuses: rings without area, an outline that no allowed turn brings into the room (GeometryError
//          with its number), options outside their ranges (OptionError).
// Source:  overlaps allowed and drawn apart while the room shrinks: J. Gardeyn, G. Vanden Berghe,
//          T. Wauters, arXiv:2509.13329 (2025), written from the idea; see pack_layout.h.
// What is returned was checked by pack_check, which shares no code with the search.
#pragma once

#include <cstddef>
#include <cstdint>
#include <vector>

#include "geometry/vec2.h"
#include "sheet/turns.h"

namespace underdraw {

struct OutlineToPack {
  std::vector<Vec2> ring;
  Turns turns;
};

struct PackedPlace {
  double turn_deg = 0.0;
  Vec2 offset;  // added after the turn about the outline's own origin

  Affine room_from_outline() const {
    return Affine::translate(offset) * Affine::turn_deg(turn_deg);
  }
};

struct StripOptions {
  double height_mm = 100.0;   // across the strip, > 0
  double clearance_mm = 0.0;  // between neighbours, not to the strip's edges; [0, 50]
  std::uint64_t seed = 1;
  std::uint64_t effort = 2'000'000;  // places tried by each of two searches; > 0
  double most_seconds = 0.0;  // > 0: ends by the clock instead, and may differ from run to run
  unsigned threads = 2;       // [1, 64]; has no influence on the places

  void validate() const;  // throws OptionError
};

struct StripPacking {
  std::vector<PackedPlace> places;  // one an outline, in their order; x from 0, y in [0, height]
  double length_mm = 0.0;
  double density = 0.0;  // outlines grown by half the clearance, share of the strip grown likewise
};

struct SheetsOptions {
  Box room;                   // where outlines may lie on a sheet
  double clearance_mm = 3.0;  // between neighbours, not to the room's edges; [0, 50]
  std::uint64_t seed = 1;
  std::uint64_t effort = 120'000;  // places tried before one more outline is given up; > 0
  unsigned threads = 2;            // [1, 64]; has no influence on the places

  void validate() const;  // throws OptionError
};

struct SheetPlace {
  std::size_t sheet = 0;  // 0-based
  PackedPlace place;
};

struct SheetsPacking {
  std::vector<SheetPlace> places;  // one an outline, in their order
  std::size_t sheets = 0;
  std::size_t least_sheets = 0;  // fewer are impossible: the area alone needs these
  double share_used = 0.0;  // outlines grown by half the clearance, of all rooms grown likewise
};

// As few sheets as are found, large outlines on the first, what is left over in rows on the last.
// Straight rows are easier to cut and to search, so all lie in rows where that costs no sheet.
SheetsPacking pack_on_sheets(const std::vector<OutlineToPack>& outlines,
                             const SheetsOptions& options);

// True when a turn of the outline fits the room.
bool has_room(const OutlineToPack& outline, const Box& room);

StripPacking pack_strip(const std::vector<OutlineToPack>& outlines, const StripOptions& options);

}  // namespace underdraw
