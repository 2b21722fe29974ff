#include "motif/vary.h"

#include <set>

#include <fmt/format.h>

#include "core/error.h"
#include "core/parallel.h"

namespace underdraw {
namespace {

[[noreturn]] void refuse(std::string found, std::string expected, std::string remedy) {
  throw OptionError({.file = {},
                     .line = {},
                     .found = std::move(found),
                     .expected = std::move(expected),
                     .remedy = std::move(remedy)});
}

// width - x is exact on the motif's steps, so doing it again gives x back.
Motif mirrored(Motif motif) {
  const double width = motif.width_mm;
  const auto fold = [width](Path& path) {
    for (Vec2& p : path.points) p.x = width - p.x;
  };
  for (Stroke& stroke : motif.lines.strokes) fold(stroke.path);
  for (Area& area : motif.lines.areas) std::for_each(area.rings.begin(), area.rings.end(), fold);
  return motif;
}

}  // namespace

void VaryOptions::validate() const {
  if (scales.empty() || turns_deg.empty()) refuse("no scale or no turn", "at least one", "");
  for (const double scale : scales) require_between(scale, 0.05, 20.0, "scale", "");
  for (const double turn : turns_deg) require_between(turn, -360.0, 360.0, "turn", "degrees");
  own_mirror.validate();
}

std::string variant_name(const std::string& motif, const Change& change) {
  std::string name = motif;
  if (change.mirrored) name += "-mirrored";
  if (change.turn_deg != 0.0) name += fmt::format("-turned-{:.6g}", change.turn_deg);
  if (change.scale != 1.0) name += fmt::format("-{:.6g}", change.scale * 100.0);
  return name;
}

Motif changed(const Motif& motif, const Change& change) {
  Motif out = change.mirrored ? mirrored(motif) : motif;
  out.name = variant_name(motif.name, change);
  if (change.turn_deg == 0.0 && change.scale == 1.0) return out;
  const Linework lines =
      transformed(out.lines, Affine::scale(change.scale) * Affine::turn_deg(change.turn_deg));
  if (change.turn_deg != 0.0) return make_motif(out.name, lines);
  // The box only scales: measuring it anew would add rounding.
  const Vec2 corner = Vec2{out.width_mm, out.height_mm} * change.scale;
  return make_motif(out.name, lines, {{0, 0}, corner});
}

VaryResult vary(const std::vector<Motif>& motifs, const VaryOptions& options) {
  options.validate();
  std::vector<OwnMirror> own(motifs.size());
  parallel_for(motifs.size(),
               [&](std::size_t i) { own[i] = own_mirror(motifs[i].lines, options.own_mirror); });
  VaryResult result;
  std::set<std::string> names;
  for (std::size_t i = 0; i < motifs.size(); ++i) {
    const Motif& motif = motifs[i];
    if (own[i].symmetric) {
      result.own_mirrors.push_back(motif.name);
      result.own_mirror_fits.push_back(own[i]);
    }
    for (const double turn : options.turns_deg) {
      for (const double scale : options.scales) {
        for (const bool mirror : {false, true}) {
          if (options.mirrors == (mirror ? Mirrors::as_drawn : Mirrors::mirrored)) continue;
          if (mirror && own[i].symmetric && options.skip_mirror_of_symmetric &&
              options.mirrors == Mirrors::both) {
            continue;
          }
          const Change change{mirror, turn, scale};
          Variant variant{changed(motif, change), motif.name, change};
          if (!names.insert(variant.motif.name).second) {
            refuse(fmt::format("two variants would be named '{}'", variant.motif.name),
                   "a name of its own for each motif, scale and turn",
                   "rename a motif or leave out what is asked for twice");
          }
          result.variants.push_back(std::move(variant));
        }
      }
    }
  }
  return result;
}

}  // namespace underdraw
