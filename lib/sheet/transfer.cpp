#include "sheet/transfer.h"

#include <array>

#include <fmt/format.h>
#include <fmt/ranges.h>

#include "core/error.h"

namespace underdraw {
namespace {

struct Method {
  TransferMethod method;
  std::string name;
  TransferSteps steps;
};

const std::array<Method, 6>& methods() {
  static const std::array<Method, 6> all = {
      {{TransferMethod::carbon,
        "carbon",
        {0,
         0,
         "printed side up",
         {"Lay carbon paper on the piece, dark side down, and the cut-out on it, printed side up.",
          "Go over every line with a hard pencil or a ball stylus."}}},
       {TransferMethod::shaded_back,
        "shaded-back",
        {0,
         0,
         "printed side up",
         {"Shade the back of the cut-out with a soft pencil and lay it on the piece, printed side "
          "up.",
          "Go over every line with a hard pencil; the shading comes off where you press."}}},
       {TransferMethod::both_sides,
        "both-sides",
        {1,
         1,
         "printed side up",
         {"Hold the cut-out against a window, printed side to the glass, and go over the lines on "
          "its back with a soft pencil.",
          "Lay it on the piece, printed side up, and go over every line again with a hard pencil; "
          "the soft lines on the back come off."}}},
       {TransferMethod::face_down,
        "face-down",
        {1,
         0,
         "printed side down",
         {"Go over the printed lines with a soft pencil, on the printed side.",
          "Lay the cut-out on the piece, printed side down, and rub its back with a spoon."}}},
       {TransferMethod::pricked,
        "pricked",
        {0,
         0,
         "printed side up",
         {"Lay the cut-out on something soft and prick through every dot with a needle; the grey "
          "line only shows where they lead.",
          "Lay it on the piece, printed side up, and dab charcoal through the holes with a small "
          "bag of cloth. Do not blow the dust away: take the rest up with a damp sponge."}}},
       {TransferMethod::tissue,
        "tissue",
        {1,
         0,
         "tissue, inked side down",
         {"Lay tissue over the cut-out, draw the lines on it with underglaze pencil or ink, and "
          "the ticks too.",
          "Lay the tissue on the piece, inked side down, and rub or dampen its back."}}}}};
  return all;
}

const Method& entry(TransferMethod method) { return methods()[static_cast<std::size_t>(method)]; }

}  // namespace

TransferMethod transfer_method(const std::string& name) {
  for (const Method& m : methods()) {
    if (m.name == name) return m.method;
  }
  throw OptionError({.file = {},
                     .line = {},
                     .found = fmt::format("transfer method is \"{}\"", name),
                     .expected = fmt::format("one of {}", fmt::join(transfer_names(), ", ")),
                     .remedy = {}});
}

std::string transfer_name(TransferMethod method) { return entry(method).name; }

std::vector<std::string> transfer_names() {
  std::vector<std::string> names;
  for (const Method& m : methods()) names.push_back(m.name);
  return names;
}

const TransferSteps& transfer_steps(TransferMethod method) { return entry(method).steps; }

bool printed_mirrored(const TransferSteps& steps) {
  return (steps.face_down_contacts + steps.tracings_from_back) % 2 != 0;
}

bool printed_mirrored(TransferMethod method) { return printed_mirrored(transfer_steps(method)); }

}  // namespace underdraw
