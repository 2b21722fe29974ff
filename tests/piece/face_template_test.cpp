#include "piece/face_template.h"

#include <cmath>
#include <numbers>

#include <gtest/gtest.h>

#include "core/error.h"

namespace underdraw {
namespace {

constexpr double kPi = std::numbers::pi;

double chord_of(double tape, double radius) { return 2.0 * radius * std::sin(tape / 2.0 / radius); }

Face named(FaceForm form) { return {"wall", std::move(form), {}}; }

Face ball_face(double radius) { return named(BallFace{2 * kPi * radius}); }

Face patch_face(double across, double ra, double up, double ru, bool saddle = false) {
  return named(PatchFace{across, up, chord_of(across, ra), chord_of(up, ru), saddle});
}

const Face kJar = named(TurnedFace{{{0, 310}, {40, 372}, {95, 300}}});
const Face kVase = named(TurnedFace{{{0, 250}, {50, 372}, {100, 220}, {140, 300}}});

TemplateOptions asking(TemplateKind kind, std::optional<int> count = {}, double limit = 1.0) {
  return {limit, kind, count};
}

struct Named {
  const char* name;
  FaceTemplate made;
};

const std::vector<Named>& all_templates() {
  static const std::vector<Named> kAll = {
      {"flat", face_template(named(FlatFace{150, 100}))},
      {"cylinder", face_template(named(CylinderFace{314, 120}), 0.95)},
      {"cone", face_template(named(ConeFace{220, 264, 98.5}))},
      {"closing cone", face_template(named(ConeFace{264, 220, 98.5}))},
      {"wide cone", face_template(named(ConeFace{kPi * 60, kPi * 120, 54.0832691}))},
      {"ring", face_template(named(RingFace{180, 260}))},
      {"sloping ring", face_template(named(RingFace{180, 260, 45}))},
      {"jar bands", face_template(kJar)},
      {"jar gores", face_template(kJar, 1.0, asking(TemplateKind::gores))},
      {"vase bands", face_template(kVase)},
      {"vase gores", face_template(kVase, 1.0, asking(TemplateKind::gores))},
      {"ball bands", face_template(ball_face(50), 1.0, asking(TemplateKind::bands))},
      {"ball gores", face_template(ball_face(50), 1.0, asking(TemplateKind::gores))},
      {"patch", face_template(patch_face(120, 100, 160, 100))},
      {"patch across", face_template(patch_face(90, 70, 110, 140))},
      {"patch up", face_template(patch_face(90, 140, 110, 70))},
      {"saddle", face_template(patch_face(90, 140, 110, 70, true))},
      {"saddle across", face_template(patch_face(90, 70, 110, 140, true))},
  };
  return kAll;
}

// Points inside each part, clear of its edges.
template <typename Visit>
void at_inner_points(const TemplatePart& part, Visit visit) {
  const FaceSpan& span = part.covers;
  for (const double u : {0.03, 0.21, 0.5, 0.64, 0.97}) {
    for (const double v : {0.02, 0.3, 0.5, 0.71, 0.98}) {
      const FacePoint at{std::lerp(span.across_from, span.across_to, u),
                         std::lerp(span.along_from, span.along_to, v)};
      if (part.covers_point(at)) visit(at);
    }
  }
}

double area_of(const FaceTemplate& made) {
  double area = 0.0;
  for (const TemplatePart& part : made.parts) area += covered_area(part.outline);
  return area;
}

double length_of(const std::vector<Polyline>& edges) {
  double sum = 0.0;
  for (const Polyline& edge : edges) sum += polyline_length(edge);
  return sum;
}

TEST(FaceTemplate, ACylinderIsARectangle) {
  const FaceTemplate made = face_template(named(CylinderFace{314.0, 120.0}), 0.95);
  ASSERT_EQ(made.parts.size(), 1U);
  EXPECT_EQ(made.kind, TemplateKind::rectangle);
  EXPECT_TRUE(made.exact);
  EXPECT_NEAR(made.parts[0].width_mm, 298.3, 1e-9);
  EXPECT_NEAR(made.parts[0].height_mm, 114.0, 1e-9);
  EXPECT_LT(distance(made.parts[0].part_from_face({90, 114}), {298.3 / 4, 0}), 1e-9);
  EXPECT_LT(distance(made.parts[0].part_from_face({0, 0}), {0, 114}), 1e-9);
}

// Radii s C1 / (C2 - C1), s C2 / (C2 - C1), angle (C2 - C1) / s. The first row is a handbook's
// worked example in inches: ceemrr.com, Geometry 2, "The Net of a Frustum": 7.12, 11.39, 126.4°.
TEST(FaceTemplate, AConeIsTheSectorOfTheHandbook) {
  struct Row {
    double d1, d2, slant, r_in, r_out, theta, width;
  };
  const Row rows[] = {
      {5 * 25.4, 8 * 25.4, 4.272002 * 25.4, 7.1200031 * 25.4, 11.3920050 * 25.4, 126.4044390, 0},
      {60, 80, 95.5248659, 286.5745976, 382.0994635, 37.6865224, 246.8212534},
      {70, 85, 100.2808556, 467.9773261, 568.2581817, 26.9243814, 264.5851566},
      {60, 120, 54.0832691, 54.0832691, 108.1665383, 199.6920706, 2 * 108.1665383},
      {220 / kPi, 264 / kPi, 98.5, 492.5, 591.0, 25.5940538, 0}};
  for (const Row& row : rows) {
    const FaceTemplate made = face_template(named(ConeFace{kPi * row.d1, kPi * row.d2, row.slant}));
    ASSERT_EQ(made.parts.size(), 1U);
    EXPECT_EQ(made.kind, TemplateKind::sector);
    const TemplatePart& part = made.parts[0];
    // Both arcs are about one point on the middle line.
    const Vec2 tip = part.part_from_face({180, 0}) + Vec2{0, row.r_in};
    for (const double a : {0.0, 77.0, 180.0, 300.0, 360.0}) {
      EXPECT_NEAR(distance(part.part_from_face({a, 0}), tip), row.r_in, 1e-4);
      EXPECT_NEAR(distance(part.part_from_face({a, row.slant}), tip), row.r_out, 1e-4);
    }
    const Vec2 left = part.part_from_face({0, row.slant}) - tip;
    const Vec2 right = part.part_from_face({360, row.slant}) - tip;
    EXPECT_NEAR(left.x, -right.x, 1e-6);  // upright
    const double between = degrees(std::atan2(cross(left, right), dot(left, right)));
    EXPECT_NEAR(between < 0.0 ? between + 360.0 : between, row.theta, 1e-5);
    if (row.width > 0.0) {
      EXPECT_NEAR(part.width_mm, row.width, 0.005);
    }
    EXPECT_NEAR(covered_area(part.outline),
                row.slant * kPi * (row.d1 + row.d2) / 2.0,
                1e-4 * row.slant * kPi * row.d2);
  }
}

// 2 R sin(theta / 2) wide, or 2 R above 180 degrees; heights likewise: bounding box of a sector.
TEST(FaceTemplate, ASectorIsAsHighAsItsFormula) {
  const double half = radians(199.6920706 / 2.0);
  const TemplatePart part =
      face_template(named(ConeFace{kPi * 60, kPi * 120, 54.0832691})).parts[0];
  EXPECT_NEAR(part.height_mm, 108.1665383 - 108.1665383 * std::cos(half), 0.005);
  const TemplatePart slim = face_template(named(ConeFace{220, 264, 98.5})).parts[0];
  EXPECT_NEAR(slim.height_mm, 591.0 - 492.5 * std::cos(radians(25.5940538 / 2.0)), 0.005);
}

TEST(FaceTemplate, AFlatRingIsAWholeAnnulusAndASlopingOneASector) {
  const FaceTemplate flat = face_template(named(RingFace{180, 260}));
  EXPECT_NEAR(flat.parts[0].width_mm, 260.0, 0.01);
  EXPECT_NEAR(area_of(flat), kPi * (130 * 130 - 90 * 90), 2.0);
  // The foot, which is the outer edge, is down in the middle.
  const Vec2 down = flat.parts[0].part_from_face({180, 0});
  EXPECT_LT(distance(down, {130, 260}), 0.01);
  const FaceTemplate sloping = face_template(named(RingFace{180, 260, 45}));
  EXPECT_NEAR(area_of(sloping), 45.0 * kPi * (180 + 260) / 2.0, 2.0);
}

TEST(FaceTemplate, WhatUnrollsHasNoStrain) {
  for (const Named& one : all_templates()) {
    if (!one.made.exact) continue;
    EXPECT_NEAR(one.made.largest.across, 0.0, 1e-3) << one.name;
    EXPECT_NEAR(one.made.largest.along, 0.0, 1e-3) << one.name;
    EXPECT_NEAR(one.made.largest.largest, 0.0, 1e-3) << one.name;
    EXPECT_EQ(one.made.strain_percent, 0.0);
  }
}

TEST(FaceTemplate, ThereAndBackIsTheSamePoint) {
  for (const Named& one : all_templates()) {
    int seen = 0;
    for (const TemplatePart& part : one.made.parts) {
      at_inner_points(part, [&](FacePoint at) {
        const Vec2 on = part.part_from_face(at);
        const FacePoint back = part.face_from_part(on);
        const double per_across = part.surface.mm_per_across(at.along);
        EXPECT_NEAR((back.across - at.across) * per_across, 0.0, 1e-6) << one.name;
        EXPECT_NEAR(back.along, at.along, 1e-6) << one.name;
        ++seen;
      });
    }
    EXPECT_GE(seen, 15) << one.name;
  }
}

TEST(FaceTemplate, EverythingLiesInsideTheOutline) {
  for (const Named& one : all_templates()) {
    for (const TemplatePart& part : one.made.parts) {
      ASSERT_EQ(part.outline.size(), 1U);
      EXPECT_GT(signed_area(part.outline[0]), 0.0) << one.name;
      Box box;
      for (const Vec2 p : part.outline[0]) box.add(p);
      EXPECT_NEAR(box.min.x, 0.0, 1e-9);
      EXPECT_NEAR(box.min.y, 0.0, 1e-9);
      EXPECT_NEAR(box.max.x, part.width_mm, 1e-9);
      EXPECT_NEAR(box.max.y, part.height_mm, 1e-9);
      at_inner_points(part, [&](FacePoint at) {
        EXPECT_TRUE(box.grown(0.01).contains(part.part_from_face(at))) << one.name;
      });
    }
  }
}

// What the paper is too small or too large by in all is no more than its strain.
TEST(FaceTemplate, ThePaperHasTheAreaOfTheFace) {
  for (const Named& one : all_templates()) {
    const double face = one.made.parts[0].surface.area_mm2();
    // A saddle's slits open, so its paper is less.
    const double within = std::string(one.name).starts_with("saddle") ? 0.12
                          : one.made.exact                            ? 1e-4
                                                                      : 0.012;
    EXPECT_NEAR(area_of(one.made) / face, 1.0, within) << one.name;
  }
}

TEST(FaceTemplate, EveryPlaceIsInSomePart) {
  for (const Named& one : all_templates()) {
    const Surface& surface = one.made.parts[0].surface;
    const double wide = surface.round() ? 360.0 : surface.width_mm(0);
    for (double u = 0.005; u < 1.0; u += 0.09) {
      for (double v = 0.005; v < 1.0; v += 0.09) {
        const FacePoint at{wide * u, surface.along_mm() * v};
        const TemplatePart& part = one.made.part_of(at);
        EXPECT_GE(at.along, part.covers.along_from);
        EXPECT_LE(at.along, part.covers.along_to);
        EXPECT_GE(at.across, part.covers.across_from);
        EXPECT_LE(at.across, part.covers.across_to);
      }
    }
  }
}

TEST(FaceTemplate, StaysWithinTheLimit) {
  for (const Named& one : all_templates()) {
    EXPECT_LE(one.made.strain_percent, 1.0 + 1e-9) << one.name;
    EXPECT_FALSE(one.made.reason.empty());
    // What is measured on the parts bears the number out; gores, which are held to a mean, may have
    // more in places.
    const double measured = std::abs(one.made.largest.largest);
    if (one.made.kind == TemplateKind::gores) {
      EXPECT_LE(measured, 3.1) << one.name;
    } else {
      EXPECT_LE(measured, one.made.strain_percent + 0.03) << one.name;
    }
    if (one.made.kind == TemplateKind::bands) {
      EXPECT_GE(measured, one.made.strain_percent - 0.03) << one.name;
    }
  }
}

// Edge of a gore over its middle: about 1 + (pi / N)² / 4, so 1 % takes 16 of them (the table of
// gores with straight levels: N = 16: 0.957, N = 12: 1.692, 24: 0.427, 36: 0.190 %).
TEST(Gores, ABallTakesSixteenForOnePercent) {
  const FaceTemplate made = face_template(ball_face(50), 1.0, asking(TemplateKind::gores));
  EXPECT_EQ(made.parts.size(), 16U);
  const std::pair<int, double> rows[] = {
      {12, 1.692059}, {16, 0.956971}, {24, 0.427002}, {36, 0.190115}};
  for (const auto& [count, percent] : rows) {
    const FaceTemplate gores =
        face_template(ball_face(50), 1.0, asking(TemplateKind::gores, count));
    ASSERT_EQ(gores.parts.size(), static_cast<std::size_t>(count));
    EXPECT_NEAR(gores.strain_percent / percent, 1.0, 0.025) << count;
    // The same from the drawn outline.
    const double edge = polyline_length(gores.parts[0].seam_edges[0]);
    EXPECT_NEAR(100.0 * (edge / (kPi * 50.0) - 1.0), gores.strain_percent, 0.01) << count;
  }
  EXPECT_EQ(face_template(ball_face(50), 1.0, asking(TemplateKind::gores, {}, 2.0)).parts.size(),
            12U);
}

// w(t) = (2 pi R / N) cos(t / R), R = 50, N = 12, by tape distance from the widest level; measured
// along the level's arc.
TEST(Gores, AreAsWideAtEachLevelAsTheirShareOfTheWay) {
  const FaceTemplate made = face_template(ball_face(50), 1.0, asking(TemplateKind::gores, 12));
  const double middle = kPi * 25.0;
  const std::pair<double, double> rows[] = {{0.0, 26.1799388},
                                            {13.0899694, 25.2878790},
                                            {26.1799388, 22.6724921},
                                            {39.2699082, 18.5120122},
                                            {52.3598776, 13.0899694},
                                            {65.4498469, 6.7758668}};
  for (const TemplatePart& part : {made.parts[0], made.parts[7]}) {
    for (const auto& [t, width] : rows) {
      Polyline level;
      for (int i = 0; i <= 200; ++i) {
        level.push_back(part.part_from_face(
            {std::lerp(part.covers.across_from, part.covers.across_to, i / 200.0), middle + t}));
      }
      EXPECT_NEAR(polyline_length(level), width, 1e-4) << t;
    }
    EXPECT_NEAR(part.height_mm, kPi * 50.0, 1e-6);
  }
}

TEST(Gores, OnAConeTheyAreItsNetCutInPieces) {
  const TurnedFace wall{{{0, 220}, {40, 240}, {80, 260}}, true, true};
  const FaceTemplate made = face_template(named(wall), 1.0, asking(TemplateKind::gores, 8));
  EXPECT_NEAR(made.largest.largest, 0.0, 1e-3);
}

TEST(Gores, LieSideBySide) {
  const FaceTemplate made = face_template(kVase, 1.0, asking(TemplateKind::gores, 16));
  for (std::size_t i = 0; i + 1 < made.parts.size(); ++i) {
    const double seam = made.parts[i].covers.across_to;
    EXPECT_EQ(seam, made.parts[i + 1].covers.across_from);
    for (double s = 0.0; s < made.parts[i].covers.along_to; s += 9.0) {
      const Vec2 right = made.parts[i].part_from_face({seam, s});
      const Vec2 left = made.parts[i + 1].part_from_face({seam, s});
      EXPECT_NEAR(right.y, left.y, 1e-9);
      EXPECT_NEAR(right.x, made.parts[i].width_mm - left.x, 1e-9);
    }
  }
}

TEST(Bands, OfAWallOfStraightPiecesAreItsCones) {
  const TurnedFace wall{{{0, 310}, {40, 372}, {95, 300}}, false, true};
  const FaceTemplate made = face_template(named(wall));
  ASSERT_EQ(made.parts.size(), 2U);
  EXPECT_LT(made.strain_percent, 1e-3);
  const double slant = std::hypot(40.0, 62.0 / (2 * kPi));
  EXPECT_NEAR(made.parts[0].covers.along_to, slant, 1e-3);
  const FaceTemplate cone = face_template(named(ConeFace{310, 372, slant}));
  EXPECT_NEAR(made.parts[0].width_mm, cone.parts[0].width_mm, 0.01);
  EXPECT_NEAR(made.parts[0].height_mm, cone.parts[0].height_mm, 0.01);
}

// An inscribed band of half height x on a ball is too narrow in its middle by 1 / cos(x) - 1; made
// wider by half of that it is off by half either way. Caps are off more than their neighbours (u² /
// 6 against u² / 8), so that bands of one strain have up to a third more than bands of one height.
TEST(Bands, ErrLessTheMoreThereAre) {
  double last = 1e9;
  for (const int count : {4, 6, 8, 12, 24}) {
    const FaceTemplate made = face_template(ball_face(50), 1.0, asking(TemplateKind::bands, count));
    ASSERT_EQ(made.parts.size(), static_cast<std::size_t>(count));
    const double equal = 1.0 / std::cos(kPi / 2.0 / count);
    const double share = made.strain_percent / (100.0 * (equal - 1.0) / (equal + 1.0));
    EXPECT_GE(share, 1.0) << count;
    EXPECT_LE(share, 4.0 / 3.0) << count;
    EXPECT_LT(made.strain_percent, last);
    last = made.strain_percent;
  }
}

// A lid that is level in its middle: no net may overlap itself.
TEST(Bands, OfALevelShoulderCloseButDoNotOverlap) {
  TurnedFace lid{{{0, 400}, {5, 360}, {6, 120}, {20, 100}}, false, true};
  for (const std::optional<int> count :
       {std::optional<int>(), std::optional(3), std::optional(11)}) {
    const FaceTemplate made = face_template(named(lid), 1.0, asking(TemplateKind::bands, count));
    EXPECT_LT(made.strain_percent, 0.1);
    EXPECT_EQ(made.parts.size(), static_cast<std::size_t>(count.value_or(3)));
    const double face = made.parts[0].surface.area_mm2();
    EXPECT_NEAR(area_of(made) / face, 1.0, 1e-3);
  }
}

TEST(Bands, ReachFromFootToRimWithoutAGap) {
  for (const Face& face : {kJar, kVase, ball_face(50)}) {
    const FaceTemplate made = face_template(face, 1.0, asking(TemplateKind::bands));
    EXPECT_EQ(made.parts.front().covers.along_from, 0.0);
    EXPECT_NEAR(made.parts.back().covers.along_to, made.parts[0].surface.along_mm(), 1e-9);
    for (std::size_t i = 1; i < made.parts.size(); ++i) {
      EXPECT_EQ(made.parts[i].covers.along_from, made.parts[i - 1].covers.along_to);
      // Edges that meet on the piece are about equally long on paper.
      EXPECT_NEAR(
          length_of(made.parts[i].foot_edges) / length_of(made.parts[i - 1].rim_edges), 1.0, 0.02);
    }
  }
}

TEST(FaceTemplate, TakesTheKindWithFewerPieces) {
  EXPECT_EQ(face_template(ball_face(50)).kind, TemplateKind::bands);
  // Of these the long slim ones are better off with gores.
  for (const Face& face : {kJar,
                           kVase,
                           named(TurnedFace{{{0, 100}, {200, 130}, {400, 100}}}),
                           named(TurnedFace{{{0, 60}, {200, 130}, {400, 60}}})}) {
    const std::size_t bands = face_template(face, 1.0, asking(TemplateKind::bands)).parts.size();
    const std::size_t gores = face_template(face, 1.0, asking(TemplateKind::gores)).parts.size();
    const FaceTemplate chosen = face_template(face);
    EXPECT_EQ(chosen.parts.size(), std::min(bands, gores));
    EXPECT_EQ(chosen.kind, gores < bands ? TemplateKind::gores : TemplateKind::bands);
  }
}

TEST(Darted, ASmallPatchNeedsNoCut) {
  const FaceTemplate made = face_template(patch_face(24, 100, 24, 100));
  EXPECT_EQ(made.darts, 0);
  EXPECT_LT(made.strain_percent, 1.0);
  EXPECT_NEAR(made.parts[0].width_mm, 24.0, 1e-9);
}

TEST(Darted, AFlatPatchIsARectangle) {
  const FaceTemplate made = face_template(named(PatchFace{90, 110, 90, chord_of(110, 80)}));
  EXPECT_EQ(made.kind, TemplateKind::rectangle);
  EXPECT_NEAR(made.parts[0].width_mm, 90.0, 1e-9);
  EXPECT_NEAR(made.parts[0].height_mm, 110.0, 1e-9);
}

// A strip on a ball may be as wide as 1 - cos(h / R) = 1 % allows; where the paper catches up with
// the middle that stays whole it must be a little narrower.
TEST(Darted, StripsAreAsWideAsTheStripRuleAllows) {
  const FaceTemplate made = face_template(patch_face(120, 100, 160, 100));
  const int strips = made.darts / 2 + 1;
  const double half = 160.0 / strips / 2.0;  // the side that bends less is cut into strips
  EXPECT_GT(half, 0.75 * 14.15395);
  EXPECT_LT(half, 14.15395);
  EXPECT_GT(made.darts, 0);
}

TEST(Darted, TheMiddleIsTrueAndHangsTogether) {
  for (const auto& [ra, ru] : {std::pair{70.0, 140.0}, {140.0, 70.0}, {100.0, 100.0}}) {
    for (const bool saddle : {false, true}) {
      const FaceTemplate made = face_template(patch_face(90, ra, 110, ru, saddle));
      const TemplatePart& part = made.parts[0];
      const Vec2 left = part.part_from_face({0, 55}), right = part.part_from_face({90, 55});
      const Vec2 top = part.part_from_face({45, 0}), bottom = part.part_from_face({45, 110});
      EXPECT_NEAR(distance(left, right), 90.0, 1.0);  // tape readings, within the limit
      EXPECT_NEAR(distance(top, bottom), 110.0, 1.2);
      // Where the strips hang together neighbours stay neighbours.
      for (double t = 0.5; t < 89.0; t += 0.5) {
        const FacePoint at = ru < ra ? FacePoint{t, 55.0} : FacePoint{45.0, t * 110.0 / 90.0};
        const FacePoint next =
            ru < ra ? FacePoint{t + 0.5, 55.0} : FacePoint{45.0, (t + 0.5) * 110.0 / 90.0};
        EXPECT_NEAR(distance(part.part_from_face(at), part.part_from_face(next)),
                    length(part.surface.way(at, next)),
                    0.02);
      }
    }
  }
}

TEST(Darted, CutsRunFromTheOutlineToTheWholeMiddle) {
  for (const bool saddle : {false, true}) {
    const FaceTemplate made = face_template(patch_face(90, 140, 110, 70, saddle));
    const TemplatePart& part = made.parts[0];
    ASSERT_GT(made.darts, 0);
    for (const Polyline& cut : part.cuts) {
      const bool from_top = cut.front().y < part.height_mm / 2;
      EXPECT_NEAR(from_top ? cut.front().y : part.height_mm - cut.front().y, 0.0, 1.0);
      EXPECT_GT(from_top ? cut.back().y : part.height_mm - cut.back().y, 20.0);
      EXPECT_LT(from_top ? cut.back().y : part.height_mm - cut.back().y, part.height_mm / 2);
    }
  }
}

TEST(Darted, ASaddlesSlitsLeavePlacesWithoutPaper) {
  const FaceTemplate made = face_template(patch_face(90, 140, 110, 70, true));
  const TemplatePart& part = made.parts[0];
  int bare = 0, all = 0;
  for (double x = 0.25; x < 90.0; x += 0.5) {
    for (const double y : {0.5, 54.5, 109.5}) {
      ++all;
      if (!part.covers_point({x, y})) {
        ++bare;
        EXPECT_NE(y, 54.5);
        EXPECT_EQ(part.strain_at({x, y}).largest, 0.0);
      }
    }
  }
  EXPECT_GT(bare, 0);
  EXPECT_LT(bare, all / 3);
}

TEST(FaceTemplate, AShapedFaceKeepsItsOutline) {
  FlatFace leaf{100, 80, {{{10, 5}, {90, 5}, {50, 75}}}};
  const FaceTemplate made = face_template(named(leaf));
  EXPECT_EQ(made.kind, TemplateKind::outline);
  EXPECT_NEAR(made.parts[0].width_mm, 80.0, 1e-9);
  EXPECT_LT(distance(made.parts[0].part_from_face({10, 5}), {0, 0}), 1e-9);
  EXPECT_TRUE(made.parts[0].covers_point({50, 40}));
  EXPECT_FALSE(made.parts[0].covers_point({12, 70}));
}

TEST(FaceTemplate, RefusesWhatAFaceCannotBe) {
  EXPECT_THROW(face_template(named(CylinderFace{300, 100}), 1.0, asking(TemplateKind::gores)),
               OptionError);
  EXPECT_THROW(face_template(kJar, 1.0, asking(TemplateKind::darted)), OptionError);
  EXPECT_THROW(face_template(kJar, 1.0, asking(TemplateKind::gores, 0)), OptionError);
  EXPECT_THROW(face_template(kJar, 1.0, {0.0, {}, {}}), OptionError);
  EXPECT_THROW(face_template(ball_face(50), 1.0, asking(TemplateKind::bands, 1)), GeometryError);
}

TEST(FaceTemplate, KindsAreKnownByName) {
  for (const char* name : {"rectangle", "outline", "sector", "bands", "gores", "darted"}) {
    EXPECT_EQ(name_of(*template_kind_named(name)), name);
  }
  EXPECT_FALSE(template_kind_named("petals"));
}

}  // namespace
}  // namespace underdraw
