#include "repeat/scatter_crowd.h"

#include <algorithm>
#include <cmath>

#include "core/parallel.h"

namespace underdraw {
namespace {

constexpr double kSkin = 0.25;          // of the largest radius: how far pairs are looked for
constexpr double kInertia = 0.9;        // of a move that goes on in the next round
constexpr double kStep = 0.8;           // of the mean depth, moved in a round
constexpr double kMostMove = 0.3;       // of the radius, in a round
constexpr double kGradientStep = 0.05;  // of the radius, for the ground's slope
constexpr std::size_t kPairsWorthThreads = 3000;
constexpr std::size_t kChunk = 500;

double largest_radius(const std::vector<ScatterForm>& forms) {
  double most = 0.0;
  for (const ScatterForm& form : forms) most = std::max(most, form.radius_mm);
  return most;
}

}  // namespace

FaceIndex::FaceIndex(const Surface& surface, double cell_mm) : round_(surface.round()) {
  const int rows = std::max(1, static_cast<int>(surface.along_mm() / cell_mm));
  height_ = surface.along_mm() / rows;
  for (int r = 0; r < rows; ++r) {
    Row row;
    const double low = surface.mm_per_across(r * height_);
    const double high = surface.mm_per_across((r + 1) * height_);
    row.least_mm_per_across = std::max(1e-6, 0.9 * std::min(low, high));
    const double across = round_ ? 360.0 : surface.width_mm(0.0);
    const double wide = across * std::max(low, high);
    const int columns = std::max(1, static_cast<int>(wide / cell_mm));
    row.step = across / columns;
    row.cells.resize(static_cast<std::size_t>(columns));
    rows_.push_back(std::move(row));
  }
}

void FaceIndex::add(FacePoint point, int index) {
  Row& row = rows_[static_cast<std::size_t>(row_of(point.along))];
  const int columns = static_cast<int>(row.cells.size());
  int column = static_cast<int>(std::floor(point.across / row.step));
  column = round_ ? ((column % columns) + columns) % columns : std::clamp(column, 0, columns - 1);
  row.cells[static_cast<std::size_t>(column)].push_back(index);
}

void FaceIndex::build(const std::vector<FacePoint>& points) {
  for (Row& row : rows_) {
    for (auto& cell : row.cells) cell.clear();
  }
  for (std::size_t i = 0; i < points.size(); ++i) add(points[i], static_cast<int>(i));
}

Crowd::Crowd(const ScatterGround& ground,
             const std::vector<ScatterForm>& forms,
             std::optional<double> turn_limit)
    : ground_(&ground),
      surface_(&ground.surface()),
      forms_(&forms),
      turn_limit_(turn_limit),
      largest_radius_(largest_radius(forms)),
      index_(ground.surface(), 1.5 * largest_radius(forms)) {
  const double top = surface_->along_mm();
  flat_ = surface_->profile() == nullptr ||
          (surface_->round() && surface_->developable() && surface_->taper(0.0) == 0.0 &&
           surface_->taper(top) == 0.0);
}

double Crowd::limit_turn(double turn) const {
  return turn_limit_ ? std::clamp(turn, -*turn_limit_, *turn_limit_) : turn;
}

Crowd::Frame Crowd::frame(FacePoint a, FacePoint b) const {
  if (flat_) return {surface_->way(a, b)};
  const Vec2 at = surface_->paper_at(a, b);
  constexpr double kArm = 1.0;
  const Vec2 arm = surface_->paper_at(a, surface_->laid(b, {0.0, -kArm})) - at;
  const Vec2 up = normalized(arm);
  return {at, -up.y, up.x};
}

Crowd::Pose Crowd::pose_of(const CrowdCopy& copy) {
  const double c = std::cos(copy.turn), s = std::sin(copy.turn);
  const double side = copy.mirrored ? -1.0 : 1.0;
  return {side * c, -s, side * s, c};
}

void Crowd::push_points(const ScatterForm& own,
                        const ScatterForm& other,
                        const Pose& own_pose,
                        const Pose& other_pose,
                        const Frame& way,
                        double gap_mm,
                        Push& on_own,
                        Push& on_other) {
  // From one motif to the other in one step.
  const Vec2 x = other_pose.in_motif(way.turned_back(own_pose.on_paper({1.0, 0.0})));
  const Vec2 y = other_pose.in_motif(way.turned_back(own_pose.on_paper({0.0, 1.0})));
  const Vec2 origin = other_pose.in_motif(way.turned_back(-way.at));
  const auto across = [&](Vec2 p) { return origin + x * p.x + y * p.y; };
  const auto note = [](Push& on, Vec2 at, Vec2 force, double weight, double depth) {
    on.force += force;
    on.torque += cross(at, force);
    on.weight += weight;
    on.inertia += weight * dot(at, at);
    on.energy += weight * depth * depth;
    on.deepest = std::max(on.deepest, depth);
  };
  const double reach = other.radius_mm + gap_mm;
  for (const PointRun& run : own.runs) {
    const Vec2 centre = across(run.centre);
    const double far = reach + run.radius_mm;
    if (dot(centre, centre) > far * far) continue;
    // Distances grow no faster than the way gone.
    if (other.distance.covers(centre) &&
        other.distance.at(centre).mm > gap_mm + run.radius_mm + other.distance.cell_mm()) {
      continue;
    }
    for (std::size_t i = run.from; i < run.to; ++i) {
      const Vec2 m = across(own.points[i].at);
      if (!other.distance.covers(m)) continue;
      const SignedDistance d = other.distance.at(m);
      const double depth = gap_mm - d.mm;
      if (depth <= 0.0) continue;
      const double weight = own.points[i].share_mm;
      const Vec2 p = own_pose.on_paper(own.points[i].at);
      const Vec2 out = other_pose.on_paper(d.away) * (weight * depth);  // on other's paper
      note(on_own, p, way.turned(out), weight, depth);
      note(on_other, way.to_b(p), -out, weight, depth);
    }
  }
}

void Crowd::push_pair(const CrowdCopy& a,
                      const CrowdCopy& b,
                      const Pose& pose_a,
                      const Pose& pose_b,
                      double gap_mm,
                      Push& on_a,
                      Push& on_b) const {
  const ScatterForm& form_a = form_of(a);
  const ScatterForm& form_b = form_of(b);
  if (form_a.kind == form_b.kind) gap_mm += kin_mm_;
  const Frame way = frame(a.at, b.at);
  const double reach = form_a.radius_mm + form_b.radius_mm + gap_mm;
  if (dot(way.at, way.at) >= reach * reach) return;
  push_points(form_a, form_b, pose_a, pose_b, way, gap_mm, on_a, on_b);
  push_points(form_b, form_a, pose_b, pose_a, way.back(), gap_mm, on_b, on_a);
}

void Crowd::push_ground(const CrowdCopy& copy, const Pose& pose, double more_mm, Push& on) const {
  const ScatterForm& form = form_of(copy);
  if (ground_->room_mm(copy.at) >= form.radius_mm + more_mm) return;
  const double h = kGradientStep * form.radius_mm;
  for (const OutlinePoint& point : form.points) {
    const Vec2 p = pose.on_paper(point.at);
    const auto room = [&](Vec2 off) { return ground_->room_mm(surface_->laid(copy.at, p + off)); };
    const double depth = more_mm - room({0.0, 0.0});
    if (depth <= 0.0) continue;
    const Vec2 slope =
        normalized(Vec2{room({h, 0.0}) - room({-h, 0.0}), room({0.0, h}) - room({0.0, -h})});
    // Nothing else gives way, so this side pushes alone.
    const double weight = 2.0 * point.share_mm;
    const Vec2 force = slope * (weight * depth);
    on.force += force;
    on.torque += cross(p, force);
    on.weight += weight;
    on.inertia += weight * dot(p, p);
    on.energy += weight * depth * depth;
    on.deepest = std::max(on.deepest, depth);
  }
}

void Crowd::settle() {
  std::vector<FacePoint> places;
  places.reserve(copies.size());
  for (const CrowdCopy& copy : copies) places.push_back(copy.at);
  index_.build(places);
}

std::vector<std::pair<int, int>> Crowd::near_pairs(double within_mm) const {
  std::vector<std::pair<int, int>> pairs;
  for (std::size_t i = 0; i < copies.size(); ++i) {
    const double own = form_of(copies[i]).radius_mm + within_mm;
    index_.each_near(copies[i].at, own + largest_radius_, [&](int j) {
      if (j <= static_cast<int>(i)) return;
      const CrowdCopy& other = copies[static_cast<std::size_t>(j)];
      const double reach = own + form_of(other).radius_mm;
      const Vec2 way = surface_->way(copies[i].at, other.at);
      if (dot(way, way) < reach * reach) pairs.emplace_back(static_cast<int>(i), j);
    });
  }
  return pairs;
}

void Crowd::find_pairs(double gap_mm) {
  settle();
  pairs_ = near_pairs(gap_mm + kin_mm_ + kSkin * largest_radius_);
}

CrowdState Crowd::relax(double gap_mm, int rounds, double good_mm) {
  const std::size_t n = copies.size();
  CrowdState state;
  state.trouble_mm.assign(n, 0.0);
  if (n == 0) return state;
  std::vector<Vec2> speed(n);
  std::vector<double> spin(n, 0.0), moved(n, 0.0);
  std::vector<Pose> poses(n);
  std::vector<Push> on_first, on_second, total(n);
  find_pairs(gap_mm);
  for (int round = 0; round <= rounds; ++round) {
    if (2.0 * *std::max_element(moved.begin(), moved.end()) > kSkin * largest_radius_) {
      find_pairs(gap_mm);
      std::fill(moved.begin(), moved.end(), 0.0);
    }
    on_first.assign(pairs_.size(), {});
    on_second.assign(pairs_.size(), {});
    const auto in_chunks = [&](std::size_t count, auto job) {
      if (pairs_.size() < kPairsWorthThreads) {
        for (std::size_t i = 0; i < count; ++i) job(i);
        return;
      }
      parallel_for((count + kChunk - 1) / kChunk, [&](std::size_t chunk) {
        for (std::size_t i = chunk * kChunk; i < std::min(count, (chunk + 1) * kChunk); ++i) job(i);
      });
    };
    in_chunks(n, [&](std::size_t i) {
      poses[i] = pose_of(copies[i]);
      total[i] = {};
      const int own = static_cast<int>(i);
      push_ground(copies[i], poses[i], off_ground_mm_ + more(own, own), total[i]);
    });
    in_chunks(pairs_.size(), [&](std::size_t k) {
      const auto a = static_cast<std::size_t>(pairs_[k].first);
      const auto b = static_cast<std::size_t>(pairs_[k].second);
      const double gap = gap_mm + more(pairs_[k].first, pairs_[k].second);
      push_pair(copies[a], copies[b], poses[a], poses[b], gap, on_first[k], on_second[k]);
    });
    const auto add = [](Push& to, const Push& more) {
      to.force += more.force;
      to.torque += more.torque;
      to.weight += more.weight;
      to.inertia += more.inertia;
      to.deepest = std::max(to.deepest, more.deepest);
      to.energy += more.energy;
    };
    for (std::size_t k = 0; k < pairs_.size(); ++k) {
      add(total[static_cast<std::size_t>(pairs_[k].first)], on_first[k]);
      add(total[static_cast<std::size_t>(pairs_[k].second)], on_second[k]);
    }
    state.worst_mm = 0.0;
    for (std::size_t i = 0; i < n; ++i) {
      state.trouble_mm[i] = total[i].deepest;
      state.worst_mm = std::max(state.worst_mm, total[i].deepest);
    }
    if (state.worst_mm <= good_mm || round == rounds) break;
    for (std::size_t i = 0; i < n; ++i) {
      const Push& push = total[i];
      CrowdCopy& copy = copies[i];
      const double radius = form_of(copy).radius_mm;
      if (push.weight <= 0.0) {
        speed[i] = {};
        spin[i] = 0.0;
        continue;
      }
      if (dot(speed[i], push.force) < 0.0) speed[i] = {};
      if (spin[i] * push.torque < 0.0) spin[i] = 0.0;
      speed[i] = speed[i] * kInertia + push.force * (kStep / push.weight);
      const double inertia = push.inertia + 0.05 * push.weight * radius * radius;
      spin[i] = spin[i] * kInertia + push.torque * (kStep / inertia);
      const double far = length(speed[i]);
      if (far > kMostMove * radius) speed[i] = speed[i] * (kMostMove * radius / far);
      spin[i] = std::clamp(spin[i], -kMostMove, kMostMove);
      copy.at = surface_->laid(copy.at, speed[i]);
      copy.at.along = std::clamp(copy.at.along, 0.0, surface_->along_mm());
      if (!surface_->round()) {
        copy.at.across = std::clamp(copy.at.across, 0.0, surface_->width_mm(copy.at.along));
      }
      copy.turn = limit_turn(copy.turn + spin[i]);
      moved[i] += length(speed[i]);
    }
  }
  settle();
  return state;
}

double Crowd::pressure(const CrowdCopy& copy, double gap_mm, int except) const {
  Push on, other;
  const Pose pose = pose_of(copy);
  push_ground(copy, pose, off_ground_mm_, on);
  const double own = form_of(copy).radius_mm + gap_mm + kin_mm_;
  index_.each_near(copy.at, own + largest_radius_, [&](int j) {
    if (j == except) return;
    const CrowdCopy& near = copies[static_cast<std::size_t>(j)];
    const double reach = own + form_of(near).radius_mm;
    const Vec2 way = surface_->way(copy.at, near.at);
    if (dot(way, way) >= reach * reach) return;
    push_pair(copy, near, pose, pose_of(near), gap_mm, on, other);
  });
  return on.energy;
}

double Crowd::to_ink_of_mm(const CrowdCopy& copy, FacePoint spot, double most_mm) const {
  const ScatterForm& form = form_of(copy);
  const Vec2 q = flat_ ? surface_->way(copy.at, spot) : surface_->paper_at(copy.at, spot);
  const double circle = length(q) - form.radius_mm;
  if (circle >= most_mm) return most_mm;
  const Vec2 m = pose_of(copy).in_motif(q);
  // Outside the table the circle is the best that is known.
  const double mm = form.distance.covers(m) ? form.distance.at(m).mm : std::max(circle, 0.0);
  return std::min(mm, most_mm);
}

double Crowd::to_ink_mm(FacePoint spot, double most_mm) const {
  double least = most_mm;
  index_.each_near(spot, largest_radius_ + most_mm, [&](int j) {
    least = to_ink_of_mm(copies[static_cast<std::size_t>(j)], spot, least);
  });
  return least;
}

}  // namespace underdraw
