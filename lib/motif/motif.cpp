#include "motif/motif.h"

#include <fmt/format.h>

#include "core/error.h"

namespace underdraw {

Motif make_motif(std::string name, const Linework& lines) {
  const Box ink = lines.ink_box();
  const bool finite = std::isfinite(ink.width()) && std::isfinite(ink.height());
  if (lines.empty() || ink.empty() || !finite) {
    throw GeometryError({.file = {},
                         .line = {},
                         .found = fmt::format("motif '{}' has no lines", name),
                         .expected = "at least one stroke, dot or area",
                         .remedy = "draw it darker, or leave it out"});
  }
  return {
      std::move(name), transformed(lines, Affine::translate(-ink.min)), ink.width(), ink.height()};
}

Affine Change::copy_from_motif(const Motif& motif) const {
  const Affine centred = Affine::translate(-motif.centre());
  const Affine faced = mirrored ? Affine::mirror_x() * centred : centred;
  return Affine::scale(scale) * Affine::turn_deg(turn_deg) * faced;
}

}  // namespace underdraw
