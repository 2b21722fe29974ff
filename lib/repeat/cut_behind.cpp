#include "repeat/cut_behind.h"

#include <map>

#include <polyclipping/clipper.hpp>

#include "core/error.h"
#include "repeat/cut_line.h"
#include "repeat/edge_field.h"

namespace underdraw {
namespace {

constexpr double kUnitsPerMm = 1e4;
constexpr double kUnitArea = 1.0 / (kUnitsPerMm * kUnitsPerMm);
constexpr double kFarthestMm = 1e5;
constexpr double kThinShare = 0.1;  // of the least piece's length: thinner pieces are crumbs

// The library rounds the number of steps of an arc, so that a step may be half as long again as its
// tolerance allows, and off by 1.5² times as much.
constexpr double kArcShare = 1.0 / 2.25;

using ClipperLib::Paths;

ClipperLib::Path to_units(const std::vector<Vec2>& points) {
  ClipperLib::Path out;
  out.reserve(points.size());
  for (const Vec2 p : points) {
    if (!(std::abs(p.x) <= kFarthestMm && std::abs(p.y) <= kFarthestMm)) {
      throw GeometryError({.file = {},
                           .line = {},
                           .found = "what is to be cut has a point that is not a usable place",
                           .expected = "within 100 m",
                           .remedy = {}});
    }
    out.push_back({std::llround(p.x * kUnitsPerMm), std::llround(p.y * kUnitsPerMm)});
  }
  return out;
}

std::vector<Vec2> from_units(const ClipperLib::Path& path) {
  std::vector<Vec2> out;
  out.reserve(path.size());
  for (const auto& p : path) {
    out.push_back({static_cast<double>(p.X) / kUnitsPerMm, static_cast<double>(p.Y) / kUnitsPerMm});
  }
  return out;
}

double area_of(const Paths& paths) {
  double units = 0.0;
  for (const auto& path : paths) units += ClipperLib::Area(path);
  return units * kUnitArea;
}

// An outer outline and its holes.
std::vector<Paths> parts_of(const ClipperLib::PolyTree& tree) {
  std::vector<Paths> out;
  for (const ClipperLib::PolyNode* node = tree.GetFirst(); node; node = node->GetNext()) {
    if (node->IsHole()) continue;
    Paths part = {node->Contour};
    for (const ClipperLib::PolyNode* hole : node->Childs) part.push_back(hole->Contour);
    out.push_back(std::move(part));
  }
  return out;
}

// What lies in front, as parts that do not touch.
class Front {
 public:
  Front(const Rings& rings, double reach, const CutOptions& options)
      : grow_mm_(options.gap_mm + options.tolerance_mm),
        tolerance_mm_(options.tolerance_mm),
        parts_(united(rings)),
        field_(all_rings(), reach) {}

  const EdgeField& field() const { return field_; }

  // All parts with an edge near the box, grown by the gap (the tolerance added, since arcs are
  // drawn inside the true ones).
  Paths near(const Box& box) {
    Paths out;
    std::size_t last = parts_.size();
    for (const std::uint32_t ring : field_.rings_near(box.grown(2.0 * grow_mm_))) {
      if (part_of_ring_[ring] == last) continue;
      last = part_of_ring_[ring];
      const Paths& one = grown(last);
      out.insert(out.end(), one.begin(), one.end());
    }
    return out;
  }

 private:
  static std::vector<Paths> united(const Rings& rings) {
    ClipperLib::Clipper clipper;
    for (const auto& ring : rings) {
      ClipperLib::Path path = to_units(ring);
      if (!ClipperLib::Orientation(path)) ClipperLib::ReversePath(path);
      clipper.AddPath(path, ClipperLib::ptSubject, true);
    }
    ClipperLib::PolyTree tree;
    clipper.StrictlySimple(true);
    clipper.Execute(ClipperLib::ctUnion, tree, ClipperLib::pftNonZero, ClipperLib::pftNonZero);
    return parts_of(tree);
  }

  Rings all_rings() {
    Rings out;
    for (std::size_t part = 0; part < parts_.size(); ++part) {
      for (const auto& path : parts_[part]) {
        out.push_back(from_units(path));
        part_of_ring_.push_back(part);
      }
    }
    return out;
  }

  const Paths& grown(std::size_t part) {
    const auto known = grown_.find(part);
    if (known != grown_.end()) return known->second;
    ClipperLib::ClipperOffset offset(2.0, kArcShare * tolerance_mm_ * kUnitsPerMm);
    offset.AddPaths(parts_[part], ClipperLib::jtRound, ClipperLib::etClosedPolygon);
    offset.Execute(grown_[part], grow_mm_ * kUnitsPerMm);
    return grown_[part];
  }

  double grow_mm_, tolerance_mm_;
  std::vector<Paths> parts_;
  std::vector<std::size_t> part_of_ring_;
  EdgeField field_;
  std::map<std::size_t, Paths> grown_;  // only those that something comes near
};

class Job {
 public:
  Job(Front& front, const CutOptions& options) : front_(front), options_(options) {}

  CutResult done() && { return std::move(result_); }

  void cut(const Stroke& stroke) {
    if (stroke.path.points.empty()) return;
    Box box = stroke.path.box();
    if (box.width() + box.height() <= 0.0) return cut_dot(stroke);
    box = box.grown(largest_width(stroke) / 2.0 + options_.gap_mm);
    if (front_.field().rings_near(box).empty() && front_.field().at(box.centre()) > 0.0) {
      result_.lines.strokes.push_back(stroke);
      return;
    }
    if (stroke.width_mm > options_.wide_mm) return cut_wide(stroke);
    LineCut cut = cut_line(stroke, front_.field(), options_.gap_mm, options_.tolerance_mm);
    if (cut.whole) {
      result_.lines.strokes.push_back(stroke);
      return;
    }
    double left = stroke.path.length();
    for (Stroke& piece : cut.pieces) {
      const double length = piece.path.length();
      left -= length;
      if (length < options_.least_piece_mm || length <= 0.0) {
        result_.crumb_length_mm += length;
        ++result_.crumbs;
        continue;
      }
      result_.lines.strokes.push_back(std::move(piece));
    }
    result_.hidden_length_mm += std::max(left, 0.0);
  }

