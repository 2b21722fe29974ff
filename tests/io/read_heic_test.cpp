#include "io/read_heic.h"

#include <gtest/gtest.h>

#include "io/page_files.h"
#include "io/read_pages.h"

namespace underdraw {
namespace {

using namespace testing_pages;
using testing::IsSubstring;

class ReadHeic : public testing::Test {
 protected:
  // Sides that the encoder need not pad.
  void write_or_skip(const cv::Mat& image, const Bytes& exif) {
    if (!write_heic(path_, image, exif)) GTEST_SKIP() << "libheif has no HEVC encoder here";
  }
  TempFolder folder_;
  std::string path_ = folder_.file("page.heic");
};

TEST_F(ReadHeic, ReadsColourAndResolution) {
  const cv::Mat colour = colour_sketch(128, 96);
  write_or_skip(colour, exif_block(1, 240.0));
  if (IsSkipped()) return;
  const PageFile file = PageFile::open(path_);
  EXPECT_EQ(file.kind(), "HEIC");
  ASSERT_EQ(file.page_count(), 1);
  const Page page = file.read(1);
  EXPECT_LE(largest_difference(page.grey, expected_grey(colour)), 4);
  EXPECT_NEAR(page.px_per_mm_x, 240.0 / 25.4, 1e-9);
}

TEST_F(ReadHeic, LeavesTurningToTheFilesOwnTransformations) {
  const cv::Mat colour = colour_sketch(128, 96);
  write_or_skip(colour, exif_block(6, 240.0));  // EXIF alone does not turn a HEIC
  if (IsSkipped()) return;
  EXPECT_LE(largest_difference(PageFile::open(path_).read(1).grey, expected_grey(colour)), 4);
}

TEST_F(ReadHeic, DoesNotTakeAPhonesFillerForAResolution) {
  write_or_skip(colour_sketch(128, 96), exif_block(1, 72.0));
  if (IsSkipped()) return;
  EXPECT_PRED_FORMAT2(IsSubstring, "72 dpi stands for unknown", refusal_of(path_));
  EXPECT_EQ(refusal_of(path_, {.dpi = 300.0}), "");
}

}  // namespace
}  // namespace underdraw
