// The four ticks of a cut-out and those of its copy on the map say the same: the drawing lies in
// the same place, turned the same way, against either.
#include <gtest/gtest.h>

#include "sheet/decorated_faces.h"
#include "sheet/face_map.h"
#include "sheet/lay_out_sheets.h"

namespace underdraw {
namespace {

// Where the ticks' lines cross, and which way is up.
struct Datum {
  Vec2 at, right, up;

  // A place in mm of the copy, seen from the datum.
  Vec2 seen(Vec2 p, double scale) const {
    return Vec2{dot(p - at, right), dot(p - at, up)} / scale;
  }
};

// Above, below, left, right; outward or inward.
Datum datum_of(const PathMark& ticks) {
  std::vector<Vec2> middles;
  for (const Path& path : ticks.paths) middles.push_back(path.box().centre());
  const Vec2 up = normalized(middles[0] - middles[1]);
  const Vec2 right = normalized(middles[3] - middles[2]);
  // On the line through above and below, at the height of the one at the left.
  const Vec2 at = middles[1] + up * dot(middles[2] - middles[1], up);
  return {at, right, up};
}

bool straight(const Path& path) { return path.piece_count() == 1 && !path.closed; }

std::vector<Datum> datums_of(const std::vector<Mark>& marks, double line_width_mm) {
  std::vector<Datum> out;
  for (const Mark& mark : marks) {
    const auto* path = std::get_if<PathMark>(&mark);
    if (path == nullptr || path->paths.size() != 4 || path->line_width_mm != line_width_mm ||
        !std::all_of(path->paths.begin(), path->paths.end(), straight)) {
      continue;
    }
    out.push_back(datum_of(*path));
  }
  return out;
}

class DatumTicks : public ::testing::TestWithParam<int> {};

TEST_P(DatumTicks, OnSheetsAndMapAgree) {
  const std::vector<Motif> motifs = sample_motifs();
  const PlacedFace face = one_of_each_form().at(static_cast<std::size_t>(GetParam()));
  for (const TransferMethod method : {TransferMethod::carbon, TransferMethod::face_down}) {
    SheetOptions options;
    options.method = method;
    options.turn = CutOutTurn::half;
    const SheetPlan plan = lay_out_sheets("Harbour jar", {face}, motifs, options);
    const FaceMap map = face_map(face, motifs, {{0, 0}, {190, 270}});
    const std::vector<Datum> on_map = datums_of(map.marks, 0.15);
    std::vector<Affine> copies;  // page from the motif in its size on the map
    for (const Mark& mark : map.marks) {
      if (const auto* shared = std::get_if<SharedMark>(&mark)) {
        copies.push_back(shared->page_from_marks);
      }
    }
    ASSERT_EQ(on_map.size(), face.placements.size()) << name_of(face.face.form);
    ASSERT_EQ(copies.size(), face.placements.size());
    std::size_t compared = 0;
    for (const Sheet& sheet : plan.sheets) {
      for (const CutOut& cut_out : sheet.cut_outs) {
        const auto i = static_cast<std::size_t>(cut_out.placement - 1);
        const std::vector<Datum> on_sheet = datums_of(cut_out.labels, 0.3);
        ASSERT_EQ(on_sheet.size(), 1U);
        const Motif& motif = motif_named(motifs, cut_out.motif);
        const double size = face.placements[i].change.scale * map.scale;
        for (const Vec2 p : {Vec2{0, 0}, Vec2{motif.width_mm, 0}, Vec2{3, motif.height_mm}}) {
          Vec2 sheet_says = on_sheet[0].seen(cut_out.sheet_from_motif * p, 1.0);
          if (plan.printed_mirrored()) sheet_says.x = -sheet_says.x;
          const Vec2 map_says = on_map[i].seen(copies[i] * (p * size), map.scale);
          EXPECT_LT(distance(sheet_says, map_says), 1e-6)
              << name_of(face.face.form) << " " << cut_out.placement;
          ++compared;
        }
      }
    }
    EXPECT_EQ(compared, 3 * face.placements.size());
  }
}

INSTANTIATE_TEST_SUITE_P(Form,
                         DatumTicks,
                         ::testing::Range(0, static_cast<int>(one_of_each_form().size())));

}  // namespace
}  // namespace underdraw
