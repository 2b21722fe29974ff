#include "recover/recover_lines.h"

#include <algorithm>
#include <cmath>
#include <map>
#include <mutex>

#include <fmt/format.h>

#include "core/error.h"
#include "core/parallel.h"
#include "recover/face_buckets.h"
#include "trace/median.h"

namespace underdraw {
namespace {

constexpr double kDrawnStepMm = 0.35;  // between points of a drawing that is sought
constexpr double kOwnMm = 1.0;         // a line this close to a found drawing is its own
constexpr double kSameWayDeg = 35.0;
constexpr double kBucketMm = 10.0;
constexpr double kEdgeMm = 1.8;   // from the face's edge
constexpr double kSurely = 0.85;  // share of a drawing that leaves no doubt
constexpr double kClearlyBetter = 0.08;
constexpr double kHalfSeen = 0.5;
constexpr double kBridgedMm = 1.2;  // a gap at a crossing is no gap

std::vector<DrawnLine> drawn_lines(const Linework& copy) {
  std::vector<DrawnLine> out;
  for (const Stroke& stroke : copy.strokes) out.push_back(sample(stroke.path, kDrawnStepMm));
  return out;
}

// What one placement came to, before the lines that are nobody's are known.
struct Placed {
  FoundPlacement found;
  std::vector<RecoveredStroke> strokes;
  std::vector<SeenPoint> lines;  // the whole drawing, bent: what lies on it is nobody else's
};

class FaceReader {
 public:
  FaceReader(const Unrolled& face,
             const PlacedFace& placed,
             const std::vector<Motif>& motifs,
             const RecoverLinesOptions& options)
      : face_(face),
        surface_(placed.surface),
        options_(options),
        seen_(read_lines(face, surface_, options.read)),
        points_(surface_, kBucketMm),
        dots_(surface_, kBucketMm) {
    for (const Motif& motif : motifs) by_name_.emplace(motif.name, &motif);
    for (std::size_t i = 0; i < seen_.points.size(); ++i) points_.add(seen_.points[i].at, i);
    for (std::size_t i = 0; i < seen_.dots.size(); ++i) dots_.add(seen_.dots[i].at, i);
  }

  Placed find(const Placement& placement) const;
  std::vector<RecoveredStroke> others(const std::vector<Placed>& placed) const;
  SeenLines take_seen() { return std::move(seen_); }  // nothing can be found after that

 private:
  bool visible(FacePoint p) const;
  RecoveredStroke stroke_of(const Placement& placement,
                            const DrawnLine& line,
                            std::size_t first,
                            std::size_t last,
                            double seen) const;
  void take_strokes(const Placement& placement, const LineMatch& match, Placed& out) const;
  bool follows_edge(const RecoveredStroke& stroke) const;
  void take_dot(const Placement& placement, Vec2 at, Placed& out) const;

