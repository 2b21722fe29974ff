#include "repeat/arrangement.h"

namespace underdraw {

std::string name_of(Style style) {
  switch (style) {
    case Style::centre:
      return "centre";
    case Style::band:
      return "band";
    case Style::rows:
      return "rows";
  }
  return {};
}

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
