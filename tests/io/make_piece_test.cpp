#include "io/make_piece.h"

#include <cstdlib>
#include <fstream>
#include <iterator>
#include <map>

#include <gtest/gtest.h>
#include <opencv2/imgproc.hpp>

#include "core/error.h"
#include "io/page_files.h"
#include "io/printer_file.h"

namespace fs = std::filesystem;

namespace underdraw {
namespace {

using namespace testing_pages;

constexpr const char* kPieceToml = R"(schema = 1
name = "Tea bowl"

[[page]]
file = "pages/page.png"
names = ["hook", "ring"]

[[face]]
name = "wall"
form = "cylinder"
circumference = 240
height = 70

[[arrange]]
face = "wall"
style = "band"
motifs = ["hook", "ring"]
height = 20
)";

class MakePiece : public testing::Test {
 protected:
  MakePiece() : root_(folder_.file("tea-bowl")) {
    fs::create_directories(root_ / "pages");
    cv::Mat page(709, 1181, CV_8UC1, cv::Scalar(245));
    const cv::Scalar ink(60);
    cv::ellipse(page, {280, 420}, {110, 110}, 0, 0, 180, ink, 6, cv::LINE_AA);
    cv::line(page, {170, 420}, {170, 160}, ink, 6, cv::LINE_AA);
    cv::ellipse(page, {850, 350}, {150, 190}, 0, 0, 360, ink, 6, cv::LINE_AA);
    write_png((root_ / "pages/page.png").string(), page);
    write_toml(kPieceToml);
  }

  void write_toml(const std::string& text) const { std::ofstream(root_ / "piece.toml") << text; }

  std::map<std::string, std::string> out_files() const {
    std::map<std::string, std::string> all;
    for (const auto& entry : fs::recursive_directory_iterator(root_ / "out")) {
      if (!entry.is_regular_file()) continue;
      std::ifstream in(entry.path(), std::ios::binary);
      all[fs::relative(entry.path(), root_ / "out").string()] = {std::istreambuf_iterator(in), {}};
    }
    return all;
  }

