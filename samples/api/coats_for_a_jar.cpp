// What a motif closes in, and how much colour a band of it takes.
//
//   coats_for_a_jar MOTIF.svg
#include <cstdio>
#include <exception>

#include "coats/coat_plan.h"
#include "coats/paint_map.h"
#include "io/svg.h"

int main(int argc, char** argv) {
  using namespace underdraw;
  if (argc != 2) {
    std::fprintf(stderr, "usage: coats_for_a_jar MOTIF.svg\n");
    return 2;
  }
  try {
    const Motif motif = read_motif_svg(argv[1]);

    Face wall;
    wall.name = "wall";
    wall.form = CylinderFace{310.0, 95.0};
    Arrangement band;
    band.face = "wall";
    band.motifs = {motif.name};
    const Clay glazed{{0.0, 0.0, 0.0}, ClayStage::glazed, ClayStage::glazed};  // shrinks no more
    const Arranged placed = arrange({wall}, {band}, {motif}, glazed);

    Colour ground;
    ground.name = "slip white";
    ground.on = {"wall"};
    Colour teal;
    teal.name = "teal";
    teal.on = {motif.name};

    const PaintMap map = paint_map(placed.faces, placed.motifs, {ground, teal});
    for (const ClosedArea& area : map.motifs[0].found.areas) {
      std::printf("an area of %.1f mm2\n", area.size_mm2);
    }
    for (const ColourAmount& amount : coat_plan(map, placed.faces).amounts) {
      std::printf("%s: %.1f cm2, about %.0f ml for all coats\n",
                  map.colours[*amount.colour].name.c_str(),
                  amount.size_cm2,
                  amount.ml);
    }
    return 0;
  } catch (const std::exception& error) {
    std::fprintf(stderr, "%s\n", error.what());
    return 1;
  }
}
