// The plan against its placements, before anything is printed.
#include <gtest/gtest.h>

#include "sheet/lay_out_sheets.h"
#include "sheet/proof.h"
#include "sheet/shapes.h"
#include "sheet/sheet_samples.h"

namespace underdraw {
namespace {

class CheckPlan : public ::testing::Test {
 protected:
  CheckPlan() {
    const std::vector<Motif> motifs = sample_motifs();
    plan_ = lay_out_sheets("Harbour jar", {jar_wall(motifs, 8)}, motifs, {});
  }
  CutOut& first() { return plan_.sheets[0].cut_outs[0]; }
  std::string faults() const {
    std::string all;
    for (const std::string& fault : check_plan(plan_)) all += fault + "\n";
    return all;
  }
  SheetPlan plan_;
};

TEST_F(CheckPlan, FindsNothingWrongWithASoundOne) { EXPECT_EQ(faults(), ""); }

TEST_F(CheckPlan, FindsAWrongScale) {
  first().sheet_from_motif = first().sheet_from_motif * Affine::scale(1.005);
  EXPECT_NE(faults().find("mm high, not"), std::string::npos) << faults();
}

TEST_F(CheckPlan, FindsAWrongFlip) {
  const Motif& motif = motif_named(plan_.motifs, first().motif);
  first().sheet_from_motif =
      first().sheet_from_motif * Affine::translate({motif.width_mm, 0}) * Affine::mirror_x();
  EXPECT_NE(faults().find("should not be mirrored"), std::string::npos) << faults();
}

TEST_F(CheckPlan, FindsAMissingAndADoublePlacement) {
  const int id = first().placement;
  first().placement = plan_.sheets[0].cut_outs[1].placement;
  EXPECT_NE(faults().find("is on no sheet"), std::string::npos) << faults() << id;
  EXPECT_NE(faults().find("is on the sheets 2 times"), std::string::npos) << faults();
}

TEST_F(CheckPlan, FindsCutOutsThatOverlapOrLeaveTheSheet) {
  first().area = first().area.grown(6.0);
  first().cut_line = rectangle(first().area);
  EXPECT_NE(faults().find("overlaps placement"), std::string::npos) << faults();
  EXPECT_NE(faults().find("leaves the room"), std::string::npos) << faults();
}

TEST_F(CheckPlan, FindsTwoPlacementsOfOneNumber) {
  plan_.faces[0].placements[1].id = 1;
  EXPECT_NE(faults().find("two placements are numbered 1"), std::string::npos) << faults();
}

}  // namespace
}  // namespace underdraw
