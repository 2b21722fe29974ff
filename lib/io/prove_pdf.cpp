#include "io/prove_pdf.h"

#include <cmath>
#include <fstream>
#include <iterator>
#include <memory>
#include <mutex>

#include <fmt/format.h>
#include <nlohmann/json.hpp>
#include <poppler-document.h>
#include <poppler-embedded-file.h>
#include <poppler-image.h>
#include <poppler-page-renderer.h>
#include <poppler-page.h>

#include "core/error.h"
#include "core/parallel.h"
#include "io/as_printed.h"
#include "io/rendered_page.h"
#include "io/sheets_file.h"

namespace underdraw {
namespace {

constexpr double kMostPixels = 150e6;
constexpr double kCoverDpi = 150.0;  // covers are only looked at for ink in the margins

[[noreturn]] void refuse(const std::string& file,
                         const std::string& found,
                         const std::string& expected,
                         const std::string& remedy) {
  throw InputError(
      {.file = file, .line = {}, .found = found, .expected = expected, .remedy = remedy});
}

std::string read_file(const std::filesystem::path& path) {
  std::ifstream in(path, std::ios::binary);
  if (!in || std::filesystem::is_directory(path)) {
    refuse(path.string(), "cannot be opened", "a PDF file", "check the name");
  }
  std::string bytes{std::istreambuf_iterator<char>(in), std::istreambuf_iterator<char>()};
  if (bytes.size() > 1'000'000'000) refuse(path.string(), "is larger than 1 GB", {}, {});
  return bytes;
}

SheetPlan plan_for(const std::filesystem::path& pdf, std::string_view bytes) {
  std::filesystem::path beside = pdf;
  beside.replace_extension(".json");
  if (std::filesystem::exists(beside)) {
    return sheets_of_text(read_file(beside), beside.string());
  }
  const PdfDocument document = open_pdf(bytes, pdf.string());
  for (const poppler::embedded_file* file : document->embedded_files()) {
    if (!file->is_valid() || file->name() != kSheetsAttachment) continue;
    const poppler::byte_array data = file->data();
    return sheets_of_text(std::string_view(data.data(), data.size()),
                          fmt::format("{} ({} inside)", pdf.string(), kSheetsAttachment));
  }
  refuse(
      pdf.string(),
      "does not say what its lines should be",
      fmt::format("{} inside it, or {} beside it", kSheetsAttachment, beside.filename().string()),
      "prove a PDF that \"underdraw sheet\" made");
}

// What one page came to: a cover page gives only a reason or none.
struct PageResult {
  std::optional<SheetProof> sheet;
  std::string reason;
};

}  // namespace

void ProveOptions::validate() const {
  require_between(dpi, 150.0, 1200.0, "proof resolution", "dpi");
  limits.validate();
}

ProofReport prove_pdf(const std::filesystem::path& pdf,
                      const ProveOptions& options,
                      const Progress& progress) {
  options.validate();
  const std::string bytes = read_file(pdf);
  const SheetPlan plan = plan_for(pdf, bytes);
  return prove_pdf_bytes(bytes, pdf.string(), plan, options, progress);
}

ProofReport prove_pdf_bytes(std::string_view sent,
                            const std::string& file,
                            const SheetPlan& plan,
                            const ProveOptions& options,
                            const Progress& progress) {
  options.validate();
  ProofReport report;
  report.file = file;
  report.reasons = check_plan(plan);
  const std::optional<PrinterCorrection>& printer = plan.options.printer;
  if (printer) report.printer = printer->name;
  std::string print;
  if (printer) print = as_printed(sent, *printer, file);
  const std::string_view pdf = printer ? std::string_view(print) : sent;
  const auto covers = static_cast<std::size_t>(plan.cover_pages);
  const std::size_t due = covers + plan.sheets.size();
  const auto pages = static_cast<std::size_t>(open_pdf(pdf, file)->pages());
  if (pages != due) {
    report.reasons.push_back(fmt::format("the PDF has {} pages, not {} of cover and {} of sheets",
                                         pages,
                                         covers,
                                         plan.sheets.size()));
  }
  const PaperSize& paper = plan.options.paper;
  const double pixels = paper.width_mm * paper.height_mm * std::pow(options.dpi / 25.4, 2);
  report.dpi = pixels > kMostPixels ? options.dpi * std::sqrt(kMostPixels / pixels) : options.dpi;

  std::vector<PageResult> results(std::min(pages, due));
  std::mutex mutex;
  std::size_t done = 0;
  parallel_for(
      results.size(),
      // Sheets take longest, so they go first and covers last.
      [&](std::size_t job) {
        const std::size_t index = (job + covers) % due;
        if (index < results.size()) {
          const PdfDocument document = open_pdf(pdf, file);
          const PdfPage page(document->create_page(static_cast<int>(index)));
          if (!page) refuse(file, fmt::format("page {} is damaged", index + 1), {}, {});
          const bool right_size = page_is(*page, paper.width_mm, paper.height_mm);
          if (index < covers) {
            const RenderedPage image = rendered_page(*page, std::min(kCoverDpi, report.dpi), file);
            const double ink = ink_outside(image.view, plan.frame.printable);
            if (ink > 0.0) {
              results[index].reason = fmt::format(
                  "cover page {}: {:.2f} mm² are printed outside the margins", index + 1, ink);
            }
          } else if (!right_size) {
            // Its lines cannot be where they should; do not render pages of any size.
            SheetProof proof;
            proof.sheet = static_cast<int>(index - covers) + 1;
            const poppler::rectf media = page->page_rect(poppler::media_box);
            results[index].reason =
                fmt::format("sheet {} is {:.1f} x {:.1f} mm, not {:.1f} x {:.1f}",
                            proof.sheet,
                            media.width() * kMmPerPoint,
                            media.height() * kMmPerPoint,
                            paper.width_mm,
                            paper.height_mm);
          } else {
            const RenderedPage image = rendered_page(*page, report.dpi, file);
            results[index].sheet =
                measure_sheet(plan, index - covers, image.view, words_on(*page), options.limits);
          }
        }
        const std::lock_guard lock(mutex);
        ++done;
        underdraw::report(
            progress, "proving", static_cast<double>(done) / static_cast<double>(results.size()));
      },
      options.sheets_at_once);
  for (PageResult& result : results) {
    if (!result.reason.empty()) report.reasons.push_back(result.reason);
    if (result.sheet) report.sheets.push_back(std::move(*result.sheet));
  }
  conclude(report, options.limits);
  return report;
}

std::string proof_text(const ProofReport& report) {
  using Json = nlohmann::ordered_json;
  const auto rounded = [](double value) { return std::round(value * 1e4) / 1e4; };
  const auto maybe = [&](const std::optional<double>& value) {
    return value ? Json(rounded(*value)) : Json(nullptr);
  };
  Json sheets = Json::array();
  for (const SheetProof& sheet : report.sheets) {
    Json placements = Json::array();
    for (const PlacementProof& p : sheet.placements) {
      Json entry = {{"id", p.placement},
                    {"motif", p.motif},
                    {"mean_mm", rounded(p.mean_mm)},
                    {"largest_mm", rounded(p.largest_mm)},
                    {"samples", p.samples},
                    {"measured_share", rounded(p.measured_share)},
                    {"missing_share", rounded(p.missing_share)},
                    {"extra_ink_mm2", rounded(p.extra_ink_mm2)},
                    {"number_found", p.number_found},
                    {"right_way_round", p.as_planned}};
      if (p.displaced_mm) {
        entry["displaced_mm"] = {rounded(p.displaced_mm->x), rounded(p.displaced_mm->y)};
      }
      if (p.part) {
        entry["part"] = {{"number", p.part->number},
                         {"count", p.part->count},
                         {"words_found", p.part->words_found},
                         {"crosses", p.part->crosses},
                         {"cross_mm", rounded(p.part->cross_mm)},
                         {"crosses_missing_share", rounded(p.part->crosses_missing)}};
      }
      placements.push_back(std::move(entry));
    }
    sheets.push_back({{"sheet", sheet.sheet},
                      {"bar_across_mm", maybe(sheet.across_mm)},
                      {"bar_down_mm", maybe(sheet.down_mm)},
                      {"outside_margins_mm2", rounded(sheet.margin_ink_mm2)},
                      {"between_cut_outs_mm2", rounded(sheet.stray_ink_mm2)},
                      {"reading_sign", sheet.sign_right},
                      {"placements", std::move(placements)}});
  }
  Json drawn = Json::array();
  for (const DrawnProof& file : report.drawn) {
    drawn.push_back(
        {{"file", file.file}, {"pages", file.pages}, {"largest_mm", rounded(file.largest_mm)}});
  }
  const Json out = {{"schema", 1},
                    {"ok", report.ok},
                    {"reasons", report.reasons},
                    {"file", report.file},
                    {"printer", report.printer.empty() ? Json(nullptr) : Json(report.printer)},
                    {"limit_mm", report.limit_mm},
                    {"dpi", rounded(report.dpi)},
                    {"mean_mm", rounded(report.mean_mm)},
                    {"largest_mm", rounded(report.largest_mm)},
                    {"placements", report.placements},
                    {"sheets", std::move(sheets)},
                    {"drawn", std::move(drawn)}};
  return out.dump(2, ' ', false, Json::error_handler_t::replace) + "\n";
}

}  // namespace underdraw
