// How much clay shrinks between any two of its stages.
//
// Stage:   piece. Pure.
// In/out:  percent of length per step in; a factor on lengths out.
// Refuses: percentages outside [0, 30] (OptionError).
// Source:  percent of the length before the step, composed and never added: Digitalfire reference
//          library, note on shrinkage (6.25 % and 6.66 % make 12.5 %, not 12.9 %); ASTM C326 for
//          the terms. The split of drying at leather-hard is common practice, no source.
#pragma once

#include <optional>
#include <string>
#include <vector>

namespace underdraw {

// The stages in the order in which a piece passes them.
enum class ClayStage { wet, leather_hard, dry, bisque, glazed };

std::string name_of(ClayStage stage);                                // "leather-hard"
std::optional<ClayStage> clay_stage_named(const std::string& name);  // nothing: no such stage

struct Shrinkage {
  // Percent of the length before the step. Nothing: not known, so no step over it can be taken.
  std::optional<double> drying_percent;  // wet to dry
  std::optional<double> bisque_percent;  // dry to bisque
  std::optional<double> glaze_percent;   // bisque to glazed

  void validate() const;  // throws OptionError

  // Length at `to` over length at `from`; below 1 going forward, above 1 going back. Drying is
  // taken as two equal factors, so leather-hard lies half way in ratio: potters reckon that about
  // half of the drying shrinkage is over by then, and equal factors keep the whole exact. Throws
  // OptionError when a step in between is not known.
  double factor(ClayStage from, ClayStage to) const;
};

// The clay of one piece and when what was done to it.
struct Clay {
  Shrinkage shrinkage;
  ClayStage measured_at = ClayStage::bisque;  // when the tape was used
  ClayStage transfer_at = ClayStage::bisque;  // when the lines go on

  double transfer_from_measured() const;  // factor on tape lengths
  double transfer_from_finished() const;  // factor on lengths wanted on the glazed piece
  double finished_from_measured() const;
  // Lengths at every stage over those when the lines go on: 1, then the later stages', then the
  // earlier ones'. Stages behind a step that is not known are left out.
  std::vector<double> sizes_from_transfer() const;
  std::string explained() const;  // both factors and what they come from, in one line
};

}  // namespace underdraw
