// A piece folder's paint map and coat card. Sizes known from plane geometry; no outside source.
#include "io/make_coats.h"

#include <fstream>

#include <gtest/gtest.h>
#include <nlohmann/json.hpp>

#include "core/error.h"
#include "io/coats_log.h"
#include "io/page_files.h"

namespace fs = std::filesystem;

namespace underdraw {
namespace {

using namespace testing_pages;

constexpr const char* kMotif =
    R"(<svg xmlns="http://www.w3.org/2000/svg" width="21mm" height="21mm" viewBox="0 0 21 21">
<path d="M0.5 0.5H20.5V20.5H0.5ZM0.5 8.5H20.5" fill="none" stroke="#000" stroke-width="0.4"/>
</svg>)";

constexpr const char* kPieceToml = R"(schema = 1
name = "Buoy tile"
[[motif]]
name = "buoy"
file = "buoy.svg"
[[face]]
name = "front"
form = "flat"
width = 150
height = 100
[[arrange]]
face = "front"
style = "band"
motifs = ["buoy"]
count = 3
[[colour]]
name = "slate"
on = ["front"]
[[colour]]
name = "rust"
kind = "thin"
on = ["buoy b"]
)";

class MakeCoats : public testing::Test {
 protected:
  MakeCoats() : root_(folder_.file("buoy-tile")) {
    fs::create_directories(root_);
    std::ofstream(root_ / "buoy.svg") << kMotif;
    write_toml(kPieceToml);
  }

  void write_toml(const std::string& text) const { std::ofstream(root_ / "piece.toml") << text; }
  nlohmann::json coats() const {
    std::ifstream in(root_ / "out/coats.json");
    return nlohmann::json::parse(in);
  }

  TempFolder folder_;
  fs::path root_;
};

TEST_F(MakeCoats, SizesAndAmountsAreWrittenDown) {
  const CoatsResult made = make_coats(root_);
  EXPECT_TRUE(made.warnings.empty());
  const nlohmann::json all = coats();
  EXPECT_EQ(all["schema"], 1);
  const auto& areas = all["faces"][0]["areas"];
  ASSERT_EQ(areas.size(), 7U);
  double sum = 0.0;
  for (const auto& area : areas) sum += area["cm2"].get<double>();
  EXPECT_NEAR(sum, 150.0, 0.05);
  EXPECT_EQ(areas[1]["name"], "1a");
  EXPECT_EQ(areas[1]["colour"], "slate");
  EXPECT_NEAR(areas[1]["cm2"].get<double>(), 2.4, 0.03);
  EXPECT_EQ(areas[2]["colour"], "rust");
  EXPECT_NEAR(areas[2]["cm2"].get<double>(), 1.6, 0.03);
  // Three areas of 1.6 cm2, four coats, 200 ml for a square metre and coat.
  EXPECT_NEAR(all["amounts"][1]["ml"].get<double>(), 4.8 * 4.0 * 0.02, 0.01);
}

TEST_F(MakeCoats, WhatOtherCommandsMadeStays) {
  fs::create_directories(root_ / "out/paint-map");
  std::ofstream(root_ / "out/redraw.pdf") << "lines";
  std::ofstream(root_ / "out/paint-map/page-9.png") << "old";
  make_coats(root_);
  EXPECT_TRUE(fs::exists(root_ / "out/redraw.pdf"));
  EXPECT_TRUE(fs::exists(root_ / "out/coat-card.pdf"));
  EXPECT_TRUE(fs::exists(root_ / "out/paint-map/page-1.png"));
  EXPECT_FALSE(fs::exists(root_ / "out/paint-map/page-9.png"));
}

TEST_F(MakeCoats, WhatThePersonFoundOutComesBeforeTheLabel) {
  write_log(root_, ColourUsed{"rust", 3.0, 100.0, 2});  // 150 ml for a square metre and coat
  const CoatsResult made = make_coats(root_);
  const ColourAmount& rust = made.plan.amounts.at(1);
  EXPECT_TRUE(rust.coverage.measured);
  EXPECT_NEAR(rust.coverage.ml_per_m2, 150.0, 1e-9);
  EXPECT_NEAR(rust.low_ml, 0.7 * rust.ml, 1e-9);
}

TEST_F(MakeCoats, AColourOnAnAreaThatIsNotThereIsRefusedWithItsLine) {
  std::string text = kPieceToml;
  text.replace(text.find("buoy b"), 6, "buoy d");
  write_toml(text);
  try {
    make_coats(root_);
    FAIL();
  } catch (const Error& error) {
    EXPECT_NE(std::string(error.what()).find("piece.toml:19: 'buoy' has no area d"),
              std::string::npos)
        << error.what();
  }
  EXPECT_FALSE(fs::exists(root_ / "out"));
}

}  // namespace
}  // namespace underdraw
