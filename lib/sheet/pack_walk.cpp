#include "sheet/pack_walk.h"

#include <limits>
#include <numeric>

namespace underdraw {
namespace {

constexpr double kFirstDensity = 0.6;
constexpr double kExploring = 0.75;  // share of the allowance before squeezing starts
constexpr int kPatience = 50;        // passes without less overlap
constexpr int kStrikes = 2;          // patience lost so often before a start is given up
constexpr int kSqueezePatience = 40;
constexpr double kFallen = 0.98;  // overlap counts as less below this share
constexpr double kLeastShrink = 0.002;
constexpr double kFirstSqueeze = 0.002;
constexpr double kLastSqueeze = 0.00002;

// By passes that the last length took: easy lengths are left in large steps.
double shrink_after(int passes) {
  if (passes <= 5) return 0.02;
  if (passes <= 20) return 0.01;
  if (passes <= 60) return 0.005;
  return kLeastShrink;
}

}  // namespace

PackWalk::PackWalk(const std::vector<const PackShape*>& shapes,
                   double height_mm,
                   std::uint64_t seed)
    : shapes_(shapes), height_mm_(height_mm), layout_(shapes, {{0, 0}, {1e9, height_mm}}, seed) {
  for (const PackShape* shape : shapes) {
    area_ += shape->area();
    // Narrowest turn that fits; free ones are looked at in steps.
    double narrowest = std::numeric_limits<double>::infinity();
    std::vector<double> turns = shape->turns().at_deg;
    for (double turn = 0.0; shape->turns().free && turn < 180.0; turn += 1.0) turns.push_back(turn);
    for (const double turn : turns) {
      const Box box = shape->box_at(turn);
      if (box.height() <= height_mm + 1e-7) narrowest = std::min(narrowest, box.width());
    }
    least_length_ = std::max(least_length_, narrowest);
  }
  length_mm_ = std::max(area_ / (kFirstDensity * height_mm), least_length_);
  layout_.set_room(strip(length_mm_), layout_.poses());
  layout_.scatter();
  try_length(length_mm_, layout_.poses());
}

void PackWalk::try_length(double length_mm, const std::vector<PackPose>& poses) {
  length_mm_ = std::max(length_mm, least_length_);
  layout_.set_room(strip(length_mm_), poses);
  least_ = {std::numeric_limits<double>::infinity(), layout_.poses()};
  passes_ = idle_ = strikes_ = 0;
}

void PackWalk::adopt(const std::vector<PackPose>& poses, double length_mm) {
  best_ = poses;
  best_length_ = length_mm;
  failures_.clear();
  layout_.forget_weights();
  if (share_ < kExploring) {
    try_length(length_mm * (1.0 - shrink_after(1000)), poses);
  } else {
    squeeze();
  }
}

void PackWalk::step(double share) {
  share_ = share;
  if (layout_.apart()) {
    succeed();
    return;
  }
  layout_.draw_apart_once();
  ++passes_;
  const double overlap = layout_.overlap();
  if (overlap < kFallen * least_.overlap)
    idle_ = 0;
  else
    ++idle_;
  if (overlap < least_.overlap) least_ = {overlap, layout_.poses()};
  if (overlap == 0.0) {
    succeed();
  } else if (idle_ > (share_ < kExploring ? kPatience : kSqueezePatience)) {
    idle_ = 0;
    if (++strikes_ > (share_ < kExploring ? kStrikes : 0)) {
      give_up();
    } else {
      layout_.set_poses(least_.poses);
    }
  }
}

void PackWalk::succeed() {
  const double used = layout_.extent().max.x;
  if (!found() || used < best_length_) {
    best_ = layout_.poses();
    best_length_ = used;
  }
  failures_.clear();
  layout_.forget_weights();
  const double bound = std::max(least_length_, area_ / height_mm_);
  if (best_length_ <= bound * (1.0 + 1e-9)) {
    done_ = true;
    return;
  }
  if (share_ < kExploring) {
    try_length(best_length_ * (1.0 - shrink_after(passes_)), best_);
  } else {
    squeeze();
  }
}

void PackWalk::give_up() {
  layout_.forget_weights();
  if (!found()) {  // the first length was too bold
    length_mm_ *= 1.1;
    layout_.set_room(strip(length_mm_), layout_.poses());
    layout_.scatter();
    try_length(length_mm_, layout_.poses());
    return;
  }
  if (share_ < kExploring) {
    start_again_from_failure();
  } else {
    squeeze();
  }
}

void PackWalk::start_again_from_failure() {
  failures_.push_back(least_);
  std::sort(failures_.begin(), failures_.end(), [](const Failure& a, const Failure& b) {
    return a.overlap < b.overlap;
  });
  if (failures_.size() > 20) failures_.pop_back();
  PackRandom& random = layout_.random();
  const double length = std::max(length_mm_, best_length_ * (1.0 - kLeastShrink));
  // Good ones more often.
  const double u = random.uniform();
  const auto at = static_cast<std::size_t>(u * u * static_cast<double>(failures_.size()));
  std::vector<PackPose> poses = failures_[at].poses;
  change_over_two(poses);
  try_length(length, poses);
}

void PackWalk::change_over_two(std::vector<PackPose>& poses) {
  std::vector<std::size_t> order(shapes_.size());
  std::iota(order.begin(), order.end(), std::size_t{0});
  std::stable_sort(order.begin(), order.end(), [&](std::size_t a, std::size_t b) {
    return shapes_[a]->size() > shapes_[b]->size();
  });
  // Those that make up three quarters of all.
  double whole = 0.0, sum = 0.0;
  for (const PackShape* shape : shapes_) whole += shape->size() * shape->size();
  std::size_t large = 0;
  while (large < order.size() && sum < 0.75 * whole) {
    sum += shapes_[order[large]]->size() * shapes_[order[large]]->size();
    ++large;
  }
  if (order.size() < 2) return;
  large = std::max<std::size_t>(large, 2);
  PackRandom& random = layout_.random();
  const std::size_t a = order[random.below(large)];
  std::size_t b = a;
  for (int tries = 0; tries < 30 && (b == a || shapes_[a]->size() == shapes_[b]->size()); ++tries) {
    b = order[random.below(large)];
  }
  std::swap(poses[a].at, poses[b].at);
}

// A little shorter than the best: what lies beyond a random cut moves up.
void PackWalk::squeeze() {
  const double late = std::clamp((share_ - kExploring) / (1.0 - kExploring), 0.0, 1.0);
  const double by = best_length_ * kFirstSqueeze * std::pow(kLastSqueeze / kFirstSqueeze, late);
  const double cut = layout_.random().uniform(0.0, best_length_);
  std::vector<PackPose> poses = best_;
  for (PackPose& pose : poses) {
    if (pose.at.x > cut) pose.at.x -= by;
  }
  layout_.forget_weights();
  try_length(best_length_ - by, poses);
}

}  // namespace underdraw
