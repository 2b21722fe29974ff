#include "coats/colours.h"

#include "core/error.h"

namespace underdraw {
namespace {

template <typename Kind>
std::string name_in(const std::vector<std::string>& names, Kind kind) {
  return names[static_cast<std::size_t>(kind)];
}

}  // namespace

const std::vector<std::string>& colour_kind_names() {
  static const std::vector<std::string> kNames = {"opaque", "thin", "wash"};
  return kNames;
}

const std::vector<std::string>& paint_order_names() {
  static const std::vector<std::string> kNames = {"ground-first", "edge-to-edge"};
  return kNames;
}

const std::vector<std::string>& hold_names() {
  static const std::vector<std::string> kNames = {"opposite", "none"};
  return kNames;
}

std::string name_of(ColourKind kind) { return name_in(colour_kind_names(), kind); }
std::string name_of(PaintOrder order) { return name_in(paint_order_names(), order); }
std::string name_of(Hold hold) { return name_in(hold_names(), hold); }

int usual_coats(ColourKind kind) {
  switch (kind) {
    case ColourKind::opaque:
      return 3;
    case ColourKind::thin:
      return 4;
    case ColourKind::wash:
      return 0;
  }
  return 0;
}

void CoatOptions::validate() const {
  require_between(gap_mm, 0.0, 0.5, "gap_mm", "mm");
  require_between(close_mm, 0.0, 5.0, "close_mm", "mm");
  require_between(pace_cm2_per_min, 0.5, 500.0, "pace_cm2_per_min", "cm2 a minute");
}

}  // namespace underdraw
