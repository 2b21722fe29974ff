// The numbers that photos have to tell of how a face stands, by its form.
//
// Stage:   recover, internal to fit_standing.cpp.
// In/out:  a vector of numbers in mm and degrees <-> FaceStanding. Wall: shift across and up the
//          mat, then how much wider it is at each knot. Ball: shift, wider, lift. Ring: shift,
//          lift. Flat: shift, turn, lift.
// Source:  own construction.
#pragma once

#include <optional>
#include <vector>

#include "recover/face_photo.h"
#include "recover/standing.h"

namespace underdraw {

enum class Outline { wall, ball, ring, flat };

Outline outline_of(const Surface& surface);

// A point whose picture is an edge in photos.
struct OutlineSpot {
  double a_deg = 0.0, share = 0.0;  // round: share of the measured length
  Vec2 from_middle;                 // flat: x, y on the mat before shift and turn
  bool on_mat = false;              // flat: the edge below, where the side meets the mat
};

class StandingUnknowns {
 public:
  explicit StandingUnknowns(const Surface& surface, const FaceStanding& start = {});

  Outline outline() const { return outline_; }
  std::size_t count() const { return values_.size(); }
  const std::vector<double>& values() const { return values_; }
  void set(std::vector<double> values) { values_ = std::move(values); }
  std::size_t knots() const;
  void set_size(double size) { size_ = size; }  // see FaceStanding

  FaceStanding standing() const { return standing_of(values_); }
  FaceStanding standing_of(const std::vector<double>& values) const;

  Vec3 spot_in_mat(const OutlineSpot& spot, const FaceStanding& standing) const;

 private:
  const Surface& surface_;
  Outline outline_;
  std::vector<double> values_;
  double size_ = 1.0;
};

// Small steps of each unknown, for slopes.
constexpr double kUnknownStep = 0.02;

}  // namespace underdraw
