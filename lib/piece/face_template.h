// The flat shape of a face at true size, in one piece or several, and how well it lies.
//
// Stage:   piece. Pure.
// Frames:  each part has its own: mm, origin top left of its outline, x right, y down, the foot
//          down. Face points as in piece/face.h.
// Exact:   flat, cylinder, cone, ring, and turned walls of two readings. Others lie within a strain
//          limit.
// Refuses: what surface_of() refuses, a kind that the face cannot have (OptionError), a limit that
//          would take too many pieces (GeometryError).
// Source:  frustum development as in any handbook of sheet metal; gores as wide at each level as
//          the circumference there over their number, levels as arcs (polyconic development:
//          J. P. Snyder, Map Projections: A Working Manual, USGS PP 1395, 1987). Straight levels
//          would shear the paper by up to 180° / number at the tips. Darted piece: own
//          construction, strips as narrow as gores that hang together along the middle: cuts from
//          the edges are fewer and shorter than rays, and leave the middle whole.
#pragma once

#include <memory>
#include <optional>
#include <string>
#include <vector>

#include "piece/surface.h"
#include "piece/template_maps.h"

namespace underdraw {

enum class TemplateKind { rectangle, outline, sector, bands, gores, darted };

std::string name_of(TemplateKind kind);  // "rectangle", "bands"…
std::optional<TemplateKind> template_kind_named(const std::string& name);

struct TemplateOptions {
  double strain_limit_percent = 1.0;  // [0.05, 20]
  std::optional<TemplateKind> kind;   // bands or gores for turned walls and balls; nothing: fewer
  std::optional<int> count;           // of bands or gores, or strips of a patch; [1, 360]

  void validate() const;  // throws OptionError
};

// By how much the paper would have to stretch to lie on the face, in percent; below 0 it has too
// much and creases.
struct Strain {
  double across = 0.0;   // the way round or from side to side
  double along = 0.0;    // up the wall
  double largest = 0.0;  // in the worst direction
};

using Polyline = std::vector<Vec2>;

struct TemplatePart {
  std::string name = {};  // "wall", "band 2 of 5", "gore 3 of 16"
  FaceSpan covers = {};
  Rings outline =
      {};  // one ring, positive signed area; several only on flat faces with holes or isles
  double width_mm = 0.0;
  double height_mm = 0.0;

  // Edges as lines for marks: low and high ends of `along`, and the sides. On a flat face or a
  // patch the foot is the lower edge.
  std::vector<Polyline> foot_edges = {};
  std::vector<Polyline> rim_edges = {};
  std::vector<Polyline> seam_edges = {};
  std::vector<Polyline> cuts =
      {};  // of a darted piece: the middle of each, from the outline inwards

  // Inside `covers`; a point that falls into an open slit goes to its edge.
  Vec2 part_from_face(FacePoint point) const;
  FacePoint face_from_part(Vec2 point) const;  // across in [across_from, across_to]
  bool covers_point(FacePoint point) const;    // inside the span and on paper

  Strain strain_at(FacePoint point) const;  // 0 where there is no paper

  Surface surface = {};
  std::shared_ptr<const PartMap> map = {};
  Vec2 corner = {};  // top left of the outline on the map's paper
};

struct FaceTemplate {
  TemplateKind kind = TemplateKind::rectangle;
  std::vector<TemplatePart> parts = {};  // bands from the foot, gores from the seam tick
  bool exact = true;
  // What the limit is held against: the largest anywhere on bands and on a darted piece; on gores
  // the mean along their edge, which is what the seam there has to take up.
  double strain_percent = 0.0;
  Strain largest = {};  // anywhere, each of the three, with its sign
  int darts = 0;
  std::string reason = {};  // why this kind and number, in plain words

  // The part that holds the point; the first when several do.
  const TemplatePart& part_of(FacePoint point) const;
};

FaceTemplate face_template(const Face& face,
                           double factor = 1.0,
                           const TemplateOptions& options = {});

}  // namespace underdraw
