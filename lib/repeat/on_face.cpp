#include "repeat/on_face.h"

#include <algorithm>
#include <cmath>
#include <cstdint>

#include "repeat/touching.h"

namespace underdraw {
namespace {

constexpr double kBucketMm = 25.0;  // about a motif
constexpr double kTurn = 360.0;
constexpr double kSlack = 1e-6;  // mm: a motif exactly as high as its face fits

Rings shifted(Rings rings, double across) {
  for (auto& ring : rings) {
    for (Vec2& p : ring) p.x += across;
  }
  return rings;
}

std::int64_t key(std::int64_t column, std::int64_t row) { return column * 1'000'003 + row; }

}  // namespace

Rings on_face(const Surface& surface, FacePoint at, const Rings& paper) {
  Rings out;
  double least = at.across;
  for (const auto& ring : paper) {
    out.emplace_back();
    for (const Vec2 p : ring) {
      FacePoint point = surface.laid(at, p);
      if (surface.round()) {
        // Keep the outline in one piece over the seam.
        point.across = at.across + std::remainder(point.across - at.across, kTurn);
        least = std::min(least, point.across);
      }
      out.back().push_back({point.across, point.along});
    }
  }
  if (!surface.round()) return out;
  const double turns = std::floor(least / kTurn);
  return turns == 0.0 ? out : shifted(std::move(out), -turns * kTurn);
}

Rings zone_on_face(const Surface& surface, const KeepOut& zone) {
  const KeepOut here = surface.scaled(zone);
  Box box{{std::min(here.across_from, here.across_to), std::min(here.along_from, here.along_to)},
          {std::max(here.across_from, here.across_to), std::max(here.along_from, here.along_to)}};
  if (surface.round()) {
    // From the first angle to the right, over the seam if need be.
    const double span = here.across_to - here.across_from;
    box.min.x = wrapped_deg(here.across_from);
    box.max.x = box.min.x + (span >= kTurn ? kTurn : wrapped_deg(span));
  }
  return ring_of(box);
}

FaceRoom::FaceRoom(const Surface& surface, double edge_mm)
    : round_(surface.round()),
      shaped_(!surface.outline().empty()),
      width_mm_(surface.widest_mm()),
      along_mm_(surface.along_mm()),
      edge_mm_(edge_mm - kSlack) {
  if (!shaped_) return;
  shape_ = outlines_grown(surface.outline(), -edge_mm);
  shape_mm2_ = covered_area(shape_);
}

bool FaceRoom::holds(const Rings& outline) const {
  const Box box = box_of(outline);
  if (box.min.y < edge_mm_ || box.max.y > along_mm_ - edge_mm_) return false;
  if (!round_ && (box.min.x < edge_mm_ || box.max.x > width_mm_ - edge_mm_)) return false;
  if (!shaped_) return true;
  // Inside: joining it to the room adds nothing.
  Rings joined = shape_;
  joined.insert(joined.end(), outline.begin(), outline.end());
  return covered_area(joined) - shape_mm2_ < 1e-3;
}

TakenSpots::TakenSpots(const Surface& surface)
    : round_(surface.round()), cell_{kBucketMm, kBucketMm} {
  if (round_) cell_.x = std::min(kBucketMm / (surface.widest_mm() / kTurn), kTurn);
}

void TakenSpots::add(Rings outline, std::size_t tag) {
  const auto keep = [&](Rings rings) {
    const Box box = box_of(rings);
    const auto at = [](double v, double cell) {
      return static_cast<std::int64_t>(std::floor(v / cell));
    };
    for (std::int64_t c = at(box.min.x, cell_.x); c <= at(box.max.x, cell_.x); ++c) {
      for (std::int64_t r = at(box.min.y, cell_.y); r <= at(box.max.y, cell_.y); ++r) {
        buckets_[key(c, r)].push_back(spots_.size());
      }
    }
    spots_.push_back({std::move(rings), box, tag});
  };
  if (round_ && box_of(outline).max.x > kTurn) keep(shifted(outline, -kTurn));
  keep(std::move(outline));
}

template <typename Visit>
void TakenSpots::visit(const Rings& outline, Visit visit) const {
  const Box box = box_of(outline);
  const auto at = [](double v, double cell) {
    return static_cast<std::int64_t>(std::floor(v / cell));
  };
  for (std::int64_t c = at(box.min.x, cell_.x); c <= at(box.max.x, cell_.x); ++c) {
    for (std::int64_t r = at(box.min.y, cell_.y); r <= at(box.max.y, cell_.y); ++r) {
      const auto bucket = buckets_.find(key(c, r));
      if (bucket == buckets_.end()) continue;
      for (const std::size_t i : bucket->second) {
        if (spots_[i].box.overlaps(box) && touching(spots_[i].outline, outline)) visit(spots_[i]);
      }
    }
  }
}

std::optional<std::size_t> TakenSpots::touched(const Rings& outline) const {
  std::optional<std::size_t> tag;
  const auto note = [&](const Spot& spot) { tag = tag ? std::min(*tag, spot.tag) : spot.tag; };
  visit(outline, note);
  if (round_ && box_of(outline).max.x > kTurn) visit(shifted(outline, -kTurn), note);
  return tag;
}

std::vector<Rings> TakenSpots::outlines_touched(const Rings& outline) const {
  std::vector<const Spot*> spots;
  std::vector<Rings> out;
  const auto collect = [&](const Rings& at, double back) {
    visit(at, [&](const Spot& spot) {
      if (std::find(spots.begin(), spots.end(), &spot) != spots.end()) return;
      spots.push_back(&spot);
      out.push_back(shifted(spot.outline, back));
    });
  };
  collect(outline, 0.0);
  if (round_ && box_of(outline).max.x > kTurn) collect(shifted(outline, -kTurn), kTurn);
  return out;
}

}  // namespace underdraw
