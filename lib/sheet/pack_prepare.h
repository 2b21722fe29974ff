// Outlines as the packing search wants them, and its poses back as places of the outlines.
//
// Stage:   sheet. Pure.
// In/out:  mm. With a clearance, outlines are grown by half of it and simplified outwards.
// Refuses: see pack_outlines.h.
#pragma once

#include <optional>
#include <vector>

#include "sheet/pack_outlines.h"
#include "sheet/pack_shape.h"

namespace underdraw {

// The first allowed turn in which the outline, grown by `border`, fits; free ones are looked at in
// steps of a degree.
std::optional<double> turn_with_room(const OutlineToPack& outline, double border, const Box& room);

class PreparedOutlines {
 public:
  // Skins lie a hair inside the outlines, so that outlines may touch, unless they are to be exact.
  enum class Skin { hair_inside, exact };
  PreparedOutlines(const std::vector<OutlineToPack>& outlines,
                   double clearance_mm,
                   Skin skin = Skin::hair_inside);

  // One an outline, in their order; equal outlines share one.
  const std::vector<const PackShape*>& pointers() const { return pointers_; }
  double area() const { return area_; }  // of all, grown by half the clearance
  double area_of(std::size_t outline) const { return areas_[shape_of_[outline]]; }
  // What the search's outlines were grown by: a little more than half the clearance.
  double grown_by_mm() const { return grown_by_mm_; }

  // The first turn in which the outline, as it was grown, fits.
  std::optional<double> turn_with_room(std::size_t outline, const Box& room) const;
  // True when skins that are apart leave the outlines apart: nothing needs to be settled.
  bool skins_tell() const { return skins_tell_; }
  void require_room(std::size_t outline, const Box& room) const;  // GeometryError

  std::vector<PackPose> in_a_row() const;  // side by side along x from (0, 0)
  PackedPlace place(std::size_t outline, const PackPose& pose) const;

 private:
  std::vector<OutlineToPack> kinds_;  // each once
  std::vector<PackShape> shapes_;
  std::vector<double> areas_;
  std::vector<std::size_t> shape_of_;
  std::vector<const PackShape*> pointers_;
  double area_ = 0.0;
  double grown_by_mm_ = 0.0;
  bool skins_tell_ = false;
};

// Throws GeometryError when pack_check finds a fault: nothing is handed on that breaks a clearance.
void require_no_fault(const std::vector<std::vector<Vec2>>& lying,
                      const Box& room,
                      double clearance_mm);

}  // namespace underdraw
