// What was measured twice must agree, and what the tape's own doubt does to the fit.
//
// Stage:   piece. Pure.
// In/out:  mm as the tape, ruler or calipers gave them.
// Refuses: two readings of one length more than 2 % apart, a wall shorter than it must be, nothing
//          measured at all (GeometryError, both numbers).
// Source:  slant of a frustum by Pythagoras; ranges by taking every reading at both ends of its
//          doubt, the independent shares added as squares (ordinary error propagation).
#pragma once

#include <optional>
#include <string>

#include "piece/face.h"

namespace underdraw {

constexpr double kReadingsAgree = 0.02;  // share of the larger reading

// Circumference from whichever was measured; both must agree. `what` names the place: "at the rim".
double circumference_from(std::optional<double> circumference_mm,
                          std::optional<double> diameter_mm,
                          const std::string& what);
double diameter_from(std::optional<double> diameter_mm,
                     std::optional<double> circumference_mm,
                     const std::string& what);

// Length along a conical wall from its height, or as measured; both must agree.
double cone_slant_mm(double foot_circumference_mm,
                     double rim_circumference_mm,
                     std::optional<double> height_mm,
                     std::optional<double> slant_mm);

// Length from the outer to the inner edge of a ring, from its rise (0: flat) or as measured; both
// must agree. Nothing given: flat.
double ring_slant_mm(double inner_diameter_mm,
                     double outer_diameter_mm,
                     std::optional<double> height_mm,
                     std::optional<double> slant_mm);

// How much a line over the surface bends, 1/mm, from its tape length and the straight line between
// its ends. Expects tape > 0 and tape * 2 / pi <= chord <= tape.
double bend_per_mm(double tape_mm, double chord_mm);

// From low to high; nothing above: there is no upper end.
struct DoubtfulSize {
  double low_mm = 0.0;
  std::optional<double> high_mm;
};

// How far a tape that is off by `tape_mm` puts the fit off.
struct TapeEffect {
  double tape_mm = 0.0;
  double seam_mm = 0.0;  // where a row closes, were it all there; 0 on faces that do not close
  double gap_mm = 0.0;   // of each gap, since rows are spread

  // Doubly curved faces only, where they curve most.
  std::optional<double> curvature_per_mm2;
  double curvature_doubt_per_mm2 = 0.0;
  DoubtfulSize largest_flat;  // diameter of paper that lies flat within the strain limit

  std::string text;  // one or two plain sentences
};

// `gaps` in a full row round the face; `factor` from tape lengths to the stage of transfer.
TapeEffect tape_effect(const Face& face,
                       int gaps,
                       double factor = 1.0,
                       double strain_limit_percent = 1.0);

}  // namespace underdraw
