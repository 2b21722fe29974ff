// The photo store as a person meets it, over several commands.
#include <fstream>

#include <gtest/gtest.h>
#include <nlohmann/json.hpp>

#include "cli/run_program.h"
#include "io/photo_files.h"
#include "support/own_folder.h"

namespace fs = std::filesystem;

namespace underdraw::test {
namespace {

using namespace testing_pages;
using Json = nlohmann::json;

class KeepCommandTest : public testing::Test {
 protected:
  KeepCommandTest() {
    fs::create_directory(own_.path() / "bowl");
    std::ofstream(own_.path() / "bowl" / "piece.toml") << "schema = 1\nname = \"Bowl\"\n";
    for (int i = 1; i <= 3; ++i) {
      write_bytes((own_.path() / ("IMG_" + std::to_string(i) + ".jpg")).string(),
                  talkative_jpeg(i));
    }
  }
  ProgramRun run(std::vector<std::string> words) const {
    words.insert(words.begin(), {"keep", "bowl"});
    return run_underdraw(words, {.folder = own_.path()});
  }
  Json list() const { return Json::parse(run({"--list", "--json"}).out)["photos"]; }

  const OwnFolder own_;
};

TEST_F(KeepCommandTest, ListsShowsVerifiesAndExportsWhatItKept) {
  ASSERT_EQ(run({"IMG_1.jpg", "IMG_2.jpg", "--stage", "bisque"}).exit_code, 0);
  ASSERT_EQ(run({"IMG_3.jpg", "--stage", "covered", "--note", "blue on"}).exit_code, 0);
  const Json photos = list();
  ASSERT_EQ(photos.size(), 3U);
  EXPECT_EQ(photos[2]["stage"], "covered");
  EXPECT_EQ(photos[2]["note"], "blue on");
  EXPECT_EQ(photos[2]["camera_model"], "Tern Pocket 2");
  EXPECT_TRUE(photos[2]["face"].is_null());

  const ProgramRun shown = run({"--show", "IMG_3.jpg"});
  EXPECT_EQ(shown.exit_code, 0);
  EXPECT_NE(shown.out.find(std::string(photos[2]["checksum"])), std::string::npos);
  EXPECT_NE(shown.out.find("6.2 mm, as on 35 mm film 27 mm"), std::string::npos);

  const ProgramRun verified = run({"--verify"});
  EXPECT_EQ(verified.exit_code, 0) << verified.err;
  EXPECT_NE(verified.out.find("3 photos as kept"), std::string::npos);

  EXPECT_EQ(run({"--export", "mail"}).exit_code, 0);
  EXPECT_EQ(run({"--export", "mail"}).exit_code, 1);
  EXPECT_EQ(run({"--export", "mail", "--overwrite"}).exit_code, 0);
  int copies = 0;
  for (const auto& entry : fs::directory_iterator(own_.path() / "mail")) {
    const Bytes copy = bytes_of(entry.path().string());
    for (const std::string& secret : kSecrets) EXPECT_FALSE(holds(copy, secret)) << secret;
    EXPECT_FALSE(holds(copy, kLatitude));
    ++copies;
  }
  EXPECT_EQ(copies, 3);
}

TEST_F(KeepCommandTest, SaysWhatIsWrongAndHowToMendIt) {
  run({"IMG_1.jpg", "IMG_2.jpg", "--stage", "bisque"});
  const std::string name = list()[0]["name"];
  fs::remove(own_.path() / "bowl" / "photos" / name);
  const ProgramRun wrong = run({"--verify", "--json"});
  EXPECT_EQ(wrong.exit_code, 1);
  EXPECT_EQ(
      wrong.err,
      "underdraw: photos/" + name + ": is missing; keep IMG_1.jpg again from where it came\n");
  const Json problems = Json::parse(wrong.out);
  EXPECT_EQ(problems["ok"], false);
  EXPECT_EQ(problems["problems"][0]["problem"], "missing");

  const ProgramRun mended = run({"IMG_1.jpg", "--stage", "bisque"});
  EXPECT_EQ(mended.exit_code, 0);
  EXPECT_NE(mended.out.find("put back"), std::string::npos);
  EXPECT_EQ(run({"--verify"}).exit_code, 0);
}

TEST_F(KeepCommandTest, ADamagedRecordIsNamedAndThePhotosAreKept) {
  run({"IMG_1.jpg", "--stage", "bisque"});
  const fs::path record = own_.path() / "bowl" / "record.db";
  std::ofstream(record, std::ios::binary) << "this is no database, but a shopping list of glazes";
  for (const std::vector<std::string>& words :
       {std::vector<std::string>{"--list"}, {"--verify"}, {"IMG_2.jpg", "--stage", "bisque"}}) {
    const ProgramRun refused = run(words);
    EXPECT_EQ(refused.exit_code, 1);
    EXPECT_EQ(refused.err,
              "underdraw: bowl/record.db: is no database, or a damaged one; restore it from a "
              "backup, or move it away and keep the files in photos/ again; they are untouched\n");
  }
  fs::remove(record);
  std::vector<std::string> words{"--stage", "bisque"};
  for (const auto& entry : fs::directory_iterator(own_.path() / "bowl" / "photos")) {
    words.push_back(("bowl/photos" / entry.path().filename()).string());
  }
  EXPECT_NE(run(words).out.find("taken in"), std::string::npos);
  EXPECT_EQ(run({"--verify"}).exit_code, 0);
}

// Before a coat goes on, what is not known is no good news; but the photo is kept.
TEST_F(KeepCommandTest, KeepsAPhotoOfWhichItCannotSayWhetherItWillDo) {
  const ProgramRun kept = run({"IMG_1.jpg", "--stage", "drawn"});
  EXPECT_EQ(kept.exit_code, 1);
  EXPECT_NE(kept.err.find("the photos are kept, but whether lines can be brought back from them is "
                          "not known: bowl/piece.toml: has no [[page]]"),
            std::string::npos)
      << kept.err;
  ASSERT_EQ(list().size(), 1U);
  EXPECT_EQ(list()[0]["stage"], "drawn");
  const ProgramRun checked = run({"--check"});
  EXPECT_EQ(checked.exit_code, 1);
  EXPECT_NE(checked.err.find("has no [[page]]"), std::string::npos) << checked.err;
}

}  // namespace
}  // namespace underdraw::test
