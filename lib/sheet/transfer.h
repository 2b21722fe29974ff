// How lines get from the sheet onto the piece, and whether the sheet must be printed mirrored.
//
// Stage:   sheet. Pure.
// Refuses: unknown method names (OptionError lists the known ones).
// Source:  parity of reversals, own construction: each time that inked lines are laid face down
//          on something, and each time that lines are traced as seen from the back of the paper,
//          left and right change places. An odd number of changes needs a mirrored print.
#pragma once

#include <string>
#include <vector>

namespace underdraw {

enum class TransferMethod { carbon, shaded_back, both_sides, face_down, pricked, tissue };

// From hole to hole, of the pricked method.
constexpr double kLeastPitchMm = 1.0;
constexpr double kMostPitchMm = 5.0;

struct TransferSteps {
  int face_down_contacts = 0;          // lines pressed face down onto the next surface
  int tracings_from_back = 0;          // lines followed as seen from the back of their paper
  std::string side;                    // which side of the sheet goes down: "printed side up"
  std::vector<std::string> sentences;  // what to do, one plain sentence a step
};

TransferMethod transfer_method(const std::string& name);
std::string transfer_name(TransferMethod method);
std::vector<std::string> transfer_names();

const TransferSteps& transfer_steps(TransferMethod method);

bool printed_mirrored(const TransferSteps& steps);
bool printed_mirrored(TransferMethod method);

}  // namespace underdraw
