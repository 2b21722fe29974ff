#include "coats/paint_map.h"

#include <algorithm>
#include <map>
#include <set>

#include <fmt/format.h>

#include "coats/area_name.h"
#include "core/error.h"
#include "core/listed.h"
#include "repeat/cut_copy.h"
#include "sheet/sheet_plan.h"

namespace underdraw {
namespace {

constexpr double kMm2PerCm2 = 100.0;
constexpr std::size_t kMostLetters = 6;  // in the name of a part

bool names(const Colour& colour, const std::string& part) {
  return std::find(colour.on.begin(), colour.on.end(), part) != colour.on.end();
}

std::optional<std::size_t> colour_on(const std::vector<Colour>& colours, const std::string& part) {
  for (std::size_t i = 0; i < colours.size(); ++i) {
    if (names(colours[i], part)) return i;
  }
  return std::nullopt;
}

// The motifs by name, each divided into areas once.
class Motifs {
 public:
  Motifs(const std::vector<Motif>& motifs, double close_mm) : motifs_(motifs) {
    options_.close_mm = close_mm;
    options_.leak_mm = std::max(options_.leak_mm, close_mm);
  }

  const Motif& motif(const std::string& name) const { return motif_named(motifs_, name); }

  const ClosedAreas& areas(const std::string& name) {
    const auto [at, is_new] = known_.try_emplace(name);
    if (is_new) {
      at->second = closed_areas(motif(name).lines, options_);
      order_.push_back(name);
    }
    return at->second;
  }

  // Nothing for a motif that is not placed.
  const ClosedAreas* found(const std::string& name) const {
    const auto at = known_.find(name);
    return at == known_.end() ? nullptr : &at->second;
  }

  std::vector<LetteredMotif> all() const {
    std::vector<LetteredMotif> out;
    for (const std::string& name : order_) out.push_back({name, known_.at(name)});
    return out;
  }

