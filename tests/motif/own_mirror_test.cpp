#include "motif/own_mirror.h"

#include <gtest/gtest.h>

#include "core/error.h"
#include "motif/shapes.h"

namespace underdraw {
namespace {

double axis_apart_deg(double a, double b) {
  const double d = std::fmod(std::abs(a - b), 180.0);
  return std::min(d, 180.0 - d);
}

TEST(OwnMirror, AnExactlySymmetricDrawingDepartsByNothing) {
  for (const Linework& lines : {shapes::scallop(), shapes::thistle()}) {
    const OwnMirror mirror = own_mirror(lines);
    EXPECT_TRUE(mirror.symmetric);
    EXPECT_EQ(mirror.share, 1.0);
    EXPECT_LT(axis_apart_deg(mirror.axis_deg, 90.0), 0.3);
    EXPECT_NEAR(mirror.on_axis.x, 0.0, 0.15);
    EXPECT_LT(mirror.rms_mm, 0.1);  // half a mark's spacing and the refinement's last step
    EXPECT_LT(mirror.largest_mm, 0.4);
  }
}

TEST(OwnMirror, TheAxisTurnsWithTheDrawing) {
  for (const double turn : {13.0, 45.0, 90.0, 121.7}) {
    const OwnMirror mirror = own_mirror(transformed(shapes::thistle(), Affine::turn_deg(turn)));
    EXPECT_TRUE(mirror.symmetric) << turn;
    EXPECT_LT(axis_apart_deg(mirror.axis_deg, 90.0 + turn), 0.3) << turn;
  }
}

TEST(OwnMirror, AHandThatIsAThirdOfAMillimetreOffIsStillSymmetric) {
  for (unsigned seed = 1; seed <= 6; ++seed) {
    EXPECT_TRUE(own_mirror(shapes::by_hand(shapes::scallop(), 0.35, seed)).symmetric) << seed;
    EXPECT_TRUE(own_mirror(shapes::by_hand(shapes::thistle(), 0.35, seed)).symmetric) << seed;
  }
}

TEST(OwnMirror, DrawingsWithoutAnAxisAreNotTakenForOne) {
  for (unsigned seed = 1; seed <= 4; ++seed) {
    EXPECT_LT(own_mirror(shapes::by_hand(shapes::kelp(), 0.3, seed)).share, 0.6) << seed;
    EXPECT_FALSE(own_mirror(shapes::by_hand(shapes::feather(), 0.3, seed)).symmetric) << seed;
  }
}

TEST(OwnMirror, OneLeafMissingIsNoticed) {
  Linework lines = shapes::thistle();
  ASSERT_TRUE(own_mirror(lines).symmetric);
  lines.strokes.erase(lines.strokes.begin() + 3);  // the mirrored leaf
  EXPECT_FALSE(own_mirror(lines).symmetric);
}

TEST(OwnMirror, OfManyAxesTheUprightOneIsNamed) {
  Linework ring;
  ring.strokes.push_back(
      {shapes::curve([](double t) {
         return Vec2{15.0 * std::cos(6.283185307 * t), 15.0 * std::sin(6.283185307 * t)};
       }),
       0.5});
  const OwnMirror mirror = own_mirror(ring);
  EXPECT_TRUE(mirror.symmetric);
  EXPECT_LT(axis_apart_deg(mirror.axis_deg, 90.0), 4.0);
}

TEST(OwnMirror, DotsAndSingleLinesAreTheirOwnMirrorAndNothingIsNot) {
  Linework dot;
  dot.strokes.push_back({Path{{{3, 4}}, false}, 1.0});
  EXPECT_TRUE(own_mirror(dot).symmetric);
  Linework line;
  line.strokes.push_back({Path::polyline({{0, 0}, {30, 5}}), 0.5});
  EXPECT_TRUE(own_mirror(line).symmetric);
  EXPECT_FALSE(own_mirror({}).symmetric);
}

TEST(OwnMirror, OptionsOutsideTheirRangesAreRefused) {
  EXPECT_THROW(own_mirror(shapes::kelp(), {.near_mm = 0}), OptionError);
  EXPECT_THROW(own_mirror(shapes::kelp(), {.least_share = std::nan("")}), OptionError);
}

}  // namespace
}  // namespace underdraw
