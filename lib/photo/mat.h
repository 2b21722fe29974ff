// The photo mat: a printed page whose marks tell where a camera stood.
//
// Stage:   photo. Pure.
// Frames:  mat: see photo/camera.h; its z is 0 here. Sheet: mm, origin top left, y down.
// How:     a band of chequered squares, two squares wide, round a free middle. White squares hold
//          a coded mark each; where four squares meet is a saddle corner, whose place neither blur
//          nor the camera's tone curve moves, as both sides change alike. Each paper and each form
//          of mat has marks of its own, so that a photo shows which mat it was taken on.
// Source:  codes: dictionary DICT_5X5_1000 of OpenCV's aruco module, after S. Garrido-Jurado et
//          al., Automatic generation and detection of highly reliable fiducial markers under
//          occlusion, Pattern Recognition 47 (2014).
// Refuses: papers that no mat is laid out for, a foot or a tile that does not fit (OptionError).
#pragma once

#include <array>
#include <optional>
#include <string>
#include <vector>

#include "geometry/vec2.h"
#include "sheet/drawing.h"
#include "sheet/paper.h"
#include "sheet/sheet_plan.h"

namespace underdraw {

enum class MatForm {
  round,  // circles for a foot: wide squares, which low cameras still read
  tile,   // a frame of smaller squares round a larger middle
};

struct MatMark {
  int code = 0;
  Vec2 centre;
  std::array<Vec2, 4> corners;  // from the top left of the code, clockwise on paper
};

// Where four squares of the band meet. The square above right of it is black if `rising`.
struct MatSaddle {
  Vec2 at;
  bool rising = false;
};

struct MatLayout {
  std::string name;  // "A4" or "A4 tile": printed on it, named in messages
  PaperSize paper;
  MatForm form = MatForm::round;
  int columns = 0, rows = 0;  // squares across and down
  double square_mm = 0.0;
  double mark_mm = 0.0;  // side of a mark
  Vec2 middle;           // sheet: where the mat's origin is
  Vec2 opening_mm;       // free inside the band
  SheetFrame frame;
  std::vector<MatMark> marks;  // their codes are consecutive
  std::vector<MatSaddle> saddles;

  Affine sheet_from_mat() const { return {1, 0, middle.x, 0, -1, middle.y}; }
  double most_foot_mm() const;  // diameter
  Vec2 most_tile_mm() const;
  // What is grey on every mat that has a patch: some have a higher one. Mat frame.
  Box grey_patch() const;
};

const std::vector<MatLayout>& all_mats();
std::vector<std::string> mat_papers();  // "A4", "Letter", "A3"
const MatLayout& mat_layout(const std::string& paper, MatForm form);

// The one that has a mark of this code.
const MatLayout* mat_with_code(int code);

struct MatOptions {
  std::string paper = "A4";
  double foot_mm = 90.0;        // diameter; [10, what the mat holds]; not looked at with a tile
  std::optional<Vec2> tile_mm;  // width and height; [20, what the mat holds]

  MatForm form() const { return tile_mm ? MatForm::tile : MatForm::round; }
  void validate() const;  // throws OptionError
};

Drawing draw_mat(const MatOptions& options);

// The grey patch: as far from the opening's left and upper edge, as wide, at least as high, mm.
constexpr double kGreyInsetMm = 5.0;
constexpr double kGreyWidthMm = 28.0;
constexpr double kGreyLeastHeightMm = 5.0;

}  // namespace underdraw
