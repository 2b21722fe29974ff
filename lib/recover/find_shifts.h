// By how much photos of a face disagree where two of them show the same brush marks or lines.
//
// Stage:   recover, internal to fit_standing.cpp.
// Frames:  face points; shifts in mm on the wall, right and down.
// How:     each photo laid out flat where the face is thought to be; a patch of one is looked for
// in
//          another by normalised cross-correlation, to a fraction of a px. A patch takes part where
//          it looks like nothing else around it.
// Source:  normalised cross-correlation: any textbook of image processing.
#pragma once

#include <vector>

#include "recover/face_photo.h"
#include "recover/standing.h"

namespace underdraw {

struct PatchShift {
  FacePoint at;  // middle of the patch in photo `first`
  std::size_t first = 0, second = 0;
  Vec2 shift;  // from where `first` shows it to where `second` does
  double sd_mm = 0.1;
};

struct FoundShifts {
  std::vector<PatchShift> shifts;
  // Patches with clear marks that two photos show, and those of them in which the marks are alike:
  // few, when the piece was turned between the photos.
  std::size_t clear = 0, alike = 0;
};

FoundShifts find_shifts(const StandingFace& face,
                        const std::vector<FacePhoto>& photos,
                        double reach_mm);

}  // namespace underdraw
