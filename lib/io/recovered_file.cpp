#include "io/recovered_file.h"

#include <limits>
#include <set>

#include <fmt/format.h>

#include "io/json_value.h"
#include "io/text_file.h"

namespace underdraw {
namespace {

Json json_of(const RecoveredStroke& stroke) {
  Json points = Json::array();
  for (const Vec2 p : stroke.points) {
    points.push_back({rounded_for_json(p.x, 1e5), rounded_for_json(p.y, 1e5)});
  }
  Json out = {{"placement", stroke.placement ? Json(*stroke.placement) : Json(nullptr)},
              {"seen", rounded_for_json(stroke.seen, 1e6)}};
  if (!stroke.photo.empty()) out["photo"] = stroke.photo;
  out[stroke.photo.empty() ? "points" : "points_px"] = std::move(points);
  return out;
}

RecoveredStroke stroke_of(const JsonValue& v) {
  RecoveredStroke stroke;
  const JsonValue placement = v.at("placement");
  if (!placement.null()) stroke.placement = placement.whole(1, std::numeric_limits<int>::max());
  stroke.seen = v.at("seen").number(0.0, 1.0);
  if (v.has("photo")) stroke.photo = v.at("photo").name();
  const JsonValue points = v.at(stroke.photo.empty() ? "points" : "points_px");
  stroke.points = points.list([](const JsonValue& p) { return p.point(); });
  if (stroke.points.empty()) points.refuse("is empty", "at least one point");
  return stroke;
}

}  // namespace

std::string recovered_text(const std::vector<RecoveredFace>& faces) {
  Json list = Json::array();
  for (const RecoveredFace& face : faces) {
    Json strokes = Json::array();
    for (const RecoveredStroke& stroke : face.strokes) strokes.push_back(json_of(stroke));
    list.push_back({{"name", face.name}, {"strokes", std::move(strokes)}});
  }
  const Json root = {{"schema", kRecoveredSchema}, {"faces", std::move(list)}};
  return root.dump(1, ' ', false, Json::error_handler_t::replace) + "\n";
}

std::vector<RecoveredFace> recovered_of_text(std::string_view text, const std::string& file) {
  const JsonSource source{file, "recovered lines", "run 'underdraw recover' again"};
  const Json root = parsed_json(text, source);
  const JsonValue top(root, source);
  check_json_schema(top, kRecoveredSchema);
  std::vector<RecoveredFace> faces;
  std::set<std::string> names;
  for (const JsonValue& item : top.at("faces").items()) {
    faces.push_back({item.at("name").name(), item.at("strokes").list(stroke_of)});
    if (!names.insert(faces.back().name).second) {
      item.at("name").refuse(fmt::format("is '{}', which another has too", faces.back().name),
                             "a name of its own");
    }
  }
  return faces;
}

std::vector<RecoveredFace> read_recovered(const std::filesystem::path& path) {
  return recovered_of_text(
      read_text_file(path, {.expected = "recovered.json", .most_bytes = 100'000'000}),
      path.string());
}

}  // namespace underdraw
