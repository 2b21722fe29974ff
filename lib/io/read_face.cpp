#include "io/read_face.h"

#include <algorithm>
#include <array>
#include <cmath>
#include <filesystem>

#include <fmt/format.h>
#include <fmt/ranges.h>

#include "io/svg.h"
#include "piece/readings.h"
#include "piece/surface.h"

namespace underdraw {
namespace {

const TomlRange kSize{1.0, 20000.0, "mm"};
const TomlRange kPlace{0.0, 20000.0, "mm"};

std::vector<std::string> keys_of(const std::string& form) {
  std::vector<std::string> keys = {"name", "form", "keep_out"};
  const auto with = [&](std::initializer_list<const char*> more) {
    keys.insert(keys.end(), more.begin(), more.end());
  };
  if (form == "flat") with({"width", "height", "outline", "joint"});
  if (form == "cylinder") with({"circumference", "diameter", "height"});
  if (form == "cone") with({"foot", "rim", "foot_diameter", "rim_diameter", "height", "slant"});
  if (form == "turned") with({"profile", "wall_profile", "between"});
  if (form == "ring") with({"inner", "outer", "height", "slant"});
  if (form == "ball") with({"circumference", "diameter"});
  if (form == "patch") with({"across", "across_chord", "up", "up_chord", "saddle"});
  return keys;
}

// `where`: "at the rim".
double circumference(const TomlTable& table,
                     const char* key,
                     const char* diameter_key,
                     const char* where = "") {
  const auto stated = table.number(key, kSize);
  const auto diameter = table.number(diameter_key, kSize);
  if (!stated && !diameter) {
    table.refuse_missing(key, fmt::format("the tape once round, in mm, or {}", diameter_key));
  }
  return table.with_place(stated ? key : diameter_key,
                          [&] { return circumference_from(stated, diameter, where); });
}

// The outer contours of an SVG file, mm, moved to the origin.
FlatFace shaped_face(const TomlTable& table) {
  const std::string name = table.need_file("outline", "an SVG file with one closed line");
  const std::filesystem::path path = std::filesystem::path(table.file()).parent_path() / name;
  // The line's middle is the edge of the face, whatever its width.
  const Linework lines = read_motif_svg(path).lines;
  std::vector<std::vector<Vec2>> rings;
  const auto add = [&](const Path& path_of_ring) {
    if (path_of_ring.closed) rings.push_back(flatten(path_of_ring, 0.02));
  };
  for (const Stroke& stroke : lines.strokes) add(stroke.path);
  for (const Area& area : lines.areas) {
    for (const Path& ring : area.rings) add(ring);
  }
  FlatFace face;
  face.outline = outlines_grown(rings, 0.0);
  if (face.outline.empty()) {
    table.refuse("outline",
                 fmt::format("'{}' has no closed line", name),
                 "the face's outline as one closed line",
                 "close the line in the drawing");
  }
  const Box box = box_of(face.outline);
  face.outline = transformed(face.outline, Affine::translate(-box.min));
  face.width_mm = box.width();
  face.height_mm = box.height();
  return face;
}

FlatFace flat_face(const TomlTable& table) {
  FlatFace face;
  if (table.has("outline")) {
    for (const char* key : {"width", "height"}) {
      if (table.has(key)) {
        table.refuse(key, "goes with a rectangle", "outline alone: it has its size", "remove it");
      }
    }
    face = shaped_face(table);
  } else {
    face.width_mm = table.need_number("width", kSize);
    face.height_mm = table.need_number("height", kSize);
  }
  face.joint_mm = table.number("joint", {0.0, 50.0, "mm"}).value_or(0.0);
  return face;
}

ConeFace cone_face(const TomlTable& table) {
  ConeFace face;
  face.foot_mm = circumference(table, "foot", "foot_diameter", "at the foot");
  face.rim_mm = circumference(table, "rim", "rim_diameter", "at the rim");
  const auto height = table.number("height", kSize);
  const auto slant = table.number("slant", kSize);
  if (!height && !slant) {
    table.refuse_missing("slant", "the tape along the wall from foot to rim, in mm, or height");
  }
  face.slant_mm = table.with_place(slant ? "slant" : "height", [&] {
    return cone_slant_mm(face.foot_mm, face.rim_mm, height, slant);
  });
  return face;
}

TurnedFace turned_face(const TomlTable& table) {
  TurnedFace face;
  face.along_wall = table.has("wall_profile");
  if (face.along_wall && table.has("profile")) {
    table.refuse("profile",
                 "says how the wall runs, and so does wall_profile",
                 "one of the two",
                 "remove one");
  }
  if (!face.along_wall && !table.has("profile")) {
    table.refuse_missing("profile",
                         "[[height, circumference], …] from the foot upward, or wall_profile with "
                         "lengths along the wall");
  }
  const char* key = face.along_wall ? "wall_profile" : "profile";
  const auto readings = *table.pairs(key, kPlace, kSize);
  for (const auto& [at, round] : readings) {
    face.readings.push_back({at, round});
  }
  const std::string between = table.text("between").value_or("smooth");
  face.straight = table.choice("between", between, {"smooth", "straight"}) == 1;
  return face;
}

RingFace ring_face(const TomlTable& table) {
  RingFace face{table.need_number("inner", kSize), table.need_number("outer", kSize), 0.0};
  const auto height = table.number("height", kPlace);
  const auto slant = table.number("slant", kSize);
  if (face.outer_mm > face.inner_mm && (height || slant)) {
    face.slant_mm = table.with_place(slant ? "slant" : "height", [&] {
      return ring_slant_mm(face.inner_mm, face.outer_mm, height, slant);
    });
  }
  return face;
}

PatchFace patch_face(const TomlTable& table) {
  PatchFace face;
  face.across_mm = table.need_number("across", kSize);
  face.up_mm = table.need_number("up", kSize);
  face.across_chord_mm = table.need_number("across_chord", kSize);
  face.up_chord_mm = table.need_number("up_chord", kSize);
  face.saddle = table.yes("saddle").value_or(false);
  return face;
}

FaceForm form_of(const TomlTable& table, const std::string& form) {
  if (form == "flat") return flat_face(table);
  if (form == "cylinder") {
    return CylinderFace{circumference(table, "circumference", "diameter"),
                        table.need_number("height", kSize)};
  }
  if (form == "cone") return cone_face(table);
  if (form == "turned") return turned_face(table);
  if (form == "ring") return ring_face(table);
  if (form == "ball") return BallFace{circumference(table, "circumference", "diameter")};
  return patch_face(table);
}

// [from, to] with from < to.
std::array<double, 2> read_span(const TomlTable& table, const char* key, const TomlRange& range) {
  const auto ends = *table.numbers(key, range);
  if (ends.size() != 2 || !(ends[0] < ends[1])) {
    table.refuse(
        key, fmt::format("is [{}]", fmt::join(ends, ", ")), "[from, to] with from below to");
  }
  return {ends[0], ends[1]};
}

// A missing side means all of it.
KeepOut read_zone(const TomlTable& table, const Surface& surface) {
  KeepOut zone;
  zone.why = table.text("why").value_or("");
  if (has_control_character(zone.why)) {
    table.refuse("why", "has a control character in it", "plain words");
  }
  const char* across = surface.round() ? "a" : "x";
  const char* along = surface.round() ? "s" : "y";
  if (!table.has(across) && !table.has(along)) {
    table.refuse_missing(across,
                         fmt::format("{0} = [from, to], {1} = [from, to] or both", across, along));
  }
  std::array<double, 2> x = {0.0, surface.round() ? 360.0 : surface.widest_mm()};
  std::array<double, 2> y = {0.0, surface.along_mm()};
  if (table.has(along)) y = read_span(table, along, kPlace);
  if (table.has(across) && !surface.round()) x = read_span(table, across, kPlace);
  if (table.has(across) && surface.round()) {
    // [350, 10] runs over the seam tick.
    const auto ends = *table.numbers("a", {-360.0, 720.0, "degrees"});
    if (ends.size() != 2 || ends[0] == ends[1] || std::abs(ends[1] - ends[0]) > 360.0) {
      table.refuse("a",
                   fmt::format("is [{}]", fmt::join(ends, ", ")),
                   "[from, to] in degrees, to the right from the first to the second");
    }
    x = {ends[0], ends[1]};
  }
  return {x[0], x[1], y[0], y[1], zone.why};
}

}  // namespace

Face read_face(const toml::table& raw, const std::string& file) {
  // The form decides which keys there are, so it is looked at first.
  const toml::node* form = raw.get("form");
  const std::string form_name = form && form->is_string() ? *form->value<std::string>() : "";
  std::vector<std::string> any;
  for (const auto& [key, value] : raw) any.emplace_back(key.str());
  const TomlTable first(raw, file, "[[face]]", any);
  first.need_text("form", words_or(form_names()));
  first.choice("form", form_name, form_names());

  const TomlTable table(raw, file, "[[face]] of form " + form_name, keys_of(form_name));
  Face face;
  face.name = name_for_a_file(table, "name", table.need_text("name", "a name for the face"));
  face.form = form_of(table, form_name);
  const Surface surface = table.with_place("form", [&] { return surface_of(face); });
  const std::vector<std::string> zone_keys = surface.round()
                                                 ? std::vector<std::string>{"a", "s", "why"}
                                                 : std::vector<std::string>{"x", "y", "why"};
  for (const toml::table* zone : table.tables("keep_out")) {
    face.keep_out.push_back(read_zone(TomlTable(*zone, file, "keep_out", zone_keys), surface));
  }
  return face;
}

}  // namespace underdraw
