// Shapes lying in a room, overlaps allowed, and the search that draws them apart.
//
// Stage:   sheet. Pure; the same seed gives the same moves.
// In/out:  mm, room's frame. Shapes never leave the room.
// Source:  overlaps weighted by pairs that keep overlapping (guided local search), each shape moved
//          to the best of many sampled places and settled there by coordinate descent: J. Gardeyn,
//          G. Vanden Berghe, T. Wauters, arXiv:2509.13329 (2025); written from the idea.
#pragma once

#include <cstddef>
#include <cstdint>
#include <vector>

#include "sheet/pack_random.h"
#include "sheet/pack_shape.h"

namespace underdraw {

class PackLayout {
 public:
  // The shapes must outlive the layout. Each fits the room in one of its turns.
  PackLayout(const std::vector<const PackShape*>& shapes, const Box& room, std::uint64_t seed);

  void scatter();                                      // anywhere, weights forgotten
  void set_poses(const std::vector<PackPose>& poses);  // moved into the room where they are not
  void set_room(const Box& room, const std::vector<PackPose>& poses);
  void forget_weights();

  // Every shape that overlaps is moved once if there is a better place; then pairs that still
  // overlap weigh more.
  void draw_apart_once();

  const std::vector<PackPose>& poses() const { return poses_; }
  const Box& room() const { return room_; }
  double overlap() const;  // of all pairs, unweighted
  double overlap_of(std::size_t item) const;
  bool apart() const;
  Box extent() const;
  std::uint64_t places_tried() const { return tried_; }
  PackRandom& random() { return random_; }

 private:
  struct Spot {
    PackPose pose;
    double loss = 0.0;
  };
  double& loss(std::size_t i, std::size_t k) { return losses_[i * shapes_.size() + k]; }
  double loss(std::size_t i, std::size_t k) const { return losses_[i * shapes_.size() + k]; }
  const TurnedShape& turned(std::size_t item, double turn_deg);
  PackPose inside(std::size_t item, const PackPose& pose);
  double loss_at(std::size_t item, const PackPose& pose, double enough);
  Spot descend(std::size_t item, Spot from, double first_step, double last_step);
  void move_to_best(std::size_t item);
  void put(std::size_t item, const PackPose& pose);
  void renew_losses(std::size_t item);
  double weighted_loss(std::size_t item) const;
  double random_turn(std::size_t item);
  void weigh_pairs();

  std::vector<const PackShape*> shapes_;
  Box room_;
  PackRandom random_;
  std::vector<PackPose> poses_;
  std::vector<TurnedShape> lying_;                   // as posed
  std::vector<double> left_, right_, top_, bottom_;  // of each, in the room
  std::vector<double> losses_, weights_;             // of pairs, both ways
  TurnedShape trial_;
  std::vector<std::size_t> near_;
  std::uint64_t tried_ = 0;
};

}  // namespace underdraw
