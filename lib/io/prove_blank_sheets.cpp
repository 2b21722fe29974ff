#include "io/prove_blank_sheets.h"

#include <algorithm>
#include <fstream>
#include <iterator>

#include <nlohmann/json.hpp>
#include <poppler-embedded-file.h>

#include "core/error.h"
#include "io/rendered_page.h"
#include "io/write_drawing.h"

namespace underdraw {
namespace {

constexpr const char* kAttachment = "drawing-sheets.json";
constexpr int kSchema = 1;

std::string text_of(const BlankSheetsFile& file) {
  const SheetKind& first = file.sheets.first;
  nlohmann::ordered_json object = {{"schema", kSchema},
                                   {"size", first.paper},
                                   {"columns", first.grid.columns},
                                   {"rows", first.grid.rows},
                                   {"page", first.page},
                                   {"pages", file.sheets.pages},
                                   {"names", file.sheets.names}};
  if (file.printer) {
    object["printer"] = {{"name", file.printer->name},
                         {"across", file.printer->across},
                         {"down", file.printer->down}};
  }
  return object.dump(2, ' ', false, nlohmann::ordered_json::error_handler_t::replace) + "\n";
}

// Nothing where somebody else wrote it.
std::optional<BlankSheetsFile> file_of(const std::string& text) {
  try {
    const auto object = nlohmann::json::parse(text);
    if (object.at("schema").get<int>() != kSchema) return {};
    BlankSheetsFile file;
    file.sheets.first.paper = object.at("size").get<std::string>();
    file.sheets.first.grid = {object.at("columns").get<int>(), object.at("rows").get<int>()};
    file.sheets.first.page = object.at("page").get<int>();
    file.sheets.pages = object.at("pages").get<int>();
    file.sheets.names = object.at("names").get<std::vector<std::string>>();
    if (object.contains("printer")) {
      const auto& printer = object.at("printer");
      file.printer = PrinterCorrection{printer.at("name").get<std::string>(),
                                       printer.at("across").get<double>(),
                                       printer.at("down").get<double>()};
      file.printer->validate();
    }
    file.sheets.validate();
    return file;
  } catch (const nlohmann::json::exception&) {
    return {};
  } catch (const OptionError&) {
    return {};
  }
}

}  // namespace

std::string blank_sheets_pdf(const BlankSheetsFile& file) {
  return pdf_of_drawings(draw_blank_sheets(file.sheets),
                         {.title = "Drawing sheets",
                          .attachments = {{kAttachment, "application/json", text_of(file)}},
                          .printer = file.printer});
}

std::optional<BlankSheetsFile> blank_sheets_of_pdf(std::string_view pdf, const std::string& file) {
  const PdfDocument document = open_pdf(pdf, file);
  for (const poppler::embedded_file* embedded : document->embedded_files()) {
    if (!embedded->is_valid() || embedded->name() != kAttachment) continue;
    const poppler::byte_array data = embedded->data();
    return file_of(std::string(data.begin(), data.end()));
  }
  return {};
}

PagesProof prove_blank_sheets(std::string_view pdf,
                              const std::string& name,
                              const BlankSheetsFile& file,
                              double limit_mm) {
  ProvePagesOptions options;
  options.printer = file.printer;
  options.limits.limit_mm = limit_mm;
  return prove_pages(pdf, name, draw_blank_sheets(file.sheets), options);
}

std::optional<BlankSheetsProof> prove_if_blank_sheets(const std::filesystem::path& pdf,
                                                      double limit_mm) {
  std::error_code failed;
  if (!std::filesystem::is_regular_file(pdf, failed)) return {};
  std::ifstream in(pdf, std::ios::binary);
  const std::string bytes{std::istreambuf_iterator<char>(in), std::istreambuf_iterator<char>()};
  if (!bytes.starts_with("%PDF")) return {};
  try {
    const auto file = blank_sheets_of_pdf(bytes, pdf.string());
    if (file) {
      return BlankSheetsProof{*file, prove_blank_sheets(bytes, pdf.string(), *file, limit_mm)};
    }
  } catch (const InputError&) {
    // What reads sheets says better what is wrong with the file.
  }
  return {};
}

}  // namespace underdraw
