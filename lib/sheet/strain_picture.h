// How well a template lies, as fields of grey over its parts: dark where the paper is too long,
// light where it is too short.
//
// Stage:   sheet. Pure.
// Frame:   of the page, mm.
#pragma once

#include <string>
#include <vector>

#include "piece/face_template.h"
#include "sheet/drawing.h"

namespace underdraw {

enum class StrainWay { across, along };

// Parts below each other as they stand on the piece, at one scale; gores are all alike, so one
// stands for all.
struct PartsPicture {
  std::vector<std::size_t> parts;
  std::vector<Affine> page_from_part;
  double scale = 1.0;
  double height_mm = 0.0;
};
PartsPicture parts_picture(const FaceTemplate& shape, const Box& box);

struct StrainPicture {
  std::vector<Mark> marks;
  double height_mm = 0.0;
};
StrainPicture strain_picture(const FaceTemplate& shape, StrainWay way, const Box& box);

// "the paper is at most 0.8 % too long across, and true along, up the wall".
std::string strain_words(const FaceTemplate& shape);

}  // namespace underdraw
