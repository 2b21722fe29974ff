#include "piece_object.h"

#include "io/placements_file.h"

namespace underdraw::cli {

using Json = nlohmann::ordered_json;

Json motif_object(const Motif& motif) {
  return {{"name", motif.name},
          {"width_mm", motif.width_mm},
          {"height_mm", motif.height_mm},
          {"strokes", motif.lines.strokes.size()},
          {"areas", motif.lines.areas.size()},
          {"length_mm", motif.lines.length_mm()}};
}

Json sheets_object(const SheetPlan& plan) {
  return {{"count", plan.sheets.size()},
          {"least_count", plan.least_sheets},
          {"share_used", plan.share_used},
          {"turn", cut_out_turn_name(plan.options.turn)},
          {"paper", plan.options.paper.name},
          {"width_mm", plan.options.paper.width_mm},
          {"height_mm", plan.options.paper.height_mm},
          {"transfer", transfer_name(plan.options.method)},
          {"printed_mirrored", plan.printed_mirrored()},
          {"printer", plan.options.printer ? Json(plan.options.printer->name) : Json(nullptr)}};
}

Json proof_object(const ProofReport& report) { return Json::parse(proof_text(report)); }

Json piece_object(const PieceResult& made, MakeStep until) {
  Json object;
  object["piece"] = made.piece.name;
  Json pages = Json::array();
  for (const TracedFilePage& page : made.pages) {
    pages.push_back({{"file", page.file},
                     {"page", page.page},
                     {"dpi", page.dpi},
                     {"width_mm", page.traced.width_mm},
                     {"height_mm", page.traced.height_mm},
                     {"sketches", page.traced.sketches.size()}});
  }
  object["pages"] = pages;
  Json motifs = Json::array();
  for (const Motif& motif : made.motifs) motifs.push_back(motif_object(motif));
  object["motifs"] = motifs;
  if (until >= MakeStep::vary) {
    Json variants = Json::array();
    for (const Variant& variant : made.variants.variants) {
      variants.push_back({{"name", variant.motif.name},
                          {"motif", variant.source},
                          {"mirrored", variant.change.mirrored}});
    }
    object["variants"] = variants;
    object["own_mirrors"] = made.variants.own_mirrors;
  }
  if (until >= MakeStep::place) {
    object["faces"] = Json::parse(placements_text(made.faces)).at("faces");
  }
  if (until >= MakeStep::sheet) object["sheets"] = sheets_object(made.sheets);
  if (until >= MakeStep::proof) object["proof"] = proof_object(made.proof);
  object["warnings"] = made.warnings;
  object["files"] = made.files;
  return object;
}

}  // namespace underdraw::cli
