#include "sheet/cut_out.h"

#include <random>

#include <gtest/gtest.h>

#include "sheet/sheet_samples.h"

namespace underdraw {
namespace {

// Random flowing lines in a random box, so that nothing depends on the shape of one motif.
Motif random_motif(std::mt19937& random) {
  const auto between = [&](double low, double high) {
    return std::uniform_real_distribution<double>(low, high)(random);
  };
  const double w = between(2.0, 70.0);
  const double h = between(2.0, 70.0);
  Linework lines;
  const int count = 1 + static_cast<int>(random() % 6);
  for (int i = 0; i < count; ++i) {
    Path path;
    Vec2 at{between(0, w), between(0, h)};
    for (int k = 0; k < 3; ++k) {
      const Vec2 to{between(0, w), between(0, h)};
      path.append({at, {between(0, w), between(0, h)}, {between(0, w), between(0, h)}, to});
      at = to;
    }
    lines.strokes.push_back({path, between(0.2, 1.0)});
  }
  const char* names[] = {"kelp", "tern feather", "ropy knot with a very long name indeed", "ß"};
  return make_motif(names[random() % 4], lines);
}

struct RandomCase {
  PlacedFace face;
  Placement placement;
  Motif motif;
  SheetOptions options;
};

RandomCase random_case(std::mt19937& random) {
  RandomCase c;
  c.motif = random_motif(random);
  c.face.face.name = "wall";
  if (random() % 2 == 0) {
    c.face.face.form = CylinderFace{300.0, 95.0};
  } else {
    c.face.face.form = FlatFace{300.0, 95.0};
  }
  c.face.surface = surface_of(c.face.face);
  c.placement.id = static_cast<int>(1 + random() % 300);
  c.placement.motif = c.motif.name;
  c.placement.change.mirrored = random() % 2 == 0;
  c.placement.change.turn_deg = random() % 2 == 0 ? 0.0 : static_cast<double>(random() % 360);
  c.placement.change.scale = 0.5 + static_cast<double>(random() % 100) / 50.0;
  c.placement.at = {static_cast<double>(random() % 300), static_cast<double>(random() % 95)};
  c.options.method = static_cast<TransferMethod>(random() % 6);
  return c;
}

CutOut cut_out_of(const RandomCase& c) {
  return make_cut_out(c.face, c.placement, c.motif, cut_out_ink(c.motif), c.options);
}

double gap(const Box& box, Vec2 p) {
  const double dx = std::max({box.min.x - p.x, 0.0, p.x - box.max.x});
  const double dy = std::max({box.min.y - p.y, 0.0, p.y - box.max.y});
  return std::hypot(dx, dy);
}

TEST(CutOut, NothingIsWrittenOverALineOrOverAnotherLabel) {
  std::mt19937 random(7);
  for (int round = 0; round < 150; ++round) {
    const RandomCase c = random_case(random);
    const CutOut out = cut_out_of(c);
    ASSERT_EQ(out.label_boxes.size(), 9U);  // number, 3 lines, arrow, 4 ticks
    const Ring ring = flatten(out.cut_line, 0.001);
    for (std::size_t i = 0; i < out.label_boxes.size(); ++i) {
      const Box& box = out.label_boxes[i];
      EXPECT_TRUE(out.area.grown(0.4).contains(box)) << "round " << round << " label " << i;
      if (i < 5) {
        const Rings corners = ring_of(box);
        for (const Vec2 corner : corners.front()) EXPECT_TRUE(inside(ring, corner)) << round;
      }
      for (std::size_t k = i + 1; k < out.label_boxes.size(); ++k) {
        EXPECT_FALSE(box.overlaps(out.label_boxes[k]))
            << "round " << round << " labels " << i << " and " << k;
      }
    }
    const Linework lines = transformed(c.motif.lines, out.sheet_from_motif);
    for (const Stroke& stroke : lines.strokes) {
      for (const Vec2 p : sample(stroke.path, 0.5)) {
        for (std::size_t i = 0; i < out.label_boxes.size(); ++i) {
          EXPECT_GT(gap(out.label_boxes[i], p), stroke.width_mm / 2.0)
              << "round " << round << " label " << i;
        }
      }
    }
  }
}

TEST(CutOut, TheDrawingKeepsItsClearanceToTheCutLine) {
  std::mt19937 random(8);
  for (int round = 0; round < 150; ++round) {
    RandomCase c = random_case(random);
    c.options.clearance_mm = 1.0 + round % 9;
    const CutOut out = cut_out_of(c);
    const Ring ring = flatten(out.cut_line, 0.001);
    const std::vector<Vec2> edge = sample(out.cut_line, 0.5);
    for (const Stroke& stroke : transformed(c.motif.lines, out.sheet_from_motif).strokes) {
      const double apart = c.options.clearance_mm + stroke.width_mm / 2.0;
      for (const Vec2 p : sample(stroke.path, 1.0)) {
        EXPECT_TRUE(inside(ring, p)) << round;
        for (const Vec2 e : edge) EXPECT_GT(distance(p, e), apart - 1e-3) << round;
      }
    }
  }
}

TEST(CutOut, IsTrueToSizeAndFlippedByVariantAndMethodTogether) {
  std::mt19937 random(9);
  for (int round = 0; round < 100; ++round) {
    const RandomCase c = random_case(random);
    const CutOut out = cut_out_of(c);
    EXPECT_NEAR(out.sheet_from_motif.length_factor(), c.placement.change.scale, 1e-12);
    const bool flipped = c.placement.change.mirrored != printed_mirrored(c.options.method);
    EXPECT_EQ(out.sheet_from_motif.determinant() < 0.0, flipped);
    EXPECT_EQ(out.mirrored, flipped);
  }
}

TEST(CutOut, TicksStandAtThePlacementsCentre) {
  std::mt19937 random(10);
  for (int round = 0; round < 50; ++round) {
    const RandomCase c = random_case(random);
    const CutOut out = cut_out_of(c);
    const Vec2 centre = out.sheet_from_motif * c.motif.centre();
    int ticks = 0;
    for (const Mark& mark : out.labels) {
      const auto* path = std::get_if<PathMark>(&mark);
      if (path == nullptr || path->paths.size() != 4) continue;
      for (const Path& tick : path->paths) {
        const bool upright = tick.points.front().x == tick.points.back().x;
        const double off =
            upright ? tick.points.front().x - centre.x : tick.points.front().y - centre.y;
        EXPECT_NEAR(off, 0.0, 1e-9);
        ++ticks;
      }
    }
    EXPECT_EQ(ticks, 4);
  }
}

TEST(CutOut, SaysWhereItGoesInTheFacesOwnCoordinates) {
  const std::vector<Motif> motifs = sample_motifs();
  const PlacedFace round = jar_wall(motifs, 8);
  EXPECT_EQ(datum_labels(round.surface, round.placements[0]).across, "a 22.5°");
  EXPECT_EQ(datum_labels(round.surface, round.placements[0]).along, "s 50.0");
  const Surface flat = surface_of({"tile", FlatFace{100.0, 95.0}, {}});
  EXPECT_EQ(datum_labels(flat, round.placements[0]).across, "x 22.5");
  EXPECT_EQ(datum_labels(flat, round.placements[0]).along, "y 50.0");
  Placement seam = round.placements[0];
  seam.at.across = 359.999;
  EXPECT_EQ(datum_labels(round.surface, seam).across, "a 0.0°");
}

TEST(CutOut, TheNumberIsReadAtArmsLength) {
  const std::vector<Motif> motifs = sample_motifs();
  const PlacedFace face = jar_wall(motifs, 4);
  const CutOut out = make_cut_out(face, face.placements[0], motifs[0], cut_out_ink(motifs[0]), {});
  const auto& number = std::get<TextMark>(out.labels.front());
  EXPECT_EQ(number.text, "1");
  EXPECT_GE(number.height_mm * 0.714, 5.0);  // cap height of Open Sans: 1462 of 2048
}

}  // namespace
}  // namespace underdraw
