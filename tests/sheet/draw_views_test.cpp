#include "sheet/draw_views.h"

#include <cmath>

#include <gtest/gtest.h>

#include "sheet/decorated_faces.h"

namespace underdraw {
namespace {

bool shows(const std::vector<Mark>& marks, const std::string& words) {
  for (const TextMark& text : texts_of(marks)) {
    if (text.text == words) return true;
  }
  return false;
}

TEST(PieceView, HidesTheFarSideAndShowsTheNearOne) {
  for (const FaceForm& form : {FaceForm{CylinderFace{372, 120}},
                               FaceForm{ConeFace{240, 372, 130}},
                               FaceForm{bellied_wall()},
                               FaceForm{waisted_wall()},
                               FaceForm{BallFace{420}}}) {
    const Surface surface = surface_of(face_of(form));
    const double middle = surface.along_mm() / 2.0;
    for (const ViewPoint& from : view_points(form)) {
      const PieceView view(surface, from);
      EXPECT_TRUE(view.visible({from.around_deg, middle})) << from.caption;
      EXPECT_FALSE(view.visible({wrapped_deg(from.around_deg + 180.0), middle})) << from.caption;
    }
  }
}

TEST(PieceView, APlacementBehindIsDrawnFromBehindOnly) {
  const std::vector<Motif> motifs = sample_motifs();
  PlacedFace face = decorated(face_of(CylinderFace{372, 120}), 1, 1, 30);
  face.placements[0].at.across = 180.0;
  const auto drawn = [&](double around) {
    return draw_view(face, motifs, PieceView(face.surface, {around, 12.0, ""}), 0.5);
  };
  EXPECT_FALSE(shows(drawn(0.0), "1"));
  EXPECT_TRUE(shows(drawn(180.0), "1"));
  EXPECT_GT(drawn(180.0).size(), drawn(0.0).size() + 10);
}

// A cylinder seen level from D away on its axis's height: the last line seen lies where the way to
// the eye is tangent, acos(r / D) round; a point at a is r sin a to the side, D - r cos a away.
TEST(PieceView, AgreesWithTheTangentAndTheRuleOfThree) {
  const double r = 372.0 / (2.0 * std::numbers::pi);
  const Surface surface = surface_of(face_of(CylinderFace{372, 120}));
  const PieceView view(surface, {0.0, 0.0, ""});
  const double far = -view.eye().y;
  const double last = degrees(std::acos(r / far));
  EXPECT_TRUE(view.visible({last - 0.01, 60}));
  EXPECT_FALSE(view.visible({last + 0.01, 60}));
  for (const double a : {-50.0, 0.0, 20.0, 65.0}) {
    const double away = far - r * std::cos(radians(a));
    const double expected = r * std::sin(radians(a)) * (far - r) / away;
    EXPECT_NEAR(view.seen_at(FacePoint{wrapped_deg(a), 60}).x, expected, 1e-9);
  }
}

TEST(PieceView, LinesGetShorterTowardsTheEdge) {
  const Surface surface = surface_of(face_of(CylinderFace{372, 120}));
  const PieceView view(surface, {0.0, 0.0, ""});
  const auto width = [&](double a) {
    return view.seen_at(FacePoint{a + 1.0, 60}).x - view.seen_at(FacePoint{a, 60}).x;
  };
  EXPECT_LT(width(60.0), 0.55 * width(0.0));
}

TEST(PieceView, AFlaringRimHidesTheWaistFromAbove) {
  const Surface surface = surface_of(face_of(waisted_wall()));
  // Half way up, where the wall stands upright and so faces an eye above as well as one in front.
  double waist = 0.0;
  for (double s = 0.0; s < surface.along_mm(); s += 0.5) {
    if (surface.width_mm(s) < surface.width_mm(waist)) waist = s;
  }
  const PieceView level(surface, {0.0, 5.0, ""});
  const PieceView steep(surface, {0.0, 70.0, ""});
  EXPECT_TRUE(level.visible({0.0, waist}));
  EXPECT_GT(steep.facing({0.0, waist}), 0.1);
  EXPECT_TRUE(steep.blocked({0.0, waist}));
  EXPECT_FALSE(steep.visible({0.0, waist}));
}

TEST(PieceView, AllOfAPlateIsSeenFromAbove) {
  const Surface surface = surface_of(face_of(RingFace{160, 270, 60}));
  const PieceView view(surface, view_points(RingFace{}).front());
  for (double a = 0.0; a < 360.0; a += 15.0) EXPECT_TRUE(view.visible({a, 30}));
  // Counter-clockwise, the seam tick in front.
  EXPECT_GT(view.seen_at(FacePoint{0, 0}).y, 100.0);
  EXPECT_GT(view.seen_at(FacePoint{90, 0}).x, 100.0);
}

TEST(DrawViews, ShowsEveryPlacementFromSomeSideAndKeepsWithinTheMargins) {
  const std::vector<Motif> motifs = sample_motifs();
  for (const PlacedFace& face : one_of_each_form()) {
    const std::vector<Drawing> pages =
        draw_views("Harbour jar", {face}, motifs, {custom_paper(140, 170), 8.0});
    ASSERT_EQ(pages.size(), 1U);
    const Drawing& page = pages.front();
    const Box printable{{8, 8}, {page.width_mm - 8, page.height_mm - 8}};
    for (const Mark& mark : page.marks) {
      EXPECT_TRUE(printable.grown(0.1).contains(ink_box_of(mark)))
          << name_of(face.face.form) << described(mark);
    }
    for (const Placement& p : face.placements) {
      EXPECT_TRUE(shows(page.marks, std::to_string(p.id)))
          << name_of(face.face.form) << ' ' << p.id;
    }
  }
}

TEST(DrawViews, FlatFacesShareAPage) {
  const std::vector<Motif> motifs = sample_motifs();
  const PlacedFace tile = decorated(face_of(FlatFace{148, 72}), 2, 1, 30);
  EXPECT_EQ(draw_views("Tiles", {tile, tile, tile}, motifs).size(), 1U);
  PlacedFace bare = tile;
  bare.placements.clear();
  EXPECT_TRUE(draw_views("Tiles", {bare}, motifs).empty());
}

}  // namespace
}  // namespace underdraw
