// Which cut-out lies where on which sheet: what is printed, and what the proof measures against.
//
// Stage:   sheet. Pure values.
// Frame:   sheet, mm, origin top left of the paper, x right, y down.
#pragma once

#include <optional>
#include <string>
#include <vector>

#include "motif/motif.h"
#include "repeat/arrange.h"
#include "sheet/drawing.h"
#include "sheet/paper.h"
#include "sheet/printer_correction.h"
#include "sheet/transfer.h"

namespace underdraw {

// How cut-outs may be turned on a sheet to save paper: upright, upside down too, or as it fits.
enum class CutOutTurn { none, half, free };
const std::vector<std::string>& cut_out_turn_names();
CutOutTurn cut_out_turn(const std::string& name);  // OptionError for an unknown one
std::string cut_out_turn_name(CutOutTurn turn);

struct SheetOptions {
  PaperSize paper;
  double margin_mm = 10.0;  // printable edge of the printer; [5, 25]
  TransferMethod method = TransferMethod::carbon;
  double clearance_mm = 3.0;  // from the drawing to the cut line, at least; [1, 20]
  double spacing_mm = 3.0;    // between the cut lines of neighbours; [0, 20]
  CutOutTurn turn = CutOutTurn::none;
  double pitch_mm = 1.75;  // from hole to hole, of the pricked method; [1, 5]
  std::optional<PrinterCorrection> printer = {};  // the one that the sheets are made for

  void validate() const;  // throws OptionError
};

// Of a placement too large for one sheet, the piece that one cut-out shows. Neighbours overlap, and
// show the same lines and the same register crosses there. The print's frame: mm, upright, origin
// at the placement's centre, shared by all parts.
struct CutOutPart {
  int number = 1;  // from 1, row by row
  int count = 1;
  int row = 0, column = 0;    // from 0, from the top left
  Box window;                 // what it shows; print frame
  double edge_mm = 2.0;       // of paper beyond the window where a neighbour goes on
  std::vector<Vec2> crosses;  // print frame
  Affine sheet_from_print;
  Box words_box;  // "part 2 of 4" is printed inside it; turned as the cut-out's other boxes
};

// One placement on paper: its drawing at true size, a cut line and what is written inside it.
struct CutOut {
  int placement = 0;  // Placement::id
  std::string motif;
  bool mirrored = false;   // the print is a mirror image of the motif as drawn
  double height_mm = 0.0;  // of the motif, upright, as printed
  Affine sheet_from_motif;
  Path cut_line;            // closed
  std::vector<Path> darts;  // to be cut as well, so that the paper lies on the curved wall
  Box area;                 // of the cut line
  double turn_deg = 0.0;    // of the whole cut-out on its sheet, clockwise
  // Boxes as they were before the turn, each turned about its own middle since.
  Box number_box;  // the placement's number is printed inside it
  std::vector<Box>
      label_boxes;           // all else that is printed inside the cut line: words, ticks, arrow
  std::vector<Mark> labels;  // these as marks, the number too; not kept in files
  std::optional<CutOutPart> part = {};  // nothing: all of the placement
};

// A line of known length, end ticks across it.
struct Bar {
  Vec2 from, to;

  double length_mm() const { return distance(from, to); }
};

// Where things stand on every sheet of a plan.
struct SheetFrame {
  Box printable;  // inside the margins
  Box work;       // where cut-outs may lie
  Bar across, down;
  double tick_mm = 4.0;  // length of the bars' end ticks
  Affine sheet_from_sign;
};

struct Sheet {
  std::string face;
  std::vector<CutOut> cut_outs;
};

// What the cover says beyond what all covers say; not kept in files.
struct CoverNote {
  std::string head;
  struct Line {
    std::string mark;  // printed at the left: "12"; may be empty
    std::string text;
  };
  std::vector<Line> lines;
};
struct CoverWords {
  std::string sheets = "transfer sheet";  // what one of them is called
  std::vector<CoverNote> notes = {};      // below the title
};

struct SheetPlan {
  std::string piece;
  SheetOptions options;
  SheetFrame frame;
  std::vector<Motif> motifs;
  std::vector<PlacedFace> faces;
  std::vector<Sheet> sheets;
  CoverWords cover;
  int cover_pages = 0;  // before the first sheet in the file
  // How well the paper is used; not kept in files.
  std::size_t least_sheets = 0;  // fewer are impossible: the area of the cut-outs needs these
  double share_used = 0.0;       // cut-outs grown by half their spacing, of all room for them
  std::vector<std::string> warnings = {};

  bool printed_mirrored() const { return underdraw::printed_mirrored(options.method); }
};

// The motif of that name; GeometryError when there is none.
const Motif& motif_named(const std::vector<Motif>& motifs, const std::string& name);

// Print of a placement about its centre: mirrored if the transfer method asks for it.
Affine print_from_motif(const Placement& placement, const Motif& motif, TransferMethod method);

// "a 45.0°" and "s 60.0" on a round face, "x 45.0" and "y 60.0" on a flat one.
struct DatumLabels {
  std::string across, along;
};
DatumLabels datum_labels(const Surface& surface, const Placement& placement);

// 1-based sheets on which a placement lies: several where it comes in parts.
std::vector<int> sheets_of(const SheetPlan& plan, int placement);

// "placement 7", "placement 7 part 2 of 4".
std::string words_for(const CutOut& cut_out);
std::string part_words(const CutOutPart& part);  // "part 2 of 4"

// "carbon: printed side up" and "printed as drawn", for head lines and covers.
std::string method_words(TransferMethod method);
std::string flip_words(TransferMethod method);

}  // namespace underdraw
