// What [coats] and [[colour]] say. No outside source: the format is the project's own.
#include <string>

#include <gtest/gtest.h>

#include "core/error.h"
#include "io/piece_file.h"

namespace underdraw {
namespace {

const std::string kPiece =
    "schema = 1\nname = \"Jar\"\n"
    "[[motif]]\nname = \"sea pink\"\nfile = \"sea-pink.svg\"\n"
    "[[face]]\nname = \"wall\"\nform = \"flat\"\nwidth = 90\nheight = 60\n";

PieceFile piece_with(const std::string& more) { return piece_of_text(kPiece + more, "piece.toml"); }

std::string complaint_about(const std::string& more) {
  try {
    piece_with(more);
  } catch (const InputError& error) {
    return error.what();
  }
  return "accepted";
}

void expect_refused(const std::string& more, const std::string& words) {
  EXPECT_NE(complaint_about(more).find(words), std::string::npos) << complaint_about(more);
}

TEST(ReadColours, EveryFactComesIn) {
  const PieceFile piece = piece_with(
      "[coats]\ngap = 0.2\nclose = 1.5\norder = \"edge-to-edge\"\nhold = \"none\"\npace = 6\n"
      "[[colour]]\nname = \"teal\"\nkind = \"thin\"\ncoats = 5\ndrying = 45\ncoverage = 180\n"
      "on = [\"wall\", \"sea pink b\"]\n");
  EXPECT_EQ(piece.coats.gap_mm, 0.2);
  EXPECT_EQ(piece.coats.close_mm, 1.5);
  EXPECT_EQ(piece.coats.order, PaintOrder::edge_to_edge);
  EXPECT_EQ(piece.coats.hold, Hold::none);
  EXPECT_EQ(piece.coats.pace_cm2_per_min, 6.0);
  ASSERT_EQ(piece.colours.size(), 1U);
  const Colour& teal = piece.colours[0];
  EXPECT_EQ(teal.kind, ColourKind::thin);
  EXPECT_EQ(teal.coats, 5);
  EXPECT_EQ(teal.drying_min, 45.0);
  EXPECT_EQ(teal.ml_per_m2, 180.0);
  EXPECT_EQ(teal.on, (std::vector<std::string>{"wall", "sea pink b"}));
}

TEST(ReadColours, TheKindDecidesHowManyCoats) {
  const PieceFile piece = piece_with(
      "[[colour]]\nname = \"teal\"\n[[colour]]\nname = \"honey\"\nkind = \"thin\"\n"
      "[[colour]]\nname = \"smoke\"\nkind = \"wash\"\n");
  EXPECT_EQ(piece.colours[0].coats, 3);
  EXPECT_EQ(piece.colours[1].coats, 4);
  EXPECT_EQ(piece.colours[2].coats, 0);
}

TEST(ReadColours, WhatCannotBeIsRefusedWithALine) {
  const std::string teal = "[[colour]]\nname = \"teal\"\n";
  expect_refused(teal + "on = [\"lid\"]\n", "piece.toml:13: on in [[colour]] names 'lid'");
  expect_refused(teal + "on = [\"sea pink 2\"]\n", "names 'sea pink 2'");
  expect_refused(teal + "kind = \"wash\"\ncoats = 2\n", "does not go with a wash");
  expect_refused(teal + "coats = 0\n", "1 to 20");
  expect_refused(teal + teal, "is the name of the colour of line 11 too");
  expect_refused(teal + "on = [\"wall\"]\n[[colour]]\nname = \"rust\"\non = [\"wall\"]\n",
                 "puts 'teal' and 'rust' on 'wall'");
  expect_refused(teal + "colour = \"blue\"\n", "colour");
  expect_refused("[coats]\ngap = 0.6\n", "0 to 0.5 mm");
  expect_refused("[coats]\nhold = \"left\"\n", "opposite or none");
}

}  // namespace
}  // namespace underdraw
