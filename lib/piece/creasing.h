// How much a motif's own extent makes the paper crease, and how many cuts let it lie down.
//
// Stage:   piece. Pure.
// Refuses: limits outside their ranges (OptionError).
// Source:  J. Bertrand, V. Puiseux, C. F. Diguet, Démonstration d'un théorème de Gauss, J. Math.
//          Pures Appl. 13 (1848) 80-90: a disc of radius r on curvature K has a rim shorter than
//          2 pi r; a strip of half width h along a great circle has edges shorter by 1 - cos.
#pragma once

#include <optional>

#include "piece/surface.h"

namespace underdraw {

struct CreasingOptions {
  double strain_limit_percent = 1.0;  // paper that is off by less lies flat; [0.05, 20]

  void validate() const;  // throws OptionError
};

// Share by which the rim of a flat disc is too long for the surface (below 0: too short) when its
// radial lengths are kept.
double disc_misfit(double curvature_per_mm2, double radius_mm);

// Largest radius of a disc, and half width of a strip, with no more misfit than the limit; nothing
// on surfaces where every size lies flat.
std::optional<double> flat_disc_radius_mm(double curvature_per_mm2, double limit_percent);
std::optional<double> flat_strip_half_width_mm(double curvature_per_mm2, double limit_percent);

// Cuts that part a disc into petals that each lie flat as a strip; 0 when the whole disc does.
int dart_count(double curvature_per_mm2, double radius_mm, double limit_percent);

// What all the darts of a disc take up together round the circle of that radius, mm; below 0: what
// opens there.
double dart_width_mm(double curvature_per_mm2, double radius_mm);

struct Creasing {
  double curvature_per_mm2 = 0.0;  // mean over the copy, or over that half of it that creases more
  double strain_percent = 0.0;     // of the rim there; above 0 the paper is too long and creases,
                                   // below 0 too short and stands off
  bool flat = true;                // within the limit
  std::optional<double> largest_flat_mm;  // diameter that stays flat here; nothing: any
  std::optional<double> scale_that_fits;  // what this copy may be scaled by to lie flat; ditto
};

// Of a copy that reaches `radius_mm` from the point where it is laid.
Creasing creasing_at(const Surface& surface,
                     FacePoint at,
                     double radius_mm,
                     const CreasingOptions& options = {});

}  // namespace underdraw
