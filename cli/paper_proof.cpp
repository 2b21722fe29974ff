#include "paper_proof.h"

#include <fmt/format.h>

namespace underdraw::cli {

std::vector<Fact> paper_facts(const BlankSheetsFile& file, const PagesProof& proof) {
  const SheetKind& first = file.sheets.first;
  const DrawingSheet sheet = drawing_sheet(first);
  const Box& frame = sheet.frames.front();
  std::string pages = fmt::format("{} {}", first.paper, first.page);
  if (file.sheets.pages > 1) pages += fmt::format(" to {}", first.page + file.sheets.pages - 1);
  std::vector<Fact> facts = {{"sheets", pages},
                             {"frames",
                              fmt::format("{} × {}, each {:.0f} × {:.0f} mm",
                                          first.grid.columns,
                                          first.grid.rows,
                                          frame.width(),
                                          frame.height())},
                             {"proof",
                              fmt::format("{}: lines and marks within {:.2f} mm",
                                          proof.ok ? "true" : "not true",
                                          proof.largest_mm)}};
  if (file.printer) facts.push_back({"printer", printer_words(*file.printer)});
  return facts;
}

nlohmann::ordered_json paper_object(const BlankSheetsFile& file, const PagesProof& proof) {
  const SheetKind& first = file.sheets.first;
  const Box frame = drawing_sheet(first).frames.front();
  nlohmann::ordered_json object;
  object["size"] = first.paper;
  object["grid"] = {first.grid.columns, first.grid.rows};
  object["frame_mm"] = {frame.width(), frame.height()};
  object["page"] = first.page;
  object["pages"] = file.sheets.pages;
  object["names"] = file.sheets.names;
  object["printer"] = file.printer ? nlohmann::ordered_json(file.printer->name) : nullptr;
  object["proof"] = {
      {"ok", proof.ok}, {"reasons", proof.reasons}, {"largest_mm", proof.largest_mm}};
  return object;
}

}  // namespace underdraw::cli
