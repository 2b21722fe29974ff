// sheets.pdf, and sheets.json inside it: the plan that its proof measures against.
//
// Stage:   io. Writing is pure (bytes come back).
// In/out:  {"schema":1,"piece","paper","margin_mm","printer":{"name","across","down"} of
//          sheets made for one,"transfer",…,"motifs":[…],"faces":[…],
//          "sheets":[{"face","cut_outs":[{"placement","motif","mirrored","height_mm",
//          "sheet_from_motif":[xx,xy,tx,yx,yy,ty],…,"part":{"number","count",…} of one in
//          parts}]}]}; lengths in mm, paths as [x, y, x, y, …] with the points of cubic pieces: on,
//          off, off, on, ….
// Refuses: anything damaged, incomplete, of a newer schema or out of range (InputError).
// Source:  JSON, RFC 8259.
#pragma once

#include <optional>
#include <string>
#include <string_view>

#include "sheet/sheet_plan.h"

namespace underdraw {

constexpr int kSheetsSchema = 1;
constexpr const char* kSheetsAttachment = "sheets.json";

std::string sheets_text(const SheetPlan& plan);

// `file` is only named in complaints.
SheetPlan sheets_of_text(std::string_view text, const std::string& file);

// Cover and sheets with the plan inside; `created` as in PdfOptions.
std::string sheets_pdf(const SheetPlan& plan, const std::optional<std::string>& created = {});

}  // namespace underdraw
