#include "sheet/pack_layout.h"

#include <array>
#include <numeric>

namespace underdraw {
namespace {

constexpr int kAnywhere = 30;               // places sampled in the whole room
constexpr int kAround = 20;                 // and around the present one
constexpr std::size_t kKept = 3;            // of these, settled by descent
constexpr double kCoarse[] = {0.25, 0.02};  // steps of descent, of the smaller side
constexpr double kFine[] = {0.01, 0.0005};
constexpr double kTurnStep = 90.0;   // degrees for a step of a whole side
constexpr double kLeastRise = 1.05;  // factors on weights of pairs that overlap
constexpr double kMostRise = 1.4;
constexpr double kFall = 0.98;   // and of those that do not
constexpr double kSlack = 1e-7;  // mm, rounding
constexpr double kHeaviest = 1e9;

}  // namespace

PackLayout::PackLayout(const std::vector<const PackShape*>& shapes,
                       const Box& room,
                       std::uint64_t seed)
    : shapes_(shapes),
      room_(room),
      random_(seed),
      poses_(shapes.size()),
      lying_(shapes.size()),
      left_(shapes.size()),
      right_(shapes.size()),
      top_(shapes.size()),
      bottom_(shapes.size()),
      losses_(shapes.size() * shapes.size()),
      weights_(shapes.size() * shapes.size(), 1.0),
      near_(shapes.size()) {
  scatter();
}

void PackLayout::scatter() {
  std::vector<PackPose> poses;
  for (std::size_t i = 0; i < shapes_.size(); ++i) {
    poses.push_back(
        {random_turn(i),
         {random_.uniform(room_.min.x, room_.max.x), random_.uniform(room_.min.y, room_.max.y)}});
  }
  set_poses(poses);
}

void PackLayout::set_poses(const std::vector<PackPose>& poses) {
  for (std::size_t i = 0; i < poses.size(); ++i) put(i, inside(i, poses[i]));
  for (std::size_t i = 0; i < poses.size(); ++i) renew_losses(i);
}

void PackLayout::set_room(const Box& room, const std::vector<PackPose>& poses) {
  room_ = room;
  set_poses(poses);
}

void PackLayout::forget_weights() { std::fill(weights_.begin(), weights_.end(), 1.0); }

double PackLayout::overlap() const {
  return std::accumulate(losses_.begin(), losses_.end(), 0.0) / 2.0;
}

double PackLayout::overlap_of(std::size_t item) const {
  const auto row = losses_.begin() + static_cast<std::ptrdiff_t>(item * shapes_.size());
  return std::accumulate(row, row + static_cast<std::ptrdiff_t>(shapes_.size()), 0.0);
}

bool PackLayout::apart() const {
  return std::all_of(losses_.begin(), losses_.end(), [](double loss) { return loss == 0.0; });
}

Box PackLayout::extent() const {
  Box box;
  for (std::size_t i = 0; i < shapes_.size(); ++i) {
    box.add(Box{{left_[i], top_[i]}, {right_[i], bottom_[i]}});
  }
  return box;
}

const TurnedShape& PackLayout::turned(std::size_t item, double turn_deg) {
  for (const TurnedShape& ready : shapes_[item]->turned()) {
    if (ready.turn_deg == turn_deg) return ready;
  }
  if (trial_.shape != shapes_[item] || trial_.turn_deg != turn_deg) {
    trial_.turn(*shapes_[item], turn_deg);
  }
  return trial_;
}

// The nearest pose within the room; another turn where this one has no room.
PackPose PackLayout::inside(std::size_t item, const PackPose& pose) {
  PackPose out = pose;
  const Box* box = &turned(item, out.turn_deg).box;
  for (int tries = 0; tries < 500 && (box->width() > room_.width() + kSlack ||
                                      box->height() > room_.height() + kSlack);
       ++tries) {
    out.turn_deg = random_turn(item);
    box = &turned(item, out.turn_deg).box;
  }
  const auto within = [](double at, double low, double high) {
    return low < high ? std::clamp(at, low, high) : (low + high) / 2.0;
  };
  out.at = {within(out.at.x, room_.min.x - box->min.x, room_.max.x - box->max.x),
            within(out.at.y, room_.min.y - box->min.y, room_.max.y - box->max.y)};
  return out;
}

double PackLayout::random_turn(std::size_t item) {
  const Turns& turns = shapes_[item]->turns();
  if (turns.free) return random_.uniform(0.0, 360.0);
  return turns.at_deg[random_.below(turns.at_deg.size())];
}

double PackLayout::loss_at(std::size_t item, const PackPose& pose, double enough) {
  ++tried_;
  const TurnedShape& shape = turned(item, pose.turn_deg);
  const double left = pose.at.x + shape.box.min.x, right = pose.at.x + shape.box.max.x;
  const double top = pose.at.y + shape.box.min.y, bottom = pose.at.y + shape.box.max.y;
  const std::size_t n = shapes_.size();
  std::size_t count = 0;
  for (std::size_t k = 0; k < n; ++k) {
    near_[count] = k;
    count += static_cast<std::size_t>((left_[k] < right) & (left < right_[k]) & (top_[k] < bottom) &
                                      (top < bottom_[k]));
  }
  double sum = 0.0;
  for (std::size_t c = 0; c < count && sum < enough; ++c) {
    const std::size_t k = near_[c];
    if (k == item) continue;
    const double deep = underdraw::overlap(shape, lying_[k], poses_[k].at - pose.at);
    if (deep > 0.0) sum += deep * weights_[item * n + k];
  }
  return sum;
}

void PackLayout::put(std::size_t item, const PackPose& pose) {
  lying_[item] = turned(item, pose.turn_deg);
  poses_[item] = pose;
  const Box& box = lying_[item].box;
  left_[item] = pose.at.x + box.min.x;
  right_[item] = pose.at.x + box.max.x;
  top_[item] = pose.at.y + box.min.y;
  bottom_[item] = pose.at.y + box.max.y;
}

void PackLayout::renew_losses(std::size_t item) {
  for (std::size_t k = 0; k < shapes_.size(); ++k) {
    double deep = 0.0;
    if (k != item && left_[k] < right_[item] && left_[item] < right_[k] &&
        top_[k] < bottom_[item] && top_[item] < bottom_[k]) {
      deep = underdraw::overlap(lying_[item], lying_[k], poses_[k].at - poses_[item].at);
    }
    loss(item, k) = loss(k, item) = deep;
  }
}

double PackLayout::weighted_loss(std::size_t item) const {
  const std::size_t row = item * shapes_.size();
  double sum = 0.0;
  for (std::size_t k = 0; k < shapes_.size(); ++k) sum += losses_[row + k] * weights_[row + k];
  return sum;
}

PackLayout::Spot PackLayout::descend(std::size_t item,
                                     Spot from,
                                     double first_step,
                                     double last_step) {
  const Box& box = turned(item, from.pose.turn_deg).box;
  const double side = std::min(box.width(), box.height());
  const bool free = shapes_[item]->turns().free;
  double step_x = first_step * side, step_y = step_x, step_turn = first_step * kTurnStep;
  const double least = last_step * side;
  while ((step_x > least || step_y > least) && from.loss > 0.0) {
    const std::size_t axis = random_.below(free ? 5 : 4);
    Vec2 by;
    double turn = 0.0;
    if (axis == 0) by = {step_x, 0.0};
    if (axis == 1) by = {0.0, step_y};
    if (axis == 2) by = {step_x, step_y};
    if (axis == 3) by = {step_x, -step_y};
    if (axis == 4) turn = step_turn;
    bool better = false;
    for (const double way : {1.0, -1.0}) {
      const PackPose next =
          inside(item, {from.pose.turn_deg + way * turn, from.pose.at + by * way});
      const double loss = loss_at(item, next, from.loss);
      if (loss >= from.loss) continue;
      from = {next, loss};
      better = true;
      break;
    }
    const double factor = better ? 1.1 : 0.5;
    if (by.x != 0.0) step_x *= factor;
    if (by.y != 0.0) step_y *= factor;
    if (axis == 4) step_turn *= factor;
  }
  return from;
}

void PackLayout::move_to_best(std::size_t item) {
  const double now = weighted_loss(item);
  std::array<Spot, kKept> kept;
  kept.fill({poses_[item], std::numeric_limits<double>::infinity()});
  const auto take = [&](const PackPose& pose) {
    const double loss = loss_at(item, pose, kept.back().loss);
    if (loss >= kept.back().loss) return;
    std::size_t at = kKept - 1;
    for (; at > 0 && loss < kept[at - 1].loss; --at) kept[at] = kept[at - 1];
    kept[at] = {pose, loss};
  };
  take(poses_[item]);
  const Vec2 around{right_[item] - left_[item], bottom_[item] - top_[item]};
  const bool free = shapes_[item]->turns().free;
  for (int s = 0; s < kAround + kAnywhere && kept.front().loss > 0.0; ++s) {
    PackPose pose = poses_[item];
    if (s < kAround) {
      pose.at += {around.x * random_.uniform(-0.5, 0.5), around.y * random_.uniform(-0.5, 0.5)};
      if (free) {
        pose.turn_deg += random_.uniform(-20.0, 20.0);
      } else if (random_.below(2) == 0) {
        pose.turn_deg = random_turn(item);
      }
      take(inside(item, pose));
    } else {
      pose.turn_deg = random_turn(item);
      const Box& box = turned(item, pose.turn_deg).box;
      pose.at = {random_.uniform(room_.min.x - box.min.x, room_.max.x - box.max.x),
                 random_.uniform(room_.min.y - box.min.y, room_.max.y - box.max.y)};
      take(inside(item, pose));
    }
  }
  Spot best = kept.front();
  for (const Spot& spot : kept) {
    if (best.loss <= 0.0) break;
    if (!std::isfinite(spot.loss)) continue;
    const Spot settled = descend(item, spot, kCoarse[0], kCoarse[1]);
    if (settled.loss < best.loss) best = settled;
  }
  best = descend(item, best, kFine[0], kFine[1]);
  if (best.loss >= now) return;
  put(item, best.pose);
  renew_losses(item);
}

void PackLayout::weigh_pairs() {
  double most = 0.0;
  for (const double loss : losses_) most = std::max(most, loss);
  for (std::size_t k = 0; k < losses_.size(); ++k) {
    weights_[k] =
        losses_[k] > 0.0
            ? std::min(kHeaviest,
                       weights_[k] * (kLeastRise + (kMostRise - kLeastRise) * losses_[k] / most))
            : std::max(1.0, weights_[k] * kFall);
  }
}

void PackLayout::draw_apart_once() {
  std::vector<std::size_t> order;
  for (std::size_t i = 0; i < shapes_.size(); ++i) {
    if (overlap_of(i) > 0.0) order.push_back(i);
  }
  for (std::size_t i = order.size(); i > 1; --i) std::swap(order[i - 1], order[random_.below(i)]);
  for (const std::size_t item : order) {
    if (overlap_of(item) > 0.0) move_to_best(item);
  }
  weigh_pairs();
}

}  // namespace underdraw
