#include "io/recover_piece.h"

#include <algorithm>
#include <cmath>

#include <fmt/format.h>

#include "core/error.h"
#include "geometry/rings.h"
#include "io/recovered_file.h"
#include "io/recovered_pictures.h"
#include "io/sheets_file.h"
#include "io/stage_rows.h"
#include "io/unroll_stage.h"
#include "io/write_drawing.h"
#include "recover/redraw.h"
#include "recover/turn_between.h"
#include "sheet/lay_out_sheets.h"
#include "sheet/proof.h"

namespace fs = std::filesystem;

namespace underdraw {
namespace {

// About how the time divides; only the bar depends on it.
constexpr double kPlaced = 0.15;
constexpr double kUnrolled = 0.55;
constexpr double kUnrolledAfter = 0.75;
constexpr double kPaired = 0.8;
constexpr double kFound = 0.85;
constexpr double kDrawn = 0.95;

constexpr const char* kTappingPage = "points.html";
constexpr double kFileMm = 0.005;  // by which lines in the file may differ

// A piece of which fewer of the placements that are in view fit is another piece.
constexpr double kLeastFitting = 0.2;
// Half of them before and nearly all after: the stages were mixed up.
constexpr double kHalfFitting = 0.5;
constexpr double kNearlyAllFitting = 0.8;

RecoveredLines without_photos(const PlacedFace& placed) {
  RecoveredLines out;
  out.face.name = placed.face.name;
  for (const Placement& p : placed.placements) {
    out.placements.emplace_back().id = p.id;
    out.placements.back().finding = Finding::no_photos;
  }
  return out;
}

RecoveredLines lines_of(const std::optional<StageFace>& face,
                        const PlacedFace& placed,
                        const std::vector<Motif>& motifs,
                        const RecoverLinesOptions& options) {
  return face ? recover_lines(face->picture(), placed, motifs, options) : without_photos(placed);
}

// Of the later stage's placements how much further round they lie than before: only what both
// stages show tells how the piece was turned between them.
std::vector<FoundPlacement> moved_since(const std::vector<FoundPlacement>& before,
                                        const std::vector<FoundPlacement>& after) {
  std::vector<FoundPlacement> out;
  for (const PlacementChange& change : compare_stages(before, after)) {
    if (change.now != Now::shows) continue;
    FoundPlacement moved;
    moved.id = change.id;
    moved.finding = Finding::found;
    moved.shift = change.off;
    out.push_back(moved);
  }
  return out;
}

// By how much the piece was turned on its mat between the stages. Marks that stayed say it best:
// drawings that show later may have been drawn again, a little off.
std::optional<double> turn_since(const StageFace& before,
                                 const StageFace& after,
                                 const RecoveredLines& lines,
                                 const RecoveredLines& later,
                                 const PlacedFace& placed) {
  if (placed.surface.round()) {
    const auto shown = turn_between(before.picture(), after.picture(), placed.surface);
    if (shown) return shown->turn_deg;
  }
  return turn_of_piece_deg(moved_since(lines.placements, later.placements), placed, 1);
}

// What is to be drawn again: all that is not there any more.
std::vector<RecoveredFace> to_redraw(const RecoverResult& result, bool all) {
  std::vector<RecoveredFace> out;
  for (const RecoveredOfFace& face : result.faces) {
    RecoveredFace& wanted = out.emplace_back();
    wanted.name = face.lines.face.name;
    for (std::size_t i = 0; i < face.lines.face.strokes.size(); ++i) {
      const RecoveredStroke& stroke = face.lines.face.strokes[i];
      bool gone = all || face.covered.empty();
      if (!gone && stroke.placement) {
        gone = std::any_of(face.changes.begin(), face.changes.end(), [&](const auto& change) {
          return change.id == *stroke.placement && change.now != Now::shows;
        });
      } else if (!gone) {
        const std::vector<bool>& covered = face.covered[i];
        gone = 2 * std::count(covered.begin(), covered.end(), true) >
               static_cast<std::ptrdiff_t>(covered.size());
      }
      if (gone) wanted.strokes.push_back(stroke);
    }
  }
  return out;
}

// Fewer points that say the same, for the file. Along a stroke mm for a degree hardly change.
RecoveredFace simpler(RecoveredFace face, const Surface& surface) {
  for (RecoveredStroke& stroke : face.strokes) {
    if (!stroke.photo.empty() || stroke.points.size() < 3) continue;
    const double middle = stroke.points[stroke.points.size() / 2].y;
    const double mm = surface.mm_per_across(std::clamp(middle, 0.0, surface.along_mm()));
    for (Vec2& p : stroke.points) p.x *= mm;
    stroke.points = simpler_line(stroke.points, kFileMm);
    for (Vec2& p : stroke.points) p.x /= mm;
  }
  return face;
}

CoverWords cover_words(const RecoverResult& result, const Redraw& redraw) {
  CoverWords cover;
  cover.sheets = "redraw sheet";
  CoverNote missing{"Not recovered", {}};
  CoverNote partly{"Only partly seen", {}};
  CoverNote as_found{"Lines of no motif, as they were found", {}};
  for (const RecoveredOfFace& face : result.faces) {
    for (const FoundPlacement& p : face.lines.placements) {
      const bool found = is_found(p.finding);
      if (!found) missing.lines.push_back({std::to_string(p.id), words_for(p)});
      if (found && !words_for(p).empty()) {
        partly.lines.push_back({std::to_string(p.id), words_for(p)});
      }
    }
  }
  if (!redraw.as_found.empty()) {
    const auto [first, last] = std::minmax_element(redraw.as_found.begin(), redraw.as_found.end());
    as_found.lines.push_back({{},
                              *first == *last ? fmt::format("number {}", *first)
                                              : fmt::format("numbers {} to {}", *first, *last)});
  }
  for (CoverNote* note : {&missing, &partly, &as_found}) {
    if (!note->lines.empty()) cover.notes.push_back(std::move(*note));
  }
  return cover;
}

// How many drawings' places are seen, and at how many of these the drawing is.
struct Fit {
  std::size_t seen = 0;
  std::size_t fits = 0;

