// A bird photographed by hand without a mat (tests/support/bird_photos.h), from kept photos to
// lines over the photo after. Where its lines lie there is known from rays.
#include <fstream>

#include <gtest/gtest.h>

#include "core/error.h"
#include "io/photo_store.h"
#include "io/recover_piece.h"
#include "io/recovered_file.h"
#include "io/write_jpeg.h"
#include "support/bird_photos.h"
#include "support/own_folder.h"

namespace fs = std::filesystem;

namespace underdraw {
namespace {

constexpr const char* kPiece = R"(schema = 1
name = "Tern figure"

[clay]
drying = 6.0
bisque = 1.0
glaze = 5.5
measured_at = "bisque"
transfer_at = "bisque"

[[motif]]
file = "wave.svg"
name = "wave"

[[face]]
name = "side"
form = "patch"
across = 120.0
across_chord = 110.0
up = 90.0
up_chord = 84.0

[[arrange]]
face = "side"
style = "centre"
motifs = ["wave"]
height = 20
)";

constexpr const char* kWave =
    R"(<svg xmlns="http://www.w3.org/2000/svg" width="30mm" height="12mm" viewBox="0 0 30 12">)"
    R"(<path d="M1 10 C8 0 14 0 20 10 L29 6" fill="none" stroke="#000" stroke-width="0.5"/></svg>)";

void write_file(const fs::path& path, const std::string& text) {
  std::ofstream(path, std::ios::binary) << text;
}

class RecoverWithoutMat : public ::testing::Test {
 protected:
  void SetUp() override {
    fs::create_directories(piece_);
    write_file(piece_ / "piece.toml", kPiece);
    write_file(piece_ / "wave.svg", kWave);
  }
  std::string keep(const cv::Mat& photo, const std::string& stage, const std::string& name) {
    const fs::path file = own_.path() / name;
    write_file(file, jpeg_of_picture(photo, 92));
    return keep_photos(piece_, {file.string()}, {.stage = stage, .face = {}, .note = {}})
        .photos.front()
        .row.name;
  }