 private:
  const std::vector<Motif>& motifs_;
  ClosedAreaOptions options_;
  std::map<std::string, ClosedAreas> known_;
  std::vector<std::string> order_;
};

// What is left of an area of a copy that lies behind others, motif frame.
Rings left_of(const ClosedArea& area,
              const PlacedFace& face,
              const TakenSpots& in_front,
              const Motif& whole,
              const Placement& placement) {
  Area solid;
  for (const Ring& ring : area.rings) solid.rings.push_back(Path::polyline(ring, true));
  Motif alone = whole;  // with its own box: copies are laid by the middle of that
  alone.lines = {{}, {std::move(solid)}};
  const CutCopy cut = cut_copy(face.surface, in_front, alone, placement, 0.0, 0.0);
  Rings rings;
  for (const Area& piece : cut.lines.areas) {
    for (const Path& ring : piece.rings) {
      Ring points = flatten(ring, 0.05);
      if (points.size() > 1 && points.front() == points.back()) points.pop_back();
      if (points.size() > 2) rings.push_back(std::move(points));
    }
  }
  return rings;
}

// Outlines of what was placed whole: what lies behind was cut along them.
TakenSpots in_front_of(const PlacedFace& face, const Motifs& motifs) {
  TakenSpots spots(face.surface);
  std::map<std::string, Rings> shapes;
  for (const Placement& p : face.placements) {
    if (!p.cut_from.empty()) continue;
    const Motif& motif = motifs.motif(p.motif);
    const auto [shape, is_new] = shapes.try_emplace(p.motif);
    if (is_new) shape->second = silhouette(motif.lines);
    spots.add(on_face(face.surface, p.at, transformed(shape->second, p.copy_from_motif(motif))),
              static_cast<std::size_t>(p.id));
  }
  return spots;
}

bool any_cut(const PlacedFace& face) {
  return std::any_of(face.placements.begin(), face.placements.end(), [](const Placement& p) {
    return !p.cut_from.empty();
  });
}

double zones_mm2(const PlacedFace& face) {
  double area = 0.0;
  for (const KeepOut& zone : face.face.keep_out) {
    Rings rings = zone_on_face(face.surface, zone);
    for (Ring& ring : rings) {
      for (Vec2& p : ring) p.y = std::clamp(p.y, 0.0, face.surface.along_mm());
    }
    area += face.surface.area_mm2(rings);
  }
  return area;
}

PaintedFace painted(const PlacedFace& face,
                    Motifs& motifs,
                    const std::vector<Colour>& colours,
                    const CoatOptions& options) {
  PaintedFace out;
  out.name = face.face.name;
  const double whole = face.surface.area_mm2();
  const double zones = zones_mm2(face);
  out.size_cm2 = whole / kMm2PerCm2;
  out.kept_free_cm2 = zones / kMm2PerCm2;
  out.areas.emplace_back().name = out.name;
  out.areas.front().colour = colour_of(colours, out.name, "", "");

  std::optional<TakenSpots> in_front;
  if (any_cut(face)) in_front = in_front_of(face, motifs);
  double ground = whole - zones;
  for (const Placement& p : face.placements) {
    const bool behind = !p.cut_from.empty();
    const std::string& name = behind ? p.cut_from : p.motif;
    const Motif& motif = motifs.motif(name);
    const ClosedAreas& known = motifs.areas(name);
    const Affine copy_from_motif = p.copy_from_motif(motif);
    for (std::size_t i = 0; i < known.areas.size(); ++i) {
      const Rings rings =
          behind ? left_of(known.areas[i], face, *in_front, motif, p) : known.areas[i].rings;
      if (rings.empty()) continue;
      Rings on_copy = rings;
      for (Ring& ring : on_copy) {
        for (Vec2& point : ring) point = copy_from_motif * point;
      }
      PaintArea area;
      area.letter = area_letter(i);
      area.name = fmt::format("{}{}", p.id, area.letter);
      area.placement = p.id;
      area.motif = name;
      area.on_face = on_face(face.surface, p.at, on_copy);
      const double size = face.surface.area_mm2(area.on_face);
      ground -= size;
      area.size_cm2 =
          std::max(0.0, size - options.gap_mm / 2.0 * edge_length(on_copy)) / kMm2PerCm2;
      area.colour = colour_of(colours, out.name, name, area.letter);
      area.at = p.at;
      area.behind = behind;
      out.areas.push_back(std::move(area));
    }
  }
  out.areas.front().size_cm2 = std::max(0.0, ground) / kMm2PerCm2;
  return out;
}

void check_letters(const std::vector<Colour>& colours, const Motifs& motifs) {
  for (const Colour& colour : colours) {
    for (const std::string& part : colour.on) {
      const auto area = area_of_motif(part);
      const ClosedAreas* found = area ? motifs.found(area->motif) : nullptr;
      if (!found) continue;
      const std::size_t count = found->areas.size();
      std::size_t index = 0;
      while (index < count && area_letter(index) != area->letter) ++index;
      if (index < count) continue;
      throw GeometryError(
          {.file = {},
           .line = colour.line > 0 ? std::optional<int>(colour.line) : std::nullopt,
           .found = fmt::format("'{}' has no area {}", area->motif, area->letter),
           .expected = count == 0 ? "a motif whose lines close something in"
                                  : fmt::format("a to {}", area_letter(count - 1)),
           .remedy = "take that colour off it and run again: the paint map shows the letters"});
    }
  }
}

std::vector<std::string> warnings_of(const PaintMap& map) {
  std::vector<std::string> out;
  for (const LetteredMotif& motif : map.motifs) {
    for (const Leak& leak : motif.found.leaks) {
      out.push_back(
          fmt::format("{}: an area of {:.1f} cm2 is open by {:.1f} mm, {:.0f} mm from the left and "
                      "{:.0f} mm from the top of the drawing; close the line there, or state "
                      "close = {:.1f} under [coats]",
                      motif.name,
                      leak.size_mm2 / kMm2PerCm2,
                      leak.open_mm,
                      leak.at.x,
                      leak.at.y,
                      leak.open_mm + 0.2));
    }
  }
  if (map.colours.empty()) return out;
  std::set<std::string> without;
  for (const PaintedFace& face : map.faces) {
    for (const PaintArea& area : face.areas) {
      if (!area.colour) without.insert(face.name);
    }
  }
  if (!without.empty()) {
    const std::vector<std::string> list(without.begin(), without.end());
    out.push_back(fmt::format("parts of {} have no colour yet; name {} under 'on' of a [[colour]]",
                              listed(list),
                              list.size() == 1 ? "it" : "them"));
  }
  return out;
}

}  // namespace

std::optional<std::size_t> colour_of(const std::vector<Colour>& colours,
                                     const std::string& face,
                                     const std::string& motif,
                                     const std::string& letter) {
  if (!motif.empty()) {
    if (const auto own = colour_on(colours, motif + " " + letter)) return own;
    if (const auto whole = colour_on(colours, motif)) return whole;
  }
  return colour_on(colours, face);
}

std::vector<PaintPart> parts_of(const PaintedFace& face) {
  std::vector<PaintPart> parts;
  std::vector<std::vector<std::string>> letters;
  std::map<int, std::size_t> areas_of;  // placement, and how many areas it has
  for (const PaintArea& area : face.areas) {
    ++areas_of[area.placement];
    // Areas of a placement follow each other.
    std::size_t i = parts.size();
    while (i > 0 && parts[i - 1].placement == area.placement) {
      if (parts[--i].colour == area.colour) break;
    }
    if (i == parts.size() || parts[i].placement != area.placement ||
        parts[i].colour != area.colour) {
      i = parts.size();
      parts.push_back({{}, area.placement, area.colour, 0.0, area.at, area.behind});
      letters.emplace_back();
    }
    parts[i].size_cm2 += area.size_cm2;
    letters[i].push_back(area.letter);
  }
  for (std::size_t i = 0; i < parts.size(); ++i) {
    PaintPart& part = parts[i];
    part.name = part.placement == 0 ? "ground" : std::to_string(part.placement);
    if (letters[i].size() == areas_of[part.placement]) continue;
    if (letters[i].size() > kMostLetters) {
      part.name += fmt::format(" ({} areas)", letters[i].size());
      continue;
    }
    for (const std::string& letter : letters[i]) {
      if (letter.size() > 1) part.name += '+';
      part.name += letter;
    }
  }
  return parts;
}

PaintMap paint_map(const std::vector<PlacedFace>& faces,
                   const std::vector<Motif>& motifs,
                   const std::vector<Colour>& colours,
                   const CoatOptions& options) {
  options.validate();
  Motifs known(motifs, options.close_mm);
  PaintMap map;
  map.colours = colours;
  map.options = options;
  for (const PlacedFace& face : faces) {
    if (face.placements.empty() && !colour_on(colours, face.face.name)) continue;
    map.faces.push_back(painted(face, known, colours, options));
  }
  check_letters(colours, known);
  map.motifs = known.all();
  map.warnings = warnings_of(map);
  return map;
}

}  // namespace underdraw
