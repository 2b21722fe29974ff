#include "io/read_arrangement.h"

#include <algorithm>

#include <fmt/format.h>

#include "piece/surface.h"

namespace underdraw {
namespace {

const TomlRange kSize{1.0, 5000.0, "mm"};
const TomlRange kPlace{0.0, 20000.0, "mm"};
const TomlRange kGap{0.0, 5000.0, "mm"};
const std::vector<std::string> kMirrors = {"none", "alternate", "both"};

// Keys that only some styles have a use for.
struct KeyOfStyles {
  const char* key;
  std::vector<Style> styles;
};

const std::vector<KeyOfStyles>& keys_of_styles() {
  using enum Style;
  static const std::vector<KeyOfStyles> kKeys = {
      {"at", {Style::centre, band}},
      {"centre", {Style::centre, ring}},
      {"count", {band, rows, brick, half_drop, ring}},
      {"coverage", {scatter}},
      {"frieze", {band}},
      {"radius", {ring}},
      {"row_gap", {band, rows, brick, half_drop}},
      {"rows", {rows, brick, half_drop}},
      {"same_count", {rows, brick, half_drop}},
      {"seed", {scatter}},
      {"size_give", {band, rows, brick, half_drop}},
      {"sizes", {scatter}},
      {"weights", {scatter}},
  };
  return kKeys;
}

std::vector<std::string> all_keys() {
  std::vector<std::string> keys = {
      "face", "style", "motifs", "mirror", "height", "gap", "edge", "turn", "behind", "cut_gap"};
  for (const KeyOfStyles& entry : keys_of_styles()) keys.emplace_back(entry.key);
  return keys;
}

void check_keys(const TomlTable& table, Style style) {
  for (const KeyOfStyles& entry : keys_of_styles()) {
    if (!table.has(entry.key)) continue;
    if (std::find(entry.styles.begin(), entry.styles.end(), style) != entry.styles.end()) continue;
    std::vector<std::string> names;
    for (const Style known : entry.styles) names.push_back(name_of(known));
    table.refuse(entry.key,
                 fmt::format("does not go with style {}", name_of(style)),
                 "style " + words_or(names),
                 "remove it");
  }
  if (table.has("frieze") && table.has("mirror")) {
    table.refuse(
        "mirror", "does not go with frieze, which mirrors as it says", "one of them", "remove one");
  }
  if (table.has("at") && table.has("centre")) {
    table.refuse("at", "and centre both say where", "one of them", "remove one");
  }
  if (table.has("cut_gap") && !table.yes("behind").value_or(false)) {
    table.refuse("cut_gap", "goes with behind = true", "behind = true", "remove it");
  }
}

}  // namespace

Arrangement read_arrangement(const toml::table& raw,
                             const std::string& file,
                             const std::vector<Face>& faces,
                             const std::vector<std::string>& motifs) {
  const TomlTable table(raw, file, "[[arrange]]", all_keys());
  Arrangement asked;
  asked.line = table.line();
  std::vector<std::string> names;
  for (const Face& face : faces) names.push_back(face.name);
  asked.face = table.need_text("face", words_or(names));
  const Face& face =
      faces[table.choice("face", asked.face, names, "is '{}', and no face is named so")];
  const std::string style = table.need_text("style", words_or(style_names()));
  asked.style = static_cast<Style>(table.choice("style", style, style_names()));
  check_keys(table, asked.style);

  const auto listed_motifs = table.texts("motifs");
  if (!listed_motifs || listed_motifs->empty()) {
    table.refuse_missing("motifs", "a list of motif names");
  }
  for (const std::string& name : *listed_motifs) {
    table.choice("motifs", name, motifs, "names '{}', and no sketch is named so");
  }
  asked.motifs = *listed_motifs;
  const std::string mirror = table.text("mirror").value_or("none");
  asked.mirror = static_cast<Mirroring>(table.choice("mirror", mirror, kMirrors));
  if (const auto frieze = table.text("frieze")) {
    asked.frieze = static_cast<Frieze>(table.choice("frieze", *frieze, frieze_names()));
  }
  const auto one_a_motif = [&](const char* key, const TomlRange& range) {
    const std::vector<double> list = table.one_or_more(key, range).value_or(std::vector<double>{});
    if (list.size() > 1 && list.size() != asked.motifs.size()) {
      table.refuse(key,
                   fmt::format("holds {} numbers for {} motifs", list.size(), asked.motifs.size()),
                   "one, or one a motif",
                   "state as many as there are motifs");
    }
    return list;
  };
  asked.heights_mm = one_a_motif("height", kSize);
  asked.weights = one_a_motif("weights", {0.01, 100.0, "times"});
  asked.sizes_percent =
      table.one_or_more("sizes", {5.0, 100.0, "percent"}).value_or(std::vector<double>{});
  asked.at_mm = table.number("at", kPlace);
  asked.gap_mm = table.number("gap", kGap);
  asked.rows = table.whole("rows", 1, 1000);
  asked.row_gap_mm = table.number("row_gap", kGap);
  asked.count = table.whole("count", 1, 5000);
  asked.size_give_percent = table.number("size_give", {0.0, 30.0, "percent"}).value_or(0.0);
  asked.same_count = table.yes("same_count").value_or(false);
  asked.edge_mm = table.number("edge", {0.0, 1000.0, "mm"}).value_or(0.0);
  asked.radius_mm = table.number("radius", kPlace);
  asked.coverage_percent = table.number("coverage", {1.0, 95.0, "percent"});
  asked.seed = static_cast<std::uint32_t>(table.whole("seed", 0, 1'000'000'000).value_or(1));
  asked.behind = table.yes("behind").value_or(false);
  asked.cut_gap_mm = table.number("cut_gap", {0.0, 0.5, "mm"}).value_or(asked.cut_gap_mm);

  const toml::node* turn = table.node("turn");
  if (turn && turn->is_string()) {
    table.choice("turn", *table.text("turn"), {"free"});
    if (asked.style != Style::scatter) {
      table.refuse("turn", "is 'free'", "a number of degrees; 'free' goes with style scatter");
    }
    asked.turn_free = true;
  } else {
    asked.turn_deg = table.number("turn", {-360.0, 360.0, "degrees"}).value_or(0.0);
  }
  if (const auto centre = table.numbers("centre", {0.0, 20000.0, "mm or degrees"})) {
    const Surface surface = surface_of(face);
    const double most = surface.round() ? 360.0 : surface.widest_mm();
    if (centre->size() != 2 || (*centre)[0] > most || (*centre)[1] > surface.along_mm()) {
      table.refuse(
          "centre",
          "is not a point of the face",
          surface.round()
              ? fmt::format("[a, s]: 0 to 360 degrees, 0 to {:.1f} mm", surface.along_mm())
              : fmt::format("[x, y]: 0 to {:.1f} mm, 0 to {:.1f} mm", most, surface.along_mm()));
    }
    asked.centre = FacePoint{(*centre)[0], (*centre)[1]};
  }
  return asked;
}

}  // namespace underdraw
