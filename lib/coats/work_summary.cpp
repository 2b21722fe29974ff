#include "coats/work_summary.h"

#include <algorithm>
#include <cmath>
#include <iterator>
#include <map>

#include "core/error.h"

namespace underdraw {
namespace {

constexpr double kGreyMayDiffer = 3.0;  // L* of the grey patch between two photos

// The entry of that name, made at the end when it is missing.
ColourCoats& coats_of(std::vector<ColourCoats>& all, const std::string& name) {
  const auto found =
      std::find_if(all.begin(), all.end(), [&](const ColourCoats& c) { return c.name == name; });
  if (found != all.end()) return *found;
  return all.emplace_back(ColourCoats{.name = name, .asked = {}, .everywhere = 0, .more = {}});
}

void count_coats(ColourCoats& colour, const CoatsLaid& laid) {
  if (laid.place.everywhere()) {
    colour.everywhere += laid.count;
    return;
  }
  const auto found = std::find_if(colour.more.begin(), colour.more.end(), [&](const auto& more) {
    return more.place == laid.place;
  });
  if (found != colour.more.end()) {
    found->coats += laid.count;
  } else {
    colour.more.push_back({laid.place, laid.count});
  }
}

std::vector<ColourCoats> coats_in(const WorkLog& log, const std::vector<Colour>& colours) {
  std::vector<ColourCoats> all;
  for (const Colour& colour : colours) {
    ColourCoats& coats = coats_of(all, colour.name);
    if (colour.kind != ColourKind::wash) coats.asked = colour.coats;
  }
  for (const CoatsLaid* laid : entries_of<CoatsLaid>(log)) {
    count_coats(coats_of(all, laid->colour), *laid);
  }
  return all;
}

using StatesOfTile = std::map<TileState, const TileReading*>;

ColourChange change_of(const std::string& of,
                       TileState from,
                       TileState to,
                       const std::map<std::string, StatesOfTile>& tiles) {
  ColourChange change{.of = of, .from = from, .to = to, .lighter = {}, .apart = {}};
  std::vector<double> lighter, apart;
  for (const auto& [name, states] : tiles) {
    const auto before = states.find(from);
    const auto after = states.find(to);
    if (before == states.end() || after == states.end()) continue;
    const TileReading& first = *before->second;
    const TileReading& last = *after->second;
    lighter.push_back(last.colour.l - first.colour.l);
    apart.push_back(ciede2000(first.colour, last.colour));
    change.doubtful |= std::abs(last.grey_l - first.grey_l) > kGreyMayDiffer;
  }
  change.tiles = apart.size();
  if (change.tiles > 0) {
    change.lighter = scatter_of(lighter);
    change.apart = scatter_of(apart);
  }
  return change;
}

std::vector<ColourChange> changes_in(const WorkLog& log) {
  std::vector<std::string> order;
  std::map<std::string, std::map<std::string, StatesOfTile>> colours;
  for (const TileReading* reading : entries_of<TileReading>(log)) {
    if (!colours.contains(reading->of)) order.push_back(reading->of);
    colours[reading->of][reading->tile][reading->state] = reading;
  }
  std::vector<ColourChange> changes;
  for (const std::string& of : order) {
    const auto& tiles = colours[of];
    TileState last = TileState::wet;
    for (const auto& [name, states] : tiles) last = std::max(last, states.rbegin()->first);
    for (const TileState from : {TileState::wet, TileState::dry, TileState::bisque}) {
      if (from >= last) break;
      ColourChange change = change_of(of, from, last, tiles);
      if (change.tiles > 0) changes.push_back(std::move(change));
    }
  }
  return changes;
}

std::vector<ColourNeed> needs_in(const WorkLog& log) {
  std::vector<ColourNeed> needs;
  for (const ColourUsed* used : entries_of<ColourUsed>(log)) {
    const bool known = std::any_of(
        needs.begin(), needs.end(), [&](const ColourNeed& n) { return n.name == used->colour; });
    if (!known) needs.push_back(*measured_need(log, used->colour));
  }
  return needs;
}

}  // namespace

Scatter scatter_of(std::vector<double> values) {
  if (values.empty()) {
    throw GeometryError({.file = {},
                         .line = {},
                         .found = "no measurements to take the median of",
                         .expected = "one or more",
                         .remedy = {}});
  }
  std::sort(values.begin(), values.end());
  const std::size_t half = values.size() / 2;
  const double median =
      values.size() % 2 == 1 ? values[half] : 0.5 * (values[half - 1] + values[half]);
  return {median, values.front(), values.back()};
}

std::optional<int> ColourCoats::missing() const {
  if (!asked) return std::nullopt;
  return std::max(0, *asked - everywhere);
}

bool WorkSummary::complete() const {
  return std::all_of(coats.begin(), coats.end(), [](const ColourCoats& c) {
    return c.missing().value_or(0) == 0;
  });
}

WorkSummary summary_of(const WorkLog& log, const std::vector<Colour>& colours) {
  WorkSummary summary;
  summary.coats = coats_in(log, colours);
  std::copy_if(log.begin(), log.end(), std::back_inserter(summary.firings), [](const auto& entry) {
    return !entry.undone_at && std::holds_alternative<Firing>(entry.content);
  });
  summary.changes = changes_in(log);
  summary.needs = needs_in(log);
  return summary;
}

int coats_on(const WorkLog& log,
             const std::string& colour,
             const std::string& face,
             int placement,
             const std::string& letters) {
  int count = 0;
  for (const CoatsLaid* laid : entries_of<CoatsLaid>(log)) {
    if (laid->colour == colour && laid->place.covers(face, placement, letters)) {
      count += laid->count;
    }
  }
  return count;
}

std::optional<ColourNeed> measured_need(const WorkLog& log, const std::string& colour) {
  std::vector<double> readings;
  for (const ColourUsed* used : entries_of<ColourUsed>(log)) {
    if (used->colour == colour) readings.push_back(used->ml_per_m2());
  }
  if (readings.empty()) return std::nullopt;
  return ColourNeed{colour, scatter_of(readings), readings.size()};
}

}  // namespace underdraw
