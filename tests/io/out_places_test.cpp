#include "io/out_places.h"

#include <fstream>

#include <gtest/gtest.h>

#include "core/error.h"
#include "io/page_files.h"

namespace fs = std::filesystem;

namespace underdraw {
namespace {

using testing_pages::TempFolder;

std::string text_of(const fs::path& path) {
  std::ifstream in(path);
  return {std::istreambuf_iterator<char>(in), {}};
}

TEST(OutPlaces, OneFolderUnderSeveralNamesIsLockedOnce) {
  const TempFolder folder;
  const fs::path root = folder.file("new");  // is still to be made
  OutPlaces places(Overwrite::no);
  places.write(root / "traced" / "kelp.svg", "kelp");
  places.write(root / "." / "traced" / ".." / "traced" / "look.png", "look");
  places.write(root / "look.png", "other");
  EXPECT_FALSE(fs::exists(root / "traced" / "kelp.svg"));
  places.publish();
  EXPECT_EQ(text_of(root / "traced" / "kelp.svg"), "kelp");
  EXPECT_EQ(text_of(root / "traced" / "look.png"), "look");
  EXPECT_EQ(text_of(root / "look.png"), "other");
}

TEST(OutPlaces, AFileThatExistsIsKeptUnlessItMayBeReplaced) {
  const TempFolder folder;
  const std::string path = folder.file("look.png");
  std::ofstream(path) << "before";
  {
    OutPlaces places(Overwrite::no);
    places.write(folder.file("kelp.svg"), "kelp");
    EXPECT_THROW(places.write(path, "after"), OutputError);
  }
  EXPECT_EQ(text_of(path), "before");
  EXPECT_FALSE(fs::exists(folder.file("kelp.svg")));
  OutPlaces places(Overwrite::yes);
  places.write(path, "after");
  places.publish();
  EXPECT_EQ(text_of(path), "after");
}

}  // namespace
}  // namespace underdraw
