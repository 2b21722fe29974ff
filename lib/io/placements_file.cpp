#include "io/placements_file.h"

#include <set>

#include <fmt/format.h>

#include "io/face_json.h"
#include "io/json_value.h"
#include "io/text_file.h"

namespace underdraw {
namespace {

double mm(double value) { return rounded_for_json(value, 1e4); }
double share(double value) { return rounded_for_json(value, 1e6); }

Json json_of(const FitReport& r) {
  Json out = {{"style", r.style},
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
              {"seam_error_mm", rounded_for_json(r.seam_error_mm, 1e6)},
              {"coverage", share(r.coverage)},
              {"notes", r.notes},
              {"warnings", r.warnings}};
  if (!r.spacing) return out;
  const SpacingQuality& q = *r.spacing;
  out["spacing"] = {{"smallest_gap_mm", mm(q.smallest_gap_mm)},
                    {"median_gap_mm", mm(q.median_gap_mm)},
                    {"same_neighbour_share", share(q.same_neighbour_share)},
                    {"nearest_cv", share(q.nearest_cv)},
                    {"relative_radius", share(q.relative_radius)},
                    {"corridor_mm", mm(q.corridor_mm)},
                    {"profile_variation", share(q.profile_variation)},
                    {"empty_mm", mm(q.empty_mm)},
                    {"empty_radii", share(q.empty_radii)},
                    {"row_strength", share(q.row_strength)}};
  return out;
}

constexpr double kLargestMm = 10000.0;

FitReport report_of(const JsonValue& v) {
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
  if (v.has("spacing")) {
    const JsonValue s = v.at("spacing");
    SpacingQuality q;
    q.smallest_gap_mm = s.at("smallest_gap_mm").number(0.0, kLargestMm);
    q.median_gap_mm = s.at("median_gap_mm").number(0.0, kLargestMm);
    q.same_neighbour_share = s.at("same_neighbour_share").number(0.0, 1.0);
    q.nearest_cv = s.at("nearest_cv").number(0.0, 1000.0);
    q.relative_radius = s.at("relative_radius").number(0.0, 1000.0);
    q.corridor_mm = s.at("corridor_mm").number(0.0, kLargestMm);
    q.profile_variation = s.at("profile_variation").number(0.0, 1000.0);
    q.empty_mm = s.at("empty_mm").number(0.0, kLargestMm);
    q.empty_radii = s.at("empty_radii").number(0.0, 1e6);
    q.row_strength = s.at("row_strength").number(0.0, 1000.0);
    r.spacing = q;
  }
  r.notes = v.at("notes").texts();
  r.warnings = v.at("warnings").texts();
  return r;
}

PlacedFace face_of(const JsonValue& v, std::set<int>& ids) {
  PlacedFace face = face_of_json(v);
  const std::vector<JsonValue> items = v.at("placements").items();
  for (std::size_t i = 0; i < items.size(); ++i) {
    const int id = face.placements[i].id;
    if (!ids.insert(id).second) {
      items[i].at("id").refuse(fmt::format("is {}, which another has too", id),
                               "a number of its own");
    }
  }
  const JsonValue report = v.at("report");
  face.coverage = report.at("coverage").number(0.0, 1000.0);
  face.reports = report.at("arrangements").list(report_of);
  return face;
}

}  // namespace

std::string placements_text(const std::vector<PlacedFace>& faces) {
  Json list = Json::array();
  for (const PlacedFace& face : faces) {
    Json reports = Json::array();
    for (const FitReport& r : face.reports) reports.push_back(json_of(r));
    list.push_back(json_of_face(face));
    list.back()["report"] = {{"coverage", share(face.coverage)},
                             {"arrangements", std::move(reports)}};
  }
  const Json root = {{"schema", kPlacementsSchema}, {"faces", std::move(list)}};
  return root.dump(2, ' ', false, Json::error_handler_t::replace) + "\n";
}

std::vector<PlacedFace> placements_of_text(std::string_view text, const std::string& file) {
  const JsonSource source{file, "placements", "run 'underdraw place' again"};
  const Json root = parsed_json(text, source);
  const JsonValue top(root, source);
  check_json_schema(top, kPlacementsSchema);
  std::vector<PlacedFace> faces;
  std::set<int> ids;
  std::set<std::string> names;
  for (const JsonValue& item : top.at("faces").items()) {
    faces.push_back(face_of(item, ids));
    if (!names.insert(faces.back().face.name).second) {
      item.at("name").refuse(fmt::format("is '{}', which another has too", faces.back().face.name),
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
