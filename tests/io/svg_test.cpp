#include "io/svg.h"

#include <clocale>
#include <fstream>
#include <limits>
#include <random>

#include <gtest/gtest.h>

#include "core/error.h"

namespace underdraw {
namespace {

std::filesystem::path written(const std::string& name, const std::string& text) {
  const std::filesystem::path path = std::filesystem::path(::testing::TempDir()) / name;
  std::ofstream(path, std::ios::binary) << text;
  return path;
}

// A drawing of every kind of line, at places that do not fall on the file's decimals.
Motif wobbly_motif(unsigned seed) {
  std::mt19937 random(seed);
  std::uniform_real_distribution<double> place(0.0, 80.0);
  std::uniform_real_distribution<double> width(0.2, 1.2);
  const auto point = [&] { return Vec2{place(random), place(random)}; };
  Linework lines;
  for (int i = 0; i < 12; ++i) {
    Path path;
    path.points = {point()};
    for (int k = 0; k < 3; ++k) path.append({path.points.back(), point(), point(), point()});
    if (i % 3 == 0) {
      path.append({path.points.back(), point(), point(), path.points.front()});
      path.closed = true;
    }
    lines.strokes.push_back({path, width(random)});
    if (i % 2 == 0) lines.strokes.back().widths_mm = {0.2, width(random), 1.2};
  }
  lines.strokes.push_back({Path::polyline({point(), point(), point()}), 0.5});
  lines.strokes.push_back({Path{{point()}, false}, 0.7});
  lines.areas.push_back({{Path::polyline({point(), point(), point()}, true),
                          Path::polyline({point(), point(), point()}, true)}});
  return make_motif("wobbly", lines);
}

// Largest difference of a coordinate; infinite when the structure differs.
double largest_shift(const Path& a, const Path& b) {
  if (a.points.size() != b.points.size() || a.closed != b.closed) {
    return std::numeric_limits<double>::infinity();
  }
  double most = 0.0;
  for (std::size_t i = 0; i < a.points.size(); ++i) {
    most = std::max(
        {most, std::abs(a.points[i].x - b.points[i].x), std::abs(a.points[i].y - b.points[i].y)});
  }
  return most;
}

SvgPage page_of(const std::string& body, const std::string& size = "width='100mm' height='100mm'") {
  return svg_page_of_text("<svg xmlns='http://www.w3.org/2000/svg' " + size +
                              " viewBox='0 0 100 100' fill='none' stroke='#000'>" + body + "</svg>",
                          "test.svg");
}

Stroke only_stroke(const SvgPage& page) {
  EXPECT_EQ(page.groups.size(), 1U);
  EXPECT_EQ(page.groups.front().lines.strokes.size(), 1U);
  return page.groups.front().lines.strokes.front();
}

void expect_point(Vec2 found, Vec2 wanted, double tolerance = 1e-9) {
  EXPECT_NEAR(found.x, wanted.x, tolerance);
  EXPECT_NEAR(found.y, wanted.y, tolerance);
}

std::string complaint_about(const std::string& text) {
  try {
    svg_page_of_text(text, "bad.svg");
  } catch (const InputError& error) {
    return error.what();
  }
  return "accepted";
}

TEST(Svg, AMotifComesBackWithinItsDecimals) {
  for (unsigned seed = 1; seed <= 20; ++seed) {
    const Motif motif = wobbly_motif(seed);
    const Motif back = read_motif_svg(written("Küstendistel \"1\".svg", svg_of_motif(motif)));
    EXPECT_EQ(back.name, "Küstendistel \"1\"");
    EXPECT_NEAR(back.width_mm, motif.width_mm, 0.0006);
    EXPECT_NEAR(back.height_mm, motif.height_mm, 0.0006);
    ASSERT_EQ(back.lines.strokes.size(), motif.lines.strokes.size());
    ASSERT_EQ(back.lines.areas.size(), motif.lines.areas.size());
    for (std::size_t i = 0; i < motif.lines.strokes.size(); ++i) {
      const Stroke& a = motif.lines.strokes[i];
      const Stroke& b = back.lines.strokes[i];
      EXPECT_LE(largest_shift(a.path, b.path), 0.0006) << "seed " << seed << " stroke " << i;
      EXPECT_NEAR(a.width_mm, b.width_mm, 0.0006);
      ASSERT_EQ(a.widths_mm.size(), b.widths_mm.size()) << "seed " << seed << " stroke " << i;
      for (std::size_t w = 0; w < a.widths_mm.size(); ++w) {
        EXPECT_NEAR(a.widths_mm[w], b.widths_mm[w], 0.0006);
      }
    }
    for (std::size_t r = 0; r < 2; ++r) {
      EXPECT_LE(largest_shift(motif.lines.areas[0].rings[r], back.lines.areas[0].rings[r]), 0.0006);
    }
  }
}

TEST(Svg, WritingWhatWasReadChangesNothing) {
  const std::string once = svg_of_motif(wobbly_motif(7));
  EXPECT_EQ(svg_of_motif(read_motif_svg(written("wobbly.svg", once))), once);
}

TEST(Svg, NumbersHaveAPointInAnyLocaleAndNoIdleZeros) {
  const char* before = std::setlocale(LC_ALL, "de_DE.UTF-8");  // not on every machine
  Linework lines;
  lines.strokes.push_back({Path::polyline({{0.25, 0.25}, {10.5, 20.125}}), 0.5});
  const std::string text = svg_of_motif(make_motif("line", lines));
  std::setlocale(LC_ALL, "C");
  EXPECT_PRED_FORMAT2(
      ::testing::IsSubstring, "stroke-width=\"0.5\" d=\"M0.25 0.25L10.5 20.125\"", text)
      << (before ? "German locale" : "C locale");
}

TEST(Svg, RefusesToWriteANumberThatIsNone) {
  Motif motif;
  motif.lines.strokes.push_back({Path{{{std::nan(""), 1}}, false}, 0.5});
  EXPECT_THROW(svg_of_motif(motif), OutputError);
  motif.lines.strokes = {{Path::polyline({{1, 1}, {2, 2}}), 0.5, {0.4, std::nan("")}}};
  EXPECT_THROW(svg_of_motif(motif), OutputError);
}

TEST(Svg, WidthsAlongAStrokeStandBesideItsMean) {
  Linework lines;
  lines.strokes.push_back({Path::polyline({{0, 0}, {9, 0}}), 0.5, {0.41, 0.5, 0.59}});
  lines.strokes.push_back({Path::polyline({{0, 5}, {9, 5}}), 0.5, {}});
  const std::string text = svg_of_motif(make_motif("kelp", lines));
  EXPECT_PRED_FORMAT2(
      ::testing::IsSubstring, "stroke-width=\"0.5\" data-widths=\"0.41 0.5 0.59\" d=", text);
  EXPECT_EQ(text.find("data-widths"), text.rfind("data-widths"));
}

TEST(Svg, GroupsKeepTheirNamesAndGetValidUniqueIds) {
  Linework dot;
  dot.strokes.push_back({Path{{{5, 5}}, false}, 0.5});
  const std::vector<std::string> names = {"kelp", "kelp", "See-Nelke <groß> & \"klein\"", "3", ""};
  std::vector<SvgGroup> groups;
  for (const std::string& name : names) groups.push_back({name, dot});
  const std::string text = svg_of_page(210, 297, groups, "Hafen");
  EXPECT_PRED_FORMAT2(::testing::IsSubstring, "<g id=\"kelp\">", text);
  EXPECT_PRED_FORMAT2(::testing::IsSubstring, "<g id=\"kelp-2\">", text);
  EXPECT_PRED_FORMAT2(::testing::IsSubstring, "<g id=\"_3\">", text);
  const SvgPage page = svg_page_of_text(text, "page.svg");
  EXPECT_NEAR(page.width_mm, 210.0, 1e-9);
  EXPECT_NEAR(page.height_mm, 297.0, 1e-9);
  ASSERT_EQ(page.groups.size(), names.size());
  for (std::size_t i = 0; i + 1 < names.size(); ++i) {
    EXPECT_EQ(page.groups[i].name, names[i]);
    EXPECT_TRUE(page.groups[i].lines.strokes.at(0).path.is_dot());
  }
}

TEST(SvgReading, EveryPathCommandLeadsWhereTheStandardSays) {
  // Absolute and relative spellings of one course, with the implied commands and tight numbers.
  const std::vector<Vec2> corners = {{10, 10}, {30, 10}, {30, 25}, {50, 40}, {60, 40}};
  for (const char* data : {"M10 10 30 10V25L50,40H60",
                           "m10 10 20 0v15l20 15h10",
                           "M 10,10\n30,10 l-0 15 L5e1+40.0h1e1"}) {
    const Path path = only_stroke(page_of(std::string("<path d='") + data + "'/>")).path;
    ASSERT_EQ(path.piece_count(), 4U) << data;
    for (std::size_t i = 0; i < corners.size(); ++i) expect_point(path.points[3 * i], corners[i]);
  }
}

TEST(SvgReading, SmoothCommandsReflectTheControlPoint) {
  const Path cubic = only_stroke(page_of("<path d='M10 10C10 20 20 20 20 10S30 0 30 10'/>")).path;
  ASSERT_EQ(cubic.piece_count(), 2U);
  expect_point(cubic.points[4], {20, 0});
  const Path quadratic = only_stroke(page_of("<path d='M10 10Q15 20 20 10T30 10'/>")).path;
  ASSERT_EQ(quadratic.piece_count(), 2U);
  expect_point(quadratic.piece(0).at(0.5), {15, 15});  // (p0 + 2 c + p2) / 4
  expect_point(quadratic.piece(1).at(0.5), {25, 5});
}

TEST(SvgReading, ArcsLieOnTheirCircle) {
  // The four arcs of the standard's figure: same ends, all four flag pairs; 0.03 % is the published
  // radius error of a quarter circle by one cubic (Goldapp 1991).
  for (const char* flags : {"0 0", "0 1", "1 0", "1 1"}) {
    const Path path =
        only_stroke(page_of(std::string("<path d='M40 50A25 25 0 ") + flags + " 60 30'/>")).path;
    expect_point(path.points.back(), {60, 30});
    const bool large = flags[0] == '1';
    const bool sweep = flags[2] == '1';
    // Centre by plane geometry: on the chord's bisector; a positive sweep turns x towards y.
    const Vec2 from{40, 50}, to{60, 30};
    const Vec2 off = normalized(perpendicular(to - from)) * std::sqrt(25.0 * 25.0 - 200.0);
    Vec2 centre = mix(from, to, 0.5) + off;
    if ((cross(from - centre, to - centre) > 0.0) != (sweep != large)) centre = centre - 2.0 * off;
    for (std::size_t i = 0; i < path.piece_count(); ++i) {
      for (double t : {0.0, 0.3, 0.5, 0.9}) {
        EXPECT_NEAR(distance(path.piece(i).at(t), centre), 25.0, 25.0 * 3e-4) << flags;
      }
    }
    EXPECT_EQ(path.length() > 25.0 * std::numbers::pi, large) << flags;
  }
}

TEST(SvgReading, ShapesAreWhatTheirNamesSay) {
  const SvgPage page = page_of(
      "<circle cx='50' cy='50' r='20'/><ellipse cx='50' cy='50' rx='20' ry='10'/>"
      "<rect x='10' y='20' width='30' height='40'/><rect width='20' height='20' rx='5'/>"
      "<line x1='1' y1='2' x2='4' y2='6'/><polyline points='0,0 3,0 3,4'/>"
      "<polygon points='0,0 3,0 3,4'/>");
  const auto& strokes = page.groups.at(0).lines.strokes;
  ASSERT_EQ(strokes.size(), 7U);
  const auto length = [&](std::size_t i) { return strokes[i].path.length(); };
  EXPECT_NEAR(length(0), 40 * std::numbers::pi, 0.05);
  EXPECT_NEAR(length(1), 96.88448, 0.05);  // 4 a E(3/4) by series, a = 20, b = 10
  EXPECT_NEAR(length(2), 140.0, 1e-6);
  EXPECT_NEAR(length(3), 40.0 + 10 * std::numbers::pi, 0.02);
  EXPECT_NEAR(length(4), 5.0, 1e-9);
  EXPECT_NEAR(length(5), 7.0, 1e-9);
  EXPECT_NEAR(length(6), 12.0, 1e-9);
  EXPECT_TRUE(strokes[6].path.closed);
  EXPECT_FALSE(strokes[5].path.closed);
}

TEST(SvgReading, TransformsComposeFromTheOutside) {
  const Stroke stroke =
      only_stroke(page_of("<g transform='translate(10 20)'><g transform='rotate(90) scale(2)'>"
                          "<path stroke-width='0.5' d='M1 0L5 0'/></g></g>"));
  expect_point(stroke.path.points.front(), {10, 22});
  expect_point(stroke.path.points.back(), {10, 30});
  EXPECT_NEAR(stroke.width_mm, 1.0, 1e-12);
}

TEST(SvgReading, WidthsAlongAStrokeGrowWithIt) {
  const Stroke stroke = only_stroke(
      page_of("<path transform='scale(2)' stroke-width='0.5' data-widths='.4,0.6' d='M1 0L5 0'/>"));
  EXPECT_EQ(stroke.widths_mm, (std::vector<double>{0.8, 1.2}));
}

TEST(SvgReading, WidthsThatNoLongerFitTheStrokeWidthAreStale) {
  // Whoever sets a line to 1 mm in a drawing program wants 1 mm, all along.
  const Stroke stroke =
      only_stroke(page_of("<path stroke-width='1' data-widths='0.4 0.6' d='M1 0L5 0'/>"));
  EXPECT_NEAR(stroke.width_mm, 1.0, 1e-12);
  EXPECT_TRUE(stroke.widths_mm.empty());
}

TEST(SvgReading, FilesWithoutWidthsAlongAStrokeHaveNone) {
  EXPECT_TRUE(only_stroke(page_of("<path data-name='kelp' d='M1 0L5 0'/>")).widths_mm.empty());
}

TEST(SvgReading, SizesInEveryUnitAreTheSameLength) {
  // 254 mm = 10 in = 720 pt = 960 px = 25.4 cm (CSS Values and Units Level 3, absolute lengths).
  for (const char* size : {"254mm", "25.4cm", "10in", "720pt", "960px", "960", "60pc"}) {
    const SvgPage page = page_of("<path d='M0 0L100 0'/>",
                                 std::string("width='") + size + "' height='" + size + "'");
    EXPECT_NEAR(page.width_mm, 254.0, 1e-9) << size;
    EXPECT_NEAR(only_stroke(page).path.length(), 254.0, 1e-6) << size;
  }
}

TEST(SvgReading, WithoutAViewBoxAUnitIsAPixel) {
  const SvgPage page = svg_page_of_text(
      "<svg width='10in' height='5in'><path stroke='black' fill='none' d='M0 0H96'/></svg>", "a");
  EXPECT_NEAR(only_stroke(page).path.length(), 25.4, 1e-9);
}

TEST(SvgReading, StyleAttributeAndClassesDecideOverAttributes) {
  const SvgPage page = page_of(
      "<style>.pen, .brush { stroke-width: 0.8; } .brush { stroke-width: 2px }</style>"
      "<path class='pen' stroke-width='9' d='M0 0H9'/><path class='pen brush' d='M0 0H9'/>"
      "<path style='stroke-width:3;fill:none' class='pen' d='M0 0H9'/>"
      "<path style='display:none' d='M0 0H9'/><path stroke='none' d='M0 0H9'/>");
  const auto& strokes = page.groups.at(0).lines.strokes;
  ASSERT_EQ(strokes.size(), 3U);
  EXPECT_NEAR(strokes[0].width_mm, 0.8, 1e-12);
  EXPECT_NEAR(strokes[1].width_mm, 2.0, 1e-12);
  EXPECT_NEAR(strokes[2].width_mm, 3.0, 1e-12);
}

TEST(SvgReading, PlainFilledShapesAreAreas) {
  const SvgPage page = svg_page_of_text(
      "<svg width='9mm' height='9mm' viewBox='0 0 9 9'><path d='M1 1h5v5zM2 2h1v1z'/></svg>", "a");
  ASSERT_EQ(page.groups.at(0).lines.areas.size(), 1U);
  EXPECT_EQ(page.groups.at(0).lines.areas[0].rings.size(), 2U);
  EXPECT_TRUE(page.groups.at(0).lines.strokes.empty());
}

TEST(SvgReading, AForeignMotifMovesToItsOwnCorner) {
  const Motif motif = read_motif_svg(
      written("kelp.svg",
              "<svg width='100mm' height='100mm' viewBox='0 0 100 100'>"
              "<path fill='none' stroke='#000' stroke-width='2' d='M20 30V70'/></svg>"));
  EXPECT_NEAR(motif.width_mm, 2.0, 1e-9);
  EXPECT_NEAR(motif.height_mm, 42.0, 1e-9);
  expect_point(motif.lines.strokes.at(0).path.points.front(), {1, 1});
}

TEST(SvgReading, ComplainsInOneLineWithTheReason) {
  const std::string open = "<svg width='9mm' height='9mm' viewBox='0 0 9 9' stroke='#000'>";
  const std::vector<std::pair<std::string, std::string>> cases = {
      {"", "not readable"},
      {"a drawing", "not readable"},
      {"\x89PNG\r\n\x1a\n", "not readable"},
      {"<html><body/></html>", "outermost element is <html>"},
      {open, "not readable"},
      {open + "</svg>", "no drawn line"},
      {open + "<script>draw()</script></svg>", "no drawn line"},
      {"<svg><path d='M0 0H9'/></svg>", "no size"},
      {"<svg width='1e9mm' height='9mm' viewBox='0 0 9 9'/>", "at most 5000 mm"},
      {"<svg width='9mm' height='9mm' viewBox='0 0 0 9'/>", "viewBox is '0 0 0 9'"},
      {"<svg width='9mm' height='9mm' viewBox='0 0 nan 9'/>", "'nan 9' stands where a number"},
      {open + "\n<path d='M0 0L NaN 4'/></svg>", "bad.svg:2: <path>: 'NaN 4' stands where"},
      {open + "<path d='M0 0L 1e999 4'/></svg>", "not a usable number"},
      {open + "<path d='M0 0L inf 4'/></svg>", "stands where a number should be"},
      {open + "<path d='L3 4'/></svg>", "begins with 'L'"},
      {open + "<path d='M0 0L3'/></svg>", "stands where a number should be"},
      {open + "<path d='M0 0G3 4'/></svg>", "has 'G'"},
      {open + "<path transform='twist(3)' d='M0 0H4'/></svg>", "transform 'twist(3)'"},
      {open + "<path transform='scale(1e300)' d='M0 0H4'/></svg>", "at most 100 m"},
      {open + "<text>kelp</text></svg>", "<text>"},
      {open + "<image href='kelp.png'/></svg>", "<image>"},
      {open + "<style>g > path {fill:none}</style><path d='M0 0H4'/></svg>", "selector 'g > path'"},
      {open + "<path stroke-width='-1' d='M0 0H4'/></svg>", "stroke width -1"},
      {open + "<path stroke-width='2furlong' d='M0 0H4'/></svg>", "2furlong"},
      {open + "<path data-widths='0.4' d='M0 0H4'/></svg>", "two or more numbers above 0"},
      {open + "<path data-widths='' d='M0 0H4'/></svg>", "data-widths is ''"},
      {open + "<path data-widths='1 -1' d='M0 0H4'/></svg>", "data-widths is '1 -1'"},
      {open + "<path data-widths='1 nan' d='M0 0H4'/></svg>", "'nan' stands where a number"},
      {open + "<path data-widths='1 1e999' d='M0 0H4'/></svg>", "not a usable number"},
  };
  for (const auto& [text, reason] : cases) {
    const std::string complaint = complaint_about(text);
    EXPECT_PRED_FORMAT2(::testing::IsSubstring, reason, complaint) << text;
    EXPECT_TRUE(complaint.starts_with("bad.svg")) << complaint;
    EXPECT_EQ(complaint.find('\n'), std::string::npos);
  }
}

TEST(SvgReading, DeepNestingAndEntitiesDoNoHarm) {
  std::string deep = "<svg width='9mm' height='9mm' viewBox='0 0 9 9'>";
  for (int i = 0; i < 100000; ++i) deep += "<g>";
  for (int i = 0; i < 100000; ++i) deep += "</g>";
  EXPECT_PRED_FORMAT2(::testing::IsSubstring, "nested too deep", complaint_about(deep + "</svg>"));
  const std::string bomb =
      "<!DOCTYPE svg [<!ENTITY a SYSTEM 'file:///etc/passwd'>]>"
      "<svg width='9mm' height='9mm' viewBox='0 0 9 9'><g id='&a;'>"
      "<path stroke='#000' d='M0 0H9'/></g></svg>";
  EXPECT_EQ(svg_page_of_text(bomb, "a").groups.at(0).name, "&a;");
}

TEST(SvgReading, NamesTheFileThatCannotBeOpened) {
  const auto complaint = [](const std::filesystem::path& path) -> std::string {
    try {
      read_motif_svg(path);
    } catch (const InputError& error) {
      return error.what();
    }
    return "accepted";
  };
  EXPECT_PRED_FORMAT2(::testing::IsSubstring, "no such.svg: not found", complaint("no such.svg"));
  EXPECT_PRED_FORMAT2(::testing::IsSubstring, "is not a file", complaint(::testing::TempDir()));
  EXPECT_PRED_FORMAT2(
      ::testing::IsSubstring, "empty.svg: is empty", complaint(written("empty.svg", "")));
  const auto large = written("large.svg", "");
  std::filesystem::resize_file(large, 50'000'001);  // sparse
  EXPECT_PRED_FORMAT2(::testing::IsSubstring, "at most 50 MB", complaint(large));
  std::filesystem::remove(large);
}

}  // namespace
}  // namespace underdraw