  void cut(const Area& area) {
    ClipperLib::Clipper clipper;
    for (const Path& ring : area.rings) {
      clipper.AddPath(to_units(flatten(ring, options_.tolerance_mm)), ClipperLib::ptSubject, true);
    }
    Paths solid;
    clipper.Execute(ClipperLib::ctUnion, solid, ClipperLib::pftEvenOdd, ClipperLib::pftEvenOdd);
    if (const std::optional<Area> left = cut_solid(solid)) {
      if (!left->rings.empty()) result_.lines.areas.push_back(*left);
    } else {
      result_.lines.areas.push_back(area);
    }
  }

  // Cut wide lines come after the areas that were given.
  void add_painted() {
    std::vector<Area>& areas = result_.lines.areas;
    areas.insert(areas.end(), painted_.begin(), painted_.end());
    painted_.clear();
  }

 private:
  void cut_dot(const Stroke& dot) {
    const double room = front_.field().at(dot.path.points.front());
    if (room >= options_.gap_mm + dot.width_mm / 2.0) {
      result_.lines.strokes.push_back(dot);
    } else {
      ++result_.hidden_dots;
    }
  }

  void cut_wide(const Stroke& stroke) {
    ClipperLib::ClipperOffset offset(2.0, kArcShare * options_.tolerance_mm * kUnitsPerMm);
    offset.AddPath(to_units(flatten(stroke.path, options_.tolerance_mm)),
                   ClipperLib::jtRound,
                   ClipperLib::etOpenRound);
    Paths solid;
    offset.Execute(solid, stroke.width_mm / 2.0 * kUnitsPerMm);
    if (const std::optional<Area> left = cut_solid(solid)) {
      if (!left->rings.empty()) painted_.push_back(*left);
    } else {
      result_.lines.strokes.push_back(stroke);
    }
  }

  // What is left, perhaps nothing; nullopt when no cut touches it.
  std::optional<Area> cut_solid(const Paths& solid) {
    Box box;
    for (const auto& path : solid) box.add(box_of(from_units(path)));
    if (box.empty()) return std::nullopt;
    const double whole = area_of(solid);
    const Paths front = front_.near(box);
    if (front.empty()) {
      if (front_.field().at(box.centre()) > 0.0) return std::nullopt;
      result_.hidden_area_mm2 += whole;
      return Area{};
    }
    ClipperLib::Clipper clipper;
    clipper.AddPaths(solid, ClipperLib::ptSubject, true);
    clipper.AddPaths(front, ClipperLib::ptClip, true);
    Paths hidden;
    clipper.Execute(
        ClipperLib::ctIntersection, hidden, ClipperLib::pftNonZero, ClipperLib::pftNonZero);
    if (hidden.empty()) return std::nullopt;
    ClipperLib::PolyTree tree;
    clipper.Execute(ClipperLib::ctDifference, tree, ClipperLib::pftNonZero, ClipperLib::pftNonZero);
    double left = 0.0;
    Area out;
    for (const Paths& part : parts_of(tree)) {
      const double area = area_of(part);
      left += area;
      if (is_crumb(part, area)) {
        result_.crumb_area_mm2 += area;
        ++result_.crumbs;
        continue;
      }
      for (const auto& path : part) out.rings.push_back(Path::polyline(from_units(path), true));
    }
    result_.hidden_area_mm2 += std::max(whole - left, 0.0);
    return out;
  }

  bool is_crumb(const Paths& part, double area) const {
    const Box box = box_of(from_units(part.front()));
    if (std::hypot(box.width(), box.height()) < options_.least_piece_mm) return true;
    double round = 0.0;
    for (const auto& path : part) {
      const std::vector<Vec2> ring = from_units(path);
      round += polyline_length(ring) + distance(ring.back(), ring.front());
    }
    // Twice the area by the way round is the mean thickness of a sliver.
    return 2.0 * area < kThinShare * options_.least_piece_mm * round;
  }

  Front& front_;
  const CutOptions& options_;
  std::vector<Area> painted_;
  CutResult result_;
};

}  // namespace

void CutOptions::validate() const {
  require_between(gap_mm, 0.0, 0.5, "cut gap", "mm");
  require_between(least_piece_mm, 0.0, 50.0, "least piece", "mm");
  require_between(wide_mm, 0.1, 1000.0, "wide line", "mm");
  require_between(tolerance_mm, 0.001, 0.1, "tolerance", "mm");
}

CutResult cut_behind(const Linework& behind, const Rings& in_front, const CutOptions& options) {
  options.validate();
  // Distances must be exact as far as the widest line that is cut as a line, or dot, can need.
  double reach = options.gap_mm + options.tolerance_mm;
  for (const Stroke& stroke : behind.strokes) {
    if (stroke.width_mm <= options.wide_mm || stroke.path.is_dot()) {
      reach = std::max(reach, options.gap_mm + largest_width(stroke) / 2.0);
    }
  }
  Front front(in_front, reach, options);
  Job job(front, options);
  for (const Stroke& stroke : behind.strokes) job.cut(stroke);
  for (const Area& area : behind.areas) job.cut(area);
  job.add_painted();
  return std::move(job).done();
}

}  // namespace underdraw
