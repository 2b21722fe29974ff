// What the log says so far: coats laid and missing, how colours change on the way to the kiln and
// in it, how far a colour goes.
//
// Stage:   coats. Pure.
// Coats:   all that were laid count, before and after a firing: fired colour stays on the piece.
//          A colour is missing what was asked for less what was laid everywhere; coats on single
//          areas come on top there.
// Change:  what was measured and how far it scatters from tile to tile; no chemistry is known here,
//          and nothing is foretold.
#pragma once

#include <optional>
#include <string>
#include <vector>

#include "coats/colours.h"
#include "coats/work_log.h"

namespace underdraw {

// Of several measurements.
struct Scatter {
  double median = 0.0, least = 0.0, most = 0.0;
};

Scatter scatter_of(std::vector<double> values);  // of one or more

struct PlaceCoats {
  Place place;
  int coats = 0;  // more than everywhere
};

struct ColourCoats {
  std::string name;
  std::optional<int> asked;  // nothing: a wash, or a colour that the piece file does not name
  int everywhere = 0;
  std::vector<PlaceCoats> more;  // by place, as they were first laid

  std::optional<int> missing() const;  // never below 0
};

// How much of a colour a coat takes.
struct ColourNeed {
  std::string name;
  Scatter ml_per_m2;
  std::size_t readings = 0;
};

// From one state of the tiles of a colour to the last one that any of them reached. Of a tile that
// was measured again in the same state, the later measurement counts.
struct ColourChange {
  std::string of;
  TileState from = TileState::wet, to = TileState::glazed;
  std::size_t tiles = 0;
  Scatter lighter;  // L* after less before
  Scatter apart;    // CIEDE2000
  // The grey patch came out too differently in two photos of some tile: tones were not the same.
  bool doubtful = false;
};

struct WorkSummary {
  std::vector<ColourCoats> coats;  // as in the piece file, then others as they were first laid
  std::vector<LogEntry> firings;
  std::vector<ColourChange> changes;
  std::vector<ColourNeed> needs;

  bool complete() const;  // nothing missing
};

WorkSummary summary_of(const WorkLog& log, const std::vector<Colour>& colours);

// On one area of a face: what was laid there and everywhere. `placement` 0: the ground.
int coats_on(const WorkLog& log,
             const std::string& colour,
             const std::string& face,
             int placement,
             const std::string& letters);

// What the person measured, if anything; what a label says comes second.
std::optional<ColourNeed> measured_need(const WorkLog& log, const std::string& colour);

}  // namespace underdraw
