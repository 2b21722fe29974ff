// Drawing sheets as a PDF, and the same read back and measured.
//
// Stage:   io. poppler renders the pages, which Cairo wrote: two programs must agree.
// In/out:  what the sheets are <-> a PDF that says it in an attachment.
// Refuses: what is not a readable PDF (InputError). A sheet that is readable and wrong is not
//          refused: the proof says why it is wrong.
#pragma once

#include <filesystem>
#include <optional>
#include <string>
#include <string_view>

#include "io/prove_pages.h"
#include "photo/drawing_sheet.h"

namespace underdraw {

struct BlankSheetsFile {
  BlankSheets sheets;
  std::optional<PrinterCorrection> printer = {};  // the one that is to print them
};

std::string blank_sheets_pdf(const BlankSheetsFile& file);

// What a PDF says it holds; nothing when it is another kind of PDF.
std::optional<BlankSheetsFile> blank_sheets_of_pdf(std::string_view pdf, const std::string& file);

// Every line, mark and word against the drawing. `name` is only named in messages.
PagesProof prove_blank_sheets(std::string_view pdf,
                              const std::string& name,
                              const BlankSheetsFile& file,
                              double limit_mm = 0.1);

struct BlankSheetsProof {
  BlankSheetsFile file;
  PagesProof proof;
};

// The same for a file; nothing when it cannot be read or is another kind of PDF.
std::optional<BlankSheetsProof> prove_if_blank_sheets(const std::filesystem::path& pdf,
                                                      double limit_mm = 0.1);

}  // namespace underdraw