  TempFolder folder_;
  fs::path root_;
};

TEST_F(MakePiece, TheOverviewShowsOnlyWhatIsThere) {
  make_piece(root_);
  const std::map<std::string, std::string> files = out_files();
  ASSERT_TRUE(files.contains("index.html"));
  const std::string& page = files.at("index.html");
  std::size_t links = 0;
  for (const std::string& start : {std::string("src=\""), std::string("href=\"")}) {
    for (std::size_t at = page.find(start); at != page.npos; at = page.find(start, at + 1)) {
      const std::size_t from = at + start.size();
      const std::string name = page.substr(from, page.find('"', from) - from);
      if (name == "data:,") continue;
      EXPECT_TRUE(files.contains(name)) << name;
      ++links;
    }
  }
  // Two motifs, four variants, sheets, map, template, views and map as pictures with their links.
  EXPECT_GE(links, 13U);
  EXPECT_EQ(page.find("{{"), page.npos);
  EXPECT_NE(page.find("Tea bowl"), page.npos);
  EXPECT_NE(page.find("silica"), page.npos);
}

TEST_F(MakePiece, NamesEveryFileThatItMade) {
  const PieceResult made = make_piece(root_);
  EXPECT_TRUE(made.published);
  EXPECT_EQ(made.files.size(), out_files().size());
  for (const std::string& file : made.files) EXPECT_TRUE(fs::exists(file)) << file;
  EXPECT_EQ(made.variants.variants.size(), 4U);
  EXPECT_LT(made.proof.largest_mm, 0.2);
}

TEST_F(MakePiece, ProvesMapAndTemplateWithTheSheets) {
  const PieceResult made = make_piece(root_);
  ASSERT_EQ(made.proof.drawn.size(), 2U);
  EXPECT_EQ(made.proof.drawn[0].file, "map.pdf");
  EXPECT_EQ(made.proof.drawn[1].file, "template.pdf");
  for (const DrawnProof& drawn : made.proof.drawn) {
    EXPECT_GE(drawn.pages, 1U);
    EXPECT_GT(drawn.largest_mm, 0.0);
    EXPECT_LT(drawn.largest_mm, 0.1);
  }
  EXPECT_NE(out_files().at("proof.json").find("\"file\": \"template.pdf\""), std::string::npos);
}

TEST_F(MakePiece, PublishesNothingWhenTheProofFails) {
  ASSERT_TRUE(make_piece(root_, {.until = MakeStep::place, .trace = {}, .prove = {}}).published);
  const auto before = out_files();
  MakeOptions strict;
  strict.prove.limits.limit_mm = 0.001;  // nothing that is rendered in pixels is that true
  const PieceResult made = make_piece(root_, strict);
  EXPECT_FALSE(made.published);
  EXPECT_FALSE(made.proof.reasons.empty());
  EXPECT_TRUE(made.files.empty());
  EXPECT_EQ(out_files(), before);
}

TEST_F(MakePiece, StopsAfterTheStepAskedFor) {
  const auto count = [&](MakeStep until) {
    make_piece(root_, {.until = until, .trace = {}, .prove = {}});
    return out_files().size();
  };
  EXPECT_EQ(count(MakeStep::sheet), 2U + 4U + 6U + 2U);  // maps and placements; sheets and plan
  EXPECT_EQ(count(MakeStep::place), 2U + 4U + 6U);
  EXPECT_EQ(count(MakeStep::vary), 2U + 4U);
  EXPECT_EQ(count(MakeStep::trace), 2U);
}

TEST_F(MakePiece, RefusesAPieceThatIsArrangedNowhereOnlyWhenThatMatters) {
  const std::string text = kPieceToml;
  write_toml(text.substr(0, text.find("[[arrange]]")));
  EXPECT_TRUE(make_piece(root_, {.until = MakeStep::vary, .trace = {}, .prove = {}}).published);
  EXPECT_THROW(make_piece(root_), InputError);
}

TEST_F(MakePiece, MakesSheetsForThePrinterThatThePieceNames) {
  const char* before = std::getenv("XDG_CONFIG_HOME");
  const std::optional<std::string> kept =
      before ? std::optional<std::string>(before) : std::nullopt;
  ::setenv("XDG_CONFIG_HOME", folder_.file("settings").c_str(), 1);
  write_toml(std::string(kPieceToml) + "[paper]\nprinter = \"studio-laser\"\n");
  try {
    make_piece(root_);
    ADD_FAILURE() << "an unknown printer was accepted";
  } catch (const InputError& error) {
    EXPECT_EQ(error.complaint().file, (root_ / "piece.toml").string());
    EXPECT_EQ(error.complaint().line, 20);
    EXPECT_NE(error.complaint().remedy.find("take the line out"), std::string::npos);
  }
  EXPECT_FALSE(fs::exists(root_ / "out"));
  EXPECT_NO_THROW(make_piece(
      root_, {.until = MakeStep::vary, .trace = {}, .prove = {}}));  // nothing is printed yet

  keep_printer(printers_file(), {"studio-laser", 0.995, 1.003});
  const PieceResult made = make_piece(root_);
  EXPECT_TRUE(made.proof.ok);
  EXPECT_EQ(made.proof.printer, "studio-laser");
  if (kept) {
    ::setenv("XDG_CONFIG_HOME", kept->c_str(), 1);
  } else {
    ::unsetenv("XDG_CONFIG_HOME");
  }
}

TEST(MotifsInRows, LieApartOnTheirFace) {
  Linework bar;
  bar.strokes.push_back({Path::polyline({{0, 0}, {20, 30}}), 0.5});
  const std::vector<Motif> motifs{make_motif("a", bar), make_motif("b", bar)};
  const std::vector<PlacedFace> faces = motifs_in_rows(motifs);
  ASSERT_EQ(faces.size(), 1U);
  ASSERT_EQ(faces[0].placements.size(), 2U);
  const Box face{{0, 0}, {faces[0].surface.widest_mm(), faces[0].surface.along_mm()}};
  std::vector<Box> boxes;
  for (std::size_t i = 0; i < 2; ++i) {
    const Placement& placement = faces[0].placements[i];
    boxes.push_back(transformed(motifs[i].lines,
                                Affine::translate({placement.at.across, placement.at.along}) *
                                    placement.copy_from_motif(motifs[i]))
                        .ink_box());
    EXPECT_TRUE(face.contains(boxes.back()));
    EXPECT_EQ(placement.id, static_cast<int>(i) + 1);
  }
  EXPECT_FALSE(boxes[0].overlaps(boxes[1]));
}

}  // namespace
}  // namespace underdraw
