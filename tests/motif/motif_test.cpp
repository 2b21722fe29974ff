#include "motif/motif.h"

#include <gtest/gtest.h>

#include "core/error.h"

namespace underdraw {
namespace {

Linework hook() {
  Linework lines;
  lines.strokes.push_back({Path::polyline({{12, 30}, {12, 50}, {20, 50}}), 2.0});
  return lines;
}

TEST(MakeMotif, StartsAtTheInksCornerPenWidthIncluded) {
  const Motif motif = make_motif("hook", hook());
  EXPECT_NEAR(motif.width_mm, 10.0, 1e-8);
  EXPECT_NEAR(motif.height_mm, 22.0, 1e-8);
  EXPECT_NEAR(distance(motif.lines.strokes[0].path.points.front(), {1, 1}), 0.0, 1e-8);
}

TEST(MakeMotif, RefusesADrawingOfNothing) { EXPECT_THROW(make_motif("none", {}), GeometryError); }

TEST(Change, MirrorsFirstThenTurnsThenScales) {
  const Motif motif = make_motif("hook", hook());
  // From the centre the foot's end is right and below; mirrored it is left, a quarter turn
  // clockwise then takes left to top.
  const Vec2 foot = Affine::translate(-motif.centre()) * motif.lines.strokes[0].path.points.back();
  EXPECT_GT(foot.x, 0.0);
  EXPECT_GT(foot.y, 0.0);
  const Change change{true, 90.0, 2.0};
  const Vec2 moved = change.copy_from_motif(motif) * motif.lines.strokes[0].path.points.back();
  EXPECT_NEAR(moved.x, -2.0 * foot.y, 1e-9);
  EXPECT_NEAR(moved.y, -2.0 * foot.x, 1e-9);
}

TEST(Change, KeepsTheInkBoxCentredUnlessTurnedAtAnAngle) {
  const Motif motif = make_motif("hook", hook());
  for (const Change& change :
       {Change{false, 0, 1}, {true, 0, 0.75}, {false, 180, 3}, {true, 270, 1}}) {
    const Box box = transformed(motif.lines, change.copy_from_motif(motif)).ink_box();
    EXPECT_NEAR(length(box.centre()), 0.0, 1e-9);
  }
}

}  // namespace
}  // namespace underdraw
