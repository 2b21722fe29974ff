#include "coats_text.h"

#include <algorithm>
#include <cmath>

#include <fmt/format.h>
#include <nlohmann/json.hpp>

#include "piece_command.h"

namespace underdraw::cli {
namespace {

using Object = nlohmann::ordered_json;

template <typename... Kinds>
struct Each : Kinds... {
  using Kinds::operator()...;
};
template <typename... Kinds>
Each(Kinds...) -> Each<Kinds...>;

// To so many parts of one: a hundred for two decimals.
double rounded(double value, double parts) { return std::round(value * parts) / parts; }

template <typename T>
Object or_null(const std::optional<T>& value) {
  return value ? Object(*value) : Object(nullptr);
}

Object scatter_object(const Scatter& scatter, double parts) {
  return {{"median", rounded(scatter.median, parts)},
          {"least", rounded(scatter.least, parts)},
          {"most", rounded(scatter.most, parts)}};
}

Object place_object(const Place& place) {
  return {{"face", or_null(place.face)}, {"areas", text_of_areas(place.areas)}};
}

Object lab_object(LabColour colour) {
  return {rounded(colour.l, 100.0), rounded(colour.a, 100.0), rounded(colour.b, 100.0)};
}

// " (9 to 19)"; nothing where all are the same when rounded.
std::string range_text(double one, double other) {
  const double low = std::round(std::min(one, other));
  const double high = std::round(std::max(one, other));
  return low == high ? "" : fmt::format(" ({:.0f} to {:.0f})", low, high);
}

std::string coats_text(int count) { return count_text(static_cast<std::size_t>(count), "coat"); }

}  // namespace

std::string text_of(const ColourCoats& colour) {
  std::string text = colour.asked ? fmt::format("{} of {} laid", colour.everywhere, *colour.asked)
                                  : fmt::format("{} laid", coats_text(colour.everywhere));
  for (const PlaceCoats& more : colour.more) {
    text += fmt::format(", {} more on {}", more.coats, more.place.text());
  }
  if (colour.missing().value_or(0) > 0) text += fmt::format(", {} missing", *colour.missing());
  return text;
}

std::string text_of(const ColourNeed& need) {
  return fmt::format("{:.0f} ml for a m² and coat{}, from {}",
                     need.ml_per_m2.median,
                     range_text(need.ml_per_m2.least, need.ml_per_m2.most),
                     count_text(need.readings, "reading"));
}

std::string text_of(const ColourChange& change) {
  const double by = change.lighter.median;
  const bool darker = by < 0.0;
  const bool both_ways = change.lighter.least * change.lighter.most < 0.0;
  std::string lightness = "as light as before";
  if (std::abs(by) >= 0.5) {
    lightness = fmt::format("{:.0f} L* {}", std::abs(by), darker ? "darker" : "lighter");
  }
  // "9 to 19" where all tiles went one way; else with signs.
  const double sign = darker && !both_ways ? -1.0 : 1.0;
  return fmt::format("{} to {}: {}{}, {:.0f} apart{}, from {}{}",
                     name_of(change.from),
                     name_of(change.to),
                     lightness,
                     range_text(sign * change.lighter.least, sign * change.lighter.most),
                     change.apart.median,
                     range_text(change.apart.least, change.apart.most),
                     count_text(change.tiles, "tile"),
                     change.doubtful ? "; the photos' tones differ, do not trust it far" : "");
}

std::string text_of(LabColour colour) {
  return fmt::format("L* {:.1f} a* {:.1f} b* {:.1f}", colour.l, colour.a, colour.b);
}

std::string text_of(const LogEntry& entry) {
  return std::visit(Each{[](const CoatsLaid& laid) {
                           const std::string where = laid.place.text();
                           return fmt::format("{} of {}{}",
                                              coats_text(laid.count),
                                              laid.colour,
                                              where.empty() ? "" : " on " + where);
                         },
                         [](const Firing& firing) { return "fired " + firing.stage; },
                         [](const TileReading& tile) {
                           return fmt::format("test tile {}{}, {}: {}",
                                              tile.tile,
                                              tile.of == tile.tile ? "" : " of " + tile.of,
                                              name_of(tile.state),
                                              text_of(tile.colour));
                         },
                         [](const ColourUsed& used) {
                           return fmt::format("{:g} ml of {} used for {} on {:g} cm²",
                                              used.ml,
                                              used.colour,
                                              coats_text(used.coats),
                                              used.area_cm2);
                         }},
                    entry.content);
}

std::string time_text(const std::string& at) {
  return at.substr(0, 10) + " " + at.substr(11, 5) + " UTC";
}

std::string lines_text(const std::string& folder, bool lines_kept) {
  return lines_kept
             ? fmt::format(
                   "lines drawn before it are burnt out; the kept photos bring them back: "
                   "underdraw recover {}",
                   folder)
             : "lines drawn before it are burnt out; no photos of them are kept, so they can only "
               "be laid again from the sheets";
}

void show_summary(Console& console, const LogOfPiece& piece, const std::string& folder) {
  const WorkSummary& summary = piece.summary;
  std::vector<Fact> coats, firings, changes, needs;
  for (const ColourCoats& colour : summary.coats) coats.push_back({colour.name, text_of(colour)});
  for (const LogEntry& entry : summary.firings) {
    const std::string note = entry.note.empty() ? "" : ": " + entry.note;
    firings.push_back({std::get<Firing>(entry.content).stage, time_text(entry.at) + note});
  }
  for (const ColourChange& change : summary.changes) {
    changes.push_back({change.of, text_of(change)});
  }
  for (const ColourNeed& need : summary.needs) needs.push_back({need.name, text_of(need)});

  bool first = true;
  const auto block = [&](const std::string& heading, const std::vector<Fact>& facts) {
    if (facts.empty()) return;
    if (!first) console.line("");
    first = false;
    console.line(heading);
    std::vector<Fact> indented;
    for (const Fact& fact : facts) indented.push_back({"  " + fact.label, fact.value});
    console.facts(indented);
  };
  block("coats", coats);
  block("firings", firings);
  if (!firings.empty()) console.line("  " + lines_text(folder, piece.lines_kept));
  block("how colours change, as test tiles showed", changes);
  if (!changes.empty()) {
    console.line(
        "  apart: CIEDE2000; about 1 can just be seen. Colour says nothing of food safety.");
  }
  block("how far colours go, as measured", needs);
  if (first) {
    console.line("nothing is written down yet, and piece.toml names no colours");
  }
}

void show_history(Console& console, const WorkLog& log) {
  std::vector<Fact> facts;
  for (const LogEntry& entry : log) {
    std::string text = time_text(entry.at) + "  " + text_of(entry);
    if (!entry.note.empty()) text += ": " + entry.note;
    if (entry.undone_at) text += "  (taken back " + time_text(*entry.undone_at) + ")";
    facts.push_back({fmt::format("{:>3}", entry.id), text});
  }
  console.facts(facts);
  if (log.empty()) console.line("nothing is written down yet");
}

Object summary_object(const LogOfPiece& piece) {
  Object colours = Object::array();
  for (const ColourCoats& colour : piece.summary.coats) {
    Object more = Object::array();
    for (const PlaceCoats& place : colour.more) {
      Object entry = place_object(place.place);
      entry["coats"] = place.coats;
      more.push_back(std::move(entry));
    }
    colours.push_back({{"name", colour.name},
                       {"asked", or_null(colour.asked)},
                       {"laid", colour.everywhere},
                       {"more", std::move(more)},
                       {"missing", or_null(colour.missing())}});
  }
  Object firings = Object::array();
  for (const LogEntry& entry : piece.summary.firings) firings.push_back(entry_object(entry));
  Object changes = Object::array();
  for (const ColourChange& change : piece.summary.changes) {
    changes.push_back({{"of", change.of},
                       {"from", name_of(change.from)},
                       {"to", name_of(change.to)},
                       {"tiles", change.tiles},
                       {"lighter", scatter_object(change.lighter, 100.0)},
                       {"apart", scatter_object(change.apart, 100.0)},
                       {"doubtful", change.doubtful}});
  }
  Object needs = Object::array();
  for (const ColourNeed& need : piece.summary.needs) {
    needs.push_back({{"colour", need.name},
                     {"ml_per_m2", scatter_object(need.ml_per_m2, 10.0)},
                     {"readings", need.readings}});
  }
  return {{"complete", piece.summary.complete()},
          {"colours", std::move(colours)},
          {"firings", std::move(firings)},
          {"lines_kept", piece.lines_kept},
          {"changes", std::move(changes)},
          {"coverage", std::move(needs)}};
}

Object entry_object(const LogEntry& entry) {
  Object object = {{"number", entry.id}};
  std::visit(Each{[&](const CoatsLaid& laid) {
                    object["kind"] = "coats";
                    object["colour"] = laid.colour;
                    object["coats"] = laid.count;
                    object.update(place_object(laid.place));
                  },
                  [&](const Firing& firing) {
                    object["kind"] = "firing";
                    object["stage"] = firing.stage;
                  },
                  [&](const TileReading& tile) {
                    object["kind"] = "tile";
                    object["tile"] = tile.tile;
                    object["of"] = tile.of;
                    object["state"] = name_of(tile.state);
                    object["lab"] = lab_object(tile.colour);
                    object["spread"] = rounded(tile.spread, 100.0);
                    object["grey_patch_l"] = rounded(tile.grey_l, 100.0);
                    object["photo"] = tile.photo;
                    object["checksum"] = tile.checksum;
                  },
                  [&](const ColourUsed& used) {
                    object["kind"] = "coverage";
                    object["colour"] = used.colour;
                    object["ml"] = used.ml;
                    object["area_cm2"] = used.area_cm2;
                    object["coats"] = used.coats;
                    object["ml_per_m2"] = rounded(used.ml_per_m2(), 10.0);
                  }},
             entry.content);
  object["note"] = entry.note;
  object["at"] = entry.at;
  object["taken_back_at"] = or_null(entry.undone_at);
  return object;
}

}  // namespace underdraw::cli
