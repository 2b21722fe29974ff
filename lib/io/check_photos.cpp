#include "io/check_photos.h"

#include <algorithm>

#include <fmt/format.h>

#include "core/error.h"
#include "io/make_piece.h"
#include "io/photo_store.h"
#include "io/stage_rows.h"
#include "io/unroll_stage.h"

namespace fs = std::filesystem;

namespace underdraw {
namespace {

constexpr double kPlaced = 0.3;
constexpr double kUnrolled = 0.9;

}  // namespace

std::size_t PhotosCheck::recoverable() const {
  return static_cast<std::size_t>(std::count_if(
      needs.begin(), needs.end(), [](const PhotoNeed& need) { return need.recoverable; }));
}

PhotosCheck check_photos(const fs::path& folder,
                         const std::string& stage,
                         const std::optional<std::string>& face,
                         const Progress& progress,
                         const Notice& notice) {
  const std::vector<PhotoRow> rows = of_stage(kept_photos(folder, notice), stage);
  if (rows.empty()) {
    throw InputError({.file = folder.string(),
                      .line = {},
                      .found = fmt::format("no photos of stage {} are kept", stage),
                      .expected = {},
                      .remedy = "keep some with --stage " + stage});
  }
  const PieceResult made = place_piece(read_piece_folder(folder),
                                       folder / "piece.toml",
                                       {.until = MakeStep::place, .trace = {}, .prove = {}},
                                       part_of(progress, 0.0, kPlaced));
  PoseStageOptions photos;
  photos.bars = mat_bars(made.piece);
  const StageFaces stage_faces = unroll_stage(pose_stage(folder, rows, photos),
                                              made.faces,
                                              made.piece.clay.sizes_from_transfer(),
                                              part_of(progress, kPlaced, kUnrolled));
  PhotosCheck out;
  out.photos = stage_faces.photos.photos.size();
  out.left_out = stage_faces.photos.left_out;
  out.warnings = stage_faces.photos.warnings;
  PhotoNeedsOptions options;
  options.line_mm = std::clamp(made.piece.tool.width_mm, 0.1, 5.0);
  for (std::size_t f = 0; f < made.faces.size(); ++f) {
    const PlacedFace& placed = made.faces[f];
    if (face && placed.face.name != *face) continue;
    if (const auto& shown = stage_faces.faces[f]) {
      for (PhotoNeed& need : photo_needs(placed.surface,
                                         shown->unrolled,
                                         placement_lines(placed, made.placed_motifs),
                                         options)) {
        out.needs.push_back(std::move(need));
      }
      continue;
    }
    for (const Placement& placement : placed.placements) {
      PhotoNeed& need = out.needs.emplace_back();
      need.placement = placement.id;
      need.lack = PhotoLack::not_in_view;
      need.text =
          fmt::format("number {}: no photos of the face {} are kept; keep some with --face {}",
                      placement.id,
                      placed.face.name,
                      placed.face.name);
    }
  }
  report(progress, "done", 1.0);
  return out;
}

}  // namespace underdraw
