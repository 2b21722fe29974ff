// Covered lines brought back: from the kept photos of a piece to recovered.json, redraw sheets,
// pictures and the page for the bench in its `out/`.
//
// Stage:   io. Reads piece.toml, pages, record and photos; adds to out/ beside what other commands
//          made there.
// How:     photos of the stage before are posed from their mat, each face is unrolled from them and
//          its placements are found; photos of the stage after say what is covered now. Photos that
//          show no mat are laid over each other instead (pair_photos.h): their lines are drawn over
//          the photos after, and are on no sheet, since such photos say nothing of size.
// Guarantee: out/ changes in one step, or not at all. Where photos without a mat are all refused,
//          that step adds the page for tapping points, and nothing else. A proof that fails
//          publishes nothing.
// Refuses: what the stages refuse; an empty store, no photos of the stage before, photos of another
//          piece, stages that look swapped (InputError).
#pragma once

#include <filesystem>
#include <optional>
#include <string>
#include <vector>

#include "core/progress.h"
#include "io/make_piece.h"
#include "io/out_folder.h"
#include "io/pair_photos.h"
#include "io/pose_stage.h"
#include "recover/compare_stages.h"
#include "recover/recover_lines.h"

namespace underdraw {

struct RecoverOptions {
  std::string before = "drawn";      // stage of the photos that show the lines
  std::optional<std::string> after;  // nothing: the stage kept last beside it, if there is one
  bool redraw_all = false;           // redraw sheets for lines that still show as well
  PoseStageOptions photos;
  RecoverLinesOptions lines;  // its pen is that of the piece
  ProveOptions prove;

  void validate() const;  // throws OptionError
};

// One face: what was found on it, and what the later photos say of it.
struct RecoveredOfFace {
  RecoveredLines lines;
  std::vector<PlacementChange> changes;    // empty without a stage after
  std::vector<std::vector<bool>> covered;  // of each stroke's points; the same
};

struct RecoverResult {
  PieceFile piece;
  std::vector<PlacedFace> placed;
  std::vector<Motif> motifs;
  std::vector<RecoveredOfFace> faces;  // as placed
  std::string before;
  std::optional<std::string> after;
  std::size_t photos_before = 0, photos_after = 0;  // that were used
  std::vector<PairedPhoto> pairs;                   // of photos that show no mat
  std::vector<PhotoLeftOut> left_out;
  SheetPlan sheets;  // no sheets: nothing is to be redrawn
  ProofReport proof;
  std::vector<std::string> warnings;
  std::vector<std::string> files;  // made, as paths
  bool published = false;          // false: the proof failed, and out/ is as it was

  std::size_t count(Finding finding) const;
  std::size_t placements() const;
};

RecoverResult recover_piece(const std::filesystem::path& folder,
                            const RecoverOptions& options = {},
                            const Progress& progress = {},
                            const Notice& notice = {});

// Why a placement did not come back, in words; empty for one that did.
std::string words_for(const FoundPlacement& found);

}  // namespace underdraw
