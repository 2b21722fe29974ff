#include "io/placements_file.h"

#include <fstream>

#include <gtest/gtest.h>
#include <nlohmann/json.hpp>

#include "core/error.h"

namespace underdraw {
namespace {

using Json = nlohmann::json;

std::vector<PlacedFace> harbour_jar() {
  Linework kelp;
  kelp.strokes.push_back({Path::polyline({{0, 0}, {17, 3}, {5, 40}}), 0.5});
  Linework tern;
  tern.strokes.push_back({Path::polyline({{0, 0}, {31, 12}}), 0.5});
  std::vector<Face> faces = {{"wall", CylinderFace{333.33, 120}, {{170, 190, 0, 120, "handle"}}},
                             {"Deckel \"1\" ö", FlatFace{150, 90.5}, {}}};
  Arrangement wall;
  wall.face = "wall";
  wall.motifs = {"kelp", "tern"};
  wall.mirror = Mirroring::alternate;
  wall.heights_mm = {8};
  Arrangement lid = wall;
  lid.face = faces[1].name;
  lid.style = Style::centre;
  lid.mirror = Mirroring::none;
  return arrange(faces,
                 {wall, lid},
                 {make_motif("kelp", kelp), make_motif("tern", tern)},
                 {{6.0, 1.0, 5.5}, ClayStage::dry, ClayStage::bisque})
      .faces;
}

std::string complaint_about(const std::string& text) {
  try {
    placements_of_text(text, "placements.json");
  } catch (const InputError& error) {
    return error.what();
  }
  return "accepted";
}

TEST(PlacementsFile, ComesBackAsItWasPlaced) {
  const std::vector<PlacedFace> faces = harbour_jar();
  const std::vector<PlacedFace> back =
      placements_of_text(placements_text(faces), "placements.json");
  ASSERT_EQ(back.size(), faces.size());
  for (std::size_t f = 0; f < faces.size(); ++f) {
    EXPECT_EQ(back[f].face.name, faces[f].face.name);
    EXPECT_EQ(name_of(back[f].face.form), name_of(faces[f].face.form));
    EXPECT_EQ(back[f].surface.round(), faces[f].surface.round());
    EXPECT_NEAR(back[f].surface.widest_mm(), faces[f].surface.widest_mm(), 1e-9);
    ASSERT_EQ(back[f].placements.size(), faces[f].placements.size());
    ASSERT_FALSE(faces[f].placements.empty());
    for (std::size_t i = 0; i < faces[f].placements.size(); ++i) {
      const Placement& a = faces[f].placements[i];
      const Placement& b = back[f].placements[i];
      EXPECT_EQ(a.id, b.id);
      EXPECT_EQ(a.variant, b.variant);
      EXPECT_EQ(a.motif, b.motif);
      EXPECT_EQ(a.change.mirrored, b.change.mirrored);
      EXPECT_NEAR(a.change.scale, b.change.scale, 1e-9);
      // Placements are made on the file's steps, so nothing moves.
      EXPECT_NEAR(a.at.across, b.at.across, 1e-9);
      EXPECT_NEAR(a.at.along, b.at.along, 1e-9);
    }
    ASSERT_EQ(back[f].reports.size(), 1U);
    EXPECT_EQ(back[f].reports[0].copies, faces[f].reports[0].copies);
    EXPECT_EQ(back[f].reports[0].warnings, faces[f].reports[0].warnings);
    EXPECT_EQ(back[f].reports[0].notes, faces[f].reports[0].notes);
    EXPECT_NEAR(back[f].reports[0].gap_mm, faces[f].reports[0].gap_mm, 5.1e-5);
    EXPECT_NEAR(back[f].coverage, faces[f].coverage, 5.1e-7);
  }
  EXPECT_EQ(placements_text(back), placements_text(faces));
}

TEST(PlacementsFile, HasTheKeysAndFramesThatItPromises) {
  const Json root = Json::parse(placements_text(harbour_jar()));
  EXPECT_EQ(root.at("schema"), 1);
  const Json& wall = root.at("faces").at(0);
  EXPECT_EQ(wall.at("name"), "wall");
  EXPECT_EQ(wall.at("form"), "cylinder");
  EXPECT_NEAR(wall.at("template").at("width_mm").get<double>(), 333.33 * 0.99, 5.1e-5);
  for (const Json& p : wall.at("placements")) {
    EXPECT_EQ(p.size(), 10U);
    EXPECT_GE(p.at("centre").at("a_deg").get<double>(), 0.0);
    EXPECT_LT(p.at("centre").at("a_deg").get<double>(), 360.0);
    EXPECT_NEAR(p.at("centre").at("s_mm").get<double>(), 60 * 0.99, 1e-4);
  }
  EXPECT_TRUE(root.at("faces").at(1).at("placements").at(0).at("centre").contains("x_mm"));
  EXPECT_TRUE(wall.at("report").contains("arrangements"));
}

TEST(PlacementsFile, TheSeamStillClosesInWhatIsWritten) {
  const Json wall = Json::parse(placements_text(harbour_jar())).at("faces").at(0);
  // Units repeat every 360 / n degrees: each copy against the one a unit earlier, over the seam
  // too.
  const double n = wall.at("report").at("arrangements").at(0).at("repeats").get<double>();
  const double around = wall.at("template").at("width_mm").get<double>();
  ASSERT_GE(n, 2.0);
  std::size_t compared = 0;
  for (const Json& p : wall.at("placements")) {
    for (const Json& q : wall.at("placements")) {
      if (p.at("variant") != q.at("variant")) continue;
      const double apart =
          q.at("centre").at("a_deg").get<double>() - p.at("centre").at("a_deg").get<double>();
      const double units = apart / (360.0 / n);
      EXPECT_LT(std::abs(units - std::round(units)) / n * around, 0.1);
      EXPECT_LT(std::abs(units - std::round(units)) / n * around, 1e-4);
      if (p != q) ++compared;
    }
  }
  EXPECT_GT(compared, 4U);
}

TEST(PlacementsFile, DamageIsRefusedAndNamed) {
  const Json whole = Json::parse(placements_text(harbour_jar()));
  const auto spoiled = [&](const std::string& where, const Json& value) {
    Json copy = whole;
    copy[Json::json_pointer(where)] = value;
    return complaint_about(copy.dump());
  };
  const std::string at = "/faces/0/placements/2";
  const std::pair<std::string, std::string> cases[] = {
      {spoiled("/schema", 2), "schema is 2 (expected at most 1); use a newer underdraw"},
      {spoiled("/schema", "1"), "schema is of the kind string"},
      {spoiled("/faces", 3), "faces is of the kind number (expected a list)"},
      {spoiled("/faces/0/form", "twisted"), "faces[0].form is 'twisted'"},
      {spoiled("/faces/0/measured/height_mm", -3), "faces[0].measured.height_mm is -3"},
      {spoiled("/faces/0/measured/height_mm", 0.2), "faces[0].measured face 'wall' has a height"},
      {spoiled("/faces/1/name", "wall"), "faces[1].name is 'wall', which another has too"},
      {spoiled(at, nullptr), "faces[0].placements[2] is nothing"},
      {spoiled(at + "/id", 1), "faces[0].placements[2].id is 1, which another has too"},
      {spoiled(at + "/id", 1.5), "faces[0].placements[2].id is 1.5 (expected a whole number)"},
      {spoiled(at + "/scale", 0), "faces[0].placements[2].scale is 0"},
      {spoiled(at + "/mirrored", "no"), "faces[0].placements[2].mirrored is of the kind string"},
      {spoiled(at + "/motif", ""), "faces[0].placements[2].motif is empty"},
      {spoiled(at + "/centre", {{"x_mm", 3}, {"y_mm", 4}}), "centre.a_deg is missing"},
      {spoiled(at + "/centre/s_mm", 1e9), "centre.s_mm is 1000000000"},
      {complaint_about(whole.dump(1).substr(0, 900)), "is damaged: not readable as JSON"},
      {complaint_about("{}"), "schema is missing"},
      {complaint_about("[]"), "the whole is of the kind array"},
      {complaint_about("{\"schema\":1,\"faces\":[{\"name\":\"w\",\"form\":\"flat\",\"template\":"
                       "{\"width_mm\":1e999,\"height_mm\":3}}]}"),
       "is damaged"},
  };
  for (const auto& [found, wanted] : cases) {
    EXPECT_NE(found.find(wanted), std::string::npos) << found << "\nwanted: " << wanted;
    EXPECT_TRUE(found.starts_with("placements.json"));
  }
}

TEST(PlacementsFile, DeepNestingDoesNoHarm) {
  EXPECT_NE(complaint_about(std::string(200000, '[')), "accepted");
  EXPECT_NE(complaint_about(std::string(200000, '[') + std::string(200000, ']')), "accepted");
}

TEST(PlacementsFile, NumbersThatAreNoneAreNotWritten) {
  std::vector<PlacedFace> faces = harbour_jar();
  faces[0].placements[0].at.across = std::nan("");
  EXPECT_THROW(placements_text(faces), OutputError);
}

TEST(PlacementsFile, AMissingFileIsNamed) {
  try {
    read_placements("no such/placements.json");
    FAIL();
  } catch (const InputError& error) {
    EXPECT_EQ(std::string(error.what()).substr(0, 34), "no such/placements.json: not found");
  }
}

}  // namespace
}  // namespace underdraw
