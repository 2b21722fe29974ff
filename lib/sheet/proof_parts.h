// Whether the parts of one placement make up the whole: in a plan, and by their crosses in print.
//
// Stage:   sheet. Pure.
// How:     in a plan, parts are numbered once each, lie in the print's frame where their cut-outs
// say, show
//          every place of the drawing, and show it twice only where neighbours overlap; every cross
//          stands in one more part at the same place, and what they join hangs together.
// Source:  own construction.
#pragma once

#include <string>
#include <vector>

#include "sheet/proof.h"
#include "sheet/proof_lines.h"
#include "sheet/sheet_plan.h"

namespace underdraw {

// All cut-outs of one placement that are parts. Empty: nothing is wrong.
std::vector<std::string> check_parts(const std::vector<const CutOut*>& parts,
                                     const Motif& motif,
                                     const Affine& print_from_motif);

// The drawing's lines, and behind them those of the part's crosses, so that samples of either know
// that the other is near. Sheet frame.
Linework with_crosses(Linework lines, const CutOut& cut_out);

// Takes the crosses' samples out of those of with_crosses(). Guides are grey: near them a cross is
// not measured.
std::vector<LineSample> samples_of_crosses(std::vector<LineSample>& samples,
                                           const Linework& lines,
                                           const Linework& guide,
                                           const CutOut& cut_out);

// How true a part's crosses are printed; its words are left to the caller.
PartProof measure_crosses(const GreyView& page,
                          const CutOut& cut_out,
                          const std::vector<LineSample>& crosses);

}  // namespace underdraw
