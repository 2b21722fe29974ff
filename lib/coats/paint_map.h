// What is to be painted on a piece: every closed area of every copy, and the ground round them.
//
// Stage:   coats. Pure.
// In/out:  placements on their faces at the size when the lines go on; areas in face coordinates
//          (piece/face.h), sizes on the surface itself, not on paper.
// Names:   "7b" is area b of placement 7; letters are those of the motif as drawn. The ground of a
//          face bears the face's name. Every spot of a face belongs to one area, or to a zone that
//          is kept free.
// Behind:  what lies in front takes its areas whole; what was cut along it keeps what is left.
// Refuses: what closed_areas refuses; a colour on an area that its motif does not have
//          (GeometryError, with the line of the piece file).
#pragma once

#include <cstddef>
#include <optional>
#include <string>
#include <vector>

#include "coats/closed_areas.h"
#include "coats/colours.h"
#include "repeat/arrange.h"

namespace underdraw {

struct PaintArea {
  std::string name;
  int placement = 0;  // 0: the face's ground
  std::string motif;  // empty: the ground
  std::string letter;
  Rings on_face;          // empty: the ground, which is what all others leave
  double size_cm2 = 0.0;  // less the gap that is kept to its neighbours
  std::optional<std::size_t> colour;
  FacePoint at;         // of its placement; the ground: none
  bool behind = false;  // cut along what lies in front
};

struct PaintedFace {
  std::string name;
  double size_cm2 = 0.0;         // of the face
  double kept_free_cm2 = 0.0;    // zones
  std::vector<PaintArea> areas;  // the ground first, then by placement and letter
};

// A motif as drawn, with its areas in the order of their letters.
struct LetteredMotif {
  std::string name;
  ClosedAreas found;
};

// What one colour covers in one go: a ground, or all areas of a placement that take that colour.
struct PaintPart {
  std::string name;   // "ground"; "7" for all areas of placement 7, "7bd" for two of them
  int placement = 0;  // 0: the ground
  std::optional<std::size_t> colour;
  double size_cm2 = 0.0;
  FacePoint at;
  bool behind = false;
};
std::vector<PaintPart> parts_of(const PaintedFace& face);

struct PaintMap {
  std::vector<Colour> colours;
  CoatOptions options;
  std::vector<PaintedFace> faces;     // those with a placement or a colour of their own
  std::vector<LetteredMotif> motifs;  // those that are placed
  std::vector<std::string> warnings;  // leaks, areas without a colour
};

// Which colour an area takes: that of the area, else of the motif, else of the face's ground.
std::optional<std::size_t> colour_of(const std::vector<Colour>& colours,
                                     const std::string& face,
                                     const std::string& motif,
                                     const std::string& letter);

PaintMap paint_map(const std::vector<PlacedFace>& faces,
                   const std::vector<Motif>& motifs,
                   const std::vector<Colour>& colours,
                   const CoatOptions& options = {});

}  // namespace underdraw
