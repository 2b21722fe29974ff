#include "motif/motif.h"

#include <fmt/format.h>

#include "core/error.h"

namespace underdraw {
namespace {

double on_step(double mm) { return std::round(mm / kMotifStepMm) * kMotifStepMm; }

}  // namespace

Motif make_motif(std::string name, const Linework& lines) {
  return make_motif(std::move(name), lines, lines.ink_box());
}

Motif make_motif(std::string name, const Linework& lines, const Box& ink) {
  const bool finite = std::isfinite(ink.width()) && std::isfinite(ink.height());
  if (lines.empty() || ink.empty() || !finite) {
    throw GeometryError({.file = {},
                         .line = {},
                         .found = fmt::format("motif '{}' has no lines", name),
                         .expected = "at least one stroke, dot or area",
                         .remedy = "draw it darker, or leave it out"});
  }
  Motif motif{std::move(name),
              transformed(lines, Affine::translate(-ink.min)),
              on_step(ink.width()),
              on_step(ink.height())};
  const auto snap = [](Path& path) {
    for (Vec2& p : path.points) p = {on_step(p.x), on_step(p.y)};
  };
  for (Stroke& stroke : motif.lines.strokes) snap(stroke.path);
  for (Area& area : motif.lines.areas) std::for_each(area.rings.begin(), area.rings.end(), snap);
  return motif;
}

Affine Change::copy_from_motif(const Motif& motif) const {
  const Affine centred = Affine::translate(-motif.centre());
  const Affine faced = mirrored ? Affine::mirror_x() * centred : centred;
  return Affine::scale(scale) * Affine::turn_deg(turn_deg) * faced;
}

}  // namespace underdraw
