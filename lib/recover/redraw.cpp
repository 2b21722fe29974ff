#include "recover/redraw.h"

#include <algorithm>
#include <cmath>
#include <map>
#include <numeric>

#include <fmt/format.h>

#include "core/error.h"
#include "geometry/rings.h"
#include "recover/face_buckets.h"

namespace underdraw {
namespace {

using FaceLines = std::vector<std::vector<FacePoint>>;
using PaperLines = std::vector<std::vector<Vec2>>;

std::vector<FacePoint> face_points(const RecoveredStroke& stroke) {
  std::vector<FacePoint> points;
  for (const Vec2 p : stroke.points) points.push_back({p.x, p.y});
  return points;
}

PaperLines laid_on_paper(const Surface& surface, FacePoint at, const FaceLines& lines) {
  PaperLines out;
  for (const std::vector<FacePoint>& line : lines) {
    std::vector<Vec2> points;
    for (const FacePoint p : line) points.push_back(surface.paper_at(at, p));
    out.push_back(std::move(points));
  }
  return out;
}

Box box_of_lines(const PaperLines& lines) {
  Box box;
  for (const std::vector<Vec2>& line : lines) {
    for (const Vec2 p : line) box.add(p);
  }
  return box;
}

Linework linework_of(const PaperLines& lines, const RedrawOptions& options) {
  Linework out;
  for (const std::vector<Vec2>& line : lines) {
    const std::vector<Vec2> points =
        line.size() > 2 ? simpler_line(line, options.simplify_mm) : line;
    Stroke stroke;
    stroke.width_mm = options.line_mm;
    if (points.size() > 1) {
      stroke.path = Path::polyline(points);
    } else {
      stroke.path.points = points;
    }
    out.strokes.push_back(std::move(stroke));
  }
  return out;
}

// Lines that come closer to each other than `reach` belong together.
std::vector<FaceLines> grouped(const Surface& surface, const FaceLines& lines, double reach_mm) {
  struct Spot {
    FacePoint at;
    std::size_t line;
  };
  std::vector<Spot> spots;
  FaceBuckets near(surface, reach_mm);
  std::vector<std::size_t> parent(lines.size());
  std::iota(parent.begin(), parent.end(), std::size_t{0});
  const auto root = [&](std::size_t i) {
    while (parent[i] != i) i = parent[i] = parent[parent[i]];
    return i;
  };
  const Box reach{{-reach_mm, -reach_mm}, {reach_mm, reach_mm}};
  for (std::size_t i = 0; i < lines.size(); ++i) {
    for (const FacePoint p : lines[i]) {
      for (const std::size_t k : near.near(p, reach)) {
        const Spot& spot = spots[k];
        if (root(spot.line) == root(i)) continue;
        if (length(surface.way(spot.at, p)) <= reach_mm) parent[root(i)] = root(spot.line);
      }
      // A line's points close by are alike to all others, give or take the spacing of its points.
      const bool crowded = !spots.empty() && spots.back().line == i &&
                           length(surface.way(spots.back().at, p)) < 0.1 * reach_mm;
      if (crowded) continue;
      near.add(p, spots.size());
      spots.push_back({p, i});
    }
  }
  std::map<std::size_t, FaceLines> by_root;
  for (std::size_t i = 0; i < lines.size(); ++i) by_root[root(i)].push_back(lines[i]);
  std::vector<FaceLines> out;
  for (auto& [first, group] : by_root) out.push_back(std::move(group));
  return out;
}

// The parts of the lines on each side of where coordinate `of` is `limit`; cut ends belong to both.
struct Halves {
  FaceLines low, high;
};
Halves cut_in_two(const FaceLines& lines, const PaperLines& paper, double Vec2::*of, double limit) {
  Halves out;
  for (std::size_t i = 0; i < lines.size(); ++i) {
    std::vector<FacePoint> run;
    bool low = paper[i][0].*of < limit;
    const auto end_run = [&] {
      if (!run.empty()) (low ? out.low : out.high).push_back(run);
      run.clear();
    };
    for (std::size_t k = 0; k < lines[i].size(); ++k) {
      const bool here = paper[i][k].*of < limit;
      if (here != low) {
        const double a = paper[i][k - 1].*of;
        const double t = (limit - a) / (paper[i][k].*of - a);
        const FacePoint p = lines[i][k - 1];
        const FacePoint q = lines[i][k];
        const FacePoint between{std::lerp(p.across, q.across, t), std::lerp(p.along, q.along, t)};
        run.push_back(between);
        end_run();
        run.push_back(between);
        low = here;
      }
      run.push_back(lines[i][k]);
    }
    end_run();
  }
  return out;
}

struct PlacedGroup {
  FacePoint at;
  PaperLines paper;  // laid there
};

// Groups no larger than asked, each laid in its own middle.
void place_group(const Surface& surface,
                 const FaceLines& lines,
                 double largest_mm,
                 std::vector<PlacedGroup>& out) {
  FacePoint at = lines.front().front();
  PaperLines paper = laid_on_paper(surface, at, lines);
  // Paper laid in the middle tells the middle better than paper laid at an end.
  for (int round = 0; round < 3; ++round) {
    at = surface.laid(at, box_of_lines(paper).centre());
    at.along = std::clamp(at.along, 0.0, surface.along_mm());
    paper = laid_on_paper(surface, at, lines);
  }
  const Box box = box_of_lines(paper);
  const bool wide = box.width() >= box.height();
  if (std::max(box.width(), box.height()) <= largest_mm) {
    out.push_back({at, std::move(paper)});
    return;
  }
  const double limit = wide ? box.centre().x : box.centre().y;
  const Halves halves = cut_in_two(lines, paper, wide ? &Vec2::x : &Vec2::y, limit);
  if (halves.low.empty() || halves.high.empty()) {
    out.push_back({at, std::move(paper)});
    return;
  }
  place_group(surface, halves.low, largest_mm, out);
  place_group(surface, halves.high, largest_mm, out);
}

[[noreturn]] void refuse_unknown(const std::string& what) {
  throw GeometryError({.file = {},
                       .line = {},
                       .found = "the recovered lines name " + what + ", which the piece has not",
                       .expected = {},
                       .remedy = "recover them again"});
}

}  // namespace

void RedrawOptions::validate() const {
  require_between(line_mm, 0.02, 50.0, "width of redrawn lines", "mm");
  require_between(join_mm, 1e-3, 50.0, "reach of groups of lines", "mm");
  require_between(largest_mm, 10.0, 1000.0, "largest group of lines", "mm");
  require_between(simplify_mm, 0.001, 0.1, "tolerance of redrawn lines", "mm");
}

Redraw redraw_motifs(const std::vector<PlacedFace>& faces,
                     const std::vector<Motif>& motifs,
                     const std::vector<RecoveredFace>& recovered,
                     const RedrawOptions& options) {
  options.validate();
  Redraw out;
  int last = 0;
  for (const PlacedFace& face : faces) {
    for (const Placement& placement : face.placements) last = std::max(last, placement.id);
  }
  for (const RecoveredFace& lines : recovered) {
    if (std::none_of(faces.begin(), faces.end(), [&](const PlacedFace& f) {
          return f.face.name == lines.name;
        })) {
      refuse_unknown("the face " + lines.name);
    }
  }
  std::map<std::string, const Motif*> by_name;
  for (const Motif& motif : motifs) by_name.emplace(motif.name, &motif);
  for (const PlacedFace& face : faces) {
    PlacedFace redrawn = face;
    redrawn.placements.clear();
    std::map<int, FaceLines> of_placement;
    FaceLines others;
    for (const RecoveredFace& lines : recovered) {
      if (lines.name != face.face.name) continue;
      for (const RecoveredStroke& stroke : lines.strokes) {
        if (!stroke.photo.empty()) {
          ++out.in_photos_only;
        } else if (stroke.points.empty()) {
          continue;
        } else if (stroke.placement) {
          of_placement[*stroke.placement].push_back(face_points(stroke));
        } else {
          others.push_back(face_points(stroke));
        }
      }
    }
    for (const Placement& placement : face.placements) {
      const auto found = of_placement.find(placement.id);
      if (found == of_placement.end()) continue;
      const auto motif = by_name.find(placement.motif);
      if (motif == by_name.end()) refuse_unknown("the motif " + placement.motif);
      // Back into the motif's own frame, so that the placement is right as it stands.
      const Affine motif_from_copy = placement.copy_from_motif(*motif->second).inverse();
      const Linework laid =
          linework_of(laid_on_paper(face.surface, placement.at, found->second), options);
      Placement again = placement;
      again.motif = fmt::format("{}-{}", placement.motif, placement.id);
      again.darts.clear();
      out.motifs.push_back(
          make_motif(again.motif,
                     transformed(laid, motif_from_copy),
                     {{0.0, 0.0}, {motif->second->width_mm, motif->second->height_mm}}));
      redrawn.placements.push_back(std::move(again));
      of_placement.erase(found);
    }
    if (!of_placement.empty()) {
      refuse_unknown(
          fmt::format("placement {} on {}", of_placement.begin()->first, face.face.name));
    }
    std::vector<PlacedGroup> groups;
    for (const FaceLines& group : grouped(face.surface, others, options.join_mm)) {
      place_group(face.surface, group, options.largest_mm, groups);
    }
    for (const PlacedGroup& group : groups) {
      Placement placement;
      placement.id = ++last;
      placement.motif = fmt::format("found-{}", placement.id);
      placement.variant = placement.motif;
      placement.at = group.at;
      const Linework lines = linework_of(group.paper, options);
      // The box is about the spot where the paper lies, which the ticks point at.
      const Box ink = lines.ink_box();
      const Vec2 half{std::max(-ink.min.x, ink.max.x), std::max(-ink.min.y, ink.max.y)};
      out.motifs.push_back(make_motif(placement.motif, lines, {-half, half}));
      out.as_found.push_back(placement.id);
      redrawn.placements.push_back(std::move(placement));
    }
    out.faces.push_back(std::move(redrawn));
  }
  return out;
}

}  // namespace underdraw
