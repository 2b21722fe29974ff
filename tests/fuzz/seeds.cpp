#include "fuzz/seeds.h"

#include <fstream>
#include <functional>
#include <iterator>
#include <map>

#include <tiffio.h>

#include "io/page_files.h"
#include "io/photo_files.h"
#include "io/piece_file.h"
#include "io/placements_file.h"
#include "io/printer_file.h"
#include "io/prove_mat.h"
#include "io/record.h"
#include "io/recovered_file.h"
#include "io/sheets_file.h"
#include "io/svg.h"
#include "sheet/lay_out_sheets.h"
#include "support/own_folder.h"

namespace fs = std::filesystem;

namespace underdraw::fuzz {
namespace {

using namespace testing_pages;

Bytes bytes_of_text(std::string_view text) { return {text.begin(), text.end()}; }

Bytes sample(const std::string& name) {
  return testing_pages::bytes_of(std::string(UNDERDRAW_SOURCE_DIR) + "/samples/" + name);
}

Motif small_motif(const std::string& name) {
  Linework lines;
  lines.strokes.push_back({Path::polyline({{0, 0}, {17, 3}, {5, 22}}), 0.5});
  lines.strokes.push_back({Path::polyline({{9, 12}, {12, 14}, {9, 17}}), 0.4});
  return make_motif(name, lines);
}

struct SmallPiece {
  std::vector<Motif> motifs{small_motif("kelp"), small_motif("tern")};
  std::vector<PlacedFace> faces;

