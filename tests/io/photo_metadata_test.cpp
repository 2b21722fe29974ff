#include "io/photo_metadata.h"

#include <gtest/gtest.h>
#include <libexif/exif-data.h>
#include <opencv2/imgproc.hpp>

#include "core/error.h"
#include "io/exif_facts.h"
#include "io/photo_facts.h"
#include "io/photo_files.h"
#include "io/read_heic.h"
#include "io/read_jpeg.h"
#include "io/read_png.h"

namespace underdraw {
namespace {

using namespace testing_pages;
using testing_pages::Bytes;

// Tags in any directory, by libexif.
int tag_count(const Bytes& exif) {
  if (exif.empty()) return 0;
  Bytes block{'E', 'x', 'i', 'f', 0, 0};
  block.insert(block.end(), exif.begin(), exif.end());
  ExifData* data = exif_data_new();
  exif_data_unset_option(data, EXIF_DATA_OPTION_FOLLOW_SPECIFICATION);
  exif_data_load_data(data, block.data(), static_cast<unsigned>(block.size()));
  int count = 0;
  for (const ExifContent* content : data->ifd) count += static_cast<int>(content->count);
  exif_data_unref(data);
  return count;
}

cv::Mat pixels_of(PageKind kind, const std::string& path) {
  if (kind == PageKind::jpeg) return open_jpeg(path)->image(1, 1).tint;
  if (kind == PageKind::png) return open_png(path)->image(1, 1).tint;
  return open_heic(path)->image(1, 1).tint;
}

void expect_no_secret(const Bytes& bytes) {
  for (const std::string& secret : kSecrets) EXPECT_FALSE(holds(bytes, secret)) << secret;
  EXPECT_FALSE(holds(bytes, kLatitude));
}

class ExportTest : public testing::Test {
 protected:
  // Writes both, exported and as it was.
  Bytes exported(PageKind kind, const Bytes& original, int orientation) {
    write_bytes(before_, original);
    const Bytes copy = photo_for_export(kind, original, orientation, "photo");
    write_bytes(after_, copy);
    return copy;
  }

  void expect_same_picture(PageKind kind) const {
    const cv::Mat before = pixels_of(kind, before_);
    ASSERT_FALSE(before.empty());
    EXPECT_EQ(largest_difference(before, pixels_of(kind, after_)), 0);
    EXPECT_EQ(read_photo_facts(before_).orientation, read_photo_facts(after_).orientation);
  }

