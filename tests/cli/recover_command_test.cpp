// Covered lines brought back as a person meets it: the sample jar's photos, kept and recovered.
#include <cmath>
#include <filesystem>
#include <fstream>
#include <iterator>

#include <gtest/gtest.h>
#include <nlohmann/json.hpp>

#include "cli/run_program.h"
#include "support/own_folder.h"

namespace fs = std::filesystem;

namespace underdraw::test {
namespace {

using Json = nlohmann::json;

class RecoverCommandTest : public testing::Test {
 protected:
  RecoverCommandTest() {
    const fs::path sample = fs::path(UNDERDRAW_SOURCE_DIR) / "samples/harbour-jar";
    fs::create_directory(jar());
    for (const char* part : {"piece.toml", "pages"}) {
      fs::copy(sample / part, jar() / part, fs::copy_options::recursive);
    }
    fs::copy(sample / "photos-drawn", own_.path() / "drawn", fs::copy_options::recursive);
    fs::copy(sample / "photos-covered", own_.path() / "covered", fs::copy_options::recursive);
  }

  fs::path jar() const { return own_.path() / "jar"; }
  ProgramRun run(const std::vector<std::string>& words) const {
    return run_underdraw(words, {.folder = own_.path()});
  }
  ProgramRun keep(const std::string& folder, const std::string& stage) const {
    std::vector<std::string> words = {"keep", "jar", "--stage", stage, "--face", "wall", "--json"};
    for (const auto& entry : fs::directory_iterator(own_.path() / folder)) {
      words.push_back(entry.path().string());
    }
    return run(words);
  }

  void change_piece(const std::vector<std::pair<std::string, std::string>>& changes) const {
    std::ifstream in(jar() / "piece.toml");
    std::string text{std::istreambuf_iterator<char>(in), {}};
    for (const auto& [from, to] : changes) {
      const std::size_t at = text.find(from);
      ASSERT_NE(at, std::string::npos) << from;
      text.replace(at, from.size(), to);
    }
    std::ofstream(jar() / "piece.toml") << text;
  }

  const OwnFolder own_;
};

// All that the sample's photos show is known (samples/make_photos): every drawing of the wall
// before, and only the feathers of its shoulder after, drawn again by another day's hand.
TEST_F(RecoverCommandTest, BringsTheJarsLinesBack) {
  const ProgramRun kept = keep("drawn", "drawn");
  ASSERT_EQ(kept.exit_code, 0) << kept.err << kept.out;
  const Json check = Json::parse(kept.out)["check"];
  EXPECT_TRUE(check["ok"]);
  EXPECT_EQ(check["placements"].size(), 39U);
  ASSERT_EQ(keep("covered", "covered").exit_code, 0);

  // What another command made stays.
  fs::create_directories(jar() / "out");
  std::ofstream(jar() / "out" / "sheets.pdf") << "older";
  const ProgramRun done = run({"recover", "jar", "--json"});
  ASSERT_EQ(done.exit_code, 0) << done.err;
  const Json result = Json::parse(done.out);
  int found = 0;
  for (const Json& p : result["faces"][0]["placements"]) {
    EXPECT_EQ(p["finding"], "found") << p;
    ++found;
    // Both hands were up to 0.8 mm off each way, and the piece is turned back only as well as
    // their mean.
    EXPECT_LT(std::abs(p["off_mm"][0].get<double>()), 1.3) << p;
    EXPECT_LT(std::abs(p["off_mm"][1].get<double>()), 1.1) << p;
    EXPECT_EQ(p["now"], p["id"] >= 24 ? "shows" : "covered") << p;
  }
  EXPECT_EQ(found, 39);
  for (const Json& p : result["faces"][1]["placements"]) EXPECT_EQ(p["finding"], "no photos");
  EXPECT_TRUE(result["proof"]["ok"]);
  EXPECT_EQ(result["proof"]["placements"], 23);
  for (const char* name : {"recovered.json",
                           "redraw.pdf",
                           "bench.html",
                           "sheets.pdf",
                           "overlays",
                           "unrolled/wall-drawn.jpg",
                           "unrolled/wall-lines.png"}) {
    EXPECT_TRUE(fs::exists(jar() / "out" / name)) << name;
  }
  const ProgramRun proof = run({"proof", "jar/out/redraw.pdf"});
  EXPECT_EQ(proof.exit_code, 0) << proof.err;
}

TEST_F(RecoverCommandTest, SeesThatStagesWereMixedUp) {
  ASSERT_EQ(keep("covered", "sketched").exit_code, 0);
  ASSERT_EQ(keep("drawn", "covered").exit_code, 0);
  const ProgramRun refused = run({"recover", "jar", "--before", "sketched"});
  EXPECT_EQ(refused.exit_code, 1);
  EXPECT_NE(refused.err.find("pass --before covered --after sketched"), std::string::npos)
      << refused.err;
  EXPECT_FALSE(fs::exists(jar() / "out"));
}

// The same jar, but its drawings were planned elsewhere.
TEST_F(RecoverCommandTest, SeesThatPhotosAreOfAnotherPiece) {
  change_piece(
      {{"at = 100.0", "at = 75.0"}, {"at = 32.0", "at = 20.0"}, {"at = 150.0", "at = 130.0"}});
  ASSERT_EQ(keep("drawn", "sketched").exit_code, 0);
  const ProgramRun refused = run({"recover", "jar", "--before", "sketched"});
  EXPECT_EQ(refused.exit_code, 1) << refused.out;
  EXPECT_NE(refused.err.find("check that they are of this piece"), std::string::npos)
      << refused.err;
  EXPECT_FALSE(fs::exists(jar() / "out"));
}

TEST_F(RecoverCommandTest, SaysWhereMeasurementsAndPhotosDisagree) {
  change_piece({{"[45, 424], [95, 456], [140, 436]", "[45, 466], [95, 501], [140, 480]"}});
  ASSERT_EQ(keep("covered", "covered").exit_code, 0);
  const ProgramRun refused = run({"recover", "jar", "--before", "covered"});
  EXPECT_EQ(refused.exit_code, 1) << refused.out;
  EXPECT_NE(refused.err.find("narrower"), std::string::npos) << refused.err;
}

}  // namespace
}  // namespace underdraw::test
