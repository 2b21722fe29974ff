#include <stdexcept>

#include "bench/benches.h"
#include "bench/register_one.h"
#include "io/svg.h"
#include "repeat/arrange.h"

namespace underdraw::bench {
namespace {

constexpr double kHeightMm = 20.0;
constexpr double kGapMm = 5.0;
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

}  // namespace

void register_placing() {
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