  SmallPiece() {
    const std::vector<Face> measured = {
        {"wall", CylinderFace{333.33, 120}, {{170, 190, 0, 120, "handle"}}},
        {"lid", FlatFace{150, 90.5}, {}}};
    Arrangement wall;
    wall.face = "wall";
    wall.motifs = {"kelp", "tern"};
    wall.mirror = Mirroring::alternate;
    wall.heights_mm = {22};
    wall.gap_mm = 40;
    Arrangement lid = wall;
    lid.face = "lid";
    lid.style = Style::centre;
    lid.mirror = Mirroring::none;
    faces =
        arrange(measured, {wall, lid}, motifs, {{6.0, 1.0, 5.5}, ClayStage::dry, ClayStage::bisque})
            .faces;
  }
};

std::vector<Seed> form_seeds() {
  std::vector<Seed> seeds;
  for (const std::string& form : form_names()) {
    seeds.push_back({form + ".toml", bytes_of_text(piece_template(form))});
  }
  return seeds;
}

std::vector<Seed> piece_seeds() {
  std::vector<Seed> seeds = form_seeds();
  for (const std::string name : {"harbour-jar", "tern-figure"}) {
    seeds.push_back({name + ".toml", sample(name + "/piece.toml")});
  }
  return seeds;
}

std::vector<Seed> class_seeds() {
  return {{"class.toml", sample("harbour-class/class.toml")},
          {"list.toml",
           bytes_of_text("schema = 1\nname = \"Quay\"\nsketches = [\"kelp\"]\n"
                         "[[face]]\nname = \"tile\"\nform = \"flat\"\nwidth = 90\nheight = 90\n"
                         "[[arrange]]\nface = \"tile\"\nstyle = \"centre\"\n"
                         "motifs = [\"kelp\"]\nheight = 40\n"
                         "[[person]]\nname = \"Tove\"\nfile = \"pages/1.png\"\n")}};
}

std::vector<Seed> points_seeds() {
  return {{"points.toml",
           bytes_of_text("[[pair]]\nbefore = \"photos/drawn-1.jpg\"\nafter = \"covered-1.jpg\"\n"
                         "points = [[410.5, 300, 418, 290], [930, 305, 940, 300],\n"
                         "          [420, 900, 431, 905], [915, 890, 922, 899]]\n")}};
}

std::vector<Seed> printer_seeds() {
  return {{"printers.toml",
           bytes_of_text("schema = 1\n[[printer]]\nname = \"studio-laser\"\nacross = 0.995\n"
                         "down = 1.003\n")}};
}

std::vector<Seed> record_seeds() {
  const test::OwnFolder folder;
  {
    const Record record(folder.path());
    PhotoRow row;
    row.checksum = std::string(64, 'a');
    row.name = "drawn-1.jpg";
    row.original_name = "IMG_1.jpg";
    row.bytes = 1234;
    row.facts.width_px = 40;
    row.facts.height_px = 30;
    row.stage = "drawn";
    row.added_at = "2026-05-03T16:00:00Z";
    row.copy_name = ".copy";
    record.add_photo(row);
  }
  return {{"record.db", testing_pages::bytes_of(Record::path_in(folder.path()).string())}};
}

std::vector<Seed> svg_seeds() {
  SvgPage page{80, 60, {{"kelp", small_motif("kelp").lines}}};
  page.groups[0].lines.strokes[0].path.closed = true;
  const std::string plain =
      "<svg xmlns=\"http://www.w3.org/2000/svg\" width=\"50mm\" height=\"40mm\" "
      "viewBox=\"0 0 50 40\"><style>.a{stroke:black;stroke-width:.5}</style>"
      "<g transform=\"translate(3 4) rotate(20 1 2) scale(2)\" class=\"a\" fill=\"none\">"
      "<line x1=\"1\" y1=\"2\" x2=\"3\" y2=\"4\"/><polyline points=\"1,2 3,4 5 6\"/>"
      "<polygon points=\"1 1 4 1 4 4\"/><rect x=\"1\" y=\"1\" width=\"4\" height=\"3\" rx=\"1\"/>"
      "<circle cx=\"5\" cy=\"5\" r=\"2\"/><ellipse cx=\"5\" cy=\"5\" rx=\"2\" ry=\"1\"/>"
      "<path style=\"stroke:#123;fill:none\" d=\"M1 2C3 4 5 6 7 8S1 2 3 4Q1 2 3 4T5 6A3 2 30 0 1 "
      "9 9H3V4Z\"/></g></svg>";
  return {{"ours.svg", bytes_of_text(svg_of_page(page.width_mm, page.height_mm, page.groups))},
          {"motif.svg", bytes_of_text(svg_of_motif(small_motif("tern")))},
          {"plain.svg", bytes_of_text(plain)}};
}

std::vector<Seed> path_seeds() {
  return {{"path", bytes_of_text("M1 2C3 4 5 6 7 8s1 2 3 4Q1 2 3 4t5 6A3 2 30 0 1 9 9H3V4z")},
          {"transform", bytes_of_text("translate(1 2) rotate(20,1,2)matrix(1 0 0 1 2 3)skewX(4)")},
          {"numbers", bytes_of_text("1e3,-.5+2 3.25mm")}};
}

std::vector<Seed> exif_seeds() {
  return {{"camera", camera_exif()}, {"page", exif_block(6, 300.0)}};
}

std::vector<Seed> png_seeds() {
  const TempFolder folder;
  std::vector<Seed> seeds;
  const auto add = [&](const char* name, const cv::Mat& image, const PngLook& look) {
    write_png(folder.file(name), image, look);
    seeds.push_back({name, testing_pages::bytes_of(folder.file(name))});
  };
  add("grey.png", grey_sketch(24, 20), {});
  add("interlaced.png", colour_sketch(24, 20), {.interlaced = true});
  add("two-bit.png", cv::Mat(20, 24, CV_8UC1, cv::Scalar(2)), {.bits = 2});
  seeds.push_back({"talkative.png", talkative_png(1)});
  return seeds;
}

std::vector<Seed> jpeg_seeds() {
  return {{"baseline.jpg", jpeg_bytes(colour_sketch(24, 20), {.exif = exif_block(6, 300.0)})},
          {"progressive.jpg", jpeg_bytes(colour_sketch(24, 20), {.progressive = true})},
          {"talkative.jpg", talkative_jpeg(1)}};
}

std::vector<Seed> tiff_seeds() {
  const TempFolder folder;
  const cv::Mat grey = grey_sketch(24, 20);
  const cv::Mat colour = colour_sketch(24, 20);
  std::vector<Seed> seeds;
  const auto add = [&](const char* name, const std::vector<cv::Mat>& pages, const TiffLook& look) {
    write_tiff(folder.file(name), pages, look);
    seeds.push_back({name, testing_pages::bytes_of(folder.file(name))});
  };
  add("lzw.tif", {colour, colour}, {.photometric = PHOTOMETRIC_RGB});
  add("fax.tif",
      {grey},
      {.photometric = PHOTOMETRIC_MINISWHITE,
       .bits = 1,
       .compression = COMPRESSION_CCITTFAX4,
       .rows_per_strip = 20});
  add("tiled.tif", {colour}, {.photometric = PHOTOMETRIC_RGB, .tiled = true});
  add("separate.tif", {colour}, {.photometric = PHOTOMETRIC_RGB, .separate = true});
  return seeds;
}

std::vector<Seed> pdf_seeds() {
  const TempFolder folder;
  std::vector<Seed> seeds;
  const std::string contents = "q 24 0 0 20 0 0 cm /Scan Do Q";
  const auto add = [&](const char* name, const PdfPage& page) {
    write_pdf(folder.file(name), {page});
    seeds.push_back({name, testing_pages::bytes_of(folder.file(name))});
  };
  const cv::Mat grey = grey_sketch(24, 20);
  const std::string box = "[0 0 24 20]";
  add("jpeg.pdf", {.media_box = box, .contents = contents, .image = pdf_jpeg(grey)});
  add("flate.pdf", {.media_box = box, .contents = contents, .image = pdf_flate(grey)});
  add("lines.pdf",
      {.media_box = box, .extra = "/Rotate 90 /UserUnit 2", .contents = "1 w 5 5 m 14 20 l S"});
  return seeds;
}

std::vector<Seed> heic_seeds() {
  const TempFolder folder;
  const std::string file = folder.file("page.heic");
  if (!write_heic(file, colour_sketch(64, 64), exif_block(1, 300.0))) return {};
  return {{"page.heic", testing_pages::bytes_of(file)}};
}

std::vector<Seed> proof_seeds() {
  const SmallPiece piece;
  SheetOptions options;
  options.paper = {"small", 120, 100};
  const SheetPlan plan = lay_out_sheets("Jar", piece.faces, piece.motifs, options);
  return {{"sheets.pdf", bytes_of_text(sheets_pdf(plan, "2026-05-03T16:00:00Z"))},
          {"mat.pdf", bytes_of_text(mat_pdf({}))}};
}

std::vector<Seed> sheets_seeds() {
  const SmallPiece piece;
  return {{"sheets.json",
           bytes_of_text(sheets_text(lay_out_sheets("Jar", piece.faces, piece.motifs, {})))}};
}

std::vector<Seed> placements_seeds() {
  return {{"placements.json", bytes_of_text(placements_text(SmallPiece().faces))}};
}

std::vector<Seed> recovered_seeds() {
  return {{"recovered.json",
           bytes_of_text(recovered_text(
               {{"wall", {{7, 0.75, "", {{359.5, 20}, {360.25, 21.125}}}, {{}, 1.0, "", {{1, 3}}}}},
                {"lid", {{2, 0.0, "after.jpg", {{1034.5, 0}, {1040, 8.25}}}}}}))}};
}

}  // namespace

std::vector<Seed> seeds_of(std::string_view target) {
  static const std::map<std::string_view, std::vector<Seed> (*)()> makers = {
      {"class_toml", class_seeds},
      {"exif", exif_seeds},
      {"export_heic", heic_seeds},
      {"export_jpeg", jpeg_seeds},
      {"export_png", png_seeds},
      {"heic", heic_seeds},
      {"jpeg", jpeg_seeds},
      {"pdf", pdf_seeds},
      {"piece_toml", piece_seeds},
      {"place", form_seeds},
      {"placements_json", placements_seeds},
      {"png", png_seeds},
      {"points_toml", points_seeds},
      {"printers_toml", printer_seeds},
      {"proof", proof_seeds},
      {"record_db", record_seeds},
      {"recovered_json", recovered_seeds},
      {"sheets_json", sheets_seeds},
      {"svg", svg_seeds},
      {"svg_path_data", path_seeds},
      {"tiff", tiff_seeds}};
  return makers.at(target)();
}

}  // namespace underdraw::fuzz
