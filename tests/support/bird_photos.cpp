#include "support/bird_photos.h"

#include "sketches.h"

namespace underdraw::test {
namespace {

Surface board() { return surface_of({"side", FlatFace{170.0, 130.0, {}, 0}, {}, 1.0}); }

std::optional<Vec2> px_in(const PhotoMaker& maker, const Shot& shot, FacePoint point) {
  if (!maker.sees(shot, point) || maker.steepness_deg(shot, point) > 75.0) return std::nullopt;
  return maker.px_of(shot, point);
}

// Copies over body, wing and head.
std::vector<FaceLine> drawn(const Surface& surface, bool large) {
  const std::vector<harbour::NamedSketch> sketches = harbour::all_sketches();
  const std::vector<Vec2> at =
      large ? std::vector<Vec2>{{50, 90}, {82, 66}, {80, 104}, {112, 88}, {130, 46}}
            : std::vector<Vec2>{
                  {46, 92}, {62, 66}, {70, 100}, {88, 78}, {104, 98}, {112, 66}, {128, 44}};
  const double size_mm = large ? 30.0 : 22.0;
  std::vector<FaceLine> out;
  for (std::size_t i = 0; i < at.size(); ++i) {
    const Linework& lines = sketches[i % sketches.size()].lines;
    const Box box = lines.ink_box();
    const Affine placed = Affine::scale(size_mm / std::max(box.width(), box.height())) *
                          Affine::translate(-box.centre());
    for (const FaceLine& line :
         lines_on_face(surface, transformed(lines, placed), {at[i].x, at[i].y}, {{}, 0.6, 0.75})) {
      out.push_back(line);
    }
  }
  return out;
}

}  // namespace

std::optional<Vec2> BirdPhotos::px_before(FacePoint point) const {
  return px_in(*made_before, before_shot, point);
}

std::optional<Vec2> BirdPhotos::px_after(FacePoint point) const {
  return px_in(*made_after, after_shot, point);
}

double BirdPhotos::px_per_mm_after(FacePoint point) const {
  return after_shot.camera.focal_px / after_shot.pose.to_camera(made_after->face_in_mat(point)).z;
}

BirdPhotos photograph_bird(const BirdDay& day) {
  const Surface surface = board();
  const std::vector<FaceLine> lines = drawn(surface, day.large_copies);
  BirdPhotos out;
  for (const FaceLine& line : lines) out.lines.push_back(line.points);
  Coat bisque;
  bisque.seed = day.seed;
  Scene scene;
  scene.with_mat = false;
  scene.body = bird_body();
  scene.texture = std::make_shared<FaceTexture>(surface, lines, bisque, 12.0);
  scene.seed = day.seed;
  out.made_before = std::make_shared<PhotoMaker>(scene);

  auto later = std::make_shared<FaceTexture>(surface, lines, bisque, 12.0);
  if (day.covered) {
    Coat opaque;
    opaque.colour = {0.2f, 0.33f, 0.42f};
    opaque.seed = day.seed + 40;
    later->cover(opaque, day.covered);
  }
  scene.texture = later;
  scene.standing = day.stands_after;
  if (day.another_table) scene.seed += 1000;
  out.made_after = std::make_shared<PhotoMaker>(scene);

  out.before_shot = hand_held(day.before);
  out.after_shot = hand_held(day.after);
  out.after_shot.exposure = day.exposure_after;
  out.before_shot.samples = 1;  // the lens blurs enough
  out.after_shot.samples = 1;
  out.before = out.made_before->photo(out.before_shot);
  out.after = out.made_after->photo(out.after_shot);
  return out;
}

}  // namespace underdraw::test