  const Unrolled& face_;
  const Surface& surface_;
  const RecoverLinesOptions& options_;
  SeenLines seen_;
  FaceBuckets points_;
  FaceBuckets dots_;
  std::map<std::string, const Motif*> by_name_;
};

bool FaceReader::visible(FacePoint p) const {
  if (face_.round) p.across = wrapped_deg(p.across);
  const Vec2 px = face_.px_from_face(p);
  const int x = static_cast<int>(std::floor(px.x));
  const int y = static_cast<int>(std::floor(px.y));
  return x >= 0 && y >= 0 && x < face_.trust.cols && y < face_.trust.rows &&
         face_.trust.at<float>(y, x) > 0.05f;
}

RecoveredStroke FaceReader::stroke_of(const Placement& placement,
                                      const DrawnLine& line,
                                      std::size_t first,
                                      std::size_t last,
                                      double seen) const {
  RecoveredStroke out;
  out.placement = placement.id;
  out.seen = seen;
  for (std::size_t i = first; i <= last; ++i) {
    const FacePoint p = surface_.laid(placement.at, line[i]);
    out.points.push_back({p.across, p.along});
  }
  if (face_.round) out.points = run_on_through_seam(std::move(out.points));
  return out;
}

// Gaps where another line crosses are filled; what is left are the stretches that the photos show.
std::vector<char> bridged(std::vector<char> shown) {
  const auto longest = static_cast<std::size_t>(kBridgedMm / kDrawnStepMm);
  for (std::size_t i = 0; i < shown.size();) {
    if (shown[i]) {
      ++i;
      continue;
    }
    std::size_t end = i;
    while (end < shown.size() && !shown[end]) ++end;
    const bool between = i > 0 && end < shown.size();
    if (end - i <= (between ? longest : longest / 2)) {
      std::fill(shown.begin() + static_cast<std::ptrdiff_t>(i),
                shown.begin() + static_cast<std::ptrdiff_t>(end),
                char{1});
    }
    i = end;
  }
  return shown;
}

void FaceReader::take_dot(const Placement& placement, Vec2 at, Placed& out) const {
  const FacePoint spot = surface_.laid(placement.at, at);
  for (const std::size_t i : dots_.near(spot, Box{{-kOwnMm, -kOwnMm}, {kOwnMm, kOwnMm}})) {
    const SeenDot& dot = seen_.dots[i];
    if (length(surface_.way(spot, dot.at)) > kOwnMm) continue;
    RecoveredStroke stroke;
    stroke.placement = placement.id;
    stroke.seen = 1.0;
    stroke.points = {{face_.round ? wrapped_deg(dot.at.across) : dot.at.across, dot.at.along}};
    out.strokes.push_back(std::move(stroke));
    return;
  }
}

void FaceReader::take_strokes(const Placement& placement,
                              const LineMatch& match,
                              Placed& out) const {
  std::size_t points = 0;
  std::size_t shown_points = 0;
  for (std::size_t i = 0; i < match.lines.size(); ++i) {
    const DrawnLine& line = match.lines[i];
    if (line.size() == 1) {
      take_dot(placement, line.front(), out);
      continue;
    }
    const std::vector<char> shown = bridged(match.shown[i]);
    const auto count = static_cast<std::size_t>(std::count(shown.begin(), shown.end(), char{1}));
    points += shown.size();
    shown_points += count;
    const double share = static_cast<double>(count) / static_cast<double>(shown.size());
    if (share >= kHalfSeen) {
      out.strokes.push_back(stroke_of(placement, line, 0, line.size() - 1, share));
      continue;
    }
    for (std::size_t k = 0; k < shown.size(); ++k) {
      if (!shown[k]) continue;
      std::size_t last = k;
      while (last + 1 < shown.size() && shown[last + 1]) ++last;
      if (static_cast<double>(last - k) * kDrawnStepMm >= options_.read.least_mm) {
        out.strokes.push_back(stroke_of(placement, line, k, last, 1.0));
      }
      k = last;
    }
  }
  out.found.seen =
      points == 0 ? 0.0 : static_cast<double>(shown_points) / static_cast<double>(points);
}

Placed FaceReader::find(const Placement& placement) const {
  Placed out;
  out.found.id = placement.id;
  const auto motif = by_name_.find(placement.motif);
  if (motif == by_name_.end()) {
    throw GeometryError(
        {.file = {},
         .line = {},
         .found = fmt::format(
             "placement {} is of the motif {}, which is not there", placement.id, placement.motif),
         .expected = {},
         .remedy = "place the motifs again"});
  }
  const Linework copy =
      transformed(motif->second->lines, placement.copy_from_motif(*motif->second));
  std::vector<DrawnLine> drawing = drawn_lines(copy);
  Box box;
  std::size_t points = 0;
  std::size_t in_view = 0;
  for (const DrawnLine& line : drawing) {
    for (const Vec2 p : line) {
      box.add(p);
      ++points;
      in_view += visible(surface_.laid(placement.at, p)) ? 1U : 0U;
    }
  }
  if (points == 0) return out;
  out.found.in_view = static_cast<double>(in_view) / static_cast<double>(points);
  if (out.found.in_view < options_.least_in_view) return out;

  const double reach = options_.match.reach_mm + 5.0;
  std::vector<LinePoint> near;
  for (const std::size_t i : points_.near(placement.at, box.grown(reach))) {
    const SeenPoint& point = seen_.points[i];
    const Vec2 at = surface_.paper_at(placement.at, point.at);
    const Vec2 next = surface_.paper_at(placement.at, surface_.laid(point.at, point.along * 0.2));
    near.push_back({at, normalized(next - at)});
  }
  const auto shows = [&](Vec2 p) { return visible(surface_.laid(placement.at, p)); };
  LineMatch match = match_lines(drawing, near, shows, options_.match);
  out.found.finding = match.found ? Finding::found : Finding::no_match;
  // A drawing that is nearly its own mirror image fits itself mirrored fairly well.
  if (match.share < kSurely) {
    std::vector<DrawnLine> mirrored = drawing;
    for (DrawnLine& line : mirrored) {
      for (Vec2& p : line) p.x = -p.x;
    }
    LineMatch other = match_lines(mirrored, near, shows, options_.match);
    if (other.found && other.share > match.share + kClearlyBetter) {
      match = std::move(other);
      out.found.finding = Finding::mirrored;
    }
  }
  out.found.shift = match.shift;
  out.found.turn_deg = match.turn_deg;
  out.found.scale = match.scale;
  out.found.share = match.share;
  out.found.chance = match.chance;
  if (!match.found) return out;
  take_strokes(placement, match, out);

  for (const DrawnLine& line : match.lines) {
    for (std::size_t i = 0; i < line.size(); ++i) {
      const FacePoint at = surface_.laid(placement.at, line[i]);
      const FacePoint next =
          surface_.laid(placement.at, line[i + 1 < line.size() ? i + 1 : i - (i > 0)]);
      out.lines.push_back({at, normalized(surface_.way(at, next))});
    }
  }
  return out;
}

// The face's own edge, or what lies behind it, is no drawn line.
bool FaceReader::follows_edge(const RecoveredStroke& stroke) const {
  const auto near = std::count_if(stroke.points.begin(), stroke.points.end(), [&](Vec2 p) {
    return p.y < kEdgeMm || p.y > surface_.along_mm() - kEdgeMm ||
           (!face_.round && (p.x < kEdgeMm || p.x > surface_.width_mm(p.y) - kEdgeMm));
  });
  return static_cast<double>(near) > 0.8 * static_cast<double>(stroke.points.size());
}

std::vector<RecoveredStroke> FaceReader::others(const std::vector<Placed>& placed) const {
  // Lines beside a found drawing that run as it does were drawn for it, even where a hand went
  // astray.
  std::vector<SeenPoint> bent;
  for (const Placed& p : placed) bent.insert(bent.end(), p.lines.begin(), p.lines.end());
  FaceBuckets near(surface_, 3.0 * kOwnMm);
  for (std::size_t i = 0; i < bent.size(); ++i) near.add(bent[i].at, i);
  const Box reach{{-kOwnMm, -kOwnMm}, {kOwnMm, kOwnMm}};
  const double same_way = std::cos(radians(kSameWayDeg));
  const auto of_a_drawing = [&](FacePoint at, Vec2 along) {
    const std::vector<std::size_t> candidates = near.near(at, reach);
    return std::any_of(candidates.begin(), candidates.end(), [&](std::size_t i) {
      const double off = length(surface_.way(at, bent[i].at));
      return off < 0.5 * kOwnMm || (off < kOwnMm && std::abs(dot(bent[i].along, along)) > same_way);
    });
  };
  std::vector<std::vector<char>> own(seen_.lines.size());
  std::vector<double> depths;
  for (std::size_t i = 0; i < own.size(); ++i) {
    const std::vector<FacePoint>& points = seen_.lines[i].points;
    for (std::size_t k = 0; k < points.size(); ++k) {
      const Vec2 along = normalized(
          surface_.way(points[k < 2 ? 0 : k - 2], points[std::min(k + 2, points.size() - 1)]));
      own[i].push_back(of_a_drawing(points[k], along));
      if (own[i].back()) depths.push_back(seen_.lines[i].depth);
    }
  }
  const double least = options_.faint_share * median(std::move(depths));
  std::vector<RecoveredStroke> out;
  for (std::size_t i = 0; i < seen_.lines.size(); ++i) {
    const SeenLine& line = seen_.lines[i];
    if (line.depth < least) continue;
    for (std::size_t k = 0; k < line.points.size(); ++k) {
      if (own[i][k]) continue;
      std::size_t last = k;
      double run_mm = 0.0;
      RecoveredStroke stroke;
      stroke.seen = 1.0;
      stroke.points.push_back({line.points[k].across, line.points[k].along});
      while (last + 1 < line.points.size() && !own[i][last + 1]) {
        run_mm += length(surface_.way(line.points[last], line.points[last + 1]));
        ++last;
        stroke.points.push_back({line.points[last].across, line.points[last].along});
      }
      k = last;
      if (run_mm < options_.least_mm || follows_edge(stroke)) continue;
      if (face_.round) stroke.points = run_on_through_seam(std::move(stroke.points));
      out.push_back(std::move(stroke));
    }
  }
  return out;
}

}  // namespace

bool is_found(Finding finding) { return finding == Finding::found || finding == Finding::mirrored; }

void RecoverLinesOptions::validate() const {
  read.validate();
  match.validate();
  require_between(least_in_view, 0.05, 0.9, "least share in view", "");
  require_between(faint_share, 0.0, 1.0, "share of faint lines", "");
  require_between(least_mm, 1.0, 50.0, "shortest other line", "mm");
}

RecoveredLines recover_lines(const Unrolled& face,
                             const PlacedFace& placed,
                             const std::vector<Motif>& motifs,
                             const RecoverLinesOptions& options,
                             const Progress& progress) {
  options.validate();
  RecoveredLines out;
  out.face.name = placed.face.name;
  report(progress, "reading lines", 0.0);
  FaceReader reader(face, placed, motifs, options);
  std::vector<Placed> found(placed.placements.size());
  std::mutex mutex;
  std::size_t done = 0;
  parallel_for(found.size(), [&](std::size_t i) {
    found[i] = reader.find(placed.placements[i]);
    const std::lock_guard lock(mutex);
    report(progress,
           "finding placements",
           static_cast<double>(++done) / static_cast<double>(found.size()));
  });
  for (Placed& p : found) {
    out.placements.push_back(p.found);
    for (RecoveredStroke& stroke : p.strokes) out.face.strokes.push_back(std::move(stroke));
  }
  for (RecoveredStroke& stroke : reader.others(found)) {
    out.face.strokes.push_back(std::move(stroke));
  }
  out.seen = reader.take_seen();
  return out;
}

}  // namespace underdraw
