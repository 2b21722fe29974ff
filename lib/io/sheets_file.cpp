#include "io/sheets_file.h"

#include <cmath>

#include <fmt/format.h>
#include <nlohmann/json.hpp>

#include "core/error.h"
#include "io/write_drawing.h"
#include "sheet/draw_cover.h"

namespace underdraw {
namespace {

using Json = nlohmann::ordered_json;

Json json_of(Vec2 p) { return Json::array({p.x, p.y}); }
Json json_of(const Box& b) { return Json::array({b.min.x, b.min.y, b.max.x, b.max.y}); }
Json json_of(const Affine& a) { return Json::array({a.xx, a.xy, a.tx, a.yx, a.yy, a.ty}); }
Json json_of(const Bar& bar) { return Json::array({bar.from.x, bar.from.y, bar.to.x, bar.to.y}); }

Json json_of(const Path& path) {
  Json points = Json::array();
  for (const Vec2 p : path.points) {
    points.push_back(p.x);
    points.push_back(p.y);
  }
  return {{"closed", path.closed}, {"points", std::move(points)}};
}

Json json_of(const Motif& motif) {
  Json strokes = Json::array();
  for (const Stroke& stroke : motif.lines.strokes) {
    Json entry = json_of(stroke.path);
    entry["width_mm"] = stroke.width_mm;
    strokes.push_back(std::move(entry));
  }
  Json areas = Json::array();
  for (const Area& area : motif.lines.areas) {
    Json rings = Json::array();
    for (const Path& ring : area.rings) rings.push_back(json_of(ring));
    areas.push_back(std::move(rings));
  }
  return {{"name", motif.name},
          {"width_mm", motif.width_mm},
          {"height_mm", motif.height_mm},
          {"strokes", std::move(strokes)},
          {"areas", std::move(areas)}};
}

Json json_of(const Placement& placement) {
  return {{"id", placement.id},
          {"motif", placement.motif},
          {"variant", placement.variant},
          {"mirrored", placement.change.mirrored},
          {"turn_deg", placement.change.turn_deg},
          {"scale", placement.change.scale},
          {"centre", json_of(placement.centre)}};
}

Json json_of(const PlacedFace& face) {
  Json placements = Json::array();
  for (const Placement& placement : face.placements) placements.push_back(json_of(placement));
  return {{"name", face.name},
          {"form", face.form},
          {"width_mm", face.flat.width_mm},
          {"height_mm", face.flat.height_mm},
          {"closes_round", face.flat.closes_round},
          {"placements", std::move(placements)}};
}

Json json_of(const CutOut& cut_out) {
  Json labels = Json::array();
  for (const Box& box : cut_out.label_boxes) labels.push_back(json_of(box));
  return {{"placement", cut_out.placement},
          {"motif", cut_out.motif},
          {"mirrored", cut_out.mirrored},
          {"height_mm", cut_out.height_mm},
          {"sheet_from_motif", json_of(cut_out.sheet_from_motif)},
          {"cut_line", json_of(cut_out.cut_line)},
          {"number_box", json_of(cut_out.number_box)},
          {"label_boxes", std::move(labels)}};
}

// Reads one value after the other and knows where it is: "sheets[2].cut_outs[0].placement".
class Reader {
 public:
  Reader(const Json& json, std::string file, std::string where = {})
      : json_(&json), file_(std::move(file)), where_(std::move(where)) {}

  [[noreturn]] void refuse(const std::string& found, const std::string& expected) const {
    throw InputError({.file = file_,
                      .line = {},
                      .found = fmt::format("{} {}", where_.empty() ? "the plan" : where_, found),
                      .expected = expected,
                      .remedy = "make the sheets again"});
  }

  Reader at(const std::string& key) const {
    if (!json_->is_object()) refuse("is not an object", {});
    const auto it = json_->find(key);
    if (it == json_->end()) refuse(fmt::format("lacks \"{}\"", key), {});
    return {*it, file_, where_.empty() ? key : where_ + "." + key};
  }

  template <typename Read>
  auto list(Read read, std::size_t most = 1'000'000) const {
    if (!json_->is_array()) refuse("is not a list", {});
    if (json_->size() > most) refuse("is too long", fmt::format("at most {} entries", most));
    std::vector<decltype(read(*this))> out;
    out.reserve(json_->size());
    for (std::size_t i = 0; i < json_->size(); ++i) {
      out.push_back(read(Reader{(*json_)[i], file_, fmt::format("{}[{}]", where_, i)}));
    }
    return out;
  }

