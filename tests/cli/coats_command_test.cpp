// The log as a person meets it, from the first coat to the glaze.
#include <fstream>

#include <gtest/gtest.h>
#include <nlohmann/json.hpp>

#include "cli/run_program.h"
#include "support/own_folder.h"

namespace fs = std::filesystem;

namespace underdraw::test {
namespace {

using Json = nlohmann::json;

class CoatsCommandTest : public testing::Test {
 protected:
  CoatsCommandTest() {
    fs::create_directory(own_.path() / "jug");
    std::ofstream(own_.path() / "jug" / "piece.toml")
        << "schema = 1\nname = \"Jug\"\n"
           "[[colour]]\nname = \"teal\"\nkind = \"opaque\"\ncoats = 3\n"
           "[[colour]]\nname = \"kelp wash\"\nkind = \"wash\"\n";
  }
  ProgramRun run(std::vector<std::string> words) const {
    words.insert(words.begin(), {"coats", "jug"});
    return run_underdraw(words, {.folder = own_.path()});
  }
  Json json(std::vector<std::string> words) const {
    words.push_back("--json");
    return Json::parse(run(words).out);
  }

  const OwnFolder own_;
};

TEST_F(CoatsCommandTest, ShowsWhatIsLaidAndWhatIsMissing) {
  EXPECT_EQ(run({}).out,
            "coats\n"
            "  teal       0 of 3 laid, 3 missing\n"
            "  kelp wash  0 coats laid\n");
  ASSERT_EQ(run({"--laid", "2", "teal"}).exit_code, 0);
  ASSERT_EQ(run({"--laid", "1", "kelp wash"}).exit_code, 0);
  ASSERT_EQ(run({"--fired", "bisque"}).exit_code, 0);
  ASSERT_EQ(run({"--laid", "1", "teal", "--areas", "4"}).exit_code, 0);
  Json now = json({});
  EXPECT_EQ(now["complete"], false);
  EXPECT_EQ(now["colours"][0]["laid"], 2);  // the firing takes none away
  EXPECT_EQ(now["colours"][0]["missing"], 1);
  EXPECT_EQ(now["colours"][0]["more"][0]["areas"], "4");
  EXPECT_TRUE(now["colours"][1]["missing"].is_null());
  EXPECT_EQ(now["firings"][0]["stage"], "bisque");

  EXPECT_EQ(run({"--undo"}).out, "taken back: 1 coat of teal on 4  (entry 4)\n");
  EXPECT_EQ(run({"--undo", "1"}).exit_code, 0);
  now = json({});
  EXPECT_EQ(now["colours"][0]["laid"], 0);
  const Json entries = json({"--history"})["entries"];
  ASSERT_EQ(entries.size(), 4U);
  EXPECT_FALSE(entries[0]["taken_back_at"].is_null());
  EXPECT_TRUE(entries[1]["taken_back_at"].is_null());
}

// The sample's tile is painted (61.6, -15.9, -3.9) when dry and (47.8, -20.3, -4.5) when glazed,
// mottling included; its photos are taken under two lamps (samples/make_photos).
TEST_F(CoatsCommandTest, TellsFromTestTilesHowAColourChanges) {
  const std::string tiles = std::string(UNDERDRAW_SOURCE_DIR) + "/samples/harbour-jar/tiles/";
  ASSERT_EQ(run({"--tile", "1", "--of", "teal", "--state", "dry", tiles + "teal-dry.jpg"}).err, "");
  const Json read = json({"--tile", "1", "--state", "glazed", tiles + "teal-glazed.jpg"});
  EXPECT_EQ(read["entry"]["of"], "teal");
  EXPECT_EQ(read["entry"]["checksum"].get<std::string>().size(), 64U);
  EXPECT_TRUE(read["warnings"].empty());
  const Json change = json({})["changes"][0];
  EXPECT_EQ(change["of"], "teal");
  EXPECT_EQ(change["from"], "dry");
  EXPECT_EQ(change["to"], "glazed");
  EXPECT_EQ(change["tiles"], 1);
  EXPECT_EQ(change["doubtful"], false);
  EXPECT_NEAR(change["lighter"]["median"].get<double>(), -13.8, 0.4);
  EXPECT_NEAR(change["apart"]["median"].get<double>(), 13.4, 0.4);
}

}  // namespace
}  // namespace underdraw::test
