#include "recover/compare_stages.h"

#include <algorithm>
#include <cmath>
#include <map>

#include <fmt/format.h>

#include "recover/face_buckets.h"
#include "trace/median.h"

namespace underdraw {
namespace {

constexpr double kAgreeMm = 2.0;  // spread of placements that turn as one, median
constexpr double kThereMm = 1.2;  // a line this close is the stroke's
constexpr double kSameWayDeg = 35.0;
constexpr double kStretchMm = 4.0;  // shorter stretches are not told apart
constexpr double kTurnedDeg = 3.0;

// At the height of each placement, by its number.
std::map<int, double> mm_per_deg_of(const PlacedFace& placed) {
  std::map<int, double> out;
  for (const Placement& p : placed.placements) {
    out[p.id] = placed.surface.mm_per_across(p.at.along);
  }
  return out;
}

}  // namespace

std::optional<double> turn_of_piece_deg(const std::vector<FoundPlacement>& found,
                                        const PlacedFace& placed,
                                        std::size_t least) {
  if (!placed.surface.round()) return std::nullopt;
  const std::map<int, double> mm_per_deg = mm_per_deg_of(placed);
  std::vector<double> turns;
  std::vector<double> scales;
  for (const FoundPlacement& p : found) {
    if (!is_found(p.finding)) continue;
    turns.push_back(p.shift.x / mm_per_deg.at(p.id));
    scales.push_back(mm_per_deg.at(p.id));
  }
  if (turns.size() < std::max<std::size_t>(1, least)) return std::nullopt;
  const double turn = median(turns);
  std::vector<double> off;
  for (const double t : turns) off.push_back(std::abs(t - turn));
  if (median(off) * median(scales) > kAgreeMm) return std::nullopt;
  return turn;
}

RecoveredLines turned_round(RecoveredLines lines, const PlacedFace& placed, double deg) {
  for (RecoveredStroke& stroke : lines.face.strokes) {
    for (Vec2& p : stroke.points) p.x += deg;
    stroke.points = run_on_through_seam(std::move(stroke.points));
  }
  const std::map<int, double> mm_per_deg = mm_per_deg_of(placed);
  for (FoundPlacement& p : lines.placements) {
    if (is_found(p.finding)) p.shift.x += deg * mm_per_deg.at(p.id);
  }
  const auto turn = [deg](FacePoint& p) { p.across = wrapped_deg(p.across + deg); };
  for (SeenPoint& point : lines.seen.points) turn(point.at);
  for (SeenDot& dot : lines.seen.dots) turn(dot.at);
  for (SeenLine& line : lines.seen.lines) {
    for (FacePoint& p : line.points) p.across += deg;
  }
  return lines;
}

std::vector<PlacementChange> compare_stages(const std::vector<FoundPlacement>& before,
                                            const std::vector<FoundPlacement>& after) {
  std::map<int, const FoundPlacement*> later;
  for (const FoundPlacement& p : after) later[p.id] = &p;
  std::vector<PlacementChange> out;
  for (const FoundPlacement& p : before) {
    if (!is_found(p.finding)) continue;
    PlacementChange change;
    change.id = p.id;
    const auto again = later.find(p.id);
    if (again != later.end() && again->second->finding != Finding::not_seen &&
        again->second->finding != Finding::no_photos) {
      change.now = is_found(again->second->finding) ? Now::shows : Now::covered;
      change.off = again->second->shift - p.shift;
      change.turned_deg = again->second->turn_deg - p.turn_deg;
    }
    out.push_back(change);
  }
  return out;
}

std::string words_for(const PlacementChange& change, double near_mm) {
  if (change.now != Now::shows) return {};
  std::string out;
  const auto add = [&](double mm, const char* one, const char* other) {
    if (std::abs(mm) < near_mm) return;
    out += fmt::format(
        "{}{:.1f} mm {}", out.empty() ? "" : " and ", std::abs(mm), mm > 0 ? one : other);
  };
  add(change.off.y, "low", "high");
  add(change.off.x, "too far right", "too far left");
  if (std::abs(change.turned_deg) >= kTurnedDeg) {
    out += fmt::format("{}turned {:.0f}° {}",
                       out.empty() ? "" : " and ",
                       std::abs(change.turned_deg),
                       change.turned_deg > 0 ? "clockwise" : "anticlockwise");
  }
  return out.empty() ? out : fmt::format("number {} is {}", change.id, out);
}

std::vector<std::vector<bool>> covered_points(const std::vector<RecoveredStroke>& strokes,
                                              const Surface& surface,
                                              const SeenLines& after) {
  FaceBuckets near(surface, 3.0 * kThereMm);
  for (std::size_t i = 0; i < after.points.size(); ++i) near.add(after.points[i].at, i);
  const Box reach{{-kThereMm, -kThereMm}, {kThereMm, kThereMm}};
  const double same_way = std::cos(radians(kSameWayDeg));
  std::vector<std::vector<bool>> out;
  for (const RecoveredStroke& stroke : strokes) {
    std::vector<bool>& covered = out.emplace_back();
    if (!stroke.photo.empty()) continue;
    const auto face_point = [&](std::size_t i) {
      const Vec2 p = stroke.points[i];
      return FacePoint{surface.round() ? wrapped_deg(p.x) : p.x, p.y};
    };
    std::vector<double> there;  // running sum of shown points, one more than points
    std::vector<double> at{0.0};
    there.push_back(0.0);
    for (std::size_t i = 0; i < stroke.points.size(); ++i) {
      const FacePoint here = face_point(i);
      const Vec2 along = normalized(surface.way(
          face_point(i == 0 ? 0 : i - 1), face_point(std::min(i + 1, stroke.points.size() - 1))));
      const std::vector<std::size_t> candidates = near.near(here, reach);
      const bool shows = std::any_of(candidates.begin(), candidates.end(), [&](std::size_t k) {
        const SeenPoint& point = after.points[k];
        return length(surface.way(here, point.at)) < kThereMm &&
               (stroke.points.size() == 1 || std::abs(dot(point.along, along)) > same_way);
      });
      there.push_back(there.back() + (shows ? 1.0 : 0.0));
      if (i > 0) at.push_back(at.back() + length(surface.way(face_point(i - 1), here)));
    }
    // What most of the stretch around a point is, it is.
    std::size_t first = 0;
    std::size_t last = 0;
    for (std::size_t i = 0; i < stroke.points.size(); ++i) {
      while (at[i] - at[first] > kStretchMm) ++first;
      while (last + 1 < stroke.points.size() && at[last + 1] - at[i] < kStretchMm) ++last;
      const double shown = there[last + 1] - there[first];
      covered.push_back(shown < 0.5 * static_cast<double>(last + 1 - first));
    }
  }
  return out;
}

}  // namespace underdraw