  double number(double low, double high) const {
    if (!json_->is_number()) refuse("is not a number", fmt::format("{:g} to {:g}", low, high));
    const double value = json_->get<double>();
    if (!(value >= low && value <= high)) {
      refuse(fmt::format("is {:g}", value), fmt::format("{:g} to {:g}", low, high));
    }
    return value;
  }
  double mm() const { return number(-1e5, 1e5); }
  int whole(int low, int high) const {
    const double value = number(low, high);
    if (value != std::floor(value)) refuse(fmt::format("is {:g}", value), "a whole number");
    return static_cast<int>(value);
  }
  bool truth() const {
    if (!json_->is_boolean()) refuse("is not true or false", {});
    return json_->get<bool>();
  }
  std::string text() const {
    if (!json_->is_string()) refuse("is not a text", {});
    return json_->get<std::string>();
  }

  std::vector<double> numbers(std::size_t count) const {
    const std::vector<double> out = list([](const Reader& r) { return r.mm(); });
    if (out.size() != count) {
      refuse(fmt::format("holds {} numbers", out.size()), std::to_string(count));
    }
    return out;
  }
  Vec2 point() const {
    const auto n = numbers(2);
    return {n[0], n[1]};
  }
  Box box() const {
    const auto n = numbers(4);
    if (n[0] > n[2] || n[1] > n[3]) refuse("is not a box", "left, top, right, bottom");
    return {{n[0], n[1]}, {n[2], n[3]}};
  }
  Bar bar() const {
    const auto n = numbers(4);
    return {{n[0], n[1]}, {n[2], n[3]}};
  }
  Affine affine() const {
    const auto n = numbers(6);
    const Affine a{n[0], n[1], n[2], n[3], n[4], n[5]};
    if (std::abs(a.determinant()) < 1e-9) refuse("cannot be undone", {});
    return a;
  }
  Path path() const {
    const std::vector<double> n = at("points").list([](const Reader& r) { return r.mm(); });
    if (n.size() % 2 != 0 || (n.size() / 2) % 3 != 1) {
      at("points").refuse(fmt::format("holds {} numbers", n.size()),
                          "two a point, and 3 n + 1 points");
    }
    Path out;
    out.closed = at("closed").truth();
    for (std::size_t i = 0; i < n.size(); i += 2) out.points.push_back({n[i], n[i + 1]});
    return out;
  }

