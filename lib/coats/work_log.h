// What was done to a piece and its test tiles: coats laid, firings, colours measured, colour used
// up.
//
// Stage:   coats. Pure: values as the record keeps them (see io/coats_log.h).
// Undone:  an entry that was taken back stays, with the time when that was; nothing counts it.
#pragma once

#include <cstdint>
#include <optional>
#include <string>
#include <variant>
#include <vector>

#include "coats/lab_colour.h"

namespace underdraw {

// Areas of a face, as the paint map names them: placements 4 to 6, area b of 7, the ground.
struct AreaSpan {
  int first = 0, last = 0;  // placements; 0: the face's ground
  std::string letters;      // of one area; "": all of each placement

  friend bool operator==(const AreaSpan&, const AreaSpan&) = default;
};

// "4, 7-9, 12b, ground", in any order, as it is kept: sorted, without repeats, "4,7-9,12b,ground".
std::vector<AreaSpan> areas_of_text(const std::string& text);  // throws OptionError
std::string text_of_areas(const std::vector<AreaSpan>& areas);

struct Place {
  std::optional<std::string> face;  // nothing: all faces
  std::vector<AreaSpan> areas;      // none: all of it

  bool everywhere() const { return !face && areas.empty(); }
  // `placement` 0: the ground; `letters` of one of its areas.
  bool covers(const std::string& on_face, int placement, const std::string& letters) const;
  std::string text() const;  // "wall 4, 7-9"; "" everywhere

  friend bool operator==(const Place&, const Place&) = default;
};

struct CoatsLaid {
  std::string colour;
  int count = 1;  // [1, 20]
  Place place;
};

struct Firing {
  std::string stage;  // "bisque", "glaze"
};

enum class TileState { wet, dry, bisque, glazed };

const std::vector<std::string>& tile_state_names();  // in the order of TileState
std::string name_of(TileState state);

struct TileReading {
  std::string tile;
  std::string of;  // a colour's name, or a mix in words: "teal 2, white 1"
  TileState state = TileState::wet;
  LabColour colour;
  double spread = 0.0;   // see coats/tile_colour.h
  double grey_l = 0.0;   // the same
  std::string photo;     // the file's name
  std::string checksum;  // its SHA-256
};

struct ColourUsed {
  std::string colour;
  double ml = 0.0;        // (0, 100000]
  double area_cm2 = 0.0;  // (0, 1000000]
  int coats = 1;          // [1, 20]

  double ml_per_m2() const { return ml / (area_cm2 * 1e-4) / coats; }
};

using LogContent = std::variant<CoatsLaid, Firing, TileReading, ColourUsed>;

struct LogEntry {
  std::int64_t id = 0;
  LogContent content;
  std::string note;
  std::string at;                        // UTC, "2026-05-03T14:15:22Z"
  std::optional<std::string> undone_at;  // taken back
};

using WorkLog = std::vector<LogEntry>;  // as it was written

// Of one kind, without those taken back.
template <typename Content>
std::vector<const Content*> entries_of(const WorkLog& log) {
  std::vector<const Content*> found;
  for (const LogEntry& entry : log) {
    if (entry.undone_at) continue;
    if (const auto* content = std::get_if<Content>(&entry.content)) found.push_back(content);
  }
  return found;
}

}  // namespace underdraw
