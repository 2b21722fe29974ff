#include "repeat/arrangement.h"

namespace underdraw {

const std::vector<std::string>& style_names() {
  static const std::vector<std::string> kNames = {
      "centre", "band", "rows", "brick", "half-drop", "ring", "scatter"};
  return kNames;
}

const std::vector<std::string>& frieze_names() {
  static const std::vector<std::string> kNames = {
      "plain", "glide", "mirror", "half-turn", "mirror-turn", "reflect", "reflect-both"};
  return kNames;
}

std::string name_of(Style style) { return style_names()[static_cast<std::size_t>(style)]; }

std::string name_of(Frieze frieze) { return frieze_names()[static_cast<std::size_t>(frieze)]; }

std::string name_of(Mirroring mirroring) {
  switch (mirroring) {
    case Mirroring::none:
      return "none";
    case Mirroring::alternate:
      return "alternate";
    case Mirroring::both:
      return "both";
  }
  return {};
}

}  // namespace underdraw
