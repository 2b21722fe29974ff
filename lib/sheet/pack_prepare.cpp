#include "sheet/pack_prepare.h"

#include <fmt/format.h>

#include "core/error.h"
#include "geometry/outline.h"
#include "sheet/pack_check.h"

namespace underdraw {
namespace {

constexpr double kSimpler = 0.02;  // mm that outlines with a clearance may grow by to get simpler
constexpr double kMargin = 0.004;  // mm, for round corners drawn as polygons
constexpr double kInset = 1e-4;    // of an outline's size; two skins may overlap by twice that
constexpr double kSlack = 1e-7;    // mm, rounding
constexpr double kFreeStep = 1.0;  // degrees, when looking for a turn with room

}  // namespace

std::optional<double> turn_with_room(const OutlineToPack& outline, double border, const Box& room) {
  std::vector<double> turns = outline.turns.at_deg;
  if (outline.turns.free) {
    turns.clear();
    for (double turn = 0.0; turn < 180.0; turn += kFreeStep) turns.push_back(turn);
  }
  for (const double turn : turns) {
    const Affine turned = Affine::turn_deg(turn);
    Box box;
    for (const Vec2 p : outline.ring) box.add(turned * p);
    box = box.grown(border);
    if (box.width() <= room.width() + kSlack && box.height() <= room.height() + kSlack) return turn;
  }
  return std::nullopt;
}

PreparedOutlines::PreparedOutlines(const std::vector<OutlineToPack>& outlines,
                                   double clearance_mm,
                                   Skin skin)
    : skins_tell_(skin == Skin::exact || clearance_mm > 0.0) {
  const double half = clearance_mm / 2.0;
  if (clearance_mm > 0.0) grown_by_mm_ = half + kMargin;
  for (std::size_t i = 0; i < outlines.size(); ++i) {
    std::size_t kind = 0;
    while (kind < kinds_.size() &&
           (kinds_[kind].ring != outlines[i].ring || kinds_[kind].turns != outlines[i].turns)) {
      ++kind;
    }
    if (kind == kinds_.size()) kinds_.push_back(outlines[i]);
    shape_of_.push_back(kind);
  }
  shapes_.reserve(kinds_.size());
  for (const OutlineToPack& kind : kinds_) {
    if (!kind.turns.free && kind.turns.at_deg.empty()) {
      throw OptionError({.file = {},
                         .line = {},
                         .found = "turns.at_deg is empty",
                         .expected = "at least one angle",
                         .remedy = {}});
    }
    const std::vector<Vec2>* ring = &kind.ring;
    Rings grown;
    if (clearance_mm > 0.0) {
      const Rings exact = outlines_grown({kind.ring}, half, 0.001);
      areas_.push_back(covered_area(exact));
      const double loose = std::min(kSimpler, half / 4.0);
      grown = outlines_grown({kind.ring}, grown_by_mm_ + loose, 0.001);
      if (!grown.empty()) grown[0] = simpler_ring(grown[0], loose);
      ring = grown.empty() ? &kind.ring : &grown[0];
    } else {
      areas_.push_back(std::abs(signed_area(kind.ring)));
    }
    double inset = kInset * std::sqrt(std::abs(signed_area(*ring)));
    if (clearance_mm > 0.0) inset = std::min(inset, kMargin / 2.0);  // grown by more than that
    if (skin == Skin::exact) inset = 0.0;
    shapes_.emplace_back(*ring, kind.turns, inset, kind.ring, grown_by_mm_);
  }
  for (const std::size_t shape : shape_of_) {
    pointers_.push_back(&shapes_[shape]);
    area_ += areas_[shape];
  }
}

std::optional<double> PreparedOutlines::turn_with_room(std::size_t outline, const Box& room) const {
  return underdraw::turn_with_room(kinds_[shape_of_[outline]], grown_by_mm_, room);
}

void PreparedOutlines::require_room(std::size_t outline, const Box& room) const {
  if (turn_with_room(outline, room)) return;
  const Box box = box_of(kinds_[shape_of_[outline]].ring);
  throw GeometryError(
      {.file = {},
       .line = {},
       .found = fmt::format("outline {} is {:.1f} x {:.1f} mm and fits in none of its turns",
                            outline + 1,
                            box.width(),
                            box.height()),
       .expected = {},
       .remedy = "use larger paper, allow more turns or choose a smaller size"});
}

std::vector<PackPose> PreparedOutlines::in_a_row() const {
  std::vector<PackPose> out;
  double x = 0.0;
  for (const PackShape* shape : pointers_) {
    const double turn = shape->turns().free ? 0.0 : shape->turns().at_deg.front();
    // What is simplified sticks out of the box by less than a hundredth.
    const Box box = shape->box_at(turn).grown(0.01);
    out.push_back({turn, Vec2{x, 0.0} - box.min - Vec2{0.0, 0.01}});
    x += box.width();
  }
  return out;
}

PackedPlace PreparedOutlines::place(std::size_t outline, const PackPose& pose) const {
  const double turn = std::fmod(std::fmod(pose.turn_deg, 360.0) + 360.0, 360.0);
  return {turn, pointers_[outline]->room_from_outline({turn, pose.at}) * Vec2{}};
}

void require_no_fault(const std::vector<std::vector<Vec2>>& lying,
                      const Box& room,
                      double clearance_mm) {
  const auto fault = find_packing_fault(lying, room, clearance_mm);
  if (!fault) return;
  throw GeometryError(
      {.file = {},
       .line = {},
       .found = fault->first == fault->second
                    ? fmt::format("packed outline {} leaves its room by {:.2g} mm",
                                  fault->first + 1,
                                  fault->by_mm)
                    : fmt::format("packed outlines {} and {} come {:.2g} mm too close",
                                  fault->first + 1,
                                  fault->second + 1,
                                  fault->by_mm),
       .expected = {},
       .remedy = "this is a fault of the program; please report it with the piece folder"});
}

}  // namespace underdraw
