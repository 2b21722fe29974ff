#include "io/photo_store.h"

#include <algorithm>
#include <fstream>

#include <gtest/gtest.h>

#include "core/error.h"
#include "io/photo_files.h"
#include "support/own_folder.h"

namespace fs = std::filesystem;

namespace underdraw {
namespace {

using namespace testing_pages;

class PhotoStoreTest : public testing::Test {
 protected:
  PhotoStoreTest() { fs::create_directory(piece_); }

  std::string camera(const std::string& name, const Bytes& bytes) const {
    fs::create_directories((own_.path() / name).parent_path());
    write_bytes((own_.path() / name).string(), bytes);
    return (own_.path() / name).string();
  }
  KeepReport keep(const std::vector<std::string>& files, const KeepOptions& options = drawn()) {
    return keep_photos(piece_, files, options);
  }
  static KeepOptions drawn() { return {.stage = "drawn", .face = {}, .note = {}}; }
  fs::path stored(const PhotoRow& row) const { return piece_ / "photos" / row.name; }
  std::string refusal(const std::vector<std::string>& files, const KeepOptions& options = drawn()) {
    try {
      keep(files, options);
    } catch (const Error& error) {
      return error.what();
    }
    return "kept";
  }

  const test::OwnFolder own_;
  const fs::path piece_ = own_.path() / "jug";
};

TEST_F(PhotoStoreTest, KeepsOriginalsByteForByteWithAllThatIsKnown) {
  const Bytes jpeg = talkative_jpeg(1, {.orientation = 6});
  const std::string file = camera("IMG_0001.JPG", jpeg);
  const KeepReport report =
      keep({file}, {.stage = "drawn", .face = "wall", .note = "kelp, seam left"});
  ASSERT_EQ(report.photos.size(), 1U);
  EXPECT_EQ(report.photos[0].how, Keeping::kept);
  EXPECT_TRUE(report.warnings.empty());

  const std::vector<PhotoRow> rows = kept_photos(piece_);
  ASSERT_EQ(rows.size(), 1U);
  const PhotoRow& row = rows[0];
  EXPECT_EQ(bytes_of(stored(row).string()), jpeg);
  EXPECT_EQ(bytes_of(file), jpeg);
  EXPECT_EQ(row.name, "20260503-141522-drawn-" + row.checksum.substr(0, 8) + ".jpg");
  EXPECT_EQ(row.original_name, "IMG_0001.JPG");
  EXPECT_EQ(row.bytes, static_cast<std::int64_t>(jpeg.size()));
  EXPECT_EQ(row.facts.orientation, 6);
  EXPECT_EQ(row.facts.camera_model, "Tern Pocket 2");
  EXPECT_EQ(row.stage, "drawn");
  EXPECT_EQ(row.face, "wall");
  EXPECT_EQ(row.note, "kelp, seam left");
  EXPECT_TRUE(verify_photos(piece_).ok());
}

// From outside: coreutils' sha256sum.
TEST_F(PhotoStoreTest, ChecksumsAreThoseOfSha256sum) {
  const std::string file = camera("a.jpg", small_jpeg(1));
  const PhotoRow row = keep({file}).photos.at(0).row;
  FILE* pipe = ::popen(("sha256sum " + file).c_str(), "r");
  char text[65] = {};
  ASSERT_EQ(std::fread(text, 1, 64, pipe), 64U);
  ::pclose(pipe);
  EXPECT_EQ(row.checksum, text);
}

TEST_F(PhotoStoreTest, KeepsEveryKindByItsContentNotItsName) {
  std::vector<std::string> files{camera("a.png", small_jpeg(1)), camera("b", talkative_png(2))};
  const std::string heic = (own_.path() / "c.heic").string();
  if (write_heic(heic, small_picture(3), camera_exif())) files.push_back(heic);
  const KeepReport report = keep(files);
  ASSERT_EQ(report.photos.size(), files.size());
  EXPECT_TRUE(report.photos[0].row.name.ends_with(".jpg"));
  EXPECT_TRUE(report.photos[1].row.name.ends_with(".png"));
  if (files.size() > 2) {
    EXPECT_TRUE(report.photos[2].row.name.ends_with(".heic"));
    EXPECT_EQ(report.photos[2].row.facts.camera_make, "Tern");
    EXPECT_EQ(report.photos[2].row.facts.taken_at, "2026-05-03T14:15:22+02:00");
  }
  EXPECT_TRUE(verify_photos(piece_).ok());
}

TEST_F(PhotoStoreTest, TheSamePhotoTwiceIsKeptOnce) {
  const std::string one = camera("a.jpg", small_jpeg(1));
  const std::string copy = camera("card/b.jpg", small_jpeg(1));
  const KeepReport first = keep({one, copy});
  EXPECT_EQ(first.photos[0].how, Keeping::kept);
  EXPECT_EQ(first.photos[1].how, Keeping::already);
  const KeepReport second = keep({copy}, {.stage = "fired", .face = {}, .note = {}});
  EXPECT_EQ(second.photos[0].how, Keeping::already);
  EXPECT_EQ(second.photos[0].row.stage, "drawn");
  ASSERT_EQ(second.warnings.size(), 1U);
  EXPECT_NE(second.warnings[0].find("is kept already, for stage drawn"), std::string::npos);
  EXPECT_EQ(kept_photos(piece_).size(), 1U);
  EXPECT_EQ(verify_photos(piece_).photos, 1U);
}

TEST_F(PhotoStoreTest, TakesAllPhotosOrNone) {
  const std::string good = camera("a.jpg", small_jpeg(1));
  const std::string bad = camera("b.jpg", {'n', 'o', 't', 'e'});
  EXPECT_NE(refusal({good, bad}).find("b.jpg: is text (expected a JPEG, PNG or HEIC photo)"),
            std::string::npos);
  EXPECT_TRUE(fs::is_empty(piece_));  // not even a record
  EXPECT_TRUE(kept_photos(piece_).empty());
  EXPECT_TRUE(fs::is_empty(piece_));
}

TEST_F(PhotoStoreTest, RefusesWhatCannotBeAStageOrANote) {
  const std::string file = camera("a.jpg", small_jpeg(1));
  for (const char* stage : {"", "Drawn", "a b", "-a", "a-", "1st", "ä", "../up", "a/b"}) {
    EXPECT_NE(refusal({file}, {.stage = stage, .face = {}, .note = {}}).find("stage"),
              std::string::npos)
        << stage;
  }
  for (const char* stage : {"drawn", "covered", "fired", "second-coat", "glaze2"}) {
    EXPECT_TRUE(is_stage(stage)) << stage;
  }
  EXPECT_NE(refusal({file}, {.stage = "drawn", .face = {}, .note = "a\nb"}).find("note"),
            std::string::npos);
  EXPECT_NE(refusal({file}, {.stage = "drawn", .face = "", .note = {}}).find("face"),
            std::string::npos);
  EXPECT_TRUE(fs::is_empty(piece_));
}

TEST_F(PhotoStoreTest, VerifyFindsWhatIsMissingChangedOrWithoutARow) {
  keep({camera("a.jpg", small_jpeg(1)),
        camera("b.jpg", small_jpeg(2)),
        camera("c.jpg", small_jpeg(3))});
  const std::vector<PhotoRow> rows = kept_photos(piece_);
  fs::remove(stored(rows[0]));
  Bytes changed = small_jpeg(2);
  changed[changed.size() / 2] ^= 1U;  // one bit
  write_bytes(stored(rows[1]).string(), changed);
  camera("jug/photos/stray.jpg", small_jpeg(4));

  const VerifyReport report = verify_photos(piece_);
  EXPECT_EQ(report.photos, 3U);
  ASSERT_EQ(report.findings.size(), 3U);
  EXPECT_EQ(report.findings[0].problem, PhotoProblem::missing);
  EXPECT_EQ(report.findings[0].file, "photos/" + rows[0].name);
  EXPECT_EQ(report.findings[1].problem, PhotoProblem::changed);
  EXPECT_EQ(report.findings[1].file, "photos/" + rows[1].name);
  EXPECT_EQ(report.findings[2].problem, PhotoProblem::without_row);
  EXPECT_EQ(report.findings[2].file, "photos/stray.jpg");
}

TEST_F(PhotoStoreTest, APhotoGivenAgainReplacesWhatIsMissingAndNeverOverwrites) {
  const std::string a = camera("a.jpg", small_jpeg(1));
  const std::string b = camera("b.jpg", small_jpeg(2));
  keep({a, b});
  const std::vector<PhotoRow> before = kept_photos(piece_);
  fs::remove(stored(before[0]));
  write_bytes(stored(before[1]).string(), small_jpeg(3));
  const KeepReport report = keep({a, b});
  EXPECT_EQ(report.photos[0].how, Keeping::returned);
  EXPECT_EQ(report.photos[1].how, Keeping::returned);
  const std::vector<PhotoRow> after = kept_photos(piece_);
  ASSERT_EQ(after.size(), 2U);
  EXPECT_EQ(after[0].name, before[0].name);
  EXPECT_EQ(bytes_of(stored(after[0]).string()), small_jpeg(1));
  EXPECT_NE(after[1].name, before[1].name);
  EXPECT_EQ(bytes_of(stored(after[1]).string()), small_jpeg(2));
  EXPECT_EQ(bytes_of(stored(before[1]).string()), small_jpeg(3));  // stays, and is reported
  ASSERT_EQ(verify_photos(piece_).findings.size(), 1U);
  EXPECT_EQ(verify_photos(piece_).findings[0].problem, PhotoProblem::without_row);
}

TEST_F(PhotoStoreTest, ALostRecordIsMadeAgainFromThePhotos) {
  keep({camera("a.jpg", small_jpeg(1)), camera("b.jpg", small_jpeg(2))});
  std::vector<std::string> files;
  for (const PhotoRow& row : kept_photos(piece_)) files.push_back(stored(row).string());
  fs::remove(Record::path_in(piece_));
  EXPECT_EQ(verify_photos(piece_).findings.size(), 2U);
  for (const KeptPhoto& photo : keep(files).photos) EXPECT_EQ(photo.how, Keeping::taken_in);
  EXPECT_TRUE(verify_photos(piece_).ok());
  for (const std::string& file : files) EXPECT_TRUE(fs::exists(file));
  EXPECT_EQ(std::distance(fs::directory_iterator(piece_ / "photos"), {}), 2);
}

TEST_F(PhotoStoreTest, FindsAPhotoByNameOrChecksum) {
  keep({camera("a.jpg", small_jpeg(1)), camera("b.jpg", small_jpeg(2))});
  const PhotoRow row = kept_photos(piece_)[1];
  EXPECT_EQ(kept_photo(piece_, "b.jpg").id, row.id);
  EXPECT_EQ(kept_photo(piece_, row.name).id, row.id);
  EXPECT_EQ(kept_photo(piece_, row.checksum.substr(0, 10)).id, row.id);
  EXPECT_THROW(kept_photo(piece_, "c.jpg"), InputError);
  EXPECT_THROW(kept_photo(piece_, ""), InputError);
}

TEST_F(PhotoStoreTest, ExportsWithoutWhereabouts) {
  keep({camera("a.jpg", talkative_jpeg(1, {.orientation = 8})), camera("b.png", talkative_png(2))});
  const ExportReport report = export_photos(piece_, own_.path() / "for-mail", Overwrite::no);
  ASSERT_EQ(report.files.size(), 2U);
  EXPECT_TRUE(report.left_out.empty());
  for (const std::string& file : report.files) {
    const Bytes copy = bytes_of(file);
    for (const std::string& secret : kSecrets) EXPECT_FALSE(holds(copy, secret)) << secret;
    EXPECT_FALSE(holds(copy, kLatitude));
  }
  EXPECT_EQ(read_photo_facts(report.files[0]).orientation, 8);
  EXPECT_TRUE(holds(bytes_of(stored(kept_photos(piece_)[0]).string()), kLatitude));
  EXPECT_THROW(export_photos(piece_, own_.path() / "for-mail", Overwrite::no), OutputError);
}

TEST_F(PhotoStoreTest, NeverExportsOverTheOriginals) {
  EXPECT_THROW(export_photos(piece_, own_.path() / "out", Overwrite::no), InputError);  // empty
  keep({camera("a.jpg", talkative_jpeg(1))});
  const Bytes original = bytes_of(stored(kept_photos(piece_)[0]).string());
  fs::create_directory_symlink(piece_ / "photos", own_.path() / "side-door");
  for (const fs::path& target : {piece_ / "photos",
                                 piece_ / "photos" / "mail",
                                 piece_ / "out" / ".." / "photos",
                                 own_.path() / "side-door"}) {
    EXPECT_THROW(export_photos(piece_, target, Overwrite::yes), OutputError) << target;
  }
  EXPECT_EQ(bytes_of(stored(kept_photos(piece_)[0]).string()), original);
  EXPECT_TRUE(verify_photos(piece_).ok());
}

TEST_F(PhotoStoreTest, ExportLeavesOutWhatIsNotAsItWasKept) {
  keep({camera("a.jpg", small_jpeg(1)),
        camera("b.jpg", small_jpeg(2)),
        camera("c.jpg", small_jpeg(3))});
  const std::vector<PhotoRow> rows = kept_photos(piece_);
  fs::remove(stored(rows[0]));
  write_bytes(stored(rows[1]).string(), small_jpeg(9));
  const ExportReport report = export_photos(piece_, own_.path() / "out", Overwrite::no);
  EXPECT_EQ(report.files.size(), 1U);
  EXPECT_EQ(report.left_out.size(), 2U);
}

TEST_F(PhotoStoreTest, RefusesPhotosThatIsALinkOrAFile) {
  const std::string file = camera("a.jpg", small_jpeg(1));
  fs::create_directory(own_.path() / "elsewhere");
  fs::create_directory_symlink(own_.path() / "elsewhere", piece_ / "photos");
  EXPECT_NE(refusal({file}).find("photos: is a link"), std::string::npos);
  EXPECT_TRUE(fs::is_empty(own_.path() / "elsewhere"));
  fs::remove(piece_ / "photos");
  write_bytes((piece_ / "photos").string(), {1});
  EXPECT_NE(refusal({file}).find("photos: is a file"), std::string::npos);
  EXPECT_NE(refusal({own_.path().string()}).find("is a folder"), std::string::npos);
}

}  // namespace
}  // namespace underdraw
