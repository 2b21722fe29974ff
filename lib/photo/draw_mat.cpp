#include <algorithm>
#include <cmath>

#include <fmt/format.h>

#include "photo/draw_code.h"
#include "photo/mat.h"
#include "sheet/page_frame.h"
#include "sheet/shapes.h"
#include "sheet/text_width.h"

namespace underdraw {
namespace {

// Lines near the piece are grey: a black one beside the foot would pass for its edge in a photo.
constexpr Grey kGuide{0.5};
constexpr Grey kFaint{0.72};
constexpr Grey kWords{0.3};
constexpr double kScaleInside = 5.5;  // from the foot's circle to the degree ticks

PathMark solid(std::vector<Path> paths, Grey grey = {}) {
  PathMark mark;
  mark.paths = std::move(paths);
  mark.line_width_mm = 0.0;
  mark.filled = true;
  mark.fill = grey;
  return mark;
}

PathMark lines(std::vector<Path> paths, double width_mm, Grey grey) {
  PathMark mark;
  mark.paths = std::move(paths);
  mark.line_width_mm = width_mm;
  mark.line = grey;
  return mark;
}

void add_band(std::vector<Mark>& marks, const MatLayout& mat) {
  const double s = mat.square_mm;
  const Vec2 top_left = mat.sheet_from_mat() * Vec2{-0.5 * mat.columns * s, 0.5 * mat.rows * s};
  // Runs along the diagonals touch at corners only: even-odd keeps those corners sharp.
  std::vector<Path> squares;
  for (int r = 0; r < mat.rows; ++r) {
    for (int c = 0; c < mat.columns; ++c) {
      const bool band = c < 2 || r < 2 || c >= mat.columns - 2 || r >= mat.rows - 2;
      if (!band || (c + r) % 2 != 0) continue;
      const Vec2 from = top_left + Vec2{c * s, r * s};
      squares.push_back(rectangle({from, from + Vec2{s, s}}));
    }
  }
  marks.emplace_back(solid(std::move(squares)));
  std::vector<CodeToDraw> codes;
  for (const MatMark& mark : mat.marks) {
    const Vec2 at = mat.sheet_from_mat() * mark.centre;
    codes.push_back({mark.code, Box{at, at}.grown(0.5 * mat.mark_mm)});
  }
  for (PathMark& mark : code_marks(codes)) marks.emplace_back(std::move(mark));
}

void add_words(std::vector<Mark>& marks,
               const std::string& words,
               Vec2 at,
               double size,
               Align align,
               Grey grey,
               bool bold = false) {
  marks.emplace_back(TextMark{words, at, size, align, bold, 0.0, grey});
}

// Towards angle a of a piece that stands on the middle: 0° is down the page, 90° right.
Vec2 towards(double a_deg) { return {std::sin(radians(a_deg)), std::cos(radians(a_deg))}; }

void add_degrees(std::vector<Mark>& marks, const MatLayout& mat, double foot_mm) {
  const Vec2 middle = mat.middle;
  const double inside = 0.5 * foot_mm + kScaleInside;
  const bool single = radians(inside) >= 0.75;  // mm from degree to degree
  std::vector<Path> fine, main;
  for (int a = 0; a < 360; ++a) {
    if (a % 5 != 0 && !single) continue;
    const double reach = a % 10 == 0 ? 2.6 : a % 5 == 0 ? 1.8 : 1.0;
    (a % 10 == 0 ? main : fine)
        .push_back(
            line_between(middle + towards(a) * inside, middle + towards(a) * (inside + reach)));
  }
  marks.emplace_back(lines(std::move(fine), 0.15, kWords));
  marks.emplace_back(lines(std::move(main), 0.25, {}));
  // Numbers each 10° where they have room, else each 30°.
  const double size = 2.3;
  const double at = inside + 5.2;
  const int step = radians(10.0) * at > 7.5 ? 10 : 30;
  for (int a = step; a < 360; a += step) {
    add_words(marks,
              fmt::format("{}", a),
              middle + towards(a) * at + Vec2{0.0, 0.5 * kCapHeight * size},
              size,
              Align::centre,
              {},
              a % 90 == 0);
  }
  // 0°: a solid arrow head whose tip is on the scale.
  const Vec2 tip = middle + towards(0.0) * (inside + 0.2);
  marks.emplace_back(
      solid({Path::polyline({tip, tip + Vec2{2.2, 5.0}, tip + Vec2{-2.2, 5.0}}, true)}));
  add_words(marks, "0°  seam tick here", tip + Vec2{0.0, 8.2}, 2.8, Align::centre, {}, true);
}

void add_circles(std::vector<Mark>& marks, const MatLayout& mat, double foot_mm) {
  const Vec2 middle = mat.middle;
  // Beside the foot's own circle, others each 2 mm: as much of one must show on all sides.
  std::vector<Path> beside;
  for (const double by : {-4.0, -2.0, 2.0, 4.0}) {
    if (0.5 * foot_mm + by > 1.0) beside.push_back(circle(middle, 0.5 * foot_mm + by));
  }
  marks.emplace_back(lines(std::move(beside), 0.15, kFaint));
  marks.emplace_back(lines({circle(middle, 0.5 * foot_mm)}, 0.3, kGuide));
  // The cross reaches out to the scale, past the foot, at each quarter.
  std::vector<Path> cross;
  for (const double a : {0.0, 90.0, 180.0, 270.0}) {
    cross.push_back(line_between(middle, middle + towards(a) * (0.5 * foot_mm + kScaleInside)));
  }
  marks.emplace_back(lines(std::move(cross), 0.2, kGuide));
  if (foot_mm >= 40.0) {
    add_words(marks,
              fmt::format("foot {:g} mm", foot_mm),
              middle + Vec2{2.0, -2.0},
              2.8,
              Align::left,
              kWords);
  }
}

void add_tile_place(std::vector<Mark>& marks, const MatLayout& mat, Vec2 tile_mm) {
  const Vec2 half = tile_mm / 2.0;
  const double out = std::min(4.0, 0.2 * std::min(tile_mm.x, tile_mm.y));
  std::vector<Path> corners;
  for (const double x : {-1.0, 1.0}) {
    for (const double y : {-1.0, 1.0}) {
      const Vec2 corner = mat.middle + Vec2{x * half.x, y * half.y};
      // Half inside and half outside, and nothing along the tile's edges.
      corners.push_back(
          line_between(corner + Vec2{x * 0.8, 0.0}, corner + Vec2{x * (out + 0.8), 0.0}));
      corners.push_back(
          line_between(corner + Vec2{0.0, y * 0.8}, corner + Vec2{0.0, y * (out + 0.8)}));
      corners.push_back(
          Path::polyline({corner - Vec2{x * out, 0.0}, corner, corner - Vec2{0.0, y * out}}));
    }
  }
  marks.emplace_back(lines(std::move(corners), 0.25, kGuide));
  std::vector<Path> cross = {
      line_between(mat.middle - Vec2{4.0, 0.0}, mat.middle + Vec2{4.0, 0.0}),
      line_between(mat.middle - Vec2{0.0, 4.0}, mat.middle + Vec2{0.0, 4.0})};
  marks.emplace_back(lines(std::move(cross), 0.2, kGuide));
  add_words(marks,
            fmt::format("tile {:g} × {:g} mm", tile_mm.x, tile_mm.y),
            mat.middle + Vec2{0.0, 9.0},
            2.8,
            Align::centre,
            kWords);
  const Vec2 top = mat.middle - Vec2{0.0, half.y};
  for (Mark& mark : up_arrow({top + Vec2{-1.2, -7.2}, top + Vec2{1.2, -1.6}})) {
    marks.push_back(std::move(mark));
  }
  add_words(marks, "top edge", top + Vec2{2.6, -2.6}, 2.8, Align::left, {}, true);
}

// In the upper left of the opening, with the name of the mat in the upper right; nothing where a
// tile leaves no room for them.
void add_patch(std::vector<Mark>& marks, const MatLayout& mat, double free_above_mm) {
  const Vec2 corner = mat.middle - mat.opening_mm / 2.0;
  const double height = std::min(16.0, free_above_mm - 6.0);
  if (height < kGreyLeastHeightMm) return;
  const Vec2 from = corner + Vec2{kGreyInsetMm, kGreyInsetMm};
  marks.emplace_back(solid({rectangle({from, from + Vec2{kGreyWidthMm, height}})}, {0.5}));
  add_words(marks, "grey 50 %", from + Vec2{0.0, height + 3.6}, 2.3, Align::left, kWords);
  const double right = mat.middle.x + 0.5 * mat.opening_mm.x - kGreyInsetMm;
  add_words(marks, "mat " + mat.name, {right, from.y + 3.4}, 4.6, Align::right, {}, true);
  add_words(marks,
            fmt::format("marks {} to {}", mat.marks.front().code, mat.marks.back().code),
            {right, from.y + 7.4},
            2.3,
            Align::right,
            kWords);
}

}  // namespace

Drawing draw_mat(const MatOptions& options) {
  options.validate();
  const MatLayout& mat = mat_layout(options.paper, options.form());
  Drawing page{mat.paper.width_mm, mat.paper.height_mm, {}};
  const bool tile = options.tile_mm.has_value();
  const std::string what =
      tile ? fmt::format("tile {:g} × {:g} mm", options.tile_mm->x, options.tile_mm->y)
           : fmt::format("foot {:g} mm", options.foot_mm);
  page.marks = head_marks(
      mat.frame,
      {"Photo mat",
       fmt::format("{} · {}", mat.paper.name, what),
       "Print at 100 %, lay it flat.",
       tile ? "Put the tile on its corners, top edge up. Photograph it with all the marks round it "
              "in view."
            : "Put the foot on its circle, seam tick at 0°. Photograph all round; move the camera, "
              "not the piece."});
  for (Mark& mark : measure_marks(mat.frame)) page.marks.push_back(std::move(mark));
  add_band(page.marks, mat);
  const double half_y = 0.5 * mat.opening_mm.y;
  if (tile) {
    add_tile_place(page.marks, mat, *options.tile_mm);
    add_patch(page.marks, mat, half_y - 0.5 * options.tile_mm->y - 8.0);
  } else {
    add_circles(page.marks, mat, options.foot_mm);
    add_degrees(page.marks, mat, options.foot_mm);
    add_patch(page.marks, mat, half_y - 0.5 * options.foot_mm - 13.0);
  }
  return page;
}

}  // namespace underdraw
