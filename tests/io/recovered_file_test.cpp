#include "io/recovered_file.h"

#include <limits>

#include <gtest/gtest.h>

#include "core/error.h"

namespace underdraw {
namespace {

std::string complaint_about(const std::string& text) {
  try {
    recovered_of_text(text, "recovered.json");
  } catch (const InputError& error) {
    return error.what();
  }
  return "accepted";
}

std::string with_stroke(const std::string& stroke) {
  return R"({"schema":1,"faces":[{"name":"wall","strokes":[)" + stroke + "]}]}";
}

TEST(RecoveredFile, ComesBackAsItWasFound) {
  const std::vector<RecoveredFace> faces = {
      {"wall", {{7, 0.75, "", {{359.5, 20}, {360.25, 21.125}}}, {{}, 1.0, "", {{12.5, 3}}}}},
      {"Flügel \"1\"", {{2, 0.0, "after.jpg", {{1034.5, 0}, {1040, 8.25}}}}},
      {"lid", {}}};
  const std::vector<RecoveredFace> back = recovered_of_text(recovered_text(faces), "x.json");
  ASSERT_EQ(back.size(), faces.size());
  for (std::size_t f = 0; f < faces.size(); ++f) {
    EXPECT_EQ(back[f].name, faces[f].name);
    ASSERT_EQ(back[f].strokes.size(), faces[f].strokes.size());
    for (std::size_t i = 0; i < faces[f].strokes.size(); ++i) {
      const RecoveredStroke& a = faces[f].strokes[i];
      const RecoveredStroke& b = back[f].strokes[i];
      EXPECT_EQ(a.placement, b.placement);
      EXPECT_EQ(a.seen, b.seen);
      EXPECT_EQ(a.photo, b.photo);
      ASSERT_EQ(a.points.size(), b.points.size());
      for (std::size_t p = 0; p < a.points.size(); ++p) {
        EXPECT_NEAR(a.points[p].x, b.points[p].x, 1e-5);
        EXPECT_NEAR(a.points[p].y, b.points[p].y, 1e-5);
      }
    }
  }
}

TEST(RecoveredFile, RefusesWhatItCannotTrust) {
  EXPECT_EQ(complaint_about(with_stroke(R"({"placement":null,"seen":1,"points":[[1,2]]})")),
            "accepted");
  const auto says = [](const std::string& text, const std::string& part) {
    const std::string said = complaint_about(text);
    EXPECT_NE(said.find(part), std::string::npos) << said;
  };
  says("{\"schema\":1,", "recovered.json");
  says(R"({"schema":2,"faces":[]})", "schema");
  says(R"({"faces":[]})", "schema");
  says(R"({"schema":1})", "faces");
  says(R"({"schema":1,"faces":[{"name":"a","strokes":[]},{"name":"a","strokes":[]}]})",
       "another has too");
  says(with_stroke(R"({"seen":1,"points":[[1,2]]})"), "strokes[0].placement");
  says(with_stroke(R"({"placement":0,"seen":1,"points":[[1,2]]})"), "strokes[0].placement");
  says(with_stroke(R"({"placement":3,"seen":1.2,"points":[[1,2]]})"), "strokes[0].seen");
  says(with_stroke(R"({"placement":3,"seen":1,"points":[]})"), "at least one point");
  says(with_stroke(R"({"placement":3,"seen":1,"points":[[1]]})"), "points[0]");
  says(with_stroke(R"({"placement":3,"seen":1,"photo":"a.jpg","points":[[1,2]]})"), "points_px");
}

TEST(RecoveredFile, WritesNoNumberThatIsNone) {
  const double nan = std::numeric_limits<double>::quiet_NaN();
  EXPECT_THROW(recovered_text({{"wall", {{{}, nan, "", {{1, 2}}}}}}), OutputError);
  EXPECT_THROW(recovered_text({{"wall", {{{}, 1.0, "", {{1, nan}}}}}}), OutputError);
}

TEST(RunOnThroughSeam, KeepsOneStrokeAsOne) {
  const std::vector<Vec2> right = run_on_through_seam({{-2, 5}, {359, 6}, {1, 7}, {3, 8}});
  const std::vector<double> expected = {358, 359, 361, 363};
  for (std::size_t i = 0; i < expected.size(); ++i) EXPECT_NEAR(right[i].x, expected[i], 1e-9);
  EXPECT_EQ(right[3].y, 8);
  EXPECT_NEAR(run_on_through_seam({{1, 0}, {358, 0}})[1].x, -2.0, 1e-9);
  EXPECT_EQ(run_on_through_seam({{-1e-15, 0}})[0].x, 0.0);
  EXPECT_TRUE(run_on_through_seam({}).empty());
}

}  // namespace
}  // namespace underdraw
