#include "io/placements_file.h"

#include <algorithm>
#include <cmath>
#include <set>

#include <fmt/format.h>
#include <nlohmann/json.hpp>

#include "core/error.h"
#include "io/text_file.h"

namespace underdraw {
namespace {

using Json = nlohmann::ordered_json;

double rounded(double value, double per_unit) {
  if (!std::isfinite(value)) {
    throw OutputError({.file = {},
                       .line = {},
                       .found = "a placement has a number that is not usable",
                       .expected = "finite numbers",
                       .remedy = {}});
  }
  const double out = std::round(value * per_unit) / per_unit;
  return out == 0.0 ? 0.0 : out;  // no -0
}

double mm(double value) { return rounded(value, 1e4); }
double deg(double value) { return rounded(value, 1e5); }
double ratio(double value) { return rounded(value, 1e9); }

Json json_of(const Placement& p, const FaceTemplate& flat) {
  const FacePoint at = flat.face_from_template(p.centre);
  // An angle that rounds up to a whole turn is the tick itself.
  const double across = deg(at.across) >= 360.0 ? 0.0 : deg(at.across);
  const Json centre = flat.closes_round ? Json{{"a_deg", across}, {"s_mm", mm(at.along)}}
                                        : Json{{"x_mm", mm(at.across)}, {"y_mm", mm(at.along)}};
  return {{"id", p.id},
          {"variant", p.variant},
          {"motif", p.motif},
          {"mirrored", p.change.mirrored},
          {"turn_deg", deg(p.change.turn_deg)},
          {"scale", ratio(p.change.scale)},
          {"centre", centre}};
}

Json json_of(const FitReport& r) {
  return {{"style", r.style},
          {"motifs", r.motifs},
          {"mirror", r.mirror},
          {"copies", r.copies},
          {"left_out", r.left_out},
          {"repeats", r.repeats},
          {"rows", r.rows},
          {"gap_mm", mm(r.gap_mm)},
          {"gap_finished_mm", mm(r.gap_finished_mm)},
          {"row_gap_mm", mm(r.row_gap_mm)},
          {"end_gap_mm", mm(r.end_gap_mm)},
          {"seam_error_mm", rounded(r.seam_error_mm, 1e6)},
          {"coverage", rounded(r.coverage, 1e6)},
          {"notes", r.notes},
          {"warnings", r.warnings}};
}

// One value of the file and the way to it, "faces[0].placements[3].centre": what the person or the
// next program is told when it is not what it should be.
class Value {
 public:
  Value(const Json& json, std::string path, const std::string& file)
      : json_(json), path_(std::move(path)), file_(file) {}

  [[noreturn]] void refuse(const std::string& found, const std::string& expected) const {
    throw InputError({.file = file_,
                      .line = {},
                      .found = fmt::format("{} {}", path_.empty() ? "the whole" : path_, found),
                      .expected = expected,
                      .remedy = "run 'underdraw place' again"});
  }

  bool has(const char* key) const { return json_.is_object() && json_.contains(key); }

  Value at(const char* key) const {
    if (!json_.is_object()) refuse("is " + kind(), "an object");
    const std::string path = path_.empty() ? key : path_ + "." + key;
    if (!json_.contains(key)) Value(json_, path, file_).refuse("is missing", "a value");
    return {json_.at(key), path, file_};
  }

  std::vector<Value> items() const {
    if (!json_.is_array()) refuse("is " + kind(), "a list");
    std::vector<Value> out;
    for (std::size_t i = 0; i < json_.size(); ++i) {
      out.emplace_back(json_.at(i), fmt::format("{}[{}]", path_, i), file_);
    }
    return out;
  }

  double number(double low, double high) const {
    if (!json_.is_number()) refuse("is " + kind(), "a number");
    const double value = json_.get<double>();
    if (!(value >= low && value <= high)) {
      refuse(fmt::format("is {}", value), fmt::format("{} to {}", low, high));
    }
    return value;
  }

  int whole(int low, int high) const {
    const double value = number(low, high);
    if (value != std::floor(value)) refuse(fmt::format("is {}", value), "a whole number");
    return static_cast<int>(value);
  }

  bool yes() const {
    if (!json_.is_boolean()) refuse("is " + kind(), "true or false");
    return json_.get<bool>();
  }

  std::string text() const {
    if (!json_.is_string()) refuse("is " + kind(), "text");
    return json_.get<std::string>();
  }

  std::string name() const {
    const std::string value = text();
    if (value.empty()) refuse("is empty", "a name");
    return value;
  }

  std::vector<std::string> texts() const {
    std::vector<std::string> out;
    for (const Value& item : items()) out.push_back(item.text());
    return out;
  }

 private:
  std::string kind() const {
    return json_.is_null() ? "nothing" : fmt::format("of the kind {}", json_.type_name());
  }