  void add(const std::vector<FoundPlacement>& found) {
    for (const FoundPlacement& p : found) {
      fits += is_found(p.finding) ? 1U : 0U;
      seen += is_found(p.finding) || p.finding == Finding::no_match ? 1U : 0U;
    }
  }
  double share() const {
    return seen == 0 ? 1.0 : static_cast<double>(fits) / static_cast<double>(seen);
  }
};

void check_fit(const fs::path& folder, const RecoverResult& result, const Fit& later) {
  Fit now;
  for (const RecoveredOfFace& face : result.faces) now.add(face.lines.placements);
  const bool swapped =
      later.seen > 0 && now.share() < kHalfFitting && later.share() > kNearlyAllFitting;
  if (!swapped && now.share() >= kLeastFitting) return;
  throw InputError(
      {.file = folder.string(),
       .line = {},
       .found = fmt::format(
           "the photos of stage {} show the places of {} drawings, but lines that "
           "fit only {} of them{}",
           result.before,
           now.seen,
           now.fits,
           swapped ? fmt::format("; those of stage {} fit {}", *result.after, later.fits) : ""),
       .expected = "photos of this piece with its lines drawn",
       .remedy = swapped ? fmt::format("if the stages were mixed up, pass --before {} --after {}",
                                       *result.after,
                                       result.before)
                         : "check that they are of this piece, and which stage shows the lines "
                           "(--before)"});
}

// The photos of a stage that could be read and show no mat.
std::vector<PhotoRow> without_mat(const StageFaces& stage) {
  std::vector<PhotoRow> out;
  for (const PhotoLeftOut& photo : stage.photos.left_out) {
    if (photo.no_mat) out.push_back(photo.row);
  }
  return out;
}

// Lays photos without a mat over each other, and takes them out of what is left out.
PairedPhotos pair_without_mat(const fs::path& folder,
                              StageFaces& before,
                              StageFaces* after,
                              const RecoverOptions& options,
                              const Progress& progress) {
  const std::vector<PhotoRow> drawn = without_mat(before);
  const std::vector<PhotoRow> later = after ? without_mat(*after) : std::vector<PhotoRow>{};
  if (drawn.empty() || later.empty()) return {};
  PairedPhotos out = pair_photos(folder, drawn, later, options.photos.longest_px, progress);
  for (StageFaces* stage : {&before, after}) {
    std::erase_if(stage->photos.left_out, [](const PhotoLeftOut& photo) { return photo.no_mat; });
  }
  return out;
}

// Empty where no photo lacks a mat.
std::string tapping_page(const std::string& piece, const fs::path& folder, PairedPhotos& paired) {
  if (paired.before.empty() || paired.after.empty()) return {};
  return points_page({piece, folder.string(), std::move(paired.before), std::move(paired.after)});
}

// The one file is new in out/, all else stays.
void publish_alone(const fs::path& folder,
                   const std::string& name,
                   const std::string& content,
                   const Notice& notice) {
  OutFolder out(folder, notice);
  out.write(name, content);
  out.take_over_all_but({name});
  out.publish();
}

// That of the first photo, where nothing can be used.
[[noreturn]] void refuse_all(const fs::path& folder,
                             const StageFaces& before,
                             const PairedPhotos& paired) {
  for (const auto* left_out : {&paired.left_out, &before.photos.left_out}) {
    if (!left_out->empty()) {
      throw InputError(
          {.file = {}, .line = {}, .found = left_out->front().why, .expected = {}, .remedy = {}});
    }
  }
  throw InputError({.file = folder.string(),
                    .line = {},
                    .found = "no photo of the stage before can be used",
                    .expected = {},
                    .remedy = {}});
}

// Strokes that are only known in a photo: of the face it was kept for, else of the first.
void add_photo_strokes(const std::vector<PairedPhoto>& pairs, std::vector<RecoveredFace>& faces) {
  for (const PairedPhoto& pair : pairs) {
    const auto named = std::find_if(faces.begin(), faces.end(), [&](const RecoveredFace& face) {
      return pair.before.face && face.name == *pair.before.face;
    });
    if (faces.empty()) return;
    RecoveredFace& face = named == faces.end() ? faces.front() : *named;
    std::vector<RecoveredStroke> strokes = strokes_of(pair);
    face.strokes.insert(face.strokes.end(),
                        std::make_move_iterator(strokes.begin()),
                        std::make_move_iterator(strokes.end()));
  }
}

}  // namespace

void RecoverOptions::validate() const {
  lines.validate();
  if (after && *after == before) {
    throw OptionError({.file = "stage after",
                       .line = {},
                       .found = *after,
                       .expected = "another than the stage before",
                       .remedy = {}});
  }
}

std::size_t RecoverResult::count(Finding finding) const {
  std::size_t out = 0;
  for (const RecoveredOfFace& face : faces) {
    out += static_cast<std::size_t>(std::count_if(
        face.lines.placements.begin(), face.lines.placements.end(), [&](const auto& p) {
          return p.finding == finding;
        }));
  }
  return out;
}

std::size_t RecoverResult::placements() const {
  std::size_t out = 0;
  for (const PlacedFace& face : placed) out += face.placements.size();
  return out;
}

std::string words_for(const FoundPlacement& found) {
  switch (found.finding) {
    case Finding::not_seen:
      return "not seen in any photo";
    case Finding::no_photos:
      return "no photos of its face are kept";
    case Finding::no_match:
      return "its place is seen, but its lines are not there";
    case Finding::mirrored:
      return "was drawn as its mirror image";
    case Finding::found:
      break;
  }
  if (found.seen > 0.9) return {};
  return fmt::format("{:.0f} % of its lines are seen", 100.0 * found.seen);
}

RecoverResult recover_piece(const fs::path& folder,
                            const RecoverOptions& options,
                            const Progress& progress,
                            const Notice& notice) {
  options.validate();
  PieceFile piece = read_piece_folder(folder);
  const StageRows rows = choose_stages(folder, options.before, options.after, notice);
  RecoverResult result;
  result.before = options.before;
  result.after = rows.after_stage;

  PieceResult made = place_piece(std::move(piece),
                                 folder / "piece.toml",
                                 {.until = MakeStep::place, .trace = {}, .prove = {}},
                                 part_of(progress, 0.0, kPlaced));
  result.piece = std::move(made.piece);
  result.placed = std::move(made.faces);
  result.motifs = std::move(made.placed_motifs);
  RecoverLinesOptions lines = options.lines;
  lines.read.line_mm = result.piece.tool.width_mm;

  PoseStageOptions photos = options.photos;
  photos.needs_mat = false;
  photos.bars = mat_bars(result.piece);
  const std::vector<double> sizes = result.piece.clay.sizes_from_transfer();
  StageFaces before = unroll_stage(pose_stage(folder, rows.before, photos),
                                   result.placed,
                                   sizes,
                                   part_of(progress, kPlaced, kUnrolled));
  std::optional<StageFaces> after;
  if (rows.after_stage) {
    after = unroll_stage(pose_stage(folder, rows.after, photos),
                         result.placed,
                         sizes,
                         part_of(progress, kUnrolled, kUnrolledAfter));
  }
  PairedPhotos paired = pair_without_mat(folder,
                                         before,
                                         after ? &*after : nullptr,
                                         options,
                                         part_of(progress, kUnrolledAfter, kPaired));
  const std::string tapping = tapping_page(result.piece.name, folder, paired);
  if (before.photos.photos.empty() && paired.pairs.empty()) {
    if (!tapping.empty()) publish_alone(folder, kTappingPage, tapping, notice);
    refuse_all(folder, before, paired);
  }
  // Pictures are drawn over the later photos; the others' pixels have done their work.
  if (after) {
    for (StagePhoto& photo : before.photos.photos) photo.bgr.release();
  }
  report(progress, "finding lines", kPaired);
  Fit later_fit;
  for (std::size_t f = 0; f < result.placed.size(); ++f) {
    const PlacedFace& placed = result.placed[f];
    RecoveredOfFace& face = result.faces.emplace_back();
    face.lines = lines_of(before.faces[f], placed, result.motifs, lines);
    if (const auto turn = turn_of_piece_deg(face.lines.placements, placed)) {
      face.lines = turned_round(std::move(face.lines), placed, -turn_back(*before.faces[f], *turn));
    }
    if (!after || !after->faces[f]) continue;
    RecoveredLines later = lines_of(after->faces[f], placed, result.motifs, lines);
    later_fit.add(later.placements);
    if (const auto turn =
            turn_since(*before.faces[f], *after->faces[f], face.lines, later, placed)) {
      later = turned_round(std::move(later), placed, -turn_back(*after->faces[f], *turn));
    } else if (placed.surface.round()) {
      result.warnings.push_back(fmt::format(
          "{}: the photos of stage {} show none of its drawings and nothing else that was there "
          "before, so how the piece was turned is taken from the mat: its seam tick at the 0° mark",
          placed.face.name,
          *result.after));
    }
    face.changes = compare_stages(face.lines.placements, later.placements);
    face.covered = covered_points(face.lines.face.strokes, placed.surface, later.seen);
  }
  check_fit(folder, result, later_fit);
  for (const StageFaces* stage : {&before, after ? &*after : nullptr}) {
    if (!stage) continue;
    result.left_out.insert(
        result.left_out.end(), stage->photos.left_out.begin(), stage->photos.left_out.end());
    result.warnings.insert(
        result.warnings.end(), stage->photos.warnings.begin(), stage->photos.warnings.end());
  }
  result.left_out.insert(result.left_out.end(), paired.left_out.begin(), paired.left_out.end());
  result.warnings.insert(result.warnings.end(), paired.warnings.begin(), paired.warnings.end());
  result.pairs = std::move(paired.pairs);
  if (before.photos.photos.empty()) {
    result.warnings.push_back(fmt::format(
        "no photo of stage {} shows a mat: its lines are drawn over later photos, and are on no "
        "sheet, since nothing tells their size",
        result.before));
  }
  result.photos_before = before.photos.photos.size();
  result.photos_after = after ? after->photos.photos.size() : 0;

  OutFolder out(folder, notice);
  const auto write = [&](const std::string& name, const std::string& content) {
    out.write(name, content);
    result.files.push_back((folder / "out" / name).string());
  };
  std::vector<RecoveredFace> recovered;
  for (std::size_t f = 0; f < result.faces.size(); ++f) {
    recovered.push_back(simpler(result.faces[f].lines.face, result.placed[f].surface));
  }
  add_photo_strokes(result.pairs, recovered);
  if (!tapping.empty()) write(kTappingPage, tapping);
  write("recovered.json", recovered_text(recovered));
  report(progress, "laying out redraw sheets", kFound);
  RedrawOptions redraw_options;
  redraw_options.line_mm = std::clamp(lines.read.line_mm, 0.02, 50.0);
  const Redraw redraw = redraw_motifs(
      result.placed, result.motifs, to_redraw(result, options.redraw_all), redraw_options);
  if (!redraw.motifs.empty()) {
    result.sheets = lay_out_sheets(result.piece.name,
                                   redraw.faces,
                                   redraw.motifs,
                                   result.piece.sheets,
                                   cover_words(result, redraw));
    const std::string pdf = sheets_pdf(result.sheets);
    write("redraw.pdf", pdf);
    result.proof = prove_pdf_bytes(pdf,
                                   (folder / "out" / "redraw.pdf").string(),
                                   result.sheets,
                                   options.prove,
                                   part_of(progress, kFound, kDrawn));
    if (!result.proof.ok) return result;
  }
  write_recovered_pictures(
      result, {before, after ? &*after : nullptr}, write, part_of(progress, kDrawn, 1.0));
  out.take_over_all_but(
      {"recovered.json", "redraw.pdf", "overlays", "unrolled", "bench.html", kTappingPage});
  out.publish();
  result.published = true;
  report(progress, "done", 1.0);
  return result;
}

}  // namespace underdraw
