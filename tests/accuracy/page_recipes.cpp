#include <array>
#include <utility>

#include "accuracy/accuracy_page.h"
#include "accuracy/page_motifs.h"
#include "accuracy/page_writing.h"
#include "support/pencil_page.h"

namespace underdraw::test {
namespace {

struct Placed {
  Linework lines;
  Vec2 middle;  // of its ink, mm
  double turn_deg = 0.0;
  double scale = 1.0;
};

// Lines grow thicker with their motif, dots stay as they are.
Linework laid_out(const std::vector<Placed>& parts) {
  Linework out;
  for (const Placed& part : parts) {
    Linework lines = part.lines;
    for (Stroke& stroke : lines.strokes) {
      if (stroke.path.is_dot()) stroke.width_mm /= part.scale;
    }
    out.append(transformed(lines,
                           Affine::translate(part.middle) * Affine::turn_deg(part.turn_deg) *
                               Affine::scale(part.scale) *
                               Affine::translate(-part.lines.ink_box().centre())));
  }
  return out;
}

// Half of a letter sheet or so, on a scanner.
PencilOptions pencil(unsigned seed, double width_mm = 120.0, double height_mm = 90.0) {
  PencilOptions o;
  o.seed = seed;
  o.page_width_mm = width_mm;
  o.page_height_mm = height_mm;
  o.folds = 0;
  o.specks = 8;
  o.smudges = 1;
  return o;
}

PencilOptions ink(unsigned seed, double width_mm = 120.0, double height_mm = 90.0) {
  PencilOptions o = pencil(seed, width_mm, height_mm);
  o.darkness = 0.94;
  o.pen_grey = 34.0;
  o.grain = 0.08;
  o.pressure = 0.03;
  o.width_swing = 0.15;
  o.paper_grain = 1.2;
  o.smudges = 0;
  return o;
}

PencilOptions faint(unsigned seed, double darkness) {
  PencilOptions o = pencil(seed);
  o.darkness = darkness;
  o.pressure = 0.15;
  o.grain = 0.7;
  o.smudges = 0;
  return o;
}

PencilOptions phone(unsigned seed, double tilt_deg, double towards_deg) {
  PencilOptions o = pencil(seed);
  o.colour = true;
  o.tilt_deg = tilt_deg;
  o.tilt_towards_deg = towards_deg;
  o.vignette = 0.22;
  o.uneven_light = 0.16;
  o.blur_mm = 0.075;
  o.noise = 2.4;
  o.paper_grey = 226.0;
  return o;
}

constexpr std::array<double, 3> kWarmPaper{0.87, 0.95, 1.0};

AccuracyPage drawn(std::string about, const Linework& lines, const PencilOptions& options) {
  PencilPage page = draw_pencil_page(lines, options);
  AccuracyPage out;
  out.about = std::move(about);
  out.pixels = options.colour ? page.colour : page.grey;
  out.dpi = options.dpi;
  out.truth = std::move(page.truth);
  return out;
}

AccuracyPage draw_rigging_ink() {
  AccuracyPage page = drawn("ink; every kind of meeting once, lines down to 0.5 mm apart",
                            laid_out({{rigging(0.3, 0.5), {60, 45}}}),
                            ink(11));
  page.clean = true;
  return page;
}

AccuracyPage draw_shells_ink() {
  PencilOptions o = ink(12);
  o.skew_deg = 1.7;
  AccuracyPage page = drawn("ink; cusps, ribs that run together, a spiral, scales",
                            laid_out({{scallop_fan(0.4), {34, 30}, -8.0, 1.1},
                                      {whelk(0.3), {88, 28}, 0.0, 1.6},
                                      {fish_scales(0.45, 5, 8), {62, 70}}}),
                            o);
  page.clean = true;
  return page;
}

AccuracyPage draw_rope_ink() {
  PencilOptions o = ink(13);
  o.dpi = 600.0;
  o.colour = true;
  o.paper_tint = kWarmPaper;
  o.pen_tint = {1.5, 1.0, 0.7};  // blue-black
  AccuracyPage page = drawn("blue-black ink on warm paper; a knot's crossings, a net, strands",
                            laid_out({{knotted_rope(0.38), {30, 44}, 12.0, 1.3},
                                      {net(0.34), {86, 30}, -4.0},
                                      {buoy(0.42), {86, 66}, 0.0, 0.8}}),
                            o);
  page.clean = true;
  return page;
}

AccuracyPage draw_thistle_pencil() {
  PencilOptions o = pencil(21);
  o.skew_deg = -2.2;
  return drawn(
      "pencil; a lattice of crossings, sharp tips, thorns",
      laid_out({{thistle(0.42), {32, 46}, 4.0, 1.45}, {thistle(0.36), {88, 44}, -9.0, 1.3}}),
      o);
}

AccuracyPage draw_kelp_pencil() {
  PencilOptions o = pencil(22);
  o.grain = 0.7;
  AccuracyPage page =
      drawn("sharp pencil; veins 1.5 down to 0.5 mm apart, stalks that leave along a line",
            laid_out({{kelp(0.24, 0.42), {32, 45}, 6.0, 1.3}, {wrack(0.38), {88, 44}, 0.0, 1.9}}),
            o);
  page.jpeg_quality = 92;
  return page;
}

AccuracyPage draw_sea_pink_pencil() {
  PencilOptions o = pencil(23);
  o.skew_deg = 3.6;
  o.width_swing = 0.35;
  o.noise = 2.0;
  AccuracyPage page =
      drawn("soft pencil, JPEG; petals over each other, loose dots, flat crossings",
            laid_out({{sea_pink(0.46), {32, 46}, 0.0, 1.25}, {sea_pink(0.4), {88, 46}, 6.0, 1.3}}),
            o);
  page.jpeg_quality = 85;
  return page;
}

AccuracyPage draw_feather_pencil() {
  PencilOptions o = pencil(24);
  o.dpi = 600.0;
  o.grain = 0.85;
  o.paper_grain = 3.0;
  return drawn("pencil on rough paper, 600 dpi; barbs 1.1 and 1.6 mm apart on a shaft",
               laid_out({{feather(0.34, 0.95), {32, 46}, 20.0, 1.5},
                         {feather(0.42, 1.4), {64, 46}, -6.0, 1.4},
                         {waves(0.5), {98, 46}, -84.0}}),
               o);
}

AccuracyPage draw_starfish_pencil() {
  PencilOptions o = pencil(25);
  o.colour = true;
  o.paper_tint = kWarmPaper;
  o.show_through = 0.06;
  o.back = laid_out({{thistle(0.6), {40, 44}, 20.0, 1.5}, {net(0.6), {84, 50}, 30.0}});
  o.skew_deg = 1.2;
  AccuracyPage page = drawn(
      "pencil on warm paper with the back showing through; dots and tiny loops",
      laid_out({{starfish(0.44), {34, 44}, 9.0, 1.35}, {starfish(0.38), {88, 46}, 40.0, 1.3}}),
      o);
  page.jpeg_quality = 90;
  return page;
}

AccuracyPage draw_harbour_sheet() {
  PencilOptions o = pencil(26, 210.0, 297.0);
  o.folds = 2;
  o.smudges = 5;
  o.specks = 60;
  o.lid_edge_mm = 4.0;
  o.uneven_light = 0.2;
  o.skew_deg = -1.1;
  return drawn("pencil, a whole A4 sheet: two folds, smudges, dust, the lid's dark edge",
               laid_out({{thistle(0.4), {40, 52}, 3.0, 1.2},
                         {buoy(0.46), {102, 48}, 0.0, 1.0},
                         {sea_pink(0.4), {166, 52}, -4.0, 1.15},
                         {kelp(0.36, 0.75), {38, 128}, 0.0, 1.15},
                         {scallop_fan(0.44), {104, 118}, 8.0, 1.3},
                         {starfish(0.5), {168, 126}, 0.0, 1.2},
                         {knotted_rope(0.42), {38, 206}, 0.0, 1.4},
                         {net(0.4), {106, 184}, 3.0, 0.9},
                         {whelk(0.42), {170, 196}, 0.0, 1.9},
                         {waves(0.45), {48, 262}, 0.0, 1.2},
                         {fish_scales(0.42, 4, 7), {112, 250}, -5.0, 1.1},
                         {wrack(0.5), {170, 258}, 10.0, 1.4}}),
               o);
}

AccuracyPage draw_scales_faint() {
  AccuracyPage page = drawn("faint pencil; scales and a net",
                            laid_out({{fish_scales(0.42, 6, 8), {38, 34}, 5.0, 1.2},
                                      {net(0.4), {84, 66}, 0.0, 1.0},
                                      {starfish(0.42), {98, 26}, 0.0, 0.95}}),
                            faint(31, 0.3));
  page.faint = true;
  return page;
}

AccuracyPage draw_thistle_faint() {
  PencilOptions o = faint(32, 0.24);
  o.skew_deg = 2.5;
  o.uneven_light = 0.18;
  AccuracyPage page =
      drawn("faint pencil, JPEG, uneven light; a thistle and waves",
            laid_out({{thistle(0.42), {32, 46}, -5.0, 1.5}, {waves(0.42), {88, 46}, -8.0, 1.15}}),
            o);
  page.faint = true;
  page.jpeg_quality = 90;
  return page;
}

AccuracyPage draw_buoy_faint() {
  PencilOptions o = faint(33, 0.2);
  o.dpi = 600.0;
  AccuracyPage page =
      drawn("very faint pencil, 600 dpi; a buoy, sea pinks",
            laid_out({{buoy(0.5), {36, 44}, 0.0, 1.2}, {sea_pink(0.42), {90, 46}, 0.0, 1.25}}),
            o);
  page.faint = true;
  return page;
}

AccuracyPage draw_letters_pencil() {
  PencilOptions o = pencil(51);
  o.skew_deg = 0.8;
  return drawn("pencil; plain letters of 5 to 12 mm, straight strokes and round ones",
               laid_out({{written("rowmans", "HARBOUR 1873", 9.0, 0.42), {58, 14}},
                         {written("futural", "kelp tern quay", 7.0, 0.36), {60, 32}},
                         {written("greek", "ABGDEFKLMX", 8.0, 0.4), {60, 48}},
                         {written("rowmans", "Sea pinks & rope", 5.5, 0.33), {60, 62}},
                         {written("rowmans", "BUOY & NET", 11.0, 0.5), {60, 78}}}),
               o);
}

AccuracyPage draw_script_pencil() {
  PencilOptions o = pencil(52);
  o.skew_deg = -1.5;
  o.width_swing = 0.3;
  // Letters whose pen never goes back over its own line: nobody could say where such lines part.
  AccuracyPage page = drawn(
      "pencil, JPEG; slanting script with loops, thick and thin",
      laid_out({{pressed(written("scripts", "Gorse Rose", 12.0, 0.4), 0.34, 0.55, 3), {60, 17}},
                {written("cursive", "Score coffer", 10.0, 0.36), {60, 38}},
                {written("scripts", "QHKPRJZ", 11.0, 0.42), {60, 58}},
                {written("scripts", "goose eggs Force", 8.0, 0.34), {60, 77}}}),
      o);
  page.jpeg_quality = 88;
  return page;
}

AccuracyPage draw_characters_pencil() {
  PencilOptions o = pencil(53);
  o.skew_deg = 1.4;
  o.uneven_light = 0.2;
  return drawn(
      "pencil; characters of 13 mm, many ends on lines and crossings",
      laid_out(
          {{brushed("海船港魚貝花草羽毛水波風雨石沙星月日山川木竹米鳥門網文永白心", 8, 14.0, 0.36),
            {60, 45}}}),
      o);
}

AccuracyPage draw_characters_brush() {
  PencilOptions o = ink(54);
  o.grain = 0.3;
  o.colour = true;
  o.paper_tint = kWarmPaper;
  o.skew_deg = -0.7;
  AccuracyPage page = drawn(
      "broad pen, 0.5 to 0.9 mm along each stroke, colour, JPEG; characters of 22 mm",
      laid_out(
          {{pressed(brushed("海花魚波風永草水星木心米", 4, 27.0, 0.7), 0.48, 0.82, 9), {60, 45}}}),
      o);
  page.jpeg_quality = 90;
  return page;
}

AccuracyPage draw_sea_pink_phone() {
  AccuracyPage page =
      drawn("photographed at a tilt of 9 degrees; sea pinks and wrack",
            laid_out({{sea_pink(0.46), {36, 46}, 0.0, 1.2}, {wrack(0.44), {88, 46}, 0.0, 1.7}}),
            phone(41, 9.0, -70.0));
  page.jpeg_quality = 88;
  return page;
}

AccuracyPage draw_scallop_phone() {
  PencilOptions o = phone(42, 14.0, 25.0);
  o.paper_tint = kWarmPaper;
  o.skew_deg = 2.8;
  AccuracyPage page = drawn("photographed at a tilt of 14 degrees, warm light; shells and a knot",
                            laid_out({{scallop_fan(0.46), {36, 34}, 0.0, 1.2},
                                      {knotted_rope(0.42), {86, 44}, 0.0, 1.4},
                                      {whelk(0.44), {34, 70}, 0.0, 1.6}}),
                            o);
  page.jpeg_quality = 85;
  return page;
}

}  // namespace

std::vector<PageRecipe> accuracy_pages() {
  std::vector<PageRecipe> recipes{
      {"rigging-ink-300", draw_rigging_ink},
      {"shells-ink-300", draw_shells_ink},
      {"rope-ink-600", draw_rope_ink},
      {"thistle-pencil-300", draw_thistle_pencil},
      {"kelp-pencil-300", draw_kelp_pencil},
      {"sea-pink-pencil-300", draw_sea_pink_pencil},
      {"feather-pencil-600", draw_feather_pencil},
      {"starfish-pencil-300", draw_starfish_pencil},
      {"harbour-sheet-300", draw_harbour_sheet},
      {"scales-faint-300", draw_scales_faint},
      {"thistle-faint-300", draw_thistle_faint},
      {"buoy-faint-600", draw_buoy_faint},
      {"letters-pencil-300", draw_letters_pencil},
      {"script-pencil-300", draw_script_pencil},
      {"characters-pencil-300", draw_characters_pencil},
      {"characters-brush-300", draw_characters_brush},
      {"sea-pink-phone-300", draw_sea_pink_phone},
      {"scallop-phone-300", draw_scallop_phone},
  };
  for (PageRecipe& recipe : recipes) {
    recipe.draw = [name = recipe.name, draw = std::move(recipe.draw)] {
      AccuracyPage page = draw();
      page.name = name;
      return page;
    };
  }
  return recipes;
}

}  // namespace underdraw::test
