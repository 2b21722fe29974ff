// Invented motifs and pieces for tests of sheets: flowing lines, crossings, dots, a solid area.
//
// Stage: tests.
#pragma once

#include <string>
#include <vector>

#include "motif/motif.h"
#include "repeat/arrange.h"

namespace underdraw {

namespace sheet_samples {

inline Stroke curve(const std::vector<Vec2>& points, double width_mm = 0.5) {
  return {Path{points, false}, width_mm};
}

inline Cubic bow(Vec2 from, Vec2 to, double bulge) {
  const Vec2 off = perpendicular(to - from) * bulge;
  return {from, mix(from, to, 0.3) + off, mix(from, to, 0.75) + off, to};
}

inline Stroke bowed(Vec2 from, Vec2 to, double bulge, double width_mm = 0.5) {
  Path path;
  path.append(bow(from, to, bulge));
  return {path, width_mm};
}

// A leaf of two bowed edges with a vein.
inline void add_blade(Linework& lines, Vec2 from, Vec2 to, double fat) {
  Path edge;
  edge.append(bow(from, to, fat));
  edge.append(bow(to, from, fat));
  edge.closed = true;
  lines.strokes.push_back({edge, 0.5});
  lines.strokes.push_back(bowed(from, mix(from, to, 0.8), 0.02, 0.35));
}

}  // namespace sheet_samples

inline Motif kelp_motif() {
  using namespace sheet_samples;
  Linework lines;
  Path stem;
  stem.append({{10, 46}, {4, 36}, {16, 28}, {11, 18}});
  stem.append({{11, 18}, {8, 12}, {13, 6}, {12, 1}});
  lines.strokes.push_back({stem, 0.6});
  const Vec2 roots[] = {{9.1, 40}, {10.2, 33}, {11.9, 26}, {11.2, 19}, {10.4, 13}, {11.2, 7}};
  for (int i = 0; i < 6; ++i) {
    const double side = i % 2 == 0 ? 1.0 : -1.0;
    add_blade(lines, roots[i], roots[i] + Vec2{side * (10.5 - i * 0.6), -7.5 + i * 0.2}, 0.24);
  }
  for (int i = 0; i < 3; ++i) {
    lines.strokes.push_back({Path{{{14.0 + 2.1 * i, 43.0 - 1.7 * i}}, false}, 1.0});
  }
  return make_motif("kelp", lines);
}

inline Motif scallop_motif() {
  using namespace sheet_samples;
  Linework lines;
  const Vec2 hinge{17, 27};
  Path edge;
  Vec2 before;
  for (int i = 0; i <= 9; ++i) {
    const double deg = -165.0 + i * 150.0 / 9.0;
    const Vec2 rim = hinge + Vec2{17.0 * std::cos(radians(deg)), 22.0 * std::sin(radians(deg))};
    lines.strokes.push_back(
        bowed(hinge + (rim - hinge) * 0.12, hinge + (rim - hinge) * 0.94, (i - 4.5) * 0.015, 0.4));
    if (i > 0) edge.append(bow(before, rim, -0.3));
    before = rim;
  }
  lines.strokes.push_back({edge, 0.55});
  lines.strokes.push_back(curve({{10, 29}, {12, 26}, {22, 26}, {24, 29}}));
  lines.strokes.push_back(curve({{10, 29}, {14, 31.5}, {20, 31.5}, {24, 29}}));
  return make_motif("scallop", lines);
}

inline Motif feather_motif() {
  using namespace sheet_samples;
  Linework lines;
  Path quill;
  quill.append({{3, 47}, {4, 34}, {7, 16}, {13, 1}});
  lines.strokes.push_back({quill, 0.55});
  for (int i = 0; i < 13; ++i) {
    const Vec2 at = quill.piece(0).at(0.24 + i * 0.055);
    const double reach = 6.2 * std::sin(std::numbers::pi * (i + 1.5) / 16.0) + 1.0;
    lines.strokes.push_back(bowed(at, at + Vec2{-reach * 0.8, -reach * 0.75}, 0.14, 0.35));
    lines.strokes.push_back(bowed(at, at + Vec2{reach * 0.95, -reach * 0.35}, -0.14, 0.35));
  }
  return make_motif("tern feather", lines);
}

inline Motif knot_motif() {
  using namespace sheet_samples;
  Linework lines;
  for (const double off : {0.0, 2.2}) {
    Path loop;
    loop.append({{2 + off, 20}, {14, 2 + off}, {34, 2 + off}, {30 - off, 14}});
    loop.append({{30 - off, 14}, {27, 24 - off}, {8, 22 - off}, {9 + off, 12}});
    loop.append({{9 + off, 12}, {10, 2 + off}, {30, 8 + off}, {39, 20 + off}});
    lines.strokes.push_back({loop, 0.5});
  }
  Area bead;
  Path ring;
  const Vec2 c{36, 6};
  const double k = 0.5522847498 * 2.2;
  ring.append({c + Vec2{2.2, 0}, c + Vec2{2.2, k}, c + Vec2{k, 2.2}, c + Vec2{0, 2.2}});
  ring.append({c + Vec2{0, 2.2}, c + Vec2{-k, 2.2}, c + Vec2{-2.2, k}, c + Vec2{-2.2, 0}});
  ring.append({c + Vec2{-2.2, 0}, c + Vec2{-2.2, -k}, c + Vec2{-k, -2.2}, c + Vec2{0, -2.2}});
  ring.append({c + Vec2{0, -2.2}, c + Vec2{k, -2.2}, c + Vec2{2.2, -k}, c + Vec2{2.2, 0}});
  ring.closed = true;
  bead.rings.push_back(ring);
  lines.areas.push_back(bead);
  return make_motif("rope knot", lines);
}

inline std::vector<Motif> sample_motifs() {
  return {kelp_motif(), scallop_motif(), feather_motif(), knot_motif()};
}

// A jar's wall with `count` copies in one band, every second one mirrored.
inline PlacedFace jar_wall(const std::vector<Motif>& motifs, int count, double height_mm = 45.0) {
  PlacedFace face;
  face.face = {"wall", CylinderFace{36.0 * count, 95.0}, {}};
  face.surface = surface_of(face.face);
  for (int i = 0; i < count; ++i) {
    const Motif& motif = motifs[static_cast<std::size_t>(i) % motifs.size()];
    Placement p;
    p.id = i + 1;
    p.motif = motif.name;
    p.change.mirrored = (i / static_cast<int>(motifs.size())) % 2 == 1;
    p.change.scale = std::min(height_mm / motif.height_mm, 32.0 / motif.width_mm);
    p.variant = motif.name + (p.change.mirrored ? "-mirrored" : "");
    p.at = {360.0 * (i + 0.5) / count, 50.0};
    face.placements.push_back(p);
  }
  return face;
}

}  // namespace underdraw
