#include <fstream>
#include <iterator>
#include <memory>
#include <stdexcept>

#include <poppler-document.h>
#include <poppler-image.h>
#include <poppler-page-renderer.h>
#include <poppler-page.h>

#include "bench/benches.h"
#include "bench/register_one.h"
#include "core/parallel.h"
#include "io/make_piece.h"
#include "io/prove_pdf.h"
#include "io/sheets_file.h"

namespace underdraw::bench {
namespace {

// The sheets without their cover, as the proof sees them: 8-bit grey at 600 dpi, on all cores.
int render_sheets(const std::string& pdf, int cover_pages, int sheets) {
  parallel_for(static_cast<std::size_t>(sheets), [&](std::size_t i) {
    const std::unique_ptr<poppler::document> document(poppler::document::load_from_file(pdf));
    if (!document) throw std::runtime_error(pdf + ": cannot be read");
    const std::unique_ptr<poppler::page> page(
        document->create_page(cover_pages + static_cast<int>(i)));
    poppler::page_renderer renderer;
    renderer.set_image_format(poppler::image::format_gray8);
    renderer.set_render_hint(poppler::page_renderer::antialiasing, true);
    renderer.set_render_hint(poppler::page_renderer::text_antialiasing, true);
    if (!page || !renderer.render_page(page.get(), 600.0, 600.0).is_valid()) {
      throw std::runtime_error(pdf + ": cannot be rendered");
    }
  });
  return sheets;
}

SheetPlan plan_beside(const std::filesystem::path& pdf) {
  std::filesystem::path plan = pdf;
  plan.replace_extension(".json");
  std::ifstream in(plan);
  return sheets_of_text(std::string{std::istreambuf_iterator<char>(in), {}}, plan.string());
}

}  // namespace

void register_running(const BenchFiles& files) {
  const std::filesystem::path folder = files.piece_folder();
  register_one("make_piece/sample", [=] {
    PieceResult made = make_piece(folder);
    if (!made.published) throw std::runtime_error("the sample's sheets fail their proof");
    return made;
  });

  // A copy: make_piece exchanges out/ between repetitions.
  const std::string pdf = files.scratch("sheets.pdf");
  std::filesystem::copy(folder / "out" / "sheets.pdf", pdf);
  std::filesystem::copy(folder / "out" / "sheets.json", files.scratch("sheets.json"));
  const SheetPlan plan = plan_beside(pdf);
  register_one("render_sheets/sample",
               [pdf, covers = plan.cover_pages, sheets = static_cast<int>(plan.sheets.size())] {
                 return render_sheets(pdf, covers, sheets);
               });
  register_one("prove_pdf/sample", [=] {
    ProofReport report = prove_pdf(pdf);
    if (!report.ok) throw std::runtime_error("the sample's sheets fail their proof");
    return report;
  });
}

}  // namespace underdraw::bench
