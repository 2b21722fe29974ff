// Photos of a piece on its mat, rendered with everything known that a photo does not tell.
//
// Frames: mat, piece and photo as in photo/camera.h.
// How:    a ray a sample: table, printed mat (raster of the drawing itself), body with a painted
//         face; one soft light from above, a highlight, shadow; then lens blur, shake, noise, tone
//         curve (IEC 61966-2-1, sRGB) and JPEG.
#pragma once

#include <cstdint>
#include <memory>
#include <optional>
#include <vector>

#include <opencv2/core.hpp>

#include "photo/camera.h"
#include "photo/mat.h"
#include "support/face_texture.h"
#include "support/photo_body.h"

namespace underdraw::test {

// Where the piece's own frame lies on the mat: a foot that is not quite in the middle.
struct Standing {
  Vec2 shift_mm;
  double turn_deg = 0.0;  // counter-clockwise seen from above

  Vec3 mat_from_piece(Vec3 p) const;
  Vec3 piece_from_mat(Vec3 p) const;
  Vec3 turned_to_mat(Vec3 direction) const;
  Vec3 turned_to_piece(Vec3 direction) const;
};

struct GlareSpot {  // a lamp mirrored by the paper
  Vec2 at_mm;
  double radius_mm = 30.0;
  double strength = 1.5;  // 1: as bright as white paper
};

struct LightOnMat {
  Rgb tint{1.0f, 1.0f, 1.0f};  // a lamp's colour
  Vec2 rise_per_mm;            // brighter to one side, relative

  Rgb at(Vec2 mat) const;
};

struct Cover {  // something that lies on the mat
  Vec2 from_mm, to_mm;
  Rgb colour{0.25f, 0.2f, 0.16f};
};

struct Scene {
  MatOptions mat;
  bool with_mat = true;
  Vec2 mat_scale{1.0, 1.0};  // across, down: a printer that prints a little too large or too small
  std::shared_ptr<const Body> body;  // nothing: the mat alone
  std::shared_ptr<const FaceTexture> texture;
  Standing standing;
  Vec3 to_light{0.35, -0.45, 0.82};
  LightOnMat light;
  std::vector<GlareSpot> glare;
  std::vector<Cover> covers;
  std::uint32_t seed = 1;
};

struct Shot {
  Camera camera;
  CameraPose pose;
  int samples = 2;          // rays each way in a pixel
  double blur_px = 0.7;     // of the lens, standard deviation
  double shake_px = 0.0;    // length of the smear
  double shake_deg = 20.0;  // its direction
  double noise = 0.006;     // of white, at white
  double exposure = 1.0;    // 1: white paper in the light comes out at 0.8 of white
  int jpeg_quality = 92;    // 0: no JPEG
};

// Renders scenes of one set-up: the mat is drawn once.
class PhotoMaker {
 public:
  explicit PhotoMaker(Scene scene);
  ~PhotoMaker();

  const Scene& scene() const { return scene_; }
  Scene& scene() { return scene_; }  // not its mat

  cv::Mat photo(const Shot& shot) const;  // CV_8UC3, blue, green, red
  cv::Mat grey_photo(const Shot& shot) const;

  // Truth.
  Vec3 face_in_mat(FacePoint point) const;
  std::optional<Vec2> px_of(const Shot& shot, FacePoint point) const;
  bool sees(const Shot& shot, FacePoint point) const;  // in view, faces the camera, nothing before
  double steepness_deg(const Shot& shot, FacePoint point) const;  // 0: seen straight on

 private:
  struct Paper;
  Rgb light_along(const SightRay& ray) const;
  Rgb table_at(Vec2 at) const;
  bool in_shadow(Vec3 mat) const;
  SightRay in_piece(const SightRay& ray) const;

  Scene scene_;
  std::unique_ptr<Paper> paper_;
};

// A hand-held photo: looks at the middle from around it, a little off in every way.
struct HandHeld {
  double elevation_deg = 35.0;
  double azimuth_deg = 0.0;  // 0: from the seam tick's side, growing as a does
  double distance_mm = 480.0;
  double aim_height_mm = 20.0;
  bool portrait = false;
  int longer_px = 1600;
  double focal_share = 0.78;  // focal length over the longer side: 28 mm on 36 mm
  double k1 = 0.06;
  double k2 = -0.08;
  unsigned seed = 1;
};
Shot hand_held(const HandHeld& how);

// What a camera makes of the light on its sensor (CV_32FC3, blue, green, red; 1: white): lens blur,
// shake, noise, tone curve and JPEG.
cv::Mat developed(cv::Mat light, const Shot& shot, std::uint32_t seed);

// The same bytes that a camera would have written, decoded again.
cv::Mat through_jpeg(const cv::Mat& bgr, int quality);

}  // namespace underdraw::test
