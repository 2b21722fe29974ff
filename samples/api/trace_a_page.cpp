// A scanned page to motifs, as the library does it: read, trace, one SVG a sketch. Read this first.
//
//   trace_a_page PAGE.png FOLDER
#include <cstdio>
#include <exception>
#include <filesystem>

#include "io/out_folder.h"
#include "io/read_pages.h"
#include "io/svg.h"
#include "motif/motif.h"
#include "trace/trace_page.h"

int main(int argc, char** argv) {
  using namespace underdraw;
  if (argc != 3) {
    std::fprintf(stderr, "usage: trace_a_page PAGE FOLDER\n");
    return 2;
  }
  try {
    const Page page = PageFile::open(argv[1]).read(1);
    const TracedPage traced = trace_page(page);  // frame: the page, mm from its top left corner
    OutFiles out(argv[2], Overwrite::yes);       // all files or none
    int number = 0;
    for (const TracedSketch& sketch : traced.sketches) {
      const Motif motif = make_motif("sketch-" + std::to_string(++number), sketch.lines);
      std::printf("%s: %.1f x %.1f mm, %zu lines\n",
                  motif.name.c_str(),
                  motif.width_mm,
                  motif.height_mm,
                  motif.lines.strokes.size());
      out.write(motif.name + ".svg", svg_of_motif(motif));
    }
    out.publish();
    return 0;
  } catch (const std::exception& error) {  // every refusal is one line: what, where, what to do
    std::fprintf(stderr, "%s\n", error.what());
    return 1;
  }
}
