// One search for a short strip: draws shapes apart in a strip that shrinks again and again.
//
// Stage:   sheet. Pure.
// In/out:  mm; strip from (0, 0), x along it.
// Source:  as pack_layout.h: first large shrinking steps, starting again from poor layouts with two
//          large shapes changed over; at the end small ones at a random cut.
#pragma once

#include <vector>

#include "sheet/pack_layout.h"

namespace underdraw {

class PackWalk {
 public:
  PackWalk(const std::vector<const PackShape*>& shapes, double height_mm, std::uint64_t seed);

  // One pass of the layout and what follows from it. `share` of the whole allowance is spent.
  void step(double share);

  bool done() const { return done_; }  // no strip can be shorter
  bool found() const { return !best_.empty(); }
  double best_length() const { return best_length_; }
  const std::vector<PackPose>& best() const { return best_; }
  std::uint64_t places_tried() const { return layout_.places_tried(); }

  // Goes on from a shorter strip that another search found.
  void adopt(const std::vector<PackPose>& poses, double length_mm);

 private:
  struct Failure {
    double overlap = 0.0;
    std::vector<PackPose> poses;
  };
  void try_length(double length_mm, const std::vector<PackPose>& poses);
  void succeed();
  void give_up();
  void start_again_from_failure();
  void squeeze();
  void change_over_two(std::vector<PackPose>& poses);
  Box strip(double length_mm) const { return {{0.0, 0.0}, {length_mm, height_mm_}}; }

  std::vector<const PackShape*> shapes_;
  double height_mm_;
  double area_ = 0.0;
  double least_length_ = 0.0;  // of the widest shape
  PackLayout layout_;
  double length_mm_ = 0.0;  // being tried
  std::vector<PackPose> best_;
  double best_length_ = 0.0;
  double share_ = 0.0;
  std::vector<Failure> failures_;
  Failure least_;   // of this attempt
  int passes_ = 0;  // of this attempt
  int idle_ = 0;    // passes since the overlap last fell
  int strikes_ = 0;
  bool done_ = false;
};

}  // namespace underdraw
