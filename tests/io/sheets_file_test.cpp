#include "io/sheets_file.h"

#include <gtest/gtest.h>
#include <nlohmann/json.hpp>

#include "core/error.h"
#include "sheet/lay_out_sheets.h"
#include "sheet/proof.h"
#include "sheet/sheet_samples.h"

namespace underdraw {
namespace {

SheetPlan sample_plan() {
  std::vector<Motif> motifs = sample_motifs();
  motifs[0].name = "kelp \"brown\" ü";
  return lay_out_sheets("Jar", {jar_wall(motifs, 8)}, motifs, {});
}

TEST(SheetsFile, WhatIsWrittenComesBackExactly) {
  const SheetPlan plan = sample_plan();
  const std::string text = sheets_text(plan);
  const SheetPlan back = sheets_of_text(text, "sheets.json");
  EXPECT_EQ(sheets_text(back), text);
  ASSERT_EQ(back.sheets.size(), plan.sheets.size());
  const CutOut& a = plan.sheets[0].cut_outs[0];
  const CutOut& b = back.sheets[0].cut_outs[0];
  EXPECT_EQ(a.sheet_from_motif.tx, b.sheet_from_motif.tx);
  EXPECT_EQ(a.cut_line.points, b.cut_line.points);
  EXPECT_EQ(plan.motifs[0].lines.strokes[0].path.points,
            back.motifs[0].lines.strokes[0].path.points);
  EXPECT_TRUE(check_plan(back).empty());
}

TEST(SheetsFile, PartsComeBackExactly) {
  const std::vector<Motif> motifs = sample_motifs();
  PlacedFace wall = jar_wall(motifs, 1);
  wall.placements[0].change.scale = 300.0 / motifs[0].height_mm;
  const SheetPlan plan = lay_out_sheets("Jar", {wall}, motifs, {});
  const SheetPlan back = sheets_of_text(sheets_text(plan), "sheets.json");
  EXPECT_EQ(sheets_text(back), sheets_text(plan));
  EXPECT_TRUE(check_plan(back).empty());
  const auto& part = plan.sheets[0].cut_outs[0].part;
  ASSERT_TRUE(part);
  EXPECT_EQ(back.sheets[0].cut_outs[0].part->crosses, part->crosses);
  nlohmann::json damaged = nlohmann::json::parse(sheets_text(plan));
  damaged["sheets"][0]["cut_outs"][0]["part"]["number"] = 99;
  EXPECT_THROW(sheets_of_text(damaged.dump(), "sheets.json"), InputError);
}

std::string complaint_of(const nlohmann::json& json) {
  try {
    sheets_of_text(json.dump(), "sheets.json");
  } catch (const InputError& e) {
    return e.what();
  }
  return "accepted";
}

TEST(SheetsFile, DamageIsRefusedByNameAndPlace) {
  const nlohmann::json whole = nlohmann::json::parse(sheets_text(sample_plan()));
  const auto damaged = [&](const std::string& pointer, const nlohmann::json& value) {
    nlohmann::json json = whole;
    json[nlohmann::json::json_pointer(pointer)] = value;
    return complaint_of(json);
  };
  EXPECT_EQ(complaint_of(whole), "accepted");
  EXPECT_NE(damaged("/schema", 99).find("use a newer underdraw"), std::string::npos);
  EXPECT_NE(damaged("/sheets/0/cut_outs/0/placement", "x").find("sheets[0].cut_outs[0].placement"),
            std::string::npos);
  EXPECT_NE(damaged("/sheets/0/cut_outs/0/sheet_from_motif", {0, 0, 0, 0, 0, 0}).find("undone"),
            std::string::npos);
  EXPECT_NE(damaged("/sheets/0/cut_outs/0/motif", "eel").find("eel"), std::string::npos);
  EXPECT_NE(damaged("/motifs/0/strokes/0/points", {1, 2, 3}).find("3 n + 1"), std::string::npos);
  EXPECT_NE(damaged("/margin_mm", 500).find("margin_mm is 500"), std::string::npos);
  EXPECT_NE(damaged("/transfer", "ironing").find("ironing"), std::string::npos);
  EXPECT_NE(damaged("/paper/width_mm", nullptr).find("is nothing (expected a number)"),
            std::string::npos);
  EXPECT_NE(damaged("/sheets", nlohmann::json::array()).find("empty"), std::string::npos);
}

TEST(SheetsFile, EveryTruncationIsRefused) {
  const std::string text = sheets_text(sample_plan());
  for (std::size_t length = 0; length + 2 < text.size(); length += 997) {
    EXPECT_THROW(sheets_of_text(std::string_view(text).substr(0, length), "s"), InputError);
  }
}

TEST(SheetsFile, ALackingKeyIsNamed) {
  const nlohmann::json whole = nlohmann::json::parse(sheets_text(sample_plan()));
  for (const auto& [key, value] : whole.items()) {
    if (key == "printed_mirrored") continue;  // for people; it follows from the method
    nlohmann::json json = whole;
    json.erase(key);
    EXPECT_NE(complaint_of(json).find(key + " is missing"), std::string::npos) << key;
  }
}

}  // namespace
}  // namespace underdraw
