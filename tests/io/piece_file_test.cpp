#include "io/piece_file.h"

#include <filesystem>
#include <fstream>
#include <functional>

#include <gtest/gtest.h>

#include "core/error.h"
#include "repeat/arrange.h"

namespace underdraw {
namespace {

// A complete file, one fact a line, so that a test can spoil one line and name its number.
const std::vector<std::string> kLines = {
    "schema = 1",                                                      // 1
    "name = \"Harbour jar\"",                                          // 2
    "[clay]",                                                          // 3
    "drying = 6.0",                                                    // 4
    "bisque = 1.0",                                                    // 5
    "glaze = 5.5",                                                     // 6
    "measured_at = \"dry\"",                                           // 7
    "transfer_at = \"bisque\"",                                        // 8
    "[paper]",                                                         // 9
    "size = \"Letter\"",                                               // 10
    "margin = 10",                                                     // 11
    "[transfer]",                                                      // 12
    "method = \"shaded-back\"",                                        // 13
    "[line]",                                                          // 14
    "width = 0.7",                                                     // 15
    "gap = 1.1",                                                       // 16
    "[[page]]",                                                        // 17
    "file = \"pages/harbour sketches.png\"",                           // 18
    "names = [\"thistle\", \"Möwe \\\"Ärger\\\"\", \"sea-pink\"]",     // 19
    "[[face]]",                                                        // 20
    "name = \"wall\"",                                                 // 21
    "form = \"cylinder\"",                                             // 22
    "circumference = 372.0",                                           // 23
    "height = 120",                                                    // 24
    "keep_out = [{ a = [350, 10], s = [20, 80], why = \"handle\" }]",  // 25
    "[[face]]",                                                        // 26
    "name = \"lid\"",                                                  // 27
    "form = \"flat\"",                                                 // 28
    "width = 90",                                                      // 29
    "height = 60",                                                     // 30
    "[[arrange]]",                                                     // 31
    "face = \"wall\"",                                                 // 32
    "style = \"band\"",                                                // 33
    "motifs = [\"thistle\", \"sea-pink\"]",                            // 34
    "mirror = \"alternate\"",                                          // 35
    "height = 45",                                                     // 36
    "at = 60",                                                         // 37
    "gap = 6",                                                         // 38
};

std::string joined(const std::vector<std::string>& lines) {
  std::string text;
  for (const std::string& line : lines) text += line + "\n";
  return text;
}

std::string complaint_about(const std::string& text) {
  try {
    piece_of_text(text, "piece.toml");
  } catch (const InputError& error) {
    return error.what();
  }
  return "accepted";
}

// The complaint when line `number` reads otherwise.
std::string complaint(std::size_t number, const std::string& instead) {
  std::vector<std::string> lines = kLines;
  lines.at(number - 1) = instead;
  return complaint_about(joined(lines));
}

void expect_complaint(std::size_t number, const std::string& instead, const std::string& wanted) {
  const std::string text = complaint(number, instead);
  EXPECT_EQ(text.substr(0, wanted.size()), wanted) << instead;
  EXPECT_EQ(text.find('\n'), std::string::npos);
}

std::filesystem::path written(const std::string& name, const std::string& text) {
  const std::filesystem::path path = std::filesystem::path(::testing::TempDir()) / name;
  std::ofstream(path, std::ios::binary) << text;
  return path;
}

TEST(PieceFile, EveryFactComesIn) {
  const PieceFile piece = piece_of_text(joined(kLines), "piece.toml");
  EXPECT_EQ(piece.name, "Harbour jar");
  EXPECT_TRUE(piece.clay_stated);
  EXPECT_EQ(piece.clay.shrinkage.glaze_percent, 5.5);
  EXPECT_EQ(piece.clay.measured_at, ClayStage::dry);
  EXPECT_EQ(piece.clay.transfer_at, ClayStage::bisque);
  EXPECT_EQ(piece.sheets.paper, paper_size("Letter"));
  EXPECT_EQ(piece.sheets.margin_mm, 10.0);
  EXPECT_EQ(piece.sheets.method, TransferMethod::shaded_back);
  EXPECT_EQ(piece.tool.width_mm, 0.7);
  EXPECT_EQ(piece.least_gap_mm, 1.1);
  ASSERT_EQ(piece.pages.size(), 1U);
  EXPECT_EQ(piece.pages[0].file, "pages/harbour sketches.png");
  EXPECT_EQ(piece.pages[0].names[1], "Möwe \"Ärger\"");
  EXPECT_EQ(piece.pages[0].page, 1);
  EXPECT_FALSE(piece.pages[0].dpi.has_value());
  ASSERT_EQ(piece.faces.size(), 2U);
  EXPECT_EQ(std::get<CylinderFace>(piece.faces[0].form).circumference_mm, 372.0);
  ASSERT_EQ(piece.faces[0].keep_out.size(), 1U);
  EXPECT_EQ(piece.faces[0].keep_out[0].across_from, 350.0);
  EXPECT_EQ(piece.faces[0].keep_out[0].along_to, 80.0);
  EXPECT_EQ(piece.faces[0].keep_out[0].why, "handle");
  EXPECT_EQ(std::get<FlatFace>(piece.faces[1].form).width_mm, 90.0);
  ASSERT_EQ(piece.arrangements.size(), 1U);
  const Arrangement& asked = piece.arrangements[0];
  EXPECT_EQ(asked.style, Style::band);
  EXPECT_EQ(asked.mirror, Mirroring::alternate);
  EXPECT_EQ(asked.motifs, (std::vector<std::string>{"thistle", "sea-pink"}));
  EXPECT_EQ(asked.heights_mm, std::vector<double>{45.0});
  EXPECT_EQ(asked.at_mm, 60.0);
  EXPECT_EQ(asked.gap_mm, 6.0);
  EXPECT_EQ(asked.line, 31);
}

TEST(PieceFile, OnlySchemaAndNameMustBeThere) {
  const PieceFile piece = piece_of_text("schema = 1\nname = \"Tile\"\n", "piece.toml");
  EXPECT_FALSE(piece.clay_stated);
  EXPECT_EQ(piece.clay.transfer_from_finished(), 1.0);
  EXPECT_EQ(piece.sheets.paper.name, "A4");
  EXPECT_EQ(piece.sheets.margin_mm, 8.0);
}

TEST(PieceFile, CutOutsMayBeTurnedAndHolesHaveAPitch) {
  const std::string head = "schema = 1\nname = \"Tile\"\n";
  const PieceFile piece = piece_of_text(
      head + "[paper]\nturn = \"free\"\n[transfer]\nmethod = \"pricked\"\npitch = 1.5\n",
      "piece.toml");
  EXPECT_EQ(piece.sheets.turn, CutOutTurn::free);
  EXPECT_EQ(piece.sheets.method, TransferMethod::pricked);
  EXPECT_EQ(piece.sheets.pitch_mm, 1.5);
  for (const auto& [text, word] : {std::pair{"[paper]\nturn = \"left\"\n", "none, half"},
                                   {"[transfer]\npitch = 0.2\n", "1 to 5 mm"}}) {
    try {
      piece_of_text(head + text, "piece.toml");
      ADD_FAILURE() << text;
    } catch (const InputError& error) {
      EXPECT_NE(std::string(error.what()).find("piece.toml:4"), std::string::npos) << error.what();
      EXPECT_NE(std::string(error.what()).find(word), std::string::npos) << error.what();
    }
  }
}

TEST(PieceFile, NamesThePrinterThatTheSheetsAreFor) {
  const std::string head = "schema = 1\nname = \"jar\"\n[paper]\n";
  const PieceFile piece = piece_of_text(head + "printer = \"studio-laser\"", "piece.toml");
  EXPECT_EQ(piece.printer, "studio-laser");
  EXPECT_EQ(piece.printer_line, 4);
  EXPECT_FALSE(piece.sheets.printer);  // what it makes of a millimetre, this machine knows
  EXPECT_TRUE(piece_of_text(head, "piece.toml").printer.empty());
}

TEST(PieceFile, SaysWhatThePrintedMatMeasures) {
  const std::string head = "schema = 1\nname = \"Jug\"\n";
  const PieceFile piece = piece_of_text(head + "[mat]\nacross = 97.2\ndown = 97.4", "piece.toml");
  ASSERT_TRUE(piece.mat_bars_mm);
  EXPECT_EQ(*piece.mat_bars_mm, (Vec2{97.2, 97.4}));
  EXPECT_FALSE(piece_of_text(head, "piece.toml").mat_bars_mm);
  EXPECT_THROW(piece_of_text(head + "[mat]\nacross = 97.2", "piece.toml"), InputError);
  EXPECT_THROW(piece_of_text(head + "[mat]\nacross = 9.7\ndown = 9.7", "piece.toml"), InputError);
}

TEST(PieceFile, CustomPaperAndPagesOfAFile) {
  std::vector<std::string> lines = kLines;
  lines[9] = "size = [320, 450.5]";
  lines[18] += "\ndpi = 300\npage = 2";
  const PieceFile piece = piece_of_text(joined(lines), "piece.toml");
  EXPECT_EQ(piece.sheets.paper.height_mm, 450.5);
  EXPECT_EQ(piece.pages[0].dpi, 300.0);
  EXPECT_EQ(piece.pages[0].page, 2);
}

TEST(PieceFile, APageSaysWhatBecomesOfItsCaptions) {
  std::vector<std::string> lines = kLines;
  EXPECT_FALSE(piece_of_text(joined(lines), "piece.toml").pages[0].captions.has_value());
  lines[18] += "\ncaptions = \"skip\"";
  EXPECT_EQ(piece_of_text(joined(lines), "piece.toml").pages[0].captions, Captions::skip);
  lines[18] = kLines[18] + "\ncaptions = \"keep\"";
  EXPECT_EQ(piece_of_text(joined(lines), "piece.toml").pages[0].captions, Captions::keep);
  lines[18] = kLines[18] + "\ncaptions = \"skp\"";
  try {
    piece_of_text(joined(lines), "piece.toml");
    ADD_FAILURE();
  } catch (const InputError& error) {
    EXPECT_STREQ(error.what(),
                 "piece.toml:20: captions in [[page]] is 'skp' (expected keep or skip); did you "
                 "mean 'skip'?");
  }
}

TEST(PieceFile, UnknownKeysAreRefusedWithTheNearestKnownOne) {
  expect_complaint(36,
                   "heigth = 45",
                   "piece.toml:36: unknown key 'heigth' in [[arrange]] (expected face, style,");
  EXPECT_NE(complaint(36, "heigth = 45").find("; did you mean 'height'?"), std::string::npos);
  expect_complaint(4, "dying = 6", "piece.toml:4: unknown key 'dying' in [clay]");
  expect_complaint(
      2, "glaze_colour = 3", "piece.toml:2: unknown key 'glaze_colour' (expected schema, name,");
  expect_complaint(12, "[tranfer]", "piece.toml:12: unknown key 'tranfer'");
  expect_complaint(
      25, "keep_out = [{ a = [1, 2], z = [2, 3] }]", "piece.toml:25: unknown key 'z' in keep_out");
  expect_complaint(
      23, "width = 372", "piece.toml:23: unknown key 'width' in [[face]] of form cylinder");
}

// A piece file with that face and arrangement, and nothing else that could be wrong.
PieceFile with_face(const std::string& face, const std::string& arrangement = "") {
  return piece_of_text(
      "schema = 1\nname = \"Jar\"\n[[page]]\nfile = \"p.png\"\n"
      "names = [\"kelp\", \"tern\"]\n[[face]]\nname = \"wall\"\n" +
          face + "\n" +
          (arrangement.empty() ? ""
                               : "[[arrange]]\nface = \"wall\"\nmotifs = "
                                 "[\"kelp\", \"tern\"]\n" +
                                     arrangement),
      "piece.toml");
}

std::string complaint_with(const std::string& face, const std::string& arrangement = "") {
  try {
    with_face(face, arrangement);
  } catch (const InputError& error) {
    return error.what();
  }
  return "accepted";
}

TEST(PieceFile, EveryFormIsReadFromWhatAPersonMeasures) {
  const auto form = [](const std::string& text) { return with_face(text).faces.at(0).form; };
  const auto disc =
      std::get<CylinderFace>(form("form = \"cylinder\"\ndiameter = 100\nheight = 80"));
  EXPECT_NEAR(disc.circumference_mm, 314.159265, 1e-6);
  // 60 and 80 mm across, 95 high: a slant of 95.5248659 (by Pythagoras).
  const auto cone = std::get<ConeFace>(
      form("form = \"cone\"\nfoot_diameter = 60\nrim_diameter = 80\nheight = 95"));
  EXPECT_NEAR(cone.slant_mm, 95.5248659, 1e-6);
  const auto wall = std::get<TurnedFace>(
      form("form = \"turned\"\nwall_profile = [[0, 310], [41, 372], [97, 300]]"));
  ASSERT_EQ(wall.readings.size(), 3U);
  EXPECT_TRUE(wall.along_wall);
  EXPECT_FALSE(wall.straight);
  EXPECT_EQ(wall.readings[1].circumference_mm, 372.0);
  const auto rim =
      std::get<RingFace>(form("form = \"ring\"\ninner = 120\nouter = 180\nheight = 40"));
  EXPECT_NEAR(rim.slant_mm, 50.0, 1e-9);
  EXPECT_EQ(std::get<BallFace>(form("form = \"ball\"\ncircumference = 300")).circumference_mm,
            300.0);
  const auto patch = std::get<PatchFace>(form(
      "form = \"patch\"\nacross = 90\nacross_chord = 84\nup = 120\nup_chord = 117\nsaddle = true"));
  EXPECT_TRUE(patch.saddle);
  EXPECT_EQ(with_face("form = \"ball\"\ncircumference = 300").faces[0].tape_mm, 1.0);
}

TEST(PieceFile, ReadingsThatContradictEachOtherAreRefusedWithBothNumbers) {
  const std::pair<std::string, std::vector<std::string>> cases[] = {
      {"form = \"cylinder\"\ncircumference = 314\ndiameter = 110\nheight = 80", {"314", "110"}},
      {"form = \"cone\"\nfoot = 200\nrim = 400\nslant = 20", {"20", "31.8"}},
      {"form = \"cone\"\nfoot = 200\nrim = 240\nheight = 100\nslant = 90", {"90", "100"}},
      {"form = \"patch\"\nacross = 90\nacross_chord = 95\nup = 120\nup_chord = 117", {"95", "90"}},
      {"form = \"ring\"\ninner = 180\nouter = 120", {"180", "120"}},
      {"form = \"turned\"\nwall_profile = [[0, 310], [5, 372]]", {"9.9", "5"}},
      {"form = \"turned\"\nprofile = [[0, 310], [40, 372], [40, 300]]", {"40"}},
      {"form = \"turned\"\nprofile = [[10, 310], [40, 372]]", {"10"}}};
  for (const auto& [face, numbers] : cases) {
    const std::string text = complaint_with(face);
    EXPECT_TRUE(text.starts_with("piece.toml:")) << text;
    for (const std::string& number : numbers) {
      EXPECT_NE(text.find(number), std::string::npos) << text << "\nwanted: " << number;
    }
  }
}

TEST(PieceFile, KeysOfOtherFormsAreRefused) {
  EXPECT_NE(complaint_with("form = \"ball\"\ncircumference = 300\nheight = 20")
                .find("unknown key 'height' in [[face]] of form ball"),
            std::string::npos);
  EXPECT_NE(complaint_with("form = \"cone\"\nfoot = 200\nrim = 240\nslant = 90\nheigth = 3")
                .find("did you mean 'height'?"),
            std::string::npos);
  EXPECT_NE(complaint_with("form = \"bowl\"\nheight = 20").find("form in [[face]] is 'bowl'"),
            std::string::npos);
  EXPECT_NE(complaint_with("form = \"turned\"\nprofile = [[0, 310], [40]]").find("1 numbers"),
            std::string::npos);
  EXPECT_NE(complaint_with("form = \"flat\"\noutline = \"none.svg\"").find("none.svg"),
            std::string::npos);
}

const std::string kRoundWall = "form = \"cylinder\"\ncircumference = 300\nheight = 100";

TEST(PieceFile, ArrangementsAreReadWithTheirOwnKeys) {
  const auto asked = [](const std::string& text) {
    return with_face(kRoundWall, text).arrangements.at(0);
  };
  const Arrangement band = asked("style = \"band\"\nfrieze = \"glide\"\ncount = 8\nturn = 15");
  EXPECT_EQ(band.frieze, Frieze::glide);
  EXPECT_EQ(band.count, 8);
  EXPECT_EQ(band.turn_deg, 15.0);
  const Arrangement drop = asked("style = \"half-drop\"\nheight = [30, 20]\nsame_count = true");
  EXPECT_EQ(drop.style, Style::half_drop);
  EXPECT_EQ(drop.heights_mm, (std::vector<double>{30, 20}));
  EXPECT_TRUE(drop.same_count);
  const Arrangement ring = asked("style = \"ring\"\nradius = 30\ncentre = [180, 50]");
  EXPECT_EQ(ring.centre->along, 50.0);
  const Arrangement scatter = asked(
      "style = \"scatter\"\nturn = \"free\"\nweights = [2, 1]\nsizes = [75, 50]\ncoverage = 30\n"
      "seed = 7\nedge = 3");
  EXPECT_TRUE(scatter.turn_free);
  EXPECT_EQ(scatter.weights, (std::vector<double>{2, 1}));
  EXPECT_EQ(scatter.coverage_percent, 30.0);
  EXPECT_EQ(scatter.edge_mm, 3.0);
  const Arrangement behind = asked("style = \"rows\"\nbehind = true\ncut_gap = 0.2");
  EXPECT_TRUE(behind.behind);
  EXPECT_EQ(behind.cut_gap_mm, 0.2);
}

TEST(PieceFile, KeysOfOtherStylesAreRefusedWithTheStylesThatHaveThem) {
  const std::pair<std::string, std::string> cases[] = {
      {"style = \"scatter\"\nrows = 3",
       "rows in [[arrange]] does not go with style scatter "
       "(expected style rows, brick or half-drop)"},
      {"style = \"band\"\ncoverage = 30", "coverage in [[arrange]] does not go with style band"},
      {"style = \"rows\"\nturn = \"free\"", "turn in [[arrange]] is 'free'"},
      {"style = \"band\"\nmirror = \"both\"\nfrieze = \"glide\"", "does not go with frieze"},
      {"style = \"rows\"\ncut_gap = 0.2", "cut_gap in [[arrange]] goes with behind = true"},
      {"style = \"rows\"\nbehind = true\ncut_gap = 2", "cut_gap in [[arrange]] is 2"},
      {"style = \"rows\"\nheight = [10, 20, 30]", "holds 3 numbers for 2 motifs"},
      {"style = \"ring\"\nradius = 30\ncentre = [180, 500]", "is not a point of the face"},
      {"style = \"toss\"", "style in [[arrange]] is 'toss'"}};
  for (const auto& [arrangement, wanted] : cases) {
    const std::string text = complaint_with(kRoundWall, arrangement);
    EXPECT_NE(text.find(wanted), std::string::npos) << text << "\nwanted: " << wanted;
  }
}

TEST(PieceFile, WrongTypesAndLengthsAreRefusedByLine) {
  expect_complaint(23,
                   "circumference = \"372\"",
                   "piece.toml:23: circumference in [[face]] of form cylinder is text '372' "
                   "(expected 1 to 20000 mm)");
  expect_complaint(
      23,
      "circumference = -372",
      "piece.toml:23: circumference in [[face]] of form cylinder is -372 (expected 1 to 20000 mm)");
  expect_complaint(23, "circumference = 0", "piece.toml:23: ");
  expect_complaint(23,
                   "circumference = nan",
                   "piece.toml:23: circumference in [[face]] of form cylinder is nan");
  expect_complaint(23,
                   "circumference = inf",
                   "piece.toml:23: circumference in [[face]] of form cylinder is inf");
  expect_complaint(23,
                   "circumference = 37200",
                   "piece.toml:23: circumference in [[face]] of form cylinder is 37200");
  expect_complaint(36, "height = nan", "piece.toml:36: height in [[arrange]] is nan");
  expect_complaint(38, "gap = -1", "piece.toml:38: gap in [[arrange]] is -1");
  expect_complaint(38, "gap = true", "piece.toml:38: gap in [[arrange]] is true");
  expect_complaint(
      4, "drying = 60", "piece.toml:4: drying in [clay] is 60 (expected 0 to 30 percent)");
  expect_complaint(11, "margin = 100", "piece.toml:11: margin in [paper] is 100");
  expect_complaint(11, "margin = 3", "piece.toml:11: margin in [paper] is 3 (expected 5 to 25 mm)");
  expect_complaint(10, "size = [210]", "piece.toml:10: size in [paper] holds 1 numbers");
  expect_complaint(10, "size = [210, -297]", "piece.toml:10: size in [paper] is -297");
  expect_complaint(10, "size = \"A9\"", "piece.toml:10: ");
  expect_complaint(13, "method = \"magic\"", "piece.toml:13: ");
  expect_complaint(7,
                   "measured_at = \"bisk\"",
                   "piece.toml:7: measured_at in [clay] is 'bisk' (expected wet, leather-hard, "
                   "dry, bisque or glazed)");
  expect_complaint(34,
                   "motifs = \"thistle\"",
                   "piece.toml:34: motifs in [[arrange]] is text 'thistle' (expected a list");
  expect_complaint(34, "motifs = [1]", "piece.toml:34: motifs in [[arrange]] holds 1");
  expect_complaint(18, "file = \"\"", "piece.toml:18: file in [[page]] is no file name");
  expect_complaint(
      17, "[page]", "piece.toml:17: page is a table (expected a list of tables); write [[page]]");
  expect_complaint(25, "keep_out = [{ a = [10] }]", "piece.toml:25: a in keep_out is [10]");
  expect_complaint(25, "keep_out = [{ s = [80, 20] }]", "piece.toml:25: s in keep_out is [80, 20]");
  expect_complaint(
      25, "keep_out = [{ why = \"handle\" }]", "piece.toml:25: a in keep_out is missing");
}

TEST(PieceFile, NamesThatCannotBeFileNamesAreRefused) {
  for (const char* name : {"a/b", "..", ".hidden", "a..b", "", "tab\\tname", "bell\\u0007"}) {
    const std::string text =
        complaint(19, std::string("names = [\"thistle\", \"sea-pink\", \"") + name + "\"]");
    EXPECT_EQ(text.substr(0, 33), "piece.toml:19: names in [[page]] ") << name << ": " << text;
    EXPECT_NE(text.find("(expected a name that can be a file name)"), std::string::npos) << text;
  }
  const std::string has = complaint(21, "name = \"" + std::string(101, 'x') + "\"");
  EXPECT_NE(has.find("101 bytes long"), std::string::npos) << has;
}

TEST(PieceFile, RepeatedAndUnknownNamesAreRefused) {
  expect_complaint(19,
                   "names = [\"thistle\", \"sea-pink\", \"thistle\"]",
                   "piece.toml:19: two sketches are named 'thistle'");
  expect_complaint(27, "name = \"wall\"", "piece.toml:27: two faces are named 'wall'");
  expect_complaint(32,
                   "face = \"wal\"",
                   "piece.toml:32: face in [[arrange]] is 'wal', and no face is named so (expected "
                   "wall or lid); did you mean 'wall'?");
  expect_complaint(
      34,
      "motifs = [\"thistel\"]",
      "piece.toml:34: motifs in [[arrange]] names 'thistel', and no sketch is named so");
}

TEST(PieceFile, MissingFactsAreNamed) {
  expect_complaint(1, "", "piece.toml:1: schema is missing (expected 1, as the first line)");
  expect_complaint(2, "", "piece.toml:1: name is missing");
  expect_complaint(6, "", "piece.toml:7: the shrinkage of 'glaze' is not known");
  expect_complaint(24, "", "piece.toml:20: height in [[face]] of form cylinder is missing");
  expect_complaint(22,
                   "",
                   "piece.toml:20: form in [[face]] is missing (expected flat, cylinder, cone, "
                   "turned, ring, ball or patch)");
  expect_complaint(34, "", "piece.toml:31: motifs in [[arrange]] is missing");
  EXPECT_EQ(complaint(4, ""), "accepted");  // drying is over when the tape is used
}

TEST(PieceFile, KeysOfRowsGoWithRowsOnly) {
  expect_complaint(
      38, "rows = 3", "piece.toml:38: rows in [[arrange]] does not go with style band");
  expect_complaint(
      33, "style = \"rows\"", "piece.toml:37: at in [[arrange]] does not go with style rows");
}

TEST(PieceFile, ANewerSchemaIsTheReasonGivenWhateverElseIsNew) {
  const std::string text = complaint_about("schema = 2\nname = \"x\"\nfuture = 1\n");
  EXPECT_EQ(text, "piece.toml:1: schema is 2 (expected at most 1); use a newer underdraw");
}

TEST(PieceFile, WhatIsNotTomlIsRefusedInOneLine) {
  expect_complaint(4, "drying 6.0", "piece.toml:4: not readable as TOML");
  EXPECT_EQ(complaint_about("").substr(0, 20), "piece.toml: is empty");
  EXPECT_EQ(complaint_about("  \n \n").substr(0, 20), "piece.toml: is empty");
  EXPECT_EQ(
      complaint_about("schema = 1\nname = \"M\xF6we\"\n"),
      "piece.toml:2: byte 0xf6 is not UTF-8 (expected text in UTF-8); save the file as UTF-8");
  EXPECT_NE(complaint_about(std::string("schema\0 = 1", 11)), "accepted");
  EXPECT_NE(complaint_about("{\"schema\": 1}"), "accepted");
}

TEST(PieceFile, FilesThatCannotBeReadAreNamed) {
  const auto said = [](const std::filesystem::path& path) -> std::string {
    try {
      read_piece_file(path);
    } catch (const InputError& error) {
      return error.what();
    }
    return "accepted";
  };
  EXPECT_NE(said("no such/piece.toml").find("no such/piece.toml: not found"), std::string::npos);
  EXPECT_NE(said(::testing::TempDir()).find("is not a file"), std::string::npos);
  EXPECT_NE(said(written("empty.toml", "")).find("empty.toml: is empty"), std::string::npos);
  EXPECT_EQ(said(written("Krug \"ö\".toml", joined(kLines))), "accepted");
}

TEST(PieceTemplate, ReadsBackAndArranges) {
  for (const std::string& form : form_names()) {
    const std::string text = piece_template(form, "Krug \"Ä\" \\ 1");
    const PieceFile piece = piece_of_text(text, "piece.toml");
    EXPECT_EQ(piece.name, "Krug \"Ä\" \\ 1");
    EXPECT_EQ(name_of(piece.faces.at(0).form), form);
    std::vector<Motif> motifs;
    for (const std::string& name : piece.pages.at(0).names) {
      Linework lines;
      lines.strokes.push_back({Path::polyline({{0, 0}, {30, 0}, {30, 50}}), 0.5});
      motifs.push_back(make_motif(name, lines));
    }
    const auto faces = arrange(piece.faces,
                               piece.arrangements,
                               motifs,
                               piece.clay,
                               {.least_gap_mm = piece.least_gap_mm, .tool = piece.tool})
                           .faces;
    EXPECT_GE(faces.at(0).placements.size(), 2U);
    // The zone in a comment works when the # is taken away.
    std::string with_zone = text;
    with_zone.erase(with_zone.find("# keep_out"), 2);
    EXPECT_EQ(piece_of_text(with_zone, "piece.toml").faces[0].keep_out.size(), 1U) << form;
  }
}

TEST(PieceTemplate, RefusesFormsAndNamesThatWouldNotReadBack) {
  EXPECT_THROW(piece_template("twisted"), OptionError);
  EXPECT_THROW(piece_template("flat", ""), OptionError);
  EXPECT_THROW(piece_template("flat", "a\nb"), OptionError);
}

}  // namespace
}  // namespace underdraw
