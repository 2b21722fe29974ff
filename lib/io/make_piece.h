// The whole chain: a piece folder's pages to proved transfer sheets in its `out/`.
//
// Stage:   io. Reads piece.toml and pages, replaces out/ (see io/out_folder.h).
// Guarantee: out/ holds the result of one command. A chain that stops early ("until") publishes
//          what it made and nothing older.
// Refuses: what the stages refuse; a count of names that is not the count of sketches (InputError).
//          A proof that fails publishes nothing and says so in the result.
#pragma once

#include <filesystem>
#include <functional>
#include <string>
#include <vector>

#include "core/progress.h"
#include "io/out_folder.h"
#include "io/piece_file.h"
#include "io/prove_pdf.h"
#include "io/trace_files.h"
#include "motif/vary.h"
#include "repeat/arrange.h"
#include "sheet/sheet_plan.h"

namespace underdraw {

// The last step to take; each takes all before it.
enum class MakeStep { trace, vary, place, sheet, proof };

// Each printed page once more in a file of its own, for cutters and screens.
struct PageFiles {
  bool svg = false;
  bool png = false;
  double png_dpi = 150.0;  // of maps and views as well; [20, 1200]
};

struct MakeOptions {
  MakeStep until = MakeStep::proof;
  TraceOptions trace;
  ProveOptions prove;
  PageFiles also = {};
  std::string sheets_name = "sheets.pdf";  // how the proof's complaints call the sheets
};

// Steps that were not taken leave their part empty.
struct PieceResult {
  PieceFile piece;
  std::vector<TracedFilePage> pages;
  std::vector<Motif> motifs;
  VaryResult variants;
  std::vector<PlacedFace> faces;
  std::vector<Motif> placed_motifs;  // the motifs, and those that came from cutting some
  SheetPlan sheets;
  ProofReport proof;
  std::vector<std::string> warnings;
  std::vector<std::string> files;  // made, as paths: "harbour-jar/out/map.pdf"
  bool published = false;          // false: the proof failed, and out/ is as it was
};

// Takes one finished file: its name in out/ ("motifs/kelp.svg") and what is in it.
using WriteFile = std::function<void(const std::string& name, const std::string& content)>;

// piece.toml of a piece folder; says so when there is no such folder.
PieceFile read_piece_folder(const std::filesystem::path& folder);

// The chain as far as the placements, without writing anything: what is drawn where.
PieceResult place_piece(PieceFile piece,
                        const std::filesystem::path& piece_file,
                        const MakeOptions& options,
                        const Progress& progress = {});

// The chain on a piece that has been read already, for whoever has a place of his own for the
// files. Pages are looked for beside `piece_file`, which complaints name. Nothing is published:
// `files` stays empty, and where the proof fails `proof.ok` says so.
PieceResult make_piece_files(PieceFile piece,
                             const std::filesystem::path& piece_file,
                             const MakeOptions& options,
                             const WriteFile& write,
                             const Progress& progress = {});

// Every sheet of a plan as "STEM-01.svg" and so on.
void write_sheet_files(const SheetPlan& plan,
                       const std::string& stem,
                       const PageFiles& also,
                       const WriteFile& write);

PieceResult make_piece(const std::filesystem::path& folder,
                       const MakeOptions& options = {},
                       const Progress& progress = {},
                       const Notice& notice = {});

// Motifs that belong to no piece, one after the other in rows, so that sheets can be laid out for
// them: one flat face, every motif once, as drawn.
std::vector<PlacedFace> motifs_in_rows(const std::vector<Motif>& motifs);

}  // namespace underdraw
