// Motifs on a measured wall, without a piece file: a band that closes round a jar, its map and its
// transfer sheets, and the proof of these.
//
//   place_on_a_jar MOTIF.svg FOLDER
#include <cstdio>
#include <exception>

#include "io/out_folder.h"
#include "io/prove_pdf.h"
#include "io/sheets_file.h"
#include "io/svg.h"
#include "io/write_drawing.h"
#include "repeat/arrange.h"
#include "sheet/draw_map.h"
#include "sheet/lay_out_sheets.h"

int main(int argc, char** argv) {
  using namespace underdraw;
  if (argc != 3) {
    std::fprintf(stderr, "usage: place_on_a_jar MOTIF.svg FOLDER\n");
    return 2;
  }
  try {
    const Motif motif = read_motif_svg(argv[1]);

    Face wall;
    wall.name = "wall";
    wall.form = TurnedFace{{{0, 310}, {40, 372}, {95, 300}}};  // height above the foot, tape round

    Arrangement band;
    band.face = "wall";
    band.motifs = {motif.name};
    band.mirror = Mirroring::alternate;
    band.heights_mm = {30.0};  // on the finished piece

    Clay clay;  // what the clay still shrinks by is part of every size
    clay.shrinkage = {.drying_percent = 6.0, .bisque_percent = 1.0, .glaze_percent = 5.5};
    clay.measured_at = ClayStage::bisque;
    clay.transfer_at = ClayStage::bisque;

    const Arranged placed = arrange({wall}, {band}, {motif}, clay);
    const FitReport& fit = placed.faces[0].reports[0];
    std::printf("%d copies, %.2f mm apart, seam error %.4f mm\n",
                fit.copies,
                fit.gap_mm,
                fit.seam_error_mm);

    SheetOptions paper;
    paper.paper = paper_size("A4");
    const SheetPlan plan = lay_out_sheets("Jar", placed.faces, placed.motifs, paper);
    const std::string pdf = sheets_pdf(plan);
    const ProofReport proof = prove_pdf_bytes(pdf, "sheets.pdf", plan);
    std::printf("sheets are %s\n", proof.ok ? "true" : "not true");

    OutFiles out(argv[2], Overwrite::yes);
    out.write("sheets.pdf", pdf);
    out.write("map.pdf",
              pdf_of_drawings(
                  draw_maps("Jar", placed.faces, placed.motifs, {.paper = paper_size("A4")})));
    out.publish();
    return proof.ok ? 0 : 1;
  } catch (const std::exception& error) {
    std::fprintf(stderr, "%s\n", error.what());
    return 1;
  }
}
