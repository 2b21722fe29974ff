// What is drawn solid becomes a filled outline, and a brush line, however thick, stays a line.
#include <gtest/gtest.h>

#include "support/pencil_page.h"
#include "trace/trace_page.h"

namespace underdraw {
namespace {

using test::draw_pencil_page;
using test::PencilOptions;
using test::PencilPage;

// The cases, once in ink on white and once in pencil on paper.
PencilOptions on_white() {
  PencilOptions options = PencilOptions::clean();
  options.page_width_mm = 60;
  options.page_height_mm = 50;
  return options;
}

PencilOptions in_pencil(double dpi = 300.0) {
  PencilOptions options;
  options.dpi = dpi;
  options.page_width_mm = 60;
  options.page_height_mm = 50;
  options.folds = options.smudges = 0;
  options.specks = 4;
  options.wobble_mm = 0.03;
  return options;
}

struct Look {
  std::string name;
  PencilOptions options;
};

void PrintTo(const Look& look, std::ostream* out) { *out << look.name; }

Linework traced_from(const PencilPage& drawn) {
  Page page;
  page.grey = drawn.grey;
  page.px_per_mm_x = page.px_per_mm_y = drawn.px_per_mm;
  page.file = "areas";
  Linework all;
  for (const TracedSketch& sketch : trace_page(page).sketches) all.append(sketch.lines);
  return all;
}

class DrawnAreas : public ::testing::TestWithParam<Look> {
 protected:
  Linework traced(const Linework& lines) {
    page_ = draw_pencil_page(lines, GetParam().options);
    return traced_from(page_);
  }
  const Linework& truth() const { return page_.truth; }

