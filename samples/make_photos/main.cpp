// Makes the photos of samples/harbour-jar: its wall with the lines drawn, again with all but the
// shoulder under an opaque coat, and a test tile dry by lamplight and glazed by a window.
//
// What it demonstrates: how photos with known truth are made. The jar stands a little off the
// middle of its mat, as it does after being lifted for a coat; tests/support/photo_scene.h renders
// it; tests/support/hand_drawn.h says where every line really lies.
//
//   make_photos DIR    writes DIR/harbour-jar/photos-drawn/*.jpg and photos-covered/*.jpg
//                      and tiles/*.jpg
#include <cstdio>
#include <exception>
#include <filesystem>
#include <string>

#include <fmt/format.h>

#include "io/make_piece.h"
#include "io/out_folder.h"
#include "io/write_jpeg.h"
#include "support/hand_drawn.h"
#include "support/photo_scene.h"
#include "support/tile_scene.h"

namespace {

using namespace underdraw;
namespace fs = std::filesystem;

constexpr int kQuality = 80;

struct Stage {
  std::string name;
  std::vector<test::FaceLine> lines;
  test::Coat coat;
  test::Standing standing;
  int photos = 6;
  double first_deg = 0.0;
  unsigned seed = 1;
};

void write_photos(const fs::path& folder, const Surface& wall, double foot_mm, const Stage& stage) {
  test::Scene scene;
  scene.mat.paper = "A3";
  scene.mat.foot_mm = foot_mm;
  scene.body = test::turned_body(wall);
  scene.texture = std::make_shared<test::FaceTexture>(wall, stage.lines, stage.coat, 12.0);
  scene.standing = stage.standing;
  scene.seed = stage.seed;
  const test::PhotoMaker maker(scene);
  fs::create_directories(folder);
  for (int i = 0; i < stage.photos; ++i) {
    test::HandHeld hold;
    hold.azimuth_deg = stage.first_deg + i * 360.0 / stage.photos;
    hold.elevation_deg = i % 2 == 0 ? 24.0 : 30.0;
    hold.distance_mm = 430.0;
    hold.portrait = true;
    hold.aim_height_mm = 75.0;
    hold.longer_px = 3000;
    hold.seed = stage.seed + static_cast<unsigned>(i);
    test::Shot shot = test::hand_held(hold);
    shot.jpeg_quality = 0;
    shot.noise = 0.003;
    const fs::path file = folder / fmt::format("{}-{}.jpg", stage.name, i + 1);
    write_file(file, jpeg_of_picture(maker.photo(shot), kQuality), Overwrite::yes);
    std::printf("%s\n", file.c_str());
  }
}

void write_tile_photo(const fs::path& folder, const test::TileScene& how) {
  test::Shot shot = test::tile_shot(how);
  shot.jpeg_quality = 0;
  fs::create_directories(folder);
  const fs::path file = folder / fmt::format("{}.jpg", how.name);
  write_file(file,
             jpeg_of_picture(test::PhotoMaker(test::tile_scene(how)).photo(shot), kQuality),
             Overwrite::yes);
  std::printf("%s\n", file.c_str());
}

}  // namespace

int main(int argc, char** argv) {
  if (argc != 2) {
    std::fprintf(stderr, "use: make_photos DIR\n");
    return 2;
  }
  try {
    const fs::path piece = fs::path(argv[1]) / "harbour-jar";
    const PieceResult placed = place_piece(read_piece_folder(piece),
                                           piece / "piece.toml",
                                           {.until = MakeStep::place, .trace = {}, .prove = {}});
    const PlacedFace& wall = placed.faces.front();
    const double foot_mm = wall.surface.width_mm(0.0) / std::numbers::pi;
    test::Hand hand;
    hand.look.width_mm = placed.piece.tool.width_mm;
    hand.look.strength = 0.8;
    const test::HandDrawn drawn = test::draw_by_hand(wall, placed.placed_motifs, hand);

    Stage before{.name = "drawn", .lines = drawn.lines, .coat = {}, .standing = {{1.4, -0.8}, 0.9}};
    before.coat.seed = 4;
    write_photos(piece / "photos-drawn", wall.surface, foot_mm, before);

    // The shoulder was drawn again by another day's hand.
    hand.seed = 2;
    hand.look.strength = 0.9;
    const auto again = [](const Placement& p) {
      return p.motif.starts_with("feather") && p.at.along > 140.0;
    };
    Stage after{.name = "covered",
                .lines = test::draw_by_hand(wall, placed.placed_motifs, hand, again).lines,
                .coat = {},
                .standing = {{-0.9, 1.1}, -1.3},
                .photos = 3,
                .first_deg = 25.0,
                .seed = 50};
    after.coat.colour = {0.62f, 0.66f, 0.62f};
    after.coat.mottle = 0.06;
    after.coat.seed = 9;
    write_photos(piece / "photos-covered", wall.surface, foot_mm, after);

    write_tile_photo(piece / "tiles",
                     {.name = "teal-dry",
                      .colour = {0.16f, 0.34f, 0.33f},
                      .light = {{1.0f, 0.75f, 0.48f}, {}},
                      .exposure = 0.7,
                      .longer_px = 1600});
    write_tile_photo(piece / "tiles",
                     {.name = "teal-glazed",
                      .colour = {0.05f, 0.2f, 0.19f},
                      .light = {{0.9f, 1.0f, 1.12f}, {0.0025, 0.001}},
                      .exposure = 0.8,
                      .gloss = 0.5,
                      .longer_px = 1600});
    return 0;
  } catch (const std::exception& error) {
    std::fprintf(stderr, "make_photos: %s\n", error.what());
    return 1;
  }
}
