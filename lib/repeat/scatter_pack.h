// Finds places for as many copies as go, or for a given number with even gaps.
//
// Stage:   repeat. Pure.
// Source:  see repeat/scatter.h.
#pragma once

#include <optional>
#include <vector>

#include "repeat/scatter_crowd.h"
#include "repeat/scatter_random.h"

namespace underdraw {

struct PackRequest {
  double gap_mm = 0.0;
  double edge_mm = 0.0;
  double slack_mm = 0.0;          // on top of the gap while copies move
  std::optional<double> ink_mm2;  // how much to place; nothing: as much as goes
  std::vector<double> shares;     // of the copies, a form; sums to 1
  std::vector<char> may_mirror;   // a form
  bool part_kin = true;           // there is more than one kind
  int effort = 1;
};

class Packer {
 public:
  Packer(Crowd& crowd,
         const ScatterGround& ground,
         const std::vector<ScatterForm>& forms,
         const PackRequest& request,
         ScatterRandom& random);

  void pack();  // into crowd.copies

  // The gap that copies of this area are spread with when each has so much of the face to itself.
  static double wide_gap(double room_mm2, double area_mm2);

 private:
  struct Spot {
    FacePoint at;
    double room_mm = 0.0;
  };
  void pack_evenly(int count);
  void fill_up();         // adds until nothing more goes, or until there is the ink asked for
  void strew(int count);  // a first place for so many copies
  void swell(double from_mm, double to_mm);
  void part_kinds();  // swaps until neighbours differ
  void relocate(const CrowdState& state, double gap_mm, int most);
  int add_in_spots(int most, double gap_mm);
  void close_holes(double gap_mm, int rounds);  // pulls copies into the largest
  void drop_overlapping(double gap_mm, double good_mm);

  FacePoint random_spot();
  // Where a copy may go: the emptiest spots, the gap and the ground taken off.
  std::vector<Spot> empty_spots(int count, double gap_mm);
  // The same between outlines alone, whatever the ground.
  std::vector<Spot> holes(int count);
  template <typename Room>
  std::vector<Spot> largest(int count, Room room);
  CrowdCopy best_pose(int form, FacePoint at, double gap_mm, int except, double& pressure);
  double kin_nearby(const CrowdCopy& copy, int except) const;
  std::vector<int> counts_for(int count) const;
  int most_missed_form() const;
  double ink() const;
  int missing() const;  // copies until there is the ink asked for

  Crowd& crowd_;
  const ScatterGround& ground_;
  const std::vector<ScatterForm>& forms_;
  const PackRequest& request_;
  ScatterRandom& random_;
  double mean_area_ = 0.0, mean_grown_ = 0.0, mean_radius_ = 0.0, largest_radius_ = 0.0;
  double kin_reach_ = 0.0;  // as part of the sum of two radii: how near kin is looked for
  double most_per_across_ = 0.0;
};

}  // namespace underdraw
