#include "io/prove_mat.h"

#include <algorithm>
#include <cmath>
#include <fstream>
#include <iterator>
#include <memory>

#include <fmt/format.h>
#include <opencv2/core.hpp>
#include <poppler-document.h>
#include <poppler-embedded-file.h>
#include <poppler-image.h>
#include <poppler-page-renderer.h>
#include <poppler-page.h>

#include "core/error.h"
#include "io/poppler_complaints.h"
#include "io/write_drawing.h"
#include "photo/find_saddle.h"
#include "sheet/proof.h"

namespace underdraw {
namespace {

constexpr double kDpi = 300.0;
constexpr const char* kMatAttachment = "mat.txt";

std::unique_ptr<poppler::document> opened(std::string_view pdf, const std::string& file) {
  quiet_poppler();
  std::unique_ptr<poppler::document> document(
      poppler::document::load_from_raw_data(pdf.data(), static_cast<int>(pdf.size())));
  if (!document || document->is_locked() || document->pages() < 1) {
    throw InputError({.file = file,
                      .line = {},
                      .found = "is not a readable PDF",
                      .expected = {},
                      .remedy = "make it again with underdraw mat"});
  }
  return document;
}

void measure_corners(MatProof& proof, const MatLayout& mat, const GreyView& view, double limit_mm) {
  const cv::Mat grey(view.height,
                     view.width,
                     CV_8UC1,
                     const_cast<std::uint8_t*>(view.pixels),  // only read
                     view.stride);
  std::size_t missing = 0;
  for (const MatSaddle& saddle : mat.saddles) {
    SaddleGuess guess;
    const Vec2 due = mat.sheet_from_mat() * saddle.at;
    guess.px = due * view.px_per_mm;
    guess.px_per_right = {view.px_per_mm, 0.0};
    guess.px_per_up = {0.0, -view.px_per_mm};
    guess.edge_mm = 0.36 * mat.square_mm;
    guess.beside_mm = 0.085 * mat.square_mm;
    guess.rising = saddle.rising;
    guess.reach_px = view.px_per_mm;
    const auto fit = find_saddle(grey, guess);
    if (!fit) {
      ++missing;
      continue;
    }
    ++proof.corners;
    proof.worst_corner_mm =
        std::max(proof.worst_corner_mm, distance(fit->px / view.px_per_mm, due));
  }
  if (missing > 0) {
    proof.reasons.push_back(
        fmt::format("{} of {} corners are not there", missing, mat.saddles.size()));
  }
  if (proof.worst_corner_mm > limit_mm) {
    proof.reasons.push_back(
        fmt::format("a corner lies {:.2f} mm from its place", proof.worst_corner_mm));
  }
}

void check_bar(MatProof& proof,
               const std::string& name,
               const std::optional<double>& measured_mm,
               double due_mm,
               double limit_mm) {
  if (!measured_mm) {
    proof.reasons.push_back(fmt::format("the bar {} is not there", name));
  } else if (std::abs(*measured_mm - due_mm) > limit_mm) {
    proof.reasons.push_back(
        fmt::format("the bar {} is {:.2f} mm instead of {:.0f} mm", name, *measured_mm, due_mm));
  }
}

}  // namespace

std::string mat_pdf(const MatOptions& options) {
  const Drawing page = draw_mat(options);
  PdfOptions how;
  how.title = "Photo mat";
  how.attachments = {
      {kMatAttachment, "text/plain", mat_layout(options.paper, options.form()).name}};
  return pdf_of_drawings({page}, how);
}

const MatLayout* mat_of_pdf(std::string_view pdf, const std::string& file) {
  const auto document = opened(pdf, file);
  for (const poppler::embedded_file* embedded : document->embedded_files()) {
    if (!embedded->is_valid() || embedded->name() != kMatAttachment) continue;
    const poppler::byte_array data = embedded->data();
    const std::string name(data.begin(), data.end());
    for (const MatLayout& mat : all_mats()) {
      if (mat.name == name) return &mat;
    }
  }
  return nullptr;
}

std::optional<MatProof> prove_if_mat(const std::filesystem::path& pdf, double limit_mm) {
  std::error_code failed;
  if (!std::filesystem::is_regular_file(pdf, failed)) return {};
  std::ifstream in(pdf, std::ios::binary);
  const std::string bytes{std::istreambuf_iterator<char>(in), std::istreambuf_iterator<char>()};
  if (!bytes.starts_with("%PDF")) return {};
  try {
    const MatLayout* mat = mat_of_pdf(bytes, pdf.string());
    if (mat) return prove_mat(bytes, pdf.string(), *mat, limit_mm);
  } catch (const InputError&) {
    // What reads sheets says better what is wrong with the file.
  }
  return {};
}

MatProof prove_mat(std::string_view pdf,
                   const std::string& file,
                   const MatLayout& mat,
                   double limit_mm) {
  require_between(limit_mm, 0.01, 5.0, "limit", "mm");
  MatProof proof;
  proof.mat = mat.name;
  const auto document = opened(pdf, file);
  const std::unique_ptr<poppler::page> page(document->create_page(0));
  const poppler::rectf media = page->page_rect(poppler::media_box);
  const double to_mm = 25.4 / 72.0;
  if (document->pages() != 1 || std::abs(media.width() * to_mm - mat.paper.width_mm) > limit_mm ||
      std::abs(media.height() * to_mm - mat.paper.height_mm) > limit_mm) {
    proof.reasons.push_back(fmt::format("it is not one page of {} paper", mat.paper.name));
    return proof;
  }
  poppler::page_renderer renderer;
  renderer.set_image_format(poppler::image::format_gray8);
  renderer.set_render_hint(poppler::page_renderer::antialiasing, true);
  renderer.set_render_hint(poppler::page_renderer::text_antialiasing, true);
  const poppler::image image = renderer.render_page(page.get(), kDpi, kDpi);
  if (!image.is_valid()) {
    proof.reasons.push_back("it cannot be rendered");
    return proof;
  }
  const GreyView view{reinterpret_cast<const std::uint8_t*>(image.const_data()),
                      image.width(),
                      image.height(),
                      static_cast<std::size_t>(image.bytes_per_row()),
                      kDpi / 25.4};
  // Bars, margins and reading sign as on every sheet.
  SheetPlan plan;
  plan.options.paper = mat.paper;
  plan.frame = mat.frame;
  plan.sheets.resize(1);
  const SheetProof sheet = measure_sheet(plan, 0, view, {});
  proof.across_mm = sheet.across_mm;
  proof.down_mm = sheet.down_mm;
  check_bar(proof, "across", sheet.across_mm, mat.frame.across.length_mm(), limit_mm);
  check_bar(proof, "down", sheet.down_mm, mat.frame.down.length_mm(), limit_mm);
  if (sheet.margin_ink_mm2 > 0.1) proof.reasons.push_back("there is ink in the margins");
  if (!sheet.sign_right) proof.reasons.push_back("it is mirrored, or its reading sign is missing");
  measure_corners(proof, mat, view, limit_mm);
  proof.ok = proof.reasons.empty();
  return proof;
}

}  // namespace underdraw
