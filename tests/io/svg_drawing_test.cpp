#include "io/svg_drawing.h"

#include <cmath>
#include <cstdio>
#include <cstdlib>
#include <fstream>
#include <memory>
#include <set>
#include <string>

#include <cairo.h>
#include <gtest/gtest.h>
#include <opencv2/imgproc.hpp>
#include <poppler-document.h>
#include <poppler-image.h>
#include <poppler-page-renderer.h>
#include <poppler-page.h>
#include <pugixml.hpp>

#include "io/cairo_canvas.h"
#include "io/write_drawing.h"
#include "sheet/draw_cover.h"
#include "sheet/draw_map.h"
#include "sheet/lay_out_sheets.h"
#include "sheet/sheet_samples.h"
#include "support/own_folder.h"

namespace underdraw {
namespace {

constexpr int kDpi = 300;

SheetPlan sample_plan() {
  const std::vector<Motif> motifs = sample_motifs();
  SheetOptions options;
  options.paper = custom_paper(150.0, 180.0);
  options.turn = CutOutTurn::free;
  return lay_out_sheets("Harbour & jar", {jar_wall(motifs, 12)}, motifs, options);
}

pugi::xml_document parsed(const std::string& svg) {
  pugi::xml_document document;
  EXPECT_TRUE(document.load_buffer(svg.data(), svg.size()));
  return document;
}

cv::Mat by_poppler(const Drawing& page) {
  const std::string pdf = pdf_of_drawings({page});
  const std::unique_ptr<poppler::document> document(
      poppler::document::load_from_raw_data(pdf.data(), static_cast<int>(pdf.size())));
  const std::unique_ptr<poppler::page> first(document->create_page(0));
  poppler::page_renderer renderer;
  renderer.set_image_format(poppler::image::format_gray8);
  renderer.set_render_hint(poppler::page_renderer::antialiasing, true);
  renderer.set_render_hint(poppler::page_renderer::text_antialiasing, true);
  poppler::image image = renderer.render_page(first.get(), kDpi, kDpi);
  return cv::Mat(image.height(),
                 image.width(),
                 CV_8U,
                 image.data(),
                 static_cast<std::size_t>(image.bytes_per_row()))
      .clone();
}

// librsvg, which shares no code with this program's SVG; draws with Cairo as everybody does.
cv::Mat by_librsvg(const Drawing& page, const std::filesystem::path& folder) {
  const std::filesystem::path svg = folder / "page.svg", png = folder / "page.png";
  std::ofstream(svg) << svg_of_drawing(page);
  const std::string dpi = std::to_string(kDpi);
  const std::string command = "rsvg-convert --dpi-x " + dpi + " --dpi-y " + dpi +
                              " --background-color white -o " + png.string() + " " + svg.string();
  if (std::system(command.c_str()) != 0) return {};
  const CairoSurface surface(cairo_image_surface_create_from_png(png.c_str()));
  const cv::Mat coloured(cairo_image_surface_get_height(surface.get()),
                         cairo_image_surface_get_width(surface.get()),
                         CV_8UC4,
                         cairo_image_surface_get_data(surface.get()),
                         static_cast<std::size_t>(cairo_image_surface_get_stride(surface.get())));
  cv::Mat grey;
  cv::extractChannel(coloured, grey, 0);
  return grey;
}

// Ink of one that is more than two pixels (0.17 mm) from any ink of the other, in pixels.
int ink_without_fellow(const cv::Mat& one, const cv::Mat& other) {
  cv::Mat near;
  cv::erode(other, near, cv::getStructuringElement(cv::MORPH_RECT, {5, 5}));
  return cv::countNonZero((one < 100) & (near > 180));
}

// Two programs that read two formats have to see the same page.
TEST(SvgDrawing, LibrsvgSeesWhatPopplerSeesInThePdf) {
  const test::OwnFolder folder;
  const SheetPlan plan = sample_plan();
  std::vector<Drawing> pages = draw_pages(plan);
  MapOptions options;
  options.paper = plan.options.paper;
  for (Drawing& map : draw_maps(plan.piece, plan.faces, plan.motifs, options)) {
    pages.push_back(std::move(map));
  }
  ASSERT_GE(pages.size(), 3U);
  for (const Drawing& page : pages) {
    const cv::Mat svg = by_librsvg(page, folder.path());
    ASSERT_FALSE(svg.empty()) << "rsvg-convert of librsvg2-bin is missing or failed";
    cv::Mat pdf = by_poppler(page);
    ASSERT_NEAR(svg.cols, pdf.cols, 1);
    ASSERT_NEAR(svg.rows, pdf.rows, 1);
    pdf = pdf(cv::Rect(0, 0, std::min(svg.cols, pdf.cols), std::min(svg.rows, pdf.rows)));
    const cv::Mat same = svg(cv::Rect(0, 0, pdf.cols, pdf.rows));
    ASSERT_GT(cv::countNonZero(pdf < 100), 1000);
    EXPECT_EQ(ink_without_fellow(same, pdf), 0);
    EXPECT_EQ(ink_without_fellow(pdf, same), 0);
  }
}

TEST(SvgDrawing, IsInMillimetresWithStrokedLinesAndWordsAsOutlines) {
  const SheetPlan plan = sample_plan();
  LookOfMotifs looks;
  const pugi::xml_document document = parsed(svg_of_drawing(draw_sheet(plan, 0, looks)));
  const pugi::xml_node svg = document.child("svg");
  EXPECT_STREQ(svg.attribute("width").value(), "150mm");
  EXPECT_STREQ(svg.attribute("height").value(), "180mm");
  EXPECT_STREQ(svg.attribute("viewBox").value(), "0 0 150 180");
  EXPECT_TRUE(document.select_nodes("//text").empty());
  EXPECT_TRUE(document.select_nodes("//image").empty());
  EXPECT_EQ(document.select_nodes("//g[@id='cut']/path").size(), plan.sheets[0].cut_outs.size());
  // The bars are lines that measure 100 mm in the file's own numbers.
  const SheetFrame& frame = plan.frame;
  bool across = false;
  for (const pugi::xpath_node& node : document.select_nodes("//g[@id='drawn']/path")) {
    const std::string data = node.node().attribute("d").value();
    double x = 0.0, y = 0.0, x2 = 0.0, y2 = 0.0;
    if (std::sscanf(data.c_str(), "M%lf %lfL%lf %lf", &x, &y, &x2, &y2) != 4) continue;
    across = across || (std::abs(x2 - x - 100.0) < 1e-6 && std::abs(y2 - y) < 1e-6 &&
                        std::abs(x - frame.across.from.x) < 1e-3);
  }
  EXPECT_TRUE(across);
}

TEST(SvgDrawing, EachMotifIsWrittenOnceAndUsedForEveryCopy) {
  const std::vector<Motif> motifs = sample_motifs();
  const std::vector<PlacedFace> faces = {jar_wall(motifs, 60)};
  const std::string many = svg_of_drawing(draw_maps("Jar", faces, motifs).front());
  const pugi::xml_document document = parsed(many);
  std::set<std::string> used;
  std::size_t copies = 0;
  for (const pugi::xpath_node& node : document.select_nodes("//g[@id='drawn']/use")) {
    used.insert(node.node().attribute("xlink:href").value());
    ++copies;
  }
  EXPECT_EQ(copies, 60U);
  EXPECT_EQ(used.size(), motifs.size());
  EXPECT_EQ(document.select_nodes("//defs/g").size(), motifs.size());
}

}  // namespace
}  // namespace underdraw
