#include "photo/mat.h"

#include <algorithm>
#include <cctype>

#include <fmt/format.h>
#include <fmt/ranges.h>

#include "core/error.h"
#include "sheet/page_frame.h"

namespace underdraw {
namespace {

constexpr double kMarginMm = 8.0;    // fixed: the marks must not depend on the printer
constexpr double kMarkShare = 0.76;  // of a square's side: leaves one cell of white round the mark
constexpr double kScaleRoomMm = 13.0;  // from the foot's circle to the outside of its numbers
constexpr double kTileRoomMm = 9.0;    // from the tile to the band

struct MatPlan {
  const char* paper;
  MatForm form;
  double square_mm;
  int columns, rows;
  int first_code;
};

// As many squares as the page's work area holds.
constexpr std::array<MatPlan, 6> kPlans = {{{"A4", MatForm::round, 14.0, 13, 18, 0},
                                            {"Letter", MatForm::round, 14.0, 13, 17, 100},
                                            {"A3", MatForm::round, 20.0, 13, 19, 200},
                                            {"A4", MatForm::tile, 11.5, 16, 22, 300},
                                            {"Letter", MatForm::tile, 11.5, 16, 20, 400},
                                            {"A3", MatForm::tile, 14.0, 19, 27, 500}}};

MatLayout laid_out(const MatPlan& plan) {
  MatLayout mat;
  mat.paper = paper_size(plan.paper);
  mat.form = plan.form;
  mat.name = plan.form == MatForm::tile ? mat.paper.name + " tile" : mat.paper.name;
  mat.columns = plan.columns;
  mat.rows = plan.rows;
  mat.square_mm = plan.square_mm;
  mat.mark_mm = kMarkShare * plan.square_mm;
  SheetOptions page;
  page.paper = mat.paper;
  page.margin_mm = kMarginMm;
  mat.frame = frame_of(page);
  mat.middle = mat.frame.work.centre();
  mat.opening_mm = {(plan.columns - 4) * plan.square_mm, (plan.rows - 4) * plan.square_mm};

  const double s = plan.square_mm;
  const Vec2 top_left{-0.5 * plan.columns * s, 0.5 * plan.rows * s};
  const auto in_band = [&](int c, int r) {
    return c < 2 || r < 2 || c >= plan.columns - 2 || r >= plan.rows - 2;
  };
  int code = plan.first_code;
  for (int r = 0; r < plan.rows; ++r) {
    for (int c = 0; c < plan.columns; ++c) {
      if (!in_band(c, r) || (c + r) % 2 == 0) continue;
      MatMark mark;
      mark.code = code++;
      mark.centre = top_left + Vec2{(c + 0.5) * s, -(r + 0.5) * s};
      const double h = 0.5 * mat.mark_mm;
      mark.corners = {mark.centre + Vec2{-h, h},
                      mark.centre + Vec2{h, h},
                      mark.centre + Vec2{h, -h},
                      mark.centre + Vec2{-h, -h}};
      mat.marks.push_back(mark);
    }
  }
  for (int r = 1; r < plan.rows; ++r) {
    for (int c = 1; c < plan.columns; ++c) {
      if (!in_band(c, r) || !in_band(c - 1, r) || !in_band(c, r - 1) || !in_band(c - 1, r - 1)) {
        continue;
      }
      mat.saddles.push_back({top_left + Vec2{c * s, -r * s}, (c + r - 1) % 2 == 0});
    }
  }
  return mat;
}

}  // namespace

double MatLayout::most_foot_mm() const {
  return std::min(opening_mm.x, opening_mm.y) - 2.0 * kScaleRoomMm;
}

Vec2 MatLayout::most_tile_mm() const {
  return {opening_mm.x - 2.0 * kTileRoomMm, opening_mm.y - 2.0 * kTileRoomMm};
}

Box MatLayout::grey_patch() const {
  const Vec2 corner{kGreyInsetMm - 0.5 * opening_mm.x, 0.5 * opening_mm.y - kGreyInsetMm};
  return {corner - Vec2{0.0, kGreyLeastHeightMm}, corner + Vec2{kGreyWidthMm, 0.0}};
}

const std::vector<MatLayout>& all_mats() {
  static const std::vector<MatLayout> mats = [] {
    std::vector<MatLayout> all;
    for (const MatPlan& plan : kPlans) all.push_back(laid_out(plan));
    return all;
  }();
  return mats;
}

std::vector<std::string> mat_papers() {
  std::vector<std::string> names;
  for (const MatLayout& mat : all_mats()) {
    if (mat.form == MatForm::round) names.push_back(mat.paper.name);
  }
  return names;
}

const MatLayout& mat_layout(const std::string& paper, MatForm form) {
  const std::string name = paper_size(paper).name;
  for (const MatLayout& mat : all_mats()) {
    if (mat.paper.name == name && mat.form == form) return mat;
  }
  throw OptionError({.file = {},
                     .line = {},
                     .found = fmt::format("there is no mat for {} paper", name),
                     .expected = fmt::format("one of {}", fmt::join(mat_papers(), ", ")),
                     .remedy = "name one of these"});
}

const MatLayout* mat_with_code(int code) {
  for (const MatLayout& mat : all_mats()) {
    if (code >= mat.marks.front().code && code <= mat.marks.back().code) return &mat;
  }
  return nullptr;
}

void MatOptions::validate() const {
  const MatLayout& mat = mat_layout(paper, form());
  const std::string on = fmt::format(" on a mat of {} paper", mat.paper.name);
  if (tile_mm) {
    const Vec2 most = mat.most_tile_mm();
    require_between(tile_mm->x, 20.0, most.x, "tile width" + on, "mm");
    require_between(tile_mm->y, 20.0, most.y, "tile height" + on, "mm");
  } else {
    require_between(foot_mm, 10.0, mat.most_foot_mm(), "foot diameter" + on, "mm");
  }
}

}  // namespace underdraw
