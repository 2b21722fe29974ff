#include "sheet/split_cut_out.h"

#include <cmath>
#include <limits>

#include <gtest/gtest.h>

#include "sheet/cut_out.h"
#include "sheet/lay_out_sheets.h"
#include "sheet/page_frame.h"
#include "sheet/proof.h"
#include "sheet/proof_lines.h"
#include "sheet/sheet_lines.h"
#include "sheet/sheet_samples.h"

namespace underdraw {
namespace {

struct Large {
  PlacedFace face;
  Motif motif;
  SheetOptions options;

  Large(const Motif& drawn, double height_mm, bool mirrored = false) : motif(drawn) {
    face = jar_wall({motif}, 1);
    face.placements[0].change.scale = height_mm / motif.height_mm;
    face.placements[0].change.mirrored = mirrored;
    options.paper = paper_size("A4");
  }
  Vec2 room() const {
    const Box work = frame_of(options).work;
    return {work.width(), work.height()};
  }
  std::vector<CutOut> parts() const {
    const auto all =
        split_cut_out(face, face.placements[0], motif, cut_out_ink(motif), options, room());
    if (!all) throw std::runtime_error("not split");
    return *all;
  }
  Affine print() const { return print_from_motif(face.placements[0], motif, options.method); }
};

std::vector<Large> samples() {
  std::vector<Large> all;
  for (const Motif& motif : sample_motifs()) {
    const double high = motif.height_mm / std::max(motif.width_mm, motif.height_mm);
    all.emplace_back(motif, 380.0 * high);
    all.emplace_back(motif, 700.0 * high, true);
  }
  all.front().options.method = TransferMethod::face_down;
  all.back().options.method = TransferMethod::pricked;
  return all;
}

TEST(SplitCutOut, EveryPartFitsItsSheetWithItsLabel) {
  for (const Large& large : samples()) {
    const std::vector<CutOut> parts = large.parts();
    EXPECT_GT(parts.size(), 1U);
    EXPECT_LE(parts.size(), 24U);
    for (const CutOut& part : parts) {
      EXPECT_LE(part.area.width(), large.room().x) << large.motif.name;
      EXPECT_LE(part.area.height(), large.room().y) << large.motif.name;
      EXPECT_GE(part.area.min.x, -1e-9);
      EXPECT_GE(part.area.min.y, -1e-9);
      const Ring ring = flatten(part.cut_line, 0.01);
      for (const Box& box : part.label_boxes) {
        EXPECT_TRUE(part.area.grown(0.4).contains(box)) << large.motif.name;
      }
      EXPECT_TRUE(inside(ring, part.number_box.min) && inside(ring, part.number_box.max));
      EXPECT_TRUE(inside(ring, part.part->words_box.max));
    }
  }
}

// Brute force over the drawing's own places: how many windows show each.
TEST(SplitCutOut, PartsShowEveryPlaceOnceAndTwiceOnlyWhereTheyOverlap) {
  for (const Large& large : samples()) {
    const std::vector<CutOut> parts = large.parts();
    std::size_t twice = 0;
    for (const LineSample& s : line_samples(transformed(large.motif.lines, large.print()))) {
      int times = 0;
      bool near_edge = false;
      for (const CutOut& c : parts) {
        const Box& window = c.part->window;
        times += window.contains(s.at) ? 1 : 0;
        // 10 mm from the edge of a window that goes on elsewhere.
        near_edge = near_edge || (window.contains(s.at) && !window.grown(-10.01).contains(s.at));
      }
      EXPECT_GE(times, 1) << large.motif.name;
      if (times > 1) {
        ++twice;
        EXPECT_TRUE(near_edge) << large.motif.name;
      }
    }
    EXPECT_GT(twice, 0U);
  }
}

std::vector<std::pair<Box, Ring>> polylines(const Linework& lines) {
  std::vector<std::pair<Box, Ring>> out;
  const auto add = [&](const Path& path) {
    Ring line = path.is_dot() ? path.points : flatten(path, 0.005);
    if (path.closed) line.push_back(line.front());
    out.emplace_back(box_of(line).grown(0.1), line);
  };
  for (const Stroke& stroke : lines.strokes) add(stroke.path);
  for (const Area& area : lines.areas) {
    for (const Path& ring : area.rings) add(ring);
  }
  return out;
}

// Both neighbours' own linework, laid on each other as the crosses say, is the same where they
// overlap: no line of one is more than 0.02 mm from a line of the other.
TEST(SplitCutOut, NeighboursDrawTheSameLinesWhereTheyOverlap) {
  for (const Large& large : samples()) {
    const std::vector<CutOut> parts = large.parts();
    const auto drawn = [&](const CutOut& c) {
      const Linework lines = cut_out_lines(large.motif, c, large.options).ink;
      return transformed(lines, c.part->sheet_from_print.inverse());
    };
    std::vector<std::vector<std::pair<Box, Ring>>> lines;
    for (const CutOut& c : parts) lines.push_back(polylines(drawn(c)));
    std::size_t compared = 0;
    for (const CutOut& a : parts) {
      const std::vector<LineSample> ours = line_samples(drawn(a), 3.0);
      for (const CutOut& b : parts) {
        if (&a == &b || !a.part->window.overlaps(b.part->window)) continue;
        const auto& theirs = lines[static_cast<std::size_t>(b.part->number - 1)];
        for (const LineSample& s : ours) {
          if (!b.part->window.grown(-0.2).contains(s.at)) continue;
          if (!a.part->window.grown(-0.2).contains(s.at)) continue;  // where an area was cut off
          double nearest = std::numeric_limits<double>::infinity();
          for (const auto& [box, line] : theirs) {
            if (!box.contains(s.at)) continue;
            for (std::size_t i = 0; i < line.size(); ++i) {
              nearest = std::min(
                  nearest,
                  distance_to_segment(s.at, line[i], line[std::min(i + 1, line.size() - 1)]));
            }
          }
          EXPECT_LT(nearest, 0.02) << large.motif.name;
          ++compared;
        }
      }
    }
    EXPECT_GT(compared, 10U) << large.motif.name;
  }
}

TEST(SplitCutOut, CrossesStandInBothNeighboursAtTheSamePlaceAndClearOfTheirEdges) {
  for (const Large& large : samples()) {
    const std::vector<CutOut> parts = large.parts();
    std::size_t crosses = 0;
    for (const CutOut& a : parts) {
      EXPECT_FALSE(a.part->crosses.empty()) << large.motif.name;
      for (const Vec2 cross : a.part->crosses) {
        ++crosses;
        int others = 0;
        for (const CutOut& b : parts) {
          if (&a == &b) continue;
          const auto& theirs = b.part->crosses;
          others += static_cast<int>(std::count(theirs.begin(), theirs.end(), cross));
        }
        EXPECT_EQ(others, 1) << large.motif.name;
        // On the paper itself: the sheet's frame.
        const Vec2 at = a.part->sheet_from_print * cross;
        EXPECT_TRUE(inside(flatten(a.cut_line, 0.01), at)) << large.motif.name;
        for (const Path& line : cross_lines(*a.part, cross)) EXPECT_GT(line.length(), 5.9);
      }
    }
    EXPECT_GE(crosses, 2 * (parts.size() - 1)) << large.motif.name;
  }
}

TEST(SplitCutOut, ALineWiderThanTheUsualEdgeStaysOnItsPaper) {
  Linework lines;
  lines.strokes.push_back(sheet_samples::bowed({0, 0}, {60, 90}, 0.2, 2.0));
  lines.strokes.push_back(sheet_samples::bowed({0, 90}, {60, 0}, 0.2, 2.0));
  const Large large(make_motif("brushed knot", lines), 500.0);  // lines become 11 mm wide
  for (const CutOut& part : large.parts()) {
    const Ring ring = flatten(part.cut_line, 0.01);
    for (const LineSample& s : line_samples(cut_out_lines(large.motif, part, large.options).ink)) {
      EXPECT_TRUE(inside(ring, s.at + s.normal * s.half_mm));
      EXPECT_TRUE(inside(ring, s.at - s.normal * s.half_mm));
    }
  }
}

TEST(SplitCutOut, TooManyPartsOrTooSmallARoomGiveNothing) {
  const Large huge(kelp_motif(), 3000.0);
  const Placement& placement = huge.face.placements[0];
  const Rings ink = cut_out_ink(huge.motif);
  EXPECT_FALSE(split_cut_out(huge.face, placement, huge.motif, ink, huge.options, huge.room()));
  const Large large(kelp_motif(), 380.0);
  EXPECT_FALSE(split_cut_out(
      large.face, large.face.placements[0], large.motif, ink, large.options, {40.0, 250.0}));
}

// Faults in a plan of parts.
class CheckParts : public ::testing::Test {
 protected:
  CheckParts() {
    const std::vector<Motif> motifs = sample_motifs();
    PlacedFace wall = jar_wall(motifs, 2);
    wall.placements[0].change.scale = 420.0 / motifs[0].height_mm;
    plan_ = lay_out_sheets("Harbour jar", {wall}, motifs, {});
    for (Sheet& sheet : plan_.sheets) {
      for (CutOut& cut_out : sheet.cut_outs) {
        if (cut_out.part) parts_.push_back(&cut_out);
      }
    }
  }
  void expect_fault(const std::string& words) const {
    std::string all;
    for (const std::string& fault : check_plan(plan_)) all += fault + "\n";
    EXPECT_NE(all.find(words), std::string::npos) << all;
  }
  SheetPlan plan_;
  std::vector<CutOut*> parts_;
};

TEST_F(CheckParts, ASoundPlanHasNoFault) {
  EXPECT_GE(parts_.size(), 4U);
  EXPECT_TRUE(check_plan(plan_).empty()) << check_plan(plan_).front();
}

TEST_F(CheckParts, APartThatIsGoneIsFound) {
  for (Sheet& sheet : plan_.sheets) {
    std::erase_if(sheet.cut_outs,
                  [](const CutOut& cut_out) { return cut_out.part && cut_out.part->number == 2; });
  }
  expect_fault("placement 1 part 2 of");
  expect_fault("is on the sheets 0 times");
  expect_fault("of its lines in its parts");
}

TEST_F(CheckParts, APartThatIsThereTwiceIsFound) {
  const int first = parts_[0]->part->number;
  parts_[0]->part->number = parts_[1]->part->number;
  expect_fault("is on the sheets 2 times");
  parts_[0]->part->number = first;
  plan_.sheets.push_back({"wall", {*parts_[0]}});
  expect_fault("is on the sheets 2 times");
}

TEST_F(CheckParts, ACrossThatMovedIsFound) {
  parts_[0]->part->crosses.at(0).x += 0.1;
  expect_fault("has a register cross that no neighbour has");
}

TEST_F(CheckParts, PartsThatNoCrossJoinsAreFound) {
  for (CutOut* part : parts_) part->part->crosses.clear();
  expect_fault("has parts that no cross joins");
}

TEST_F(CheckParts, AWindowThatMovedIsFound) {
  Box& window = parts_[0]->part->window;
  window = {window.min + Vec2{0.0, 0.5}, window.max + Vec2{0.0, 0.5}};
  expect_fault("do not overlap by 10 mm");
}

TEST_F(CheckParts, ADrawingThatLiesElsewhereThanItsPartIsFound) {
  parts_[0]->part->sheet_from_print =
      Affine::translate({0.2, 0.0}) * parts_[0]->part->sheet_from_print;
  expect_fault("does not lie where its drawing does");
}

TEST_F(CheckParts, APlacementWholeAndInPartsIsFound) {
  CutOut whole = *parts_[0];
  whole.part.reset();
  plan_.sheets.push_back({"wall", {whole}});
  expect_fault("placement 1 is on the sheets 2 times");
}

}  // namespace
}  // namespace underdraw