 private:
  PencilPage page_;
};

std::vector<Vec2> arc(Vec2 centre, double rx, double ry, int count = 96) {
  std::vector<Vec2> points;
  for (int i = 0; i < count; ++i) {
    const double angle = 2.0 * std::numbers::pi * i / count;
    points.push_back(centre + Vec2{rx * std::cos(angle), ry * std::sin(angle)});
  }
  return points;
}

// Pointed at both ends, `half` wide at its middle, along x.
std::vector<Vec2> leaf(Vec2 from, double length, double half, double grown = 0.0) {
  std::vector<Vec2> points;
  for (int i = 0; i <= 60; ++i) {
    const double t = i / 60.0;
    points.push_back(from + Vec2{length * t, -(half + grown) * std::sin(std::numbers::pi * t)});
  }
  for (int i = 59; i > 0; --i) {
    const double t = i / 60.0;
    points.push_back(from + Vec2{length * t, (half + grown) * std::sin(std::numbers::pi * t)});
  }
  return points;
}

Area solid(const std::vector<std::vector<Vec2>>& rings) {
  Area area;
  for (const auto& ring : rings) area.rings.push_back(Path::polyline(ring, true));
  return area;
}

double size_mm2(const Area& area) {
  double size = 0.0;
  for (std::size_t i = 0; i < area.rings.size(); ++i) {
    const double ring = std::abs(signed_area(flatten(area.rings[i], 0.005)));
    size += i == 0 ? ring : -ring;
  }
  return size;
}

double to_line(const std::vector<Vec2>& line, Vec2 p) {
  double nearest = 1e9;
  for (std::size_t i = 0; i + 1 < line.size(); ++i) {
    const Vec2 d = line[i + 1] - line[i];
    const double t = std::clamp(dot(p - line[i], d) / std::max(dot(d, d), 1e-18), 0.0, 1.0);
    nearest = std::min(nearest, distance(p, mix(line[i], line[i + 1], t)));
  }
  return nearest;
}

// Root mean square and largest distance of the ring's points from the other ring.
struct Off {
  double rms = 0.0, worst = 0.0;
};
Off off(const Path& ring, const Path& truth) {
  const std::vector<Vec2> line = flatten(truth, 0.003);
  const std::vector<Vec2> points = sample(ring, 0.1);
  Off out;
  for (const Vec2 p : points) {
    const double d = to_line(line, p);
    out.rms += d * d / static_cast<double>(points.size());
    out.worst = std::max(out.worst, d);
  }
  out.rms = std::sqrt(out.rms);
  return out;
}

double length_of_lines(const Linework& lines) {
  double sum = 0.0;
  for (const Stroke& stroke : lines.strokes) sum += stroke.path.length();
  return sum;
}

void expect_one_area(const Linework& found, const Area& truth, std::size_t rings = 1) {
  ASSERT_EQ(found.areas.size(), 1U);
  ASSERT_EQ(found.areas[0].rings.size(), rings);
  EXPECT_NEAR(size_mm2(found.areas[0]), size_mm2(truth), 0.03 * size_mm2(truth));
  for (std::size_t i = 0; i < rings; ++i) {
    const Off o = off(found.areas[0].rings[i], truth.rings[i]);
    EXPECT_LT(o.rms, 0.05) << "ring " << i;
    EXPECT_LT(o.worst, 0.25) << "ring " << i;
  }
}

TEST_P(DrawnAreas, ALeafIsOneOutlineWithItsTips) {
  Linework lines;
  lines.areas.push_back(solid({leaf({15, 25}, 26, 4.5)}));
  const Linework found = traced(lines);
  expect_one_area(found, truth().areas[0]);
  EXPECT_LT(length_of_lines(found), 0.6);
  const Box box = found.areas[0].rings[0].box();
  EXPECT_NEAR(box.min.x, truth().areas[0].rings[0].box().min.x, 0.5);
  EXPECT_NEAR(box.max.x, truth().areas[0].rings[0].box().max.x, 0.5);
}

TEST_P(DrawnAreas, ADiscOfThreeMillimetresIsOneOutlineOfFewPieces) {
  Linework lines;
  lines.areas.push_back(solid({arc({20, 20}, 1.5, 1.5)}));
  lines.areas.push_back(solid({arc({32, 20}, 1.5, 1.5)}));
  lines.strokes.push_back({Path::polyline({{15, 28}, {38, 28}}), 0.4, {}});
  const Linework found = traced(lines);
  ASSERT_EQ(found.areas.size(), 2U);
  for (const Area& area : found.areas) {
    EXPECT_NEAR(size_mm2(area), std::numbers::pi * 2.25, 0.25);
    EXPECT_LE(area.rings[0].piece_count(), 8U);
  }
  EXPECT_NEAR(length_of_lines(found), 23.0, 0.8);
}

TEST_P(DrawnAreas, AHoleIsARingOfTheArea) {
  Linework lines;
  lines.areas.push_back(solid({arc({30, 25}, 9, 7), arc({31, 25}, 2.5, 2)}));
  const Linework found = traced(lines);
  expect_one_area(found, truth().areas[0], 2);
  EXPECT_LT(length_of_lines(found), 0.6);
}

TEST_P(DrawnAreas, AnOutlineBesideAnAreaStaysALine) {
  Linework lines;
  lines.areas.push_back(solid({leaf({17, 25}, 22, 4.0)}));
  lines.strokes.push_back({Path::polyline(leaf({12, 25}, 32, 6.0), true), 0.4, {}});
  const Linework found = traced(lines);
  expect_one_area(found, truth().areas[0]);
  EXPECT_NEAR(length_of_lines(found), truth().strokes[0].path.length(), 1.5);
}

TEST_P(DrawnAreas, AnOutlineRoundAFillingIsPartOfIt) {
  Linework lines;
  lines.areas.push_back(solid({leaf({15, 25}, 26, 4.5)}));
  lines.strokes.push_back({Path::polyline(leaf({15, 25}, 26, 4.5), true), 0.5, {}});
  const Linework found = traced(lines);
  ASSERT_EQ(found.areas.size(), 1U);
  EXPECT_LT(length_of_lines(found), 3.0);
  const double with_line = size_mm2(truth().areas[0]) + 0.25 * truth().strokes[0].path.length();
  EXPECT_NEAR(size_mm2(found.areas[0]), with_line, 0.04 * with_line);
}

// A line of that width, no area, off the middle by little.
void expect_one_line(const Linework& found, const Stroke& truth) {
  EXPECT_TRUE(found.areas.empty());
  ASSERT_FALSE(found.strokes.empty());
  const Stroke* longest = &found.strokes.front();
  for (const Stroke& s : found.strokes) {
    if (s.path.length() > longest->path.length()) longest = &s;
  }
  EXPECT_NEAR(longest->path.length(), truth.path.length(), 0.06 * truth.path.length());
  EXPECT_LT(length_of_lines(found) - longest->path.length(), 0.8);
  EXPECT_NEAR(longest->width_mm, truth.width_mm, 0.12 * truth.width_mm);
  const Off o = off(longest->path, truth.path);
  EXPECT_LT(o.rms, 0.06 * truth.width_mm);
  EXPECT_LT(o.worst, 0.3 * truth.width_mm);
}

TEST_P(DrawnAreas, AStraightBrushLineStaysALine) {
  for (const double width : {1.5, 2.0, 2.5}) {
    SCOPED_TRACE(width);
    Linework lines;
    lines.strokes.push_back({Path::polyline({{14, 18}, {46, 30}}), width, {}});
    const Linework found = traced(lines);
    expect_one_line(found, truth().strokes[0]);
  }
}

TEST_P(DrawnAreas, ABentBrushLineStaysALine) {
  for (const double width : {1.5, 2.5}) {
    SCOPED_TRACE(width);
    Path path;
    path.points = {{12, 32}, {24, 2}, {36, 48}, {48, 18}};
    Linework lines;
    lines.strokes.push_back({path, width, {}});
    const Linework found = traced(lines);
    expect_one_line(found, truth().strokes[0]);
  }
}

TEST_P(DrawnAreas, ATaperingBrushLineStaysALine) {
  // Drawn as its silhouette, 0.6 mm wide at the left and 2 mm at the right.
  std::vector<Vec2> silhouette;
  const Vec2 left{12, 20}, right{46, 26};
  const Vec2 along = normalized(right - left);
  for (int i = 0; i <= 24; ++i) {
    const double a = std::numbers::pi * (0.5 + i / 24.0);
    silhouette.push_back(left + (along * std::cos(a) + perpendicular(along) * std::sin(a)) * 0.3);
  }
  for (int i = 0; i <= 24; ++i) {
    const double a = std::numbers::pi * (-0.5 + i / 24.0);
    silhouette.push_back(right + (along * std::cos(a) + perpendicular(along) * std::sin(a)) * 1.0);
  }
  Linework lines;
  lines.areas.push_back(solid({silhouette}));
  const Linework found = traced(lines);
  const Stroke truth{Path::polyline({left, right}), 1.3, {}};
  expect_one_line(found, truth);
}

TEST_P(DrawnAreas, HatchingStaysLines) {
  Linework lines;
  for (int i = 0; i < 14; ++i) {
    const double x = 20.0 + 0.5 * i / std::cos(0.35);
    lines.strokes.push_back({Path::polyline({{x, 18}, {x + 9 * std::tan(0.35), 27}}), 0.25, {}});
  }
  lines.strokes.push_back({Path::polyline({{14, 34}, {46, 34}}), 0.4, {}});
  const Linework found = traced(lines);
  EXPECT_TRUE(found.areas.empty());
  double length = 0.0;
  for (const Stroke& s : truth().strokes) length += s.path.length();
  EXPECT_NEAR(length_of_lines(found), length, 0.08 * length);
}

TEST_P(DrawnAreas, ABlotAtTheEndOfALineAndTheLineAreBothThere) {
  // A berry of 4 mm on its stalk.
  Linework lines;
  lines.areas.push_back(solid({arc({40, 25}, 2, 2)}));
  lines.strokes.push_back({Path::polyline({{14, 25}, {39, 25}}), 0.45, {}});
  const Linework found = traced(lines);
  ASSERT_EQ(found.areas.size(), 1U);
  EXPECT_NEAR(size_mm2(found.areas[0]), 4.0 * std::numbers::pi, 0.6);
  EXPECT_NEAR(length_of_lines(found), 24.0, 0.8);
}

TEST_P(DrawnAreas, AnUnevenFillingIsOneOutline) {
  // Shaded to and fro with a broad lead: edges of the strokes show, and the paper's tooth.
  Linework lines;
  std::vector<Vec2> zigzag;
  for (int i = 0; i <= 26; ++i) {
    const double t = i / 26.0;
    const double half = 1.5 + 4.0 * std::sin(std::numbers::pi * t);
    zigzag.push_back({18.0 + 13.0 * t, 25.0 + (i % 2 == 0 ? -half : half)});
  }
  lines.strokes.push_back({Path::polyline(zigzag), 1.1, {}});
  const Linework found = traced(lines);
  ASSERT_EQ(found.areas.size(), 1U);
  EXPECT_GT(size_mm2(found.areas[0]), 75.0);  // 106 mm² with the lines' outer edges
  EXPECT_LT(length_of_lines(found), 0.1 * truth().strokes[0].path.length());
}

TEST(InkedAreas, ABrushLineThatThinLinesCrossStaysOneLine) {
  Linework lines;
  lines.strokes.push_back({Path::polyline({{10, 22}, {50, 28}}), 2.0, {}});
  for (const double x : {20.0, 30.0, 40.0}) {
    lines.strokes.push_back({Path::polyline({{x - 3, 12}, {x + 3, 38}}), 0.4, {}});
  }
  const PencilPage page = draw_pencil_page(lines, on_white());
  const Linework found = traced_from(page);
  EXPECT_TRUE(found.areas.empty());
  const Stroke* brush = nullptr;
  for (const Stroke& s : found.strokes) {
    if (brush == nullptr || s.width_mm > brush->width_mm) brush = &s;
  }
  ASSERT_NE(brush, nullptr);
  EXPECT_NEAR(brush->path.length(), page.truth.strokes[0].path.length(), 2.0);
  EXPECT_NEAR(brush->width_mm, page.truth.strokes[0].width_mm, 0.25);
  double length = 0.0;
  for (const Stroke& s : page.truth.strokes) length += s.path.length();
  EXPECT_NEAR(length_of_lines(found), length, 0.06 * length);
}

INSTANTIATE_TEST_SUITE_P(Looks,
                         DrawnAreas,
                         ::testing::Values(Look{"InkOnWhite", on_white()},
                                           Look{"Pencil300", in_pencil()},
                                           Look{"Pencil600", in_pencil(600.0)}),
                         [](const auto& look) { return look.param.name; });

}  // namespace
}  // namespace underdraw