  const Json& json_;
  std::string path_;
  const std::string& file_;
};

constexpr double kLargestMm = 10000.0;

Placement placement_of(const Value& v, const FaceTemplate& flat) {
  Placement p;
  p.id = v.at("id").whole(1, 1'000'000);
  p.variant = v.at("variant").name();
  p.motif = v.at("motif").name();
  p.change.mirrored = v.at("mirrored").yes();
  p.change.turn_deg = v.at("turn_deg").number(-360.0, 360.0);
  p.change.scale = v.at("scale").number(1e-3, 1e3);
  const Value centre = v.at("centre");
  const FacePoint at = flat.closes_round ? FacePoint{centre.at("a_deg").number(0.0, 360.0),
                                                     centre.at("s_mm").number(0.0, flat.height_mm)}
                                         : FacePoint{centre.at("x_mm").number(0.0, flat.width_mm),
                                                     centre.at("y_mm").number(0.0, flat.height_mm)};
  p.centre = flat.template_from_face(at);
  return p;
}

FitReport report_of(const Value& v) {
  constexpr int kMany = 1'000'000;
  FitReport r;
  r.style = v.at("style").name();
  r.motifs = v.at("motifs").texts();
  r.mirror = v.at("mirror").name();
  r.copies = v.at("copies").whole(0, kMany);
  r.left_out = v.at("left_out").whole(0, kMany);
  r.repeats = v.at("repeats").whole(0, kMany);
  r.rows = v.at("rows").whole(0, kMany);
  r.gap_mm = v.at("gap_mm").number(0.0, kLargestMm);
  r.gap_finished_mm = v.at("gap_finished_mm").number(0.0, kLargestMm);
  r.row_gap_mm = v.at("row_gap_mm").number(0.0, kLargestMm);
  r.end_gap_mm = v.at("end_gap_mm").number(0.0, kLargestMm);
  r.seam_error_mm = v.at("seam_error_mm").number(0.0, kLargestMm);
  r.coverage = v.at("coverage").number(0.0, 1000.0);
  r.notes = v.at("notes").texts();
  r.warnings = v.at("warnings").texts();
  return r;
}

PlacedFace face_of(const Value& v, std::set<int>& ids) {
  PlacedFace face;
  face.name = v.at("name").name();
  face.form = v.at("form").name();
  if (face.form != "flat" && face.form != "cylinder") {
    v.at("form").refuse(fmt::format("is '{}'", face.form), "flat or cylinder");
  }
  const Value size = v.at("template");
  face.flat = {size.at("width_mm").number(0.5, kLargestMm),
               size.at("height_mm").number(0.5, kLargestMm),
               face.form == "cylinder"};
  for (const Value& item : v.at("placements").items()) {
    face.placements.push_back(placement_of(item, face.flat));
    const int id = face.placements.back().id;
    if (!ids.insert(id).second) {
      item.at("id").refuse(fmt::format("is {}, which another has too", id), "a number of its own");
    }
  }
  const Value report = v.at("report");
  face.coverage = report.at("coverage").number(0.0, 1000.0);
  for (const Value& item : report.at("arrangements").items()) {
    face.reports.push_back(report_of(item));
  }
  return face;
}

Json parsed(std::string_view text, const std::string& file) {
  const auto refuse = [&](std::optional<int> line) {
    throw InputError({.file = file,
                      .line = line,
                      .found = "is damaged: not readable as JSON",
                      .expected = "placements",
                      .remedy = "run 'underdraw place' again"});
  };
  try {
    return Json::parse(text.begin(), text.end());
  } catch (const Json::parse_error& error) {
    const auto at = static_cast<std::ptrdiff_t>(std::min<std::size_t>(error.byte, text.size()));
    refuse(1 + static_cast<int>(std::count(text.begin(), text.begin() + at, '\n')));
  } catch (const Json::exception&) {  // a number too large to hold, among others
    refuse({});
  }
  return {};
}

}  // namespace

std::string placements_text(const std::vector<PlacedFace>& faces) {
  Json list = Json::array();
  for (const PlacedFace& face : faces) {
    Json placements = Json::array();
    for (const Placement& p : face.placements) placements.push_back(json_of(p, face.flat));
    Json reports = Json::array();
    for (const FitReport& r : face.reports) reports.push_back(json_of(r));
    list.push_back(
        {{"name", face.name},
         {"form", face.form},
         {"template",
          {{"width_mm", mm(face.flat.width_mm)}, {"height_mm", mm(face.flat.height_mm)}}},
         {"placements", std::move(placements)},
         {"report",
          {{"coverage", rounded(face.coverage, 1e6)}, {"arrangements", std::move(reports)}}}});
  }
  const Json root = {{"schema", kPlacementsSchema}, {"faces", std::move(list)}};
  return root.dump(2, ' ', false, Json::error_handler_t::replace) + "\n";
}

std::vector<PlacedFace> placements_of_text(std::string_view text, const std::string& file) {
  const Json root = parsed(text, file);
  const Value top(root, "", file);
  const Value schema = top.at("schema");
  if (schema.whole(1, 1'000'000) > kPlacementsSchema) {
    throw InputError({.file = file,
                      .line = {},
                      .found = fmt::format("schema is {}", schema.whole(1, 1'000'000)),
                      .expected = fmt::format("at most {}", kPlacementsSchema),
                      .remedy = "use a newer underdraw"});
  }
  std::vector<PlacedFace> faces;
  std::set<int> ids;
  std::set<std::string> names;
  for (const Value& item : top.at("faces").items()) {
    faces.push_back(face_of(item, ids));
    if (!names.insert(faces.back().name).second) {
      item.at("name").refuse(fmt::format("is '{}', which another has too", faces.back().name),
                             "a name of its own");
    }
  }
  return faces;
}

std::vector<PlacedFace> read_placements(const std::filesystem::path& path) {
  return placements_of_text(
      read_text_file(path, {.expected = "placements.json", .most_bytes = 100'000'000}),
      path.string());
}

}  // namespace underdraw
