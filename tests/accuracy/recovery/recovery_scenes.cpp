#include "accuracy/recovery/recovery_scenes.h"

#include <algorithm>
#include <chrono>
#include <cmath>
#include <map>
#include <numbers>
#include <variant>

#include <opencv2/imgproc.hpp>

#include "photo/camera_pose.h"
#include "photo/find_marks.h"
#include "recover/compare_stages.h"
#include "recover/unroll.h"
#include "support/harbour_motifs.h"

namespace underdraw::test {
namespace {

constexpr double kSeenDeg = 65.0;
constexpr double kReachMm = 1.0;

Arranged arranged(const Face& face, const RecoveryScene& scene, const std::vector<Motif>& motifs) {
  Arrangement band;
  band.face = face.name;
  band.motifs = scene.motifs;
  band.mirror = scene.motifs.size() > 1 ? Mirroring::alternate : Mirroring::none;
  band.style = std::holds_alternative<FlatFace>(face.form) ? Style::centre : Style::band;
  band.heights_mm = {scene.height_mm};
  band.gap_mm = 4.0;
  return arrange({face}, {band}, motifs, {{6.0, 1.0, 5.5}});
}

std::vector<Shot> shots_of(const RecoveryScene& scene, bool round) {
  std::vector<Shot> out;
  for (int i = 0; i < scene.photos; ++i) {
    HandHeld hold;
    hold.azimuth_deg = 360.0 * i / scene.photos + 11.0;
    hold.elevation_deg = scene.elevation_deg + (i % 2 == 0 ? 0.0 : 6.0);
    hold.distance_mm = scene.distance_mm + 12.0 * (i % 3);
    hold.aim_height_mm = scene.aim_mm;
    hold.portrait = round && i % 3 != 2;
    hold.longer_px = scene.longer_px;
    hold.seed = static_cast<unsigned>(i) + scene.hand.seed * 31U;
    Shot shot = hand_held(hold);
    shot.blur_px = scene.blur_px;
    shot.shake_px = scene.shake_px;
    shot.shake_deg = 40.0 * i;
    shot.jpeg_quality = scene.jpeg_quality;
    shot.exposure = 1.0 - 0.06 * (i % 3);
    out.push_back(shot);
  }
  return out;
}

using Clock = std::chrono::steady_clock;
double since(Clock::time_point start) {
  return std::chrono::duration<double>(Clock::now() - start).count();
}

}  // namespace

std::vector<RecoveryScene> recovery_scenes() {
  const Face jar{"wall", TurnedFace{{{0, 300}, {45, 372}, {105, 310}}}, {}};
  const Face beaker{"wall", ConeFace{250, 300, 100}, {}};
  const Face mug{"wall", CylinderFace{280, 95}, {}};
  const Face tile{"tile", FlatFace{115, 115}, {}};
  MatOptions jar_mat;
  jar_mat.paper = "A3";
  jar_mat.foot_mm = 300.0 / std::numbers::pi;
  std::vector<RecoveryScene> out;
  out.reserve(16);  // they are referred to while more are added
  RecoveryScene& plain = out.emplace_back();
  plain.name = "mug";
  plain.about = "straight mug, graphite on bisque, measured and placed exactly";
  plain.real = plain.measured = mug;
  plain.motifs = {"thistle", "kelp", "knot"};
  plain.mat.foot_mm = 280.0 / std::numbers::pi;

  RecoveryScene& shrunk = out.emplace_back();
  shrunk = plain;
  shrunk.name = "mug, mat 97 %";
  shrunk.about = "the same on a mat that was printed 3 % too small; its bars were measured";
  shrunk.mat_scale = {0.97, 0.972};
  shrunk.hand.seed = 9;

  RecoveryScene& cone = out.emplace_back();
  cone.name = "beaker";
  cone.about = "tapered beaker, foot 3 mm off the middle, lines drawn 3 mm and 3° off";
  cone.real = cone.measured = beaker;
  cone.hand = {.shift_mm = 3.0, .turn_deg = 3.0, .wobble_mm = 0.3, .look = {}, .seed = 2};
  cone.standing = {{2.4, -1.9}, 1.5};
  cone.motifs = {"sea-pink", "feather", "thistle"};
  cone.mat.foot_mm = 250.0 / std::numbers::pi;

  RecoveryScene& belly = out.emplace_back();
  belly.name = "jar, off";
  belly.about = "bellied jar, foot 5 mm off, turned 4°, tape 1 mm out at the belly and the rim";
  belly.real = jar;
  // A millimetre of diameter is 3.1 mm round.
  belly.measured = {"wall", TurnedFace{{{0, 300}, {45, 375.1}, {105, 306.9}}}, {}};
  belly.hand.seed = 3;
  belly.standing = {{-3.5, 3.6}, 4.0};
  belly.mat = jar_mat;

  RecoveryScene& mottled = out.emplace_back();
  mottled.name = "jar, mottled";
  mottled.about = "bellied jar, faint graphite on a mottled blue coat, a fifth not drawn";
  mottled.real = mottled.measured = jar;
  mottled.hand.seed = 4;
  mottled.hand.look.strength = 0.55;
  mottled.coat.colour = {0.24f, 0.33f, 0.42f};
  mottled.coat.mottle = 0.2;
  mottled.coat.grain = 0.06;
  mottled.coat.seed = 7;
  mottled.standing = {{1.0, 2.0}, -1.0};
  mottled.mat = jar_mat;
  mottled.leave_out = 5;

  RecoveryScene& glossy = out.emplace_back();
  glossy.name = "jar, glossy";
  glossy.about = "bellied jar under gloss, hand-held blur";
  glossy.real = glossy.measured = jar;
  glossy.hand.seed = 5;
  glossy.coat.gloss = 0.8;
  glossy.blur_px = 1.2;
  glossy.shake_px = 2.0;
  glossy.mat = jar_mat;

  RecoveryScene& few = out.emplace_back();
  few.held = true;
  few.name = "jar, 3 photos";
  few.about = "the same from one side only: what is not seen must be said to be";
  few.real = few.measured = jar;
  few.hand.seed = 6;
  few.photos = 3;
  few.mat = jar_mat;

  RecoveryScene& flat = out.emplace_back();
  flat.held = true;
  flat.name = "tile";
  flat.about = "one large motif on a tile in the frame mat, 2 photos";
  flat.real = flat.measured = tile;
  flat.motifs = {"thistle"};
  flat.height_mm = 90.0;
  flat.hand.seed = 8;
  flat.hand.shift_mm = 2.0;
  flat.standing = {{2.0, 1.0}, 1.0};
  flat.mat.tile_mm = Vec2{115.0, 115.0};
  flat.photos = 2;
  flat.elevation_deg = 60.0;
  flat.distance_mm = 420.0;
  flat.aim_mm = 5.0;
  return out;
}

RecoveryScore recover_scene(const RecoveryScene& scene) {
  const std::vector<Motif> motifs = harbour_motifs();
  const Arranged planned = arranged(scene.measured, scene, motifs);
  const PlacedFace& placed = planned.faces.front();
  // The same placements on the piece as it is.
  PlacedFace real = placed;
  real.face = scene.real;
  real.surface = surface_of(scene.real);
  const auto is_drawn = [&](const Placement& p) {
    return scene.leave_out == 0 || p.id % scene.leave_out != 0;
  };
  const HandDrawn drawn = draw_by_hand(real, planned.motifs, scene.hand, is_drawn);

  Scene world;
  world.mat = scene.mat;
  world.mat_scale = scene.mat_scale;
  world.body = real.surface.round() ? turned_body(real.surface) : tile_body(real.surface, 8.0);
  world.texture = std::make_shared<FaceTexture>(real.surface, drawn.lines, scene.coat, 12.0);
  world.standing = scene.standing;
  const PhotoMaker maker(world);
  const std::vector<Shot> shots = shots_of(scene, real.surface.round());
  std::vector<cv::Mat> pictures;
  for (const Shot& shot : shots) pictures.push_back(maker.photo(shot));

  RecoveryScore out;
  const Clock::time_point start = Clock::now();
  std::vector<PosePhoto> marks;
  for (std::size_t i = 0; i < pictures.size(); ++i) {
    cv::Mat grey;
    cv::cvtColor(pictures[i], grey, cv::COLOR_BGR2GRAY);
    // As phones state it: to a whole millimetre.
    const double stated = std::round(shots[i].camera.focal_px / scene.longer_px * 36.0) / 36.0;
    marks.push_back(
        {find_marks(grey, {.photo = "photo " + std::to_string(i + 1)}), stated * scene.longer_px});
  }
  CameraPoseOptions pose;
  const auto measured_mm = [](double scale) { return std::round(scale * 100.0 * 5.0) / 5.0; };
  pose.bars = MeasuredBars{measured_mm(scene.mat_scale.x), measured_mm(scene.mat_scale.y)};
  const CameraPoses poses = camera_poses(marks, pose);
  out.seconds_a_photo = since(start) / static_cast<double>(pictures.size());
  std::vector<FacePhoto> photos;
  for (std::size_t i = 0; i < pictures.size(); ++i) {
    photos.push_back(face_photo(pictures[i], poses.photos[i], marks[i].marks));
  }
  const UnrolledFace unrolled = unroll_face(placed.surface, photos);
  RecoverLinesOptions options;
  options.read.line_mm = scene.hand.look.width_mm;
  RecoveredLines lines = recover_lines(unrolled.picture, placed, planned.motifs, options);
  if (const auto turn = turn_of_piece_deg(lines.placements, placed)) {
    lines = turned_round(std::move(lines), placed, -*turn);
  }
  out.seconds = since(start);

  const auto seen = [&](FacePoint p) {
    return std::any_of(shots.begin(), shots.end(), [&](const Shot& shot) {
      return maker.sees(shot, p) && maker.steepness_deg(shot, p) < kSeenDeg;
    });
  };
  out.lines =
      compare_on_face(real.surface, lines.face.strokes, drawn.truth.strokes, kReachMm, seen);
  double drawn_mm = 0.0;
  std::map<int, std::pair<double, double>> seen_of;  // mm seen, mm drawn
  for (const RecoveredStroke& stroke : drawn.truth.strokes) {
    for (std::size_t i = 0; i + 1 < stroke.points.size(); ++i) {
      const Vec2 a = stroke.points[i];
      const Vec2 b = stroke.points[i + 1];
      const double mm = length(real.surface.way({a.x, a.y}, {b.x, b.y}));
      auto& [shown, all] = seen_of[*stroke.placement];
      drawn_mm += mm;
      all += mm;
      if (seen({real.surface.round() ? wrapped_deg(a.x) : a.x, a.y})) shown += mm;
    }
  }
  double shown_mm = 0.0;
  for (const auto& [id, mm] : seen_of) shown_mm += mm.first;
  out.seen_share = drawn_mm > 0.0 ? shown_mm / drawn_mm : 0.0;
  for (const FoundPlacement& p : lines.placements) {
    const auto it = seen_of.find(p.id);
    const bool counts = it != seen_of.end() && it->second.first >= 0.5 * it->second.second;
    if (counts) ++out.drawn;
    if (counts && is_found(p.finding)) ++out.found;
    if (it == seen_of.end() && is_found(p.finding)) ++out.invented;
  }
  const FaceStanding& stands = unrolled.fit.standing;
  out.shift_off_mm = length(stands.shift_mm - scene.standing.shift_mm);
  if (const Profile* profile = real.surface.profile()) {
    for (double share = 0.0; share <= 1.0; share += 0.05) {
      const double is = profile->radius_mm(share * profile->length_mm());
      const Profile* tape = placed.surface.profile();
      const double fitted = tape->radius_mm(share * tape->length_mm()) + wider_mm(stands, share);
      out.widest_off_mm = std::max(out.widest_off_mm, std::abs(fitted - is));
    }
  }
  return out;
}

}  // namespace underdraw::test
