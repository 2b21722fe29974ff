// How many bands, gores or ribs a face takes so that the paper lies within a strain limit.
//
// Stage:   piece. Pure. Used by face_template.h only.
// In/out:  mm along the wall; strain as a share (0.01 is 1 %).
// Refuses: more than kMostParts parts (GeometryError).
// Source:  bands: the cone through the wall's circles at the band's ends, made wider or narrower so
//          that the error is the same both ways. Gores: what their edge is longer or shorter than
//          the wall, as a mean over the edge, which is what a seam has to take up: on a ball
//          (pi / N)² / 4, as for gores with straight levels. Ribs: the largest anywhere on their
//          edge, and across the middle that stays whole.
#pragma once

#include <optional>
#include <vector>

#include "piece/template_maps.h"

namespace underdraw {

constexpr int kMostParts = 360;

struct Band {
  double from_mm = 0.0;
  double to_mm = 0.0;
  ConeNet net;
  double strain = 0.0;  // largest across, either way
};

// As few bands as the limit allows, or as many as asked for, all about equally good.
std::vector<Band> fit_bands(const Profile& wall, double limit, std::optional<int> count);

struct Gores {
  int count = 0;
  Levels levels;
  double strain = 0.0;
};
Gores fit_gores(const Profile& wall, double limit, std::optional<int> count);

struct FittedRibs {
  Ribs ribs;
  double strain = 0.0;
};
FittedRibs fit_ribs(const Surface& patch, double limit, std::optional<int> count);

}  // namespace underdraw
