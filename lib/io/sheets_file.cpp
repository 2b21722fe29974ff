#include "io/sheets_file.h"

#include <fmt/format.h>

#include "core/error.h"
#include "io/face_json.h"
#include "io/json_value.h"
#include "io/write_drawing.h"
#include "sheet/draw_cover.h"
#include "sheet/split_cut_out.h"

namespace underdraw {
namespace {

Json json_of(const Bar& bar) { return Json::array({bar.from.x, bar.from.y, bar.to.x, bar.to.y}); }

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

Json json_of(const CutOutPart& part) {
  Json crosses = Json::array();
  for (const Vec2 cross : part.crosses) crosses.push_back(json_of(cross));
  return {{"number", part.number},
          {"count", part.count},
          {"row", part.row},
          {"column", part.column},
          {"window", json_of(part.window)},
          {"edge_mm", part.edge_mm},
          {"crosses", std::move(crosses)},
          {"sheet_from_print", json_of(part.sheet_from_print)},
          {"words_box", json_of(part.words_box)}};
}

Json json_of(const CutOut& cut_out) {
  Json darts = Json::array();
  for (const Path& dart : cut_out.darts) darts.push_back(json_of(dart));
  Json labels = Json::array();
  for (const Box& box : cut_out.label_boxes) labels.push_back(json_of(box));
  Json out = {{"placement", cut_out.placement},
              {"motif", cut_out.motif},
              {"mirrored", cut_out.mirrored},
              {"height_mm", cut_out.height_mm},
              {"sheet_from_motif", json_of(cut_out.sheet_from_motif)},
              {"cut_line", json_of(cut_out.cut_line)},
              {"darts", std::move(darts)},
              {"turn_deg", cut_out.turn_deg},
              {"number_box", json_of(cut_out.number_box)},
              {"label_boxes", std::move(labels)}};
  if (cut_out.part) out["part"] = json_of(*cut_out.part);
  return out;
}

Bar bar_of(const JsonValue& v) {
  const auto n = v.lengths(4);
  return {{n[0], n[1]}, {n[2], n[3]}};
}

Motif motif_of(const JsonValue& r) {
  Motif motif;
  motif.name = r.at("name").text();
  motif.width_mm = r.at("width_mm").number(1e-3, 1e4);
  motif.height_mm = r.at("height_mm").number(1e-3, 1e4);
  motif.lines.strokes = r.at("strokes").list([](const JsonValue& s) {
    // Sheets are printed with one width a line, so the widths along it stay behind.
    return Stroke{s.path(), s.at("width_mm").number(0.0, 100.0)};
  });
  motif.lines.areas = r.at("areas").list([](const JsonValue& a) {
    return Area{a.list([](const JsonValue& ring) { return ring.path(); })};
  });
  if (motif.lines.empty()) r.refuse("has no lines", {});
  return motif;
}

CutOutPart part_of(const JsonValue& r) {
  CutOutPart part;
  part.count = r.at("count").whole(2, kMostParts);
  part.number = r.at("number").whole(1, part.count);
  part.row = r.at("row").whole(0, kMostParts - 1);
  part.column = r.at("column").whole(0, kMostParts - 1);
  part.window = r.at("window").box();
  part.edge_mm = r.at("edge_mm").number(0.0, 100.0);
  part.crosses = r.at("crosses").list([](const JsonValue& c) { return c.point(); });
  part.sheet_from_print = r.at("sheet_from_print").affine();
  part.words_box = r.at("words_box").box();
  return part;
}

CutOut cut_out_of(const JsonValue& r) {
  CutOut out;
  out.placement = r.at("placement").whole(1, 1'000'000);
  out.motif = r.at("motif").text();
  out.mirrored = r.at("mirrored").yes();
  out.height_mm = r.at("height_mm").number(1e-3, 1e4);
  out.sheet_from_motif = r.at("sheet_from_motif").affine();
  out.cut_line = r.at("cut_line").path();
  out.area = out.cut_line.box();
  out.darts = r.at("darts").list([](const JsonValue& dart) { return dart.path(); });
  out.turn_deg = r.at("turn_deg").number(-3600.0, 3600.0);
  out.number_box = r.at("number_box").box();
  out.label_boxes = r.at("label_boxes").list([](const JsonValue& b) { return b.box(); });
  if (r.has("part")) out.part = part_of(r.at("part"));
  return out;
}

PrinterCorrection printer_of(const JsonValue& r) {
  const PrinterCorrection printer{
      r.at("name").text(), r.at("across").number(0.5, 2.0), r.at("down").number(0.5, 2.0)};
  try {
    printer.validate();
  } catch (const OptionError& e) {
    r.refuse("is no printer's: " + e.complaint().found, e.complaint().expected);
  }
  return printer;
}

SheetFrame frame_of(const JsonValue& r) {
  SheetFrame frame;
  frame.printable = r.at("printable").box();
  frame.work = r.at("work").box();
  frame.across = bar_of(r.at("across"));
  frame.down = bar_of(r.at("down"));
  frame.tick_mm = r.at("tick_mm").number(0.5, 20.0);
  frame.sheet_from_sign = r.at("sheet_from_sign").affine();
  return frame;
}

SheetPlan plan_of(const JsonValue& r) {
  check_json_schema(r, kSheetsSchema);
  SheetPlan plan;
  plan.piece = r.at("piece").text();
  const JsonValue paper = r.at("paper");
  plan.options.paper = {paper.at("name").text(),
                        paper.at("width_mm").number(50.0, 2000.0),
                        paper.at("height_mm").number(50.0, 2000.0)};
  plan.options.margin_mm = r.at("margin_mm").number(5.0, 25.0);
  plan.options.clearance_mm = r.at("clearance_mm").number(1.0, 20.0);
  plan.options.spacing_mm = r.at("spacing_mm").number(0.0, 20.0);
  plan.options.pitch_mm = r.at("pitch_mm").number(kLeastPitchMm, kMostPitchMm);
  try {
    plan.options.turn = cut_out_turn(r.at("turn").text());
  } catch (const OptionError& e) {
    r.at("turn").refuse("is unknown: " + e.complaint().found, e.complaint().expected);
  }
  try {
    plan.options.method = transfer_method(r.at("transfer").text());
  } catch (const OptionError& e) {
    r.at("transfer").refuse("is unknown: " + e.complaint().found, e.complaint().expected);
  }
  if (r.has("printer")) plan.options.printer = printer_of(r.at("printer"));
  plan.cover_pages = r.at("cover_pages").whole(0, 10'000);
  plan.frame = frame_of(r.at("frame"));
  plan.motifs = r.at("motifs").list(motif_of);
  plan.faces = r.at("faces").list(face_of_json);
  plan.sheets = r.at("sheets").list([](const JsonValue& s) {
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
  for (const PlacedFace& face : plan.faces) faces.push_back(json_of_face(face));
  Json sheets = Json::array();
  for (const Sheet& sheet : plan.sheets) {
    Json cut_outs = Json::array();
    for (const CutOut& cut_out : sheet.cut_outs) cut_outs.push_back(json_of(cut_out));
    sheets.push_back({{"face", sheet.face}, {"cut_outs", std::move(cut_outs)}});
  }
  const SheetFrame& frame = plan.frame;
  Json out = {{"schema", kSheetsSchema},
              {"piece", plan.piece},
              {"paper",
               {{"name", plan.options.paper.name},
                {"width_mm", plan.options.paper.width_mm},
                {"height_mm", plan.options.paper.height_mm}}},
              {"margin_mm", plan.options.margin_mm},
              {"clearance_mm", plan.options.clearance_mm},
              {"spacing_mm", plan.options.spacing_mm},
              {"pitch_mm", plan.options.pitch_mm},
              {"turn", cut_out_turn_name(plan.options.turn)},
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
  if (const auto& printer = plan.options.printer) {
    out["printer"] = {
        {"name", printer->name}, {"across", printer->across}, {"down", printer->down}};
  }
  return out.dump(-1, ' ', false, Json::error_handler_t::replace) + "\n";
}

SheetPlan sheets_of_text(std::string_view text, const std::string& file) {
  const JsonSource source{file, "a plan of sheets", "make the sheets again"};
  const Json json = parsed_json(text, source);
  return plan_of(JsonValue(json, source));
}

std::string sheets_pdf(const SheetPlan& plan, const std::optional<std::string>& created) {
  return pdf_of_drawings(
      draw_pages(plan),
      {.title = fmt::format("{} – {}s", plan.piece, plan.cover.sheets),
       .created = created,
       .attachments = {{kSheetsAttachment, "application/json", sheets_text(plan)}},
       .printer = plan.options.printer});
}

}  // namespace underdraw