  test::OwnFolder own_;
  fs::path piece_ = own_.path() / "tern-figure";
};

bool in_blots(FacePoint p) { return test::smooth_noise(p.across / 22.0, p.along / 22.0, 9) > 0.0; }

TEST_F(RecoverWithoutMat, DrawsTheLinesOverThePhotoAfter) {
  const test::BirdPhotos photos = test::photograph_bird(
      {.covered = in_blots, .stands_after = {{6.0, -4.0}, 3.0}, .another_table = true});
  const std::string drawn = keep(photos.before, "drawn", "drawn.jpg");
  const std::string covered = keep(photos.after, "covered", "covered.jpg");
  const RecoverResult result = recover_piece(piece_);
  EXPECT_TRUE(result.published);
  ASSERT_EQ(result.pairs.size(), 1u);
  EXPECT_EQ(result.pairs[0].before.name, drawn);
  EXPECT_EQ(result.pairs[0].after.name, covered);
  EXPECT_FALSE(result.pairs[0].by_points);
  EXPECT_TRUE(result.left_out.empty());
  EXPECT_TRUE(result.sheets.sheets.empty());
  EXPECT_FALSE(fs::exists(piece_ / "out" / "redraw.pdf"));
  EXPECT_TRUE(fs::exists(piece_ / "out" / "bench.html"));
  EXPECT_TRUE(
      fs::exists(piece_ / "out" / "overlays" / (fs::path(covered).stem().string() + ".png")));

  const std::vector<RecoveredFace> faces = read_recovered(piece_ / "out" / "recovered.json");
  ASSERT_EQ(faces.size(), 1u);
  std::size_t near = 0;
  std::size_t all = 0;
  std::vector<Vec2> truth;
  for (const auto& line : photos.lines) {
    for (const FacePoint& p : line) {
      if (const auto px = photos.px_after(p)) truth.push_back(*px);
    }
  }
  ASSERT_GT(faces[0].strokes.size(), 10u);
  for (const RecoveredStroke& stroke : faces[0].strokes) {
    EXPECT_EQ(stroke.photo, covered);
    for (const Vec2 p : stroke.points) {
      ++all;
      near += std::any_of(truth.begin(), truth.end(), [&](Vec2 t) { return distance(p, t) < 3.0; });
    }
  }
  EXPECT_GT(static_cast<double>(near), 0.85 * static_cast<double>(all));
}

TEST_F(RecoverWithoutMat, GoesByTappedPoints) {
  // A coat over all of it and another table: nothing is alike.
  const test::BirdPhotos photos = test::photograph_bird(
      {.covered = [](FacePoint) { return true; }, .another_table = true, .large_copies = true});
  const std::string drawn = keep(photos.before, "drawn", "drawn.jpg");
  const std::string covered = keep(photos.after, "covered", "covered.jpg");
  try {
    recover_piece(piece_);
    FAIL() << "nothing says how these photos lie over each other";
  } catch (const InputError& error) {
    const std::string says = error.what();
    EXPECT_NE(says.find(drawn), says.npos) << says;
    EXPECT_NE(says.find(covered), says.npos) << says;
    EXPECT_NE(says.find("out/points.html"), says.npos) << says;
  }
  EXPECT_TRUE(fs::exists(piece_ / "out" / "points.html"));
  EXPECT_FALSE(fs::exists(piece_ / "out" / "recovered.json"));
  std::string rows;
  for (const FacePoint p : {FacePoint{45, 78},
                            FacePoint{48, 108},
                            FacePoint{80, 60},
                            FacePoint{80, 88},
                            FacePoint{80, 115},
                            FacePoint{110, 70},
                            FacePoint{115, 105},
                            FacePoint{62, 95},
                            FacePoint{98, 98}}) {
    const auto before = photos.px_before(p);
    const auto after = photos.px_after(p);
    ASSERT_TRUE(before && after);
    rows += "  [" + std::to_string(before->x) + ", " + std::to_string(before->y) + ", " +
            std::to_string(after->x) + ", " + std::to_string(after->y) + "],\n";
  }
  write_file(piece_ / "points.toml",
             "[[pair]]\nbefore = \"" + drawn + "\"\nafter = \"" + covered + "\"\npoints = [\n" +
                 rows + "]\n");
  const RecoverResult result = recover_piece(piece_);
  ASSERT_EQ(result.pairs.size(), 1u);
  EXPECT_TRUE(result.pairs[0].by_points);
  EXPECT_LT(result.pairs[0].left_out_px, 12.0);
  std::size_t covered_points = 0;
  std::size_t points = 0;
  for (const CarriedLine& line : result.pairs[0].lines) {
    points += line.covered.size();
    covered_points +=
        static_cast<std::size_t>(std::count(line.covered.begin(), line.covered.end(), true));
  }
  EXPECT_GT(points, 1000u);
  EXPECT_GT(static_cast<double>(covered_points), 0.9 * static_cast<double>(points));
}

TEST_F(RecoverWithoutMat, RefusesPointsOfAPhotoThatIsNotKept) {
  const cv::Mat plain(600, 800, CV_8UC3, cv::Scalar(120, 130, 140));
  keep(plain, "drawn", "drawn.jpg");
  keep(plain + cv::Scalar(9, 9, 9), "covered", "covered.jpg");
  write_file(piece_ / "points.toml",
             "[[pair]]\nbefore = \"gone.jpg\"\nafter = \"gone-too.jpg\"\n"
             "points = [[1,1,1,1],[9,1,9,1],[9,9,9,9],[1,9,1,9]]\n");
  try {
    recover_piece(piece_);
    FAIL() << "no such photo";
  } catch (const InputError& error) {
    EXPECT_EQ(error.complaint().file, (piece_ / "points.toml").string());
    EXPECT_EQ(error.complaint().line, 1);
    EXPECT_NE(std::string(error.what()).find("gone.jpg"), std::string::npos);
  }
}

}  // namespace
}  // namespace underdraw
