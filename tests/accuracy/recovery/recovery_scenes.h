// Pieces drawn on by hand and photographed on their mat, with all known that photos do not tell;
// and what recovering their lines comes to.
//
// Source: own construction: no published set of such photos is known.
#pragma once

#include <string>
#include <vector>

#include "recover/recover_lines.h"
#include "recover/standing.h"
#include "support/compare_faces.h"
#include "support/hand_drawn.h"
#include "support/photo_scene.h"

namespace underdraw::test {

// One piece, one standing, some photos.
struct RecoveryScene {
  std::string name;
  std::string about;
  Face real;                // as the piece is
  Face measured;            // as a tape read it
  double height_mm = 38.0;  // of the motifs
  Hand hand;
  Coat coat;
  Standing standing;
  MatOptions mat;
  Vec2 mat_scale{1.0, 1.0};  // of its print; its bars are measured to 0.2 mm
  int photos = 8;
  double elevation_deg = 26.0;
  double distance_mm = 430.0;
  double aim_mm = 50.0;
  int longer_px = 2400;
  double blur_px = 0.8;
  double shake_px = 0.0;
  int jpeg_quality = 88;
  std::vector<std::string> motifs = {"thistle", "kelp", "scallop", "feather"};
  bool held = false;  // a test holds what is reached; it takes long
  int leave_out = 0;  // every so many-th placement is not drawn; 0: all are
};

std::vector<RecoveryScene> recovery_scenes();

struct RecoveryScore {
  FaceAgreement lines;           // recall: of lines seen at under 65° in a photo
  double seen_share = 0.0;       // of all drawn length, that is
  std::size_t drawn = 0;         // placements drawn and at least half seen so
  std::size_t found = 0;         // of these
  std::size_t invented = 0;      // found, but not drawn
  double shift_off_mm = 0.0;     // of the foot, that was found
  double widest_off_mm = 0.0;    // of the wall, after the fit
  double seconds_a_photo = 0.0;  // marks and pose, of the photo read already
  double seconds = 0.0;          // all but rendering
};

RecoveryScore recover_scene(const RecoveryScene& scene);

}  // namespace underdraw::test
