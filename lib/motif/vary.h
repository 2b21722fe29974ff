// Mirrored, turned and scaled copies of motifs.
//
// Stage:   motif. Pure.
// Refuses: two motifs of one name, scales outside [0.05, 20], turns outside [-360, 360]
//          (OptionError).
#pragma once

#include <optional>
#include <string>
#include <vector>

#include "motif/motif.h"
#include "motif/own_mirror.h"

namespace underdraw {

enum class Mirrors { both, as_drawn, mirrored };

struct VaryOptions {
  Mirrors mirrors = Mirrors::both;
  std::vector<double> scales = {1.0};     // each > 0
  std::vector<double> turns_deg = {0.0};  // clockwise on paper
  bool skip_mirror_of_symmetric = false;  // leaves out mirrored copies that look like the original
  OwnMirrorOptions own_mirror = {};

  void validate() const;  // throws OptionError
};

struct Variant {
  Motif motif;         // the copy as a motif of its own, named "kelp-mirrored-75"
  std::string source;  // name of the motif it was made from
  Change change;
};

struct VaryResult {
  std::vector<Variant> variants;  // motif by motif: as drawn and mirrored, by turn, by scale

  // Names of motifs that are their own mirror image, and how well, in the same order. With an
  // upright axis (90) the mirrored copy is the motif again, with any other it is the motif turned.
  std::vector<std::string> own_mirrors;
  std::vector<OwnMirror> own_mirror_fits;
};

// Name of a copy: "kelp", "kelp-mirrored", "kelp-75" (percent), "kelp-turned-90".
std::string variant_name(const std::string& motif, const Change& change);

// One copy, as a motif of its own. Mirrored twice is the original, bit for bit.
Motif changed(const Motif& motif, const Change& change);

VaryResult vary(const std::vector<Motif>& motifs, const VaryOptions& options = {});

}  // namespace underdraw
