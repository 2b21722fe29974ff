#include "io/make_coats.h"

#include <cmath>

#include <fmt/format.h>
#include <nlohmann/json.hpp>

#include "coats/draw_coat_card.h"
#include "coats/draw_paint_map.h"
#include "io/coats_log.h"
#include "io/naming_file.h"
#include "io/write_drawing.h"

namespace fs = std::filesystem;

namespace underdraw {
namespace {

using Object = nlohmann::ordered_json;

constexpr int kCoatsSchema = 1;
constexpr double kPlaced = 0.8;

double rounded(double value) { return std::round(value * 100.0) / 100.0; }

// What the person found out comes before what the label says.
std::vector<Coverage> coverages_of(const std::vector<Colour>& colours, const WorkLog& log) {
  std::vector<Coverage> out;
  for (const Colour& colour : colours) {
    out.push_back(stated_coverage(colour));
    if (const auto measured = measured_need(log, colour.name)) {
      const Scatter& ml = measured->ml_per_m2;
      // One reading says nothing of how far they scatter.
      const double doubt =
          measured->readings > 1 ? 0.0 : out.back().high / out.back().ml_per_m2 - 1.0;
      out.back() = {ml.median, ml.least * (1.0 - doubt), ml.most * (1.0 + doubt), true};
    }
  }
  return out;
}

Object colour_or_null(const PaintMap& map, std::optional<std::size_t> colour) {
  return colour ? Object(map.colours[*colour].name) : Object(nullptr);
}

std::string coats_text(const CoatsResult& made) {
  Object faces = Object::array();
  for (const PaintedFace& face : made.map.faces) {
    Object areas = Object::array();
    for (const PaintArea& area : face.areas) {
      Object entry = {{"name", area.name}};
      if (area.placement > 0) {
        entry["placement"] = area.placement;
        entry["motif"] = area.motif;
        entry["area"] = area.letter;
      }
      entry["cm2"] = rounded(area.size_cm2);
      entry["colour"] = colour_or_null(made.map, area.colour);
      areas.push_back(std::move(entry));
    }
    faces.push_back({{"name", face.name},
                     {"cm2", rounded(face.size_cm2)},
                     {"kept_free_cm2", rounded(face.kept_free_cm2)},
                     {"areas", std::move(areas)}});
  }
  Object amounts = Object::array();
  for (const ColourAmount& amount : made.plan.amounts) {
    amounts.push_back({{"colour", colour_or_null(made.map, amount.colour)},
                       {"cm2", rounded(amount.size_cm2)},
                       {"ml", rounded(amount.ml)},
                       {"ml_from", rounded(amount.low_ml)},
                       {"ml_to", rounded(amount.high_ml)},
                       {"ml_per_m2", rounded(amount.coverage.ml_per_m2)},
                       {"measured", amount.coverage.measured}});
  }
  Object leaks = Object::array();
  for (const LetteredMotif& motif : made.map.motifs) {
    for (const Leak& leak : motif.found.leaks) {
      leaks.push_back({{"motif", motif.name},
                       {"at_mm", {rounded(leak.at.x), rounded(leak.at.y)}},
                       {"open_mm", rounded(leak.open_mm)},
                       {"cm2", rounded(leak.size_mm2 / 100.0)}});
    }
  }
  const Object all = {{"schema", kCoatsSchema},
                      {"faces", std::move(faces)},
                      {"leaks", std::move(leaks)},
                      {"amounts", std::move(amounts)},
                      {"painting_min", std::round(made.plan.painting_min)},
                      {"total_min", std::round(made.plan.total_min)}};
  return all.dump(1) + "\n";
}

}  // namespace

CoatsResult make_coats(const fs::path& folder,
                       const MakeCoatsOptions& options,
                       const Progress& progress,
                       const Notice& notice) {
  const fs::path piece_file = folder / "piece.toml";
  MakeOptions chain;
  chain.until = MakeStep::place;
  chain.trace = options.trace;
  PieceResult placed =
      place_piece(read_piece_folder(folder), piece_file, chain, part_of(progress, 0.0, kPlaced));
  report(progress, "dividing into areas", kPlaced);

  CoatsResult made;
  made.warnings = std::move(placed.warnings);
  made.map = naming_file(piece_file, [&] {
    return paint_map(placed.faces, placed.placed_motifs, placed.piece.colours, placed.piece.coats);
  });
  made.warnings.insert(made.warnings.end(), made.map.warnings.begin(), made.map.warnings.end());
  made.plan = coat_plan(
      made.map, placed.faces, coverages_of(placed.piece.colours, log_of_piece(folder).log));

  const MapOptions pages{.paper = placed.piece.sheets.paper,
                         .margin_mm = placed.piece.sheets.margin_mm};
  OutFolder out(folder, notice);
  const auto write = [&](const std::string& name, const std::string& content) {
    out.write(name, content);
    made.files.push_back((folder / "out" / name).string());
  };
  report(progress, "drawing", 0.9);
  const std::vector<Drawing> map =
      draw_paint_map(placed.piece.name, made.map, placed.faces, placed.placed_motifs, pages);
  write("paint-map.pdf", pdf_of_drawings(map, {.title = placed.piece.name + " – paint map"}));
  for (std::size_t i = 0; i < map.size(); ++i) {
    write(fmt::format("paint-map/page-{}.png", i + 1), png_of_drawing(map[i], options.png_dpi));
  }
  write("coat-card.pdf",
        pdf_of_drawings(draw_coat_card(placed.piece.name, made.map, made.plan, pages),
                        {.title = placed.piece.name + " – coat card"}));
  write("coats.json", coats_text(made));
  out.take_over_all_but({"paint-map.pdf", "paint-map", "coat-card.pdf", "coats.json"});
  out.publish();
  made.piece = std::move(placed.piece);
  report(progress, "done", 1.0);
  return made;
}

}  // namespace underdraw
