#include "io/read_colours.h"

#include <algorithm>
#include <map>

#include <fmt/format.h>

#include "coats/area_name.h"

namespace underdraw {
namespace {

Colour read_colour(const TomlTable& table) {
  Colour colour;
  colour.line = table.line();
  colour.name = table.need_text("name", "a name for the colour");
  if (colour.name.empty() || colour.name.size() > kLongestName ||
      has_control_character(colour.name)) {
    table.refuse("name", "is empty, very long or has a control character in it", "a short name");
  }
  if (const auto kind = table.text("kind")) {
    colour.kind = static_cast<ColourKind>(table.choice("kind", *kind, colour_kind_names()));
  }
  colour.coats = usual_coats(colour.kind);
  if (table.has("coats") && colour.kind == ColourKind::wash) {
    table.refuse("coats",
                 "does not go with a wash, which is laid until it looks right",
                 "kind = \"thin\" with a count, or no coats",
                 "remove it");
  }
  colour.coats = table.whole("coats", 1, 20).value_or(colour.coats);
  colour.drying_min = table.number("drying", {0.0, 2880.0, "minutes"}).value_or(colour.drying_min);
  colour.ml_per_m2 = table.number("coverage", {10.0, 5000.0, "ml for a square metre and coat"});
  colour.on = table.texts("on").value_or(std::vector<std::string>{});
  return colour;
}

// "the wall", "a motif": what may stand under `on`.
std::string known_parts(const std::vector<std::string>& faces,
                        const std::vector<std::string>& motifs) {
  std::vector<std::string> known = faces;
  known.insert(known.end(), motifs.begin(), motifs.end());
  if (known.empty()) return "a face or a motif of the piece";
  return words_or(known) + ", or one area of a motif: its name and letter";
}

}  // namespace

const std::vector<std::string>& coats_keys() {
  static const std::vector<std::string> kKeys = {"gap", "close", "order", "hold", "pace"};
  return kKeys;
}

CoatOptions read_coats(const TomlTable& table) {
  CoatOptions coats;
  coats.gap_mm = table.number("gap", {0.0, 0.5, "mm"}).value_or(coats.gap_mm);
  coats.close_mm = table.number("close", {0.0, 5.0, "mm"}).value_or(coats.close_mm);
  if (const auto order = table.text("order")) {
    coats.order = static_cast<PaintOrder>(table.choice("order", *order, paint_order_names()));
  }
  if (const auto hold = table.text("hold")) {
    coats.hold = static_cast<Hold>(table.choice("hold", *hold, hold_names()));
  }
  coats.pace_cm2_per_min =
      table.number("pace", {0.5, 500.0, "cm2 a minute"}).value_or(coats.pace_cm2_per_min);
  return coats;
}

std::vector<Colour> read_colours(const std::vector<const toml::table*>& tables,
                                 const std::string& file,
                                 const std::vector<std::string>& faces,
                                 const std::vector<std::string>& motifs) {
  const auto known = [](const std::vector<std::string>& names, const std::string& name) {
    return std::find(names.begin(), names.end(), name) != names.end();
  };
  std::vector<Colour> colours;
  std::map<std::string, std::string> taken;  // part, and the colour that is on it
  for (const toml::table* raw : tables) {
    const TomlTable table(
        *raw, file, "[[colour]]", {"name", "kind", "coats", "drying", "coverage", "on"});
    Colour colour = read_colour(table);
    for (const Colour& other : colours) {
      if (other.name != colour.name) continue;
      table.refuse(
          "name",
          fmt::format("'{}' is the name of the colour of line {} too", colour.name, other.line),
          "a name of its own for each",
          "rename one, or put both parts under one 'on'");
    }
    for (const std::string& part : colour.on) {
      const auto area = area_of_motif(part);
      if (!known(faces, part) && !known(motifs, part) && !(area && known(motifs, area->motif))) {
        table.refuse("on",
                     fmt::format("names '{}', which is no part of this piece", part),
                     known_parts(faces, motifs),
                     "`underdraw coats` draws the areas with their letters");
      }
      const auto [before, is_new] = taken.emplace(part, colour.name);
      if (is_new) continue;
      table.refuse("on",
                   fmt::format("puts '{}' and '{}' on '{}'", before->second, colour.name, part),
                   "one colour for each part",
                   "remove it from one of them");
    }
    colours.push_back(std::move(colour));
  }
  return colours;
}

}  // namespace underdraw
