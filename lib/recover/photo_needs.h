// Whether the lines of each placement can be got back from photos, told before they are covered,
// and from where to take another photo where they cannot.
//
// Stage:   recover. Pure.
// Frames:  face points, see piece/face.h. Directions for a photo: degrees on the mat from its 0°,
//          as a grows.
// In/out:  an unrolled face and where lines lie on it -> a verdict a placement. A stretch of line
//          counts as got back where one photo sees it well: not too steep, sharp enough for its
//          width, without glare.
// Refuses: options outside their ranges (OptionError); a placement whose motif is not given
//          (GeometryError).
// Source:  own construction. 65°: a line is 0.4 of its width there, and lies half a mm off for 0.2
//          mm of error in the wall's place.
#pragma once

#include <optional>
#include <string>
#include <vector>

#include "motif/motif.h"
#include "recover/unroll.h"
#include "repeat/arrange.h"

namespace underdraw {

struct PlacementLines {
  int placement = 0;
  std::vector<std::vector<FacePoint>> lines;
};

// Where the lines of a face's placements are meant to lie, points at most 1 mm apart.
std::vector<PlacementLines> placement_lines(const PlacedFace& face,
                                            const std::vector<Motif>& motifs);

struct PhotoNeedsOptions {
  double steepest_deg = 65.0;  // [30, 80]
  double line_mm = 0.5;        // width of what drew the lines; [0.1, 5]
  double blur_share = 1.5;     // most blur, one sigma over the line's width, which leaves it a
                               // quarter of its darkness; [0.1, 2]
  double most_blur_mm = 0.5;   // beyond, lines of a drawing run together; [0.05, 2]
  double least_seen = 0.9;     // share of the length of its lines; [0.5, 1]

  void validate() const;  // throws OptionError
};

enum class PhotoLack { none, not_in_view, too_steep, blurred, glare };

struct PhotoNeed {
  int placement = 0;
  bool recoverable = false;
  PhotoLack lack = PhotoLack::none;  // of most of what is not seen well
  double seen = 0.0;                 // share of its lines that is seen well
  double steep_deg = 90.0;           // at which the rest is seen best, median
  double blur_mm = 0.0;              // there
  std::optional<double> from_deg;    // where to stand on the mat for another; nothing: from above
  double from_up_deg = 0.0;          // how far above the wall's foot it looks from
  std::string text;                  // "number 7 is seen only at 71°; take one from 200°"
};

std::vector<PhotoNeed> photo_needs(const Surface& surface,
                                   const UnrolledFace& face,
                                   const std::vector<PlacementLines>& placements,
                                   const PhotoNeedsOptions& options = {});

}  // namespace underdraw