 private:
  const Json* json_;
  std::string file_;
  std::string where_;
};

Motif motif_of(const Reader& r) {
  Motif motif;
  motif.name = r.at("name").text();
  motif.width_mm = r.at("width_mm").number(1e-3, 1e4);
  motif.height_mm = r.at("height_mm").number(1e-3, 1e4);
  motif.lines.strokes = r.at("strokes").list([](const Reader& s) {
    // Sheets are printed with one width a line, so the widths along it stay behind.
    return Stroke{s.path(), s.at("width_mm").number(0.0, 100.0)};
  });
  motif.lines.areas = r.at("areas").list(
      [](const Reader& a) { return Area{a.list([](const Reader& ring) { return ring.path(); })}; });
  if (motif.lines.empty()) r.refuse("has no lines", {});
  return motif;
}

Placement placement_of(const Reader& r) {
  Placement placement;
  placement.id = r.at("id").whole(1, 1'000'000);
  placement.motif = r.at("motif").text();
  placement.variant = r.at("variant").text();
  placement.change.mirrored = r.at("mirrored").truth();
  placement.change.turn_deg = r.at("turn_deg").number(-1e4, 1e4);
  placement.change.scale = r.at("scale").number(1e-4, 1e4);
  placement.centre = r.at("centre").point();
  return placement;
}

PlacedFace face_of(const Reader& r) {
  PlacedFace face;
  face.name = r.at("name").text();
  face.form = r.at("form").text();
  face.flat.width_mm = r.at("width_mm").number(1.0, 1e4);
  face.flat.height_mm = r.at("height_mm").number(1.0, 1e4);
  face.flat.closes_round = r.at("closes_round").truth();
  face.placements = r.at("placements").list(placement_of);
  return face;
}

CutOut cut_out_of(const Reader& r) {
  CutOut out;
  out.placement = r.at("placement").whole(1, 1'000'000);
  out.motif = r.at("motif").text();
  out.mirrored = r.at("mirrored").truth();
  out.height_mm = r.at("height_mm").number(1e-3, 1e4);
  out.sheet_from_motif = r.at("sheet_from_motif").affine();
  out.cut_line = r.at("cut_line").path();
  out.area = out.cut_line.box();
  out.number_box = r.at("number_box").box();
  out.label_boxes = r.at("label_boxes").list([](const Reader& b) { return b.box(); });
  return out;
}

SheetFrame frame_of(const Reader& r) {
  SheetFrame frame;
  frame.printable = r.at("printable").box();
  frame.work = r.at("work").box();
  frame.across = r.at("across").bar();
  frame.down = r.at("down").bar();
  frame.tick_mm = r.at("tick_mm").number(0.5, 20.0);
  frame.sheet_from_sign = r.at("sheet_from_sign").affine();
  return frame;
}

SheetPlan plan_of(const Reader& r) {
  const int schema = r.at("schema").whole(1, 1'000'000);
  if (schema > kSheetsSchema) {
    r.at("schema").refuse(fmt::format("is {}", schema),
                          fmt::format("at most {}: a newer version wrote it", kSheetsSchema));
  }
  SheetPlan plan;
  plan.piece = r.at("piece").text();
  const Reader paper = r.at("paper");
  plan.options.paper = {paper.at("name").text(),
                        paper.at("width_mm").number(50.0, 2000.0),
                        paper.at("height_mm").number(50.0, 2000.0)};
  plan.options.margin_mm = r.at("margin_mm").number(5.0, 25.0);
  plan.options.clearance_mm = r.at("clearance_mm").number(1.0, 20.0);
  plan.options.spacing_mm = r.at("spacing_mm").number(0.0, 20.0);
  try {
    plan.options.method = transfer_method(r.at("transfer").text());
  } catch (const OptionError& e) {
    r.at("transfer").refuse("is unknown: " + e.complaint().found, e.complaint().expected);
  }
  plan.cover_pages = r.at("cover_pages").whole(0, 10'000);
  plan.frame = frame_of(r.at("frame"));
  plan.motifs = r.at("motifs").list(motif_of);
  plan.faces = r.at("faces").list(face_of);
  plan.sheets = r.at("sheets").list([](const Reader& s) {
    return Sheet{s.at("face").text(), s.at("cut_outs").list(cut_out_of)};
  });
  if (plan.sheets.empty()) r.at("sheets").refuse("is empty", {});
  for (const Sheet& sheet : plan.sheets) {
    for (const CutOut& cut_out : sheet.cut_outs) {
      const auto known = [&](const Motif& m) { return m.name == cut_out.motif; };
      if (std::none_of(plan.motifs.begin(), plan.motifs.end(), known)) {
        r.at("sheets").refuse(fmt::format("names the motif \"{}\"", cut_out.motif),
                              "one of those in the plan");
      }
    }
  }
  return plan;
}

}  // namespace

std::string sheets_text(const SheetPlan& plan) {
  Json motifs = Json::array();
  for (const Motif& motif : plan.motifs) motifs.push_back(json_of(motif));
  Json faces = Json::array();
  for (const PlacedFace& face : plan.faces) faces.push_back(json_of(face));
  Json sheets = Json::array();
  for (const Sheet& sheet : plan.sheets) {
    Json cut_outs = Json::array();
    for (const CutOut& cut_out : sheet.cut_outs) cut_outs.push_back(json_of(cut_out));
    sheets.push_back({{"face", sheet.face}, {"cut_outs", std::move(cut_outs)}});
  }
  const SheetFrame& frame = plan.frame;
  const Json out = {{"schema", kSheetsSchema},
                    {"piece", plan.piece},
                    {"paper",
                     {{"name", plan.options.paper.name},
                      {"width_mm", plan.options.paper.width_mm},
                      {"height_mm", plan.options.paper.height_mm}}},
                    {"margin_mm", plan.options.margin_mm},
                    {"clearance_mm", plan.options.clearance_mm},
                    {"spacing_mm", plan.options.spacing_mm},
                    {"transfer", transfer_name(plan.options.method)},
                    {"printed_mirrored", plan.printed_mirrored()},
                    {"cover_pages", plan.cover_pages},
                    {"frame",
                     {{"printable", json_of(frame.printable)},
                      {"work", json_of(frame.work)},
                      {"across", json_of(frame.across)},
                      {"down", json_of(frame.down)},
                      {"tick_mm", frame.tick_mm},
                      {"sheet_from_sign", json_of(frame.sheet_from_sign)}}},
                    {"motifs", std::move(motifs)},
                    {"faces", std::move(faces)},
                    {"sheets", std::move(sheets)}};
  return out.dump(-1, ' ', false, Json::error_handler_t::replace) + "\n";
}

SheetPlan sheets_of_text(std::string_view text, const std::string& file) {
  const Json json = Json::parse(text, nullptr, false);
  if (json.is_discarded()) {
    throw InputError({.file = file,
                      .line = {},
                      .found = "is not complete JSON",
                      .expected = {},
                      .remedy = "make the sheets again"});
  }
  return plan_of(Reader(json, file));
}

std::string sheets_pdf(const SheetPlan& plan, const std::optional<std::string>& created) {
  return pdf_of_drawings(
      draw_pages(plan),
      {.title = plan.piece + " – transfer sheets",
       .created = created,
       .attachments = {{kSheetsAttachment, "application/json", sheets_text(plan)}}});
}

}  // namespace underdraw
