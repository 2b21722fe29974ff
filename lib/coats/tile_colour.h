// The colour of a test tile that lies on the photo mat.
//
// Stage:   coats. Pure.
// Frames:  photo: px; mat: mm, see photo/camera.h.
// In/out:  a posed photo -> L*a*b* of a round spot of the tile, as the paper's white has it: under
//          the same light, the mat's paper is L* 94 without colour.
// How:     the spot is read millimetre by millimetre, each against the paper's light there (see
//          coats/mat_light.h); its colour is their median. The mat's grey patch is read the same
//          way: it must come out grey, and how light it comes out says what the camera's own tones
//          did, so that two photos can be told to be comparable.
// Refuses: besides what MatLight refuses: a spot outside the mat's opening or out of view; one that
//          shines too much; a grey patch that is burnt out, too dark or not to be seen (InputError,
//          OptionError).
#pragma once

#include <string>
#include <vector>

#include "coats/mat_light.h"

namespace underdraw {

struct TileColourOptions {
  Vec2 spot_mm;                    // mat: where it is read; in the opening
  double spot_diameter_mm = 16.0;  // [4, 60]
  double thick_mm = 6.0;           // of the tile: its face lies above the mat; [0, 40]

  void validate() const;  // throws OptionError
};

struct TileColour {
  LabColour colour;
  double spread = 0.0;  // two thirds of the spot are no farther from it, CIEDE2000
  double grey_l = 0.0;  // L* of the mat's grey patch
  double shine = 0.0;   // share of the spot that was left out as burnt out
  std::vector<std::string> warnings;
};

TileColour tile_colour(const MatPhoto& photo, const TileColourOptions& options = {});

}  // namespace underdraw