  const TempFolder folder_;
  const std::string before_ = folder_.file("before");
  const std::string after_ = folder_.file("after");
};

TEST(PhotoExif, TestPhotosHoldWhatTheyShouldLose) {
  const Bytes exif = camera_exif();
  EXPECT_TRUE(holds(exif, kLatitude));
  for (int i : {0, 1, 2}) EXPECT_TRUE(holds(exif, kSecrets[static_cast<std::size_t>(i)]));
  EXPECT_GE(tag_count(exif), 10);
  const Bytes jpeg = talkative_jpeg(1);
  for (const std::string& secret : kSecrets) EXPECT_TRUE(holds(jpeg, secret)) << secret;
}

TEST_F(ExportTest, JpegKeepsPixelsAndOrientationAndNothingElse) {
  for (int orientation : {1, 3, 6, 8}) {
    const Bytes copy = exported(
        PageKind::jpeg, talkative_jpeg(orientation, {.orientation = orientation}), orientation);
    expect_no_secret(copy);
    expect_same_picture(PageKind::jpeg);
    EXPECT_EQ(read_photo_facts(after_).orientation, orientation);
    EXPECT_EQ(tag_count(exif_of_photo(PageKind::jpeg, after_)), orientation == 1 ? 0 : 1);
  }
}

TEST_F(ExportTest, ProgressiveAndCmykJpegsKeepTheirPixels) {
  exported(PageKind::jpeg,
           jpeg_bytes(colour_sketch(70, 50), {.progressive = true, .exif = camera_exif()}),
           1);
  expect_same_picture(PageKind::jpeg);
  cv::Mat inks;
  cv::cvtColor(colour_sketch(30, 20), inks, cv::COLOR_RGB2RGBA);
  exported(PageKind::jpeg, jpeg_bytes(inks, {.ycck = true, .exif = camera_exif()}), 1);
  expect_same_picture(PageKind::jpeg);
}

TEST_F(ExportTest, PngKeepsPixelsAndOrientationAndNothingElse) {
  for (int orientation : {1, 6}) {
    const Bytes copy = exported(
        PageKind::png, talkative_png(orientation, {.orientation = orientation}), orientation);
    expect_no_secret(copy);
    expect_same_picture(PageKind::png);
    EXPECT_EQ(read_photo_facts(after_).orientation, orientation);
    EXPECT_EQ(tag_count(exif_of_photo(PageKind::png, after_)), orientation == 1 ? 0 : 1);
  }
}

TEST_F(ExportTest, HeicKeepsItsPictureBytesAndLosesItsExif) {
  if (!write_heic(before_, colour_sketch(64, 48), camera_exif())) {
    GTEST_SKIP() << "libheif has no encoder here";
  }
  const Bytes original = bytes_of(before_);
  ASSERT_TRUE(holds(original, kLatitude));
  const Bytes copy = exported(PageKind::heic, original, 1);
  EXPECT_EQ(copy.size(), original.size());
  expect_no_secret(copy);
  expect_same_picture(PageKind::heic);
  EXPECT_EQ(tag_count(exif_of_photo(PageKind::heic, after_)), 0);
}

// Boxes of ISO/IEC 14496-12, put together by hand: phones keep the plan of a picture's tiles in
// `idat`, which libheif's encoder never writes.
std::string number(std::uint64_t value, int bytes) {
  std::string text;
  for (int i = bytes - 1; i >= 0; --i) text += static_cast<char>(value >> (8 * i) & 0xFFU);
  return text;
}

std::string box(const std::string& type, const std::string& content) {
  return number(8 + content.size(), 4) + type + content;
}

std::string item_entry(int id, const std::string& type, const std::string& name) {
  return box("infe",
             number(2, 1) + number(0, 3) + number(static_cast<unsigned>(id), 2) + number(0, 2) +
                 type + name + '\0');
}

std::string item_place(int id, int method, std::size_t offset, std::size_t length) {
  return number(static_cast<unsigned>(id), 2) + number(static_cast<unsigned>(method), 2) +
         number(0, 2) + number(1, 2) + number(offset, 4) + number(length, 4);
}

TEST(HeicExport, KeepsTilesAndTheirPlanAndNothingElse) {
  const std::string exif = std::string(4, '\0') + "II*" + std::string(40, 'e') + kSecrets[0];
  const std::string media = "gap-one" + exif + "TILE-BYTES" + kSecrets[3] + "gap-two";
  const std::string idat = kSecrets[4] + "GRIDPLAN" + kSecrets[5];
  const auto file_with = [&](std::size_t media_at) {
    const std::size_t tile_at = media_at + 7 + exif.size();
    const std::string places = number(1, 1) + number(0, 3) + number(0x4400, 2) + number(4, 2) +
                               item_place(1, 0, tile_at, 10) +
                               item_place(2, 1, kSecrets[4].size(), 8) +
                               item_place(3, 0, media_at + 7, exif.size()) +
                               item_place(4, 0, tile_at + 10, kSecrets[3].size());
    const std::string items = number(0, 4) + number(4, 2) + item_entry(1, "hvc1", kSecrets[6]) +
                              item_entry(2, "grid", "") + item_entry(3, "Exif", "") +
                              item_entry(4, "mime", std::string("\0application/rdf+xml", 20));
    const std::string properties =
        box("iprp", box("ipco", box("ispe", "kept") + box("udes", kSecrets[1])));
    return box("ftyp", "heic") +
           box("meta",
               number(0, 4) + box("pitm", "kept") + box("iinf", items) + box("iloc", places) +
                   box("idat", idat) + properties + box("uuid", kSecrets[2])) +
           box("moov", kSecrets[7]) + box("mdat", media);
  };
  // Its length does not depend on the numbers in it.
  const std::string text = file_with(file_with(0).size() - media.size());
  const Bytes original(text.begin(), text.end());
  for (const std::string& secret : kSecrets) ASSERT_TRUE(holds(original, secret)) << secret;

  const Bytes copy = photo_for_export(PageKind::heic, original, 1, "photo");
  EXPECT_EQ(copy.size(), original.size());
  for (const std::string& secret : kSecrets) EXPECT_FALSE(holds(copy, secret)) << secret;
  for (const char* gap : {"gap-one", "gap-two", "eeee", "moov", "uuid"}) {
    EXPECT_FALSE(holds(copy, std::string(gap))) << gap;
  }
  for (const char* part : {"TILE-BYTES", "GRIDPLAN"}) {
    ASSERT_NE(text.find(part), std::string::npos);
    const auto at = static_cast<std::ptrdiff_t>(text.find(part));
    EXPECT_EQ(std::string(copy.begin() + at, copy.begin() + at + 8),
              text.substr(text.find(part), 8));
  }
}

// Whatever is cut off or changed, the export ends in a file or in a complaint.
TEST_F(ExportTest, DamagedPhotosEndInAComplaint) {
  std::vector<std::pair<PageKind, Bytes>> photos{{PageKind::jpeg, talkative_jpeg(1)},
                                                 {PageKind::png, talkative_png(1)}};
  if (write_heic(before_, colour_sketch(64, 48), camera_exif())) {
    photos.emplace_back(PageKind::heic, bytes_of(before_));
  }
  for (const auto& [kind, photo] : photos) {
    int refused = 0;
    const auto attempt = [&, kind = kind](const Bytes& bytes) {
      try {
        photo_for_export(kind, bytes, 6, "photo");
      } catch (const InputError& error) {
        EXPECT_NE(std::string(error.what()).find("photo: is damaged or cut short"),
                  std::string::npos);
        ++refused;
      }
    };
    for (std::size_t size = 0; size < photo.size(); size += 1 + photo.size() / 300) {
      attempt(Bytes(photo.begin(), photo.begin() + static_cast<std::ptrdiff_t>(size)));
    }
    EXPECT_GT(refused, 20) << name_of(kind);
    for (std::size_t at = 0; at < std::min<std::size_t>(photo.size(), 900); ++at) {
      Bytes changed = photo;
      changed[at] = static_cast<std::uint8_t>(changed[at] ^ 0xFF);
      attempt(changed);
    }
  }
}

TEST(PhotoFacts, AreWhatTheCameraWrote) {
  const TempFolder folder;
  const std::string path = folder.file("photo.jpg");
  write_bytes(path, small_jpeg(1, {.orientation = 6}));
  const PhotoFacts facts = read_photo_facts(path);
  EXPECT_EQ(facts.kind, PageKind::jpeg);
  EXPECT_EQ(facts.width_px, 40);
  EXPECT_EQ(facts.height_px, 30);
  EXPECT_EQ(facts.orientation, 6);
  EXPECT_EQ(facts.taken_at, "2026-05-03T14:15:22+02:00");
  EXPECT_EQ(facts.camera_make, "Tern");
  EXPECT_EQ(facts.camera_model, "Tern Pocket 2");
  EXPECT_DOUBLE_EQ(facts.focal_length_mm.value_or(0), 6.2);
  EXPECT_DOUBLE_EQ(facts.focal_length_35mm.value_or(0), 27);
}

TEST(PhotoFacts, OfAnUnsetClockAreNoTime) {
  for (const char* taken :
       {"0000:00:00 00:00:00", "2026:13:03 14:15:22", "    :  :     :  :  ", ""}) {
    EXPECT_FALSE(read_exif(camera_exif({.taken = taken})).taken_at) << taken;
  }
  EXPECT_EQ(read_exif(camera_exif({.offset = "?"})).taken_at, "2026-05-03T14:15:22");
}

TEST(PhotoFacts, RefuseWhatIsNoWholePhoto) {
  const TempFolder folder;
  const std::string path = folder.file("photo.jpg");
  const auto refusal = [&](const Bytes& bytes) -> std::string {
    write_bytes(path, bytes);
    try {
      read_photo_facts(path);
    } catch (const InputError& error) {
      return error.what();
    }
    return "taken";
  };
  const Bytes whole = small_jpeg(1);
  EXPECT_EQ(refusal(whole), "taken");
  EXPECT_NE(
      refusal(Bytes(whole.begin(), whole.begin() + 600)).find("copy it again from the camera"),
      std::string::npos);
  EXPECT_NE(refusal({}).find("is empty"), std::string::npos);
  EXPECT_NE(refusal({'n', 'o', 't', 'e'}).find("is text (expected a JPEG, PNG or HEIC photo)"),
            std::string::npos);
  EXPECT_NE(refusal({'%', 'P', 'D', 'F', '-', '1'}).find("is a PDF"), std::string::npos);
}

}  // namespace
}  // namespace underdraw
