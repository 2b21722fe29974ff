#include <stdexcept>

#include "bench/benches.h"
#include "bench/register_one.h"
#include "io/svg.h"
#include "repeat/arrange.h"
#include "repeat/scatter.h"

namespace underdraw::bench {
namespace {

constexpr double kHeightMm = 20.0;
constexpr double kGapMm = 5.0;
constexpr double kScatterHeightMm = 23.6;
constexpr double kScatterGapMm = 3.0;
constexpr int kUnitsInRow = 10;
constexpr int kMostRows = 100;  // 5,000 copies, as many as one arrangement may make

// Five of the sample's sketches, as drawn: ten times round make a row of fifty.
std::vector<Motif> five_motifs() {
  const SvgPage page =
      read_svg_page(UNDERDRAW_SOURCE_DIR "/samples/harbour-jar/truth/harbour-sketches.svg");
  std::vector<Motif> motifs;
  for (std::size_t i = 0; i < 5; ++i) {
    motifs.push_back(make_motif(page.groups.at(i).name, page.groups.at(i).lines));
  }
  return motifs;
}

// As dense as it goes, and about this many copies: a wall of 372 x 250 mm and a mural panel of
// 3000 x 2000 mm with the same six motifs, their height and gap in proportion.
void register_scattering() {
  const SvgPage page =
      read_svg_page(UNDERDRAW_SOURCE_DIR "/samples/harbour-jar/truth/harbour-sketches.svg");
  struct Wall {
    const char* copies;
    FaceForm form;
    double enlarged;
  };
  const std::vector<Wall> walls = {{"200", CylinderFace{372.0, 250.0}, 1.0},
                                   {"5000", FlatFace{3000.0, 2000.0, {}}, 1.6}};
  for (const Wall& wall : walls) {
    std::vector<ScatterKind> kinds;
    for (const SvgGroup& group : page.groups) {
      const Motif motif = make_motif(group.name, group.lines);
      const Affine laid = Affine::scale(kScatterHeightMm * wall.enlarged / motif.height_mm) *
                          Affine::translate(-motif.centre());
      kinds.push_back({transformed(silhouette(motif.lines, {.tolerance_mm = 0.02}), laid)});
    }
    Face face;
    face.name = "wall";
    face.form = wall.form;
    const Surface surface = surface_of(face);
    ScatterOptions options;
    options.gap_mm = kScatterGapMm * wall.enlarged;
    const double due = std::stod(wall.copies);
    register_one(std::string("scatter/") + wall.copies, [=] {
      Scattering made = scatter(surface, {}, kinds, options);
      const double count = static_cast<double>(made.copies.size());
      if (count < 0.93 * due || count > 1.07 * due) {
        throw std::runtime_error(std::to_string(made.copies.size()) + " copies, not about " +
                                 wall.copies);
      }
      return made;
    });
  }
}

}  // namespace

void register_placing() {
  register_scattering();
  const std::vector<Motif> motifs = five_motifs();
  Arrangement asked;
  asked.face = "wall";
  asked.style = Style::rows;
  asked.heights_mm = {kHeightMm};
  asked.gap_mm = kGapMm;
  double unit_mm = 0.0;
  for (const Motif& motif : motifs) {
    asked.motifs.push_back(motif.name);
    unit_mm += motif.width_mm * kHeightMm / motif.height_mm + kGapMm;
  }
  const Face face{
      "wall", CylinderFace{kUnitsInRow * unit_mm + 1.0, kMostRows * (kHeightMm + kGapMm)}, {}};
  const Clay as_it_is{{0.0, 0.0, 0.0}, ClayStage::bisque, ClayStage::bisque};
  for (const int rows : {2, 20, kMostRows}) {
    asked.rows = rows;
    const std::size_t due = static_cast<std::size_t>(rows) * kUnitsInRow * motifs.size();
    register_one(
        "arrange/" + std::to_string(due),
        [=] {
          std::vector<PlacedFace> faces = arrange({face}, {asked}, motifs, as_it_is).faces;
          if (faces.at(0).placements.size() != due) throw std::runtime_error("not all placed");
          return faces;
        },
        3);
  }
}

}  // namespace underdraw::bench
