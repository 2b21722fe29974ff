#include "sheet/cautions.h"

#include <algorithm>
#include <string_view>

namespace underdraw {

const std::vector<Caution>& all_cautions() {
  static const std::vector<Caution> kCautions = {
      {"Dust",
       "Clay and glaze dust holds silica and harms the lungs. Never sand or sweep it dry: work and "
       "wipe wet, and keep to local rules on dust."},
      {"Fumes",
       "Paper, wax, pencil and carbon give off fumes when they burn out. Vent the kiln outdoors, "
       "by "
       "ducting that a licensed installer has fitted."},
      {"Food",
       "Non-toxic is not food-safe. What counts is the fired surface as a whole: follow the "
       "makers' "
       "data sheets and have it tested."},
      {"Blades",
       "Cut on a mat, away from the hand that holds the paper, and put caps on knives and "
       "needles."},
      {"Children",
       "Give them only materials that the maker labels for children; keep cutting, dry powders and "
       "the kiln to adults, as local rules for schools ask."}};
  return kCautions;
}

std::vector<Caution> cautions_for_coats() {
  std::vector<Caution> out = all_cautions();
  std::erase_if(out, [](const Caution& c) { return std::string_view(c.head) == "Blades"; });
  return out;
}

TextLines caution_lines(const std::vector<Caution>& cautions, double width_mm) {
  TextLines lines;
  append_text(lines,
              "Take care",
              width_mm,
              {.text = {}, .size_mm = kHeadSize, .bold = true, .hanging = {}});
  for (const Caution& caution : cautions) {
    append_text(lines,
                caution.text,
                width_mm,
                {.text = {}, .indent_mm = 15.0, .gap_before_mm = 0.9, .hanging = caution.head});
  }
  return lines;
}

}  // namespace underdraw
