#include "sheet/paper.h"

#include <cmath>

#include <gtest/gtest.h>

#include "core/error.h"

namespace underdraw {
namespace {

// ISO 216: the A series halves A0 (1 m^2, sides 1 : sqrt 2) and rounds down to whole mm.
double iso_a_side_mm(int n, bool longer) {
  return std::floor(1000.0 * std::pow(2.0, (longer ? 0.25 : -0.25) - n / 2.0) + 0.2);
}

TEST(PaperSize, ASizesAreThoseOfIso216) {
  const PaperSize a4 = paper_size("A4");
  const PaperSize a3 = paper_size("A3");
  EXPECT_EQ(a4, (PaperSize{"A4", 210.0, 297.0}));  // ISO 216, table 1
  EXPECT_EQ(a3, (PaperSize{"A3", 297.0, 420.0}));
  EXPECT_EQ(a4.width_mm, iso_a_side_mm(4, false));
  EXPECT_EQ(a4.height_mm, iso_a_side_mm(4, true));
  EXPECT_EQ(a3.width_mm, iso_a_side_mm(3, false));
  EXPECT_EQ(a3.height_mm, iso_a_side_mm(3, true));
}

TEST(PaperSize, InchSizesAreThoseOfAsmeY141AndTheTrade) {
  // ASME Y14.1: A 8.5 x 11 in, B 11 x 17 in; Legal 8.5 x 14 in (trade size, not in Y14.1).
  EXPECT_NEAR(paper_size("Letter").width_mm, 215.9, 1e-9);
  EXPECT_NEAR(paper_size("Letter").height_mm, 279.4, 1e-9);
  EXPECT_NEAR(paper_size("Tabloid").width_mm, 279.4, 1e-9);
  EXPECT_NEAR(paper_size("Tabloid").height_mm, 431.8, 1e-9);
  EXPECT_NEAR(paper_size("Legal").width_mm, 215.9, 1e-9);
  EXPECT_NEAR(paper_size("Legal").height_mm, 355.6, 1e-9);
}

TEST(PaperSize, CapitalsDoNotMatter) { EXPECT_EQ(paper_size("letter"), paper_size("LETTER")); }

TEST(PaperSize, AnUnknownNameIsRefusedWithTheKnownOnes) {
  try {
    paper_size("A44");
    FAIL() << "A44 was accepted";
  } catch (const OptionError& e) {
    const std::string text = e.what();
    EXPECT_NE(text.find("A44"), std::string::npos) << text;
    for (const std::string& name : paper_names()) {
      EXPECT_NE(text.find(name), std::string::npos) << text;
    }
  }
}

TEST(PaperSize, CustomSizesAreHeldToFiftyToTwoThousandMillimetres) {
  EXPECT_EQ(custom_paper(50.0, 2000.0).height_mm, 2000.0);
  EXPECT_EQ(custom_paper(120.5, 90.0).name, "120.5 x 90 mm");
  EXPECT_THROW(custom_paper(49.9, 100.0), OptionError);
  EXPECT_THROW(custom_paper(100.0, 2000.1), OptionError);
  EXPECT_THROW(custom_paper(std::nan(""), 100.0), OptionError);
}

}  // namespace
}  // namespace underdraw
