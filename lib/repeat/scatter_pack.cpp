#include "repeat/scatter_pack.h"

#include <algorithm>
#include <cmath>
#include <numbers>
#include <numeric>

namespace underdraw {
namespace {

constexpr double kFirstDensity = 0.72;  // of grown outlines over free area, tried first
constexpr int kTries = 12;              // spots looked at for the first place of a copy
constexpr int kTurns = 12;              // turns tried at a spot
constexpr int kSwellSteps = 8;
constexpr int kSwellRounds = 15;
constexpr int kRelaxRounds = 100;
constexpr double kPull = 0.5;  // of what a hole is too large, in a round
constexpr int kPullRounds = 60;
constexpr double kKin = 0.1;       // of the radius: more gap between copies of one kind
constexpr double kWideKin = 0.35;  // of the gap that copies are spread with
constexpr double kWideEdge = 0.4;  // of that gap: to edges and zones
constexpr double kKinReach = 1.6;  // of the sum of the radii
constexpr int kAddShare = 40;      // of the copies there are, one is added for so many
constexpr int kPackRounds = 12;
constexpr int kLooks = 10;  // for empty spots, a copy
constexpr int kHoleRounds = 24;
constexpr int kEvenRounds = 8;
constexpr double kWide = 0.7;     // of the mean way between copies: gap they are spread with
constexpr double kHoleGap = 0.8;  // of that gap, kept while holes are closed

}  // namespace

Packer::Packer(Crowd& crowd,
               const ScatterGround& ground,
               const std::vector<ScatterForm>& forms,
               const PackRequest& request,
               ScatterRandom& random)
    : crowd_(crowd), ground_(ground), forms_(forms), request_(request), random_(random) {
  for (std::size_t f = 0; f < forms.size(); ++f) {
    mean_area_ += request.shares[f] * forms[f].area_mm2;
    mean_grown_ += request.shares[f] * forms[f].grown_mm2;
    mean_radius_ += request.shares[f] * forms[f].radius_mm;
    largest_radius_ = std::max(largest_radius_, forms[f].radius_mm);
  }
  const Surface& surface = ground.surface();
  for (int i = 0; i <= 64; ++i) {
    most_per_across_ =
        std::max(most_per_across_, surface.mm_per_across(surface.along_mm() * i / 64.0));
  }
}

double Packer::ink() const {
  double ink = 0.0;
  for (const CrowdCopy& copy : crowd_.copies) ink += crowd_.form_of(copy).area_mm2;
  return ink;
}

FacePoint Packer::random_spot() {
  const Surface& surface = ground_.surface();
  const double across = surface.round() ? 360.0 : surface.width_mm(0.0);
  FacePoint spot;
  for (int i = 0; i < 1000; ++i) {
    spot = {random_.between(0.0, across), random_.between(0.0, surface.along_mm())};
    // Evenly by area, so a narrow part gets fewer.
    if (random_.unit() * most_per_across_ > surface.mm_per_across(spot.along)) continue;
    if (ground_.room_mm(spot) > 0.0) break;
  }
  return spot;
}

std::vector<int> Packer::counts_for(int count) const {
  std::vector<int> counts;
  std::vector<std::pair<double, std::size_t>> rest;
  int given = 0;
  for (std::size_t f = 0; f < forms_.size(); ++f) {
    const double due = request_.shares[f] * count;
    counts.push_back(static_cast<int>(std::floor(due + 1e-9)));
    given += counts.back();
    rest.emplace_back(counts.back() - due, f);
  }
  std::sort(rest.begin(), rest.end());
  for (std::size_t k = 0; given < count; ++k, ++given) ++counts[rest.at(k).second];
  return counts;
}

int Packer::most_missed_form() const {
  std::vector<int> held(forms_.size(), 0);
  for (const CrowdCopy& copy : crowd_.copies) ++held[static_cast<std::size_t>(copy.form)];
  int best = 0;
  double most = -1e300;
  for (std::size_t f = 0; f < forms_.size(); ++f) {
    const double missed =
        request_.shares[f] * (static_cast<double>(crowd_.copies.size()) + 1.0) - held[f];
    if (missed > most) {
      most = missed;
      best = static_cast<int>(f);
    }
  }
  return best;
}

// Large ones first, each at the emptiest of some spots.
void Packer::strew(int count) {
  const std::vector<int> counts = counts_for(count);
  std::vector<int> queue;
  for (int rank = 0; queue.size() < static_cast<std::size_t>(count); ++rank) {
    const std::size_t from = queue.size();
    for (std::size_t f = 0; f < forms_.size(); ++f) {
      if (forms_[f].rank != rank) continue;
      queue.insert(queue.end(), static_cast<std::size_t>(counts[f]), static_cast<int>(f));
    }
    for (std::size_t k = from; k < queue.size(); ++k) {
      std::swap(queue[k], queue[k + random_.below(queue.size() - k)]);
    }
  }
  const Surface& surface = ground_.surface();
  FaceIndex index(surface, 2.0 * largest_radius_);
  std::vector<double> radii;
  for (const int form : queue) {
    const double own =
        std::sqrt(forms_[static_cast<std::size_t>(form)].grown_mm2 / std::numbers::pi);
    FacePoint best;
    double most = -1e300;
    for (int t = 0; t < kTries; ++t) {
      const FacePoint spot = random_spot();
      double room = std::min(ground_.room_mm(spot) - 0.5 * own, 2.0 * largest_radius_);
      index.each_near(spot, 2.0 * largest_radius_, [&](int j) {
        const auto k = static_cast<std::size_t>(j);
        room = std::min(room, length(surface.way(spot, crowd_.copies[k].at)) - radii[k] - own);
      });
      if (room > most) {
        most = room;
        best = spot;
      }
    }
    index.add(best, static_cast<int>(crowd_.copies.size()));
    radii.push_back(own);
    const bool mirrored =
        request_.may_mirror[static_cast<std::size_t>(form)] && random_.unit() < 0.5;
    crowd_.copies.push_back(
        {form,
         mirrored,
         crowd_.limit_turn(random_.between(-std::numbers::pi, std::numbers::pi)),
         best});
  }
  crowd_.settle();
}

void Packer::swell(double from_mm, double to_mm) {
  for (int k = 0; k <= kSwellSteps; ++k) {
    crowd_.relax(from_mm + (to_mm - from_mm) * k / kSwellSteps, kSwellRounds, 0.0);
  }
}

// Copies of one kind near each other, the nearer the more.
double Packer::kin_nearby(const CrowdCopy& copy, int except) const {
  const Surface& surface = ground_.surface();
  const int kind = crowd_.form_of(copy).kind;
  const double own = crowd_.form_of(copy).radius_mm;
  double sum = 0.0;
  crowd_.each_near(copy.at, kin_reach_ * (own + largest_radius_), [&](int j) {
    if (j == except) return;
    const CrowdCopy& other = crowd_.copies[static_cast<std::size_t>(j)];
    if (crowd_.form_of(other).kind != kind) return;
    const double reach = kin_reach_ * (own + crowd_.form_of(other).radius_mm);
    const double ratio = length(surface.way(copy.at, other.at)) / reach;
    if (ratio < 1.0) sum += (1.0 - ratio) * (1.0 - ratio) + 0.05;
  });
  return sum;
}

void Packer::part_kinds() {
  const std::size_t n = crowd_.copies.size();
  std::vector<std::vector<std::size_t>> of_rank;
  for (std::size_t i = 0; i < n; ++i) {
    const auto rank = static_cast<std::size_t>(crowd_.form_of(crowd_.copies[i]).rank);
    if (rank >= of_rank.size()) of_rank.resize(rank + 1);
    of_rank[rank].push_back(i);
  }
  const auto swap_kinds = [&](std::size_t a, std::size_t b) {
    std::swap(crowd_.copies[a].form, crowd_.copies[b].form);
    std::swap(crowd_.copies[a].mirrored, crowd_.copies[b].mirrored);
  };
  for (int sweep = 0; sweep < 12; ++sweep) {
    int swaps = 0;
    for (const auto& members : of_rank) {
      for (const std::size_t i : members) {
        const double own = kin_nearby(crowd_.copies[i], static_cast<int>(i));
        if (own <= 0.0) continue;
        for (int t = 0; t < 20; ++t) {
          const std::size_t j = members[random_.below(members.size())];
          if (crowd_.form_of(crowd_.copies[j]).kind == crowd_.form_of(crowd_.copies[i]).kind) {
            continue;
          }
          const double before = own + kin_nearby(crowd_.copies[j], static_cast<int>(j));
          swap_kinds(i, j);
          const double after = kin_nearby(crowd_.copies[i], static_cast<int>(i)) +
                               kin_nearby(crowd_.copies[j], static_cast<int>(j));
          if (after < before - 1e-9) {
            ++swaps;
            break;
          }
          swap_kinds(i, j);
        }
      }
    }
    if (swaps == 0) break;
  }
}

template <typename Room>
std::vector<Packer::Spot> Packer::largest(int count, Room room) {
  const Surface& surface = ground_.surface();
  const int looks = kLooks * static_cast<int>(crowd_.copies.size()) + 100;
  std::vector<Spot> spots;
  for (int i = 0; i < looks; ++i) {
    const FacePoint at = random_spot();
    spots.push_back({at, room(at)});
  }
  const auto larger = [](const Spot& a, const Spot& b) { return a.room_mm > b.room_mm; };
  std::stable_sort(spots.begin(), spots.end(), larger);
  spots.resize(std::min(spots.size(), static_cast<std::size_t>(6 * count + 10)));
  for (Spot& spot : spots) {  // uphill
    for (double step = 0.4 * mean_radius_; step > 0.05 * mean_radius_; step /= 2.0) {
      for (const Vec2 off : {Vec2{1, 0}, Vec2{-1, 0}, Vec2{0, 1}, Vec2{0, -1}}) {
        const FacePoint next = surface.laid(spot.at, off * step);
        if (ground_.room_mm(next) <= 0.0) continue;
        const double there = room(next);
        if (there > spot.room_mm) spot = {next, there};
      }
    }
  }
  std::stable_sort(spots.begin(), spots.end(), larger);
  std::vector<Spot> out;
  FaceIndex index(surface, 2.0 * mean_radius_);
  for (const Spot& spot : spots) {
    if (static_cast<int>(out.size()) >= count || spot.room_mm <= 0.0) break;
    bool alone = true;
    index.each_near(spot.at, 1.5 * mean_radius_, [&](int j) {
      const FacePoint other = out[static_cast<std::size_t>(j)].at;
      if (length(surface.way(spot.at, other)) < 1.5 * mean_radius_) alone = false;
    });
    if (!alone) continue;
    index.add(spot.at, static_cast<int>(out.size()));
    out.push_back(spot);
  }
  return out;
}

std::vector<Packer::Spot> Packer::empty_spots(int count, double gap_mm) {
  return largest(count, [&](FacePoint at) {
    return std::min(ground_.room_mm(at), crowd_.to_ink_mm(at, largest_radius_ + gap_mm) - gap_mm);
  });
}

std::vector<Packer::Spot> Packer::holes(int count) {
  return largest(count, [&](FacePoint at) { return crowd_.to_ink_mm(at, 2.0 * largest_radius_); });
}

void Packer::close_holes(double gap_mm, int rounds) {
  const Surface& surface = ground_.surface();
  const int count = static_cast<int>(crowd_.copies.size()) / 12 + 3;
  std::vector<CrowdCopy> best = crowd_.copies;
  double least = 1e300;
  double worst = 0.0;
  for (int round = 0;; ++round) {
    const std::vector<Spot> spots = holes(count);
    if (spots.empty()) break;
    if (worst <= request_.slack_mm / 4.0 && spots.front().room_mm < least) {
      least = spots.front().room_mm;
      best = crowd_.copies;
    }
    if (round == rounds) break;
    const double fine = 0.75 * spots.front().room_mm;
    for (const Spot& spot : spots) {
      if (spot.room_mm < fine) break;
      crowd_.each_near(spot.at, spot.room_mm * 1.3 + largest_radius_, [&](int j) {
        CrowdCopy& copy = crowd_.copies[static_cast<std::size_t>(j)];
        const double off = crowd_.to_ink_of_mm(copy, spot.at, 1.3 * spot.room_mm);
        if (off >= 1.3 * spot.room_mm) return;
        const Vec2 way = normalized(surface.way(copy.at, spot.at));
        copy.at = surface.laid(copy.at, way * (kPull * (spot.room_mm - fine)));
      });
    }
    worst = crowd_.relax(gap_mm, kPullRounds, request_.slack_mm / 4.0).worst_mm;
  }
  crowd_.copies = best;
  crowd_.settle();
}

CrowdCopy Packer::best_pose(int form, FacePoint at, double gap_mm, int except, double& pressure) {
  CrowdCopy best;
  pressure = 1e300;
  const double start = random_.between(0.0, 2.0 * std::numbers::pi);
  for (int t = 0; t < kTurns; ++t) {
    CrowdCopy copy{form,
                   request_.may_mirror[static_cast<std::size_t>(form)] && random_.unit() < 0.5,
                   crowd_.limit_turn(std::remainder(start + t * 2.0 * std::numbers::pi / kTurns,
                                                    2.0 * std::numbers::pi)),
                   at};
    const double here = crowd_.pressure(copy, gap_mm, except);
    if (here < pressure) {
      pressure = here;
      best = copy;
    }
  }
  return best;
}

// The deepest ones go to where they press least, if that is less than where they are.
void Packer::relocate(const CrowdState& state, double gap_mm, int most) {
  std::vector<std::size_t> worst(crowd_.copies.size());
  std::iota(worst.begin(), worst.end(), std::size_t{0});
  std::stable_sort(worst.begin(), worst.end(), [&](std::size_t a, std::size_t b) {
    return state.trouble_mm[a] > state.trouble_mm[b];
  });
  worst.resize(std::min(worst.size(), static_cast<std::size_t>(most)));
  std::vector<Spot> spots = empty_spots(3 * most + 4, gap_mm);
  for (const std::size_t i : worst) {
    CrowdCopy& copy = crowd_.copies[i];
    const double now = crowd_.pressure(copy, gap_mm, static_cast<int>(i));
    if (now <= 0.0) continue;
    double least = now;
    CrowdCopy best = copy;
    std::size_t taken = spots.size();
    for (std::size_t s = 0; s < spots.size() && s < 16; ++s) {
      double there = 0.0;
      CrowdCopy moved = best_pose(copy.form, spots[s].at, gap_mm, static_cast<int>(i), there);
      there *= 1.0 + kin_nearby(moved, static_cast<int>(i));
      if (there < least) {
        least = there;
        best = moved;
        taken = s;
      }
    }
    double turned = 0.0;
    const CrowdCopy here = best_pose(copy.form, copy.at, gap_mm, static_cast<int>(i), turned);
    if (turned < 0.7 * least) {
      best = here;
      taken = spots.size();
    }
    copy = best;
    if (taken < spots.size()) spots.erase(spots.begin() + static_cast<std::ptrdiff_t>(taken));
    crowd_.settle();
  }
}

int Packer::add_in_spots(int most, double gap_mm) {
  int added = 0;
  for (const Spot& spot : empty_spots(most, gap_mm)) {
    const int form = most_missed_form();
    double pressure = 0.0;
    const CrowdCopy copy = best_pose(form, spot.at, gap_mm, -1, pressure);
    crowd_.copies.push_back(copy);
    ++added;
  }
  crowd_.settle();
  return added;
}

void Packer::drop_overlapping(double gap_mm, double good_mm) {
  while (!crowd_.copies.empty()) {
    const CrowdState state = crowd_.relax(gap_mm, kRelaxRounds, good_mm);
    if (state.worst_mm <= good_mm) return;
    std::vector<std::size_t> worst;
    for (std::size_t i = 0; i < crowd_.copies.size(); ++i) {
      if (state.trouble_mm[i] > good_mm) worst.push_back(i);
    }
    std::stable_sort(worst.begin(), worst.end(), [&](std::size_t a, std::size_t b) {
      return state.trouble_mm[a] > state.trouble_mm[b];
    });
    worst.resize(std::max<std::size_t>(1, worst.size() / 6));
    std::vector<char> gone(crowd_.copies.size(), 0);
    for (const std::size_t i : worst) gone[i] = 1;
    std::vector<CrowdCopy> kept;
    for (std::size_t i = 0; i < crowd_.copies.size(); ++i) {
      if (!gone[i]) kept.push_back(crowd_.copies[i]);
    }
    crowd_.copies = std::move(kept);
    crowd_.settle();
  }
}

int Packer::missing() const {
  if (!request_.ink_mm2) return static_cast<int>(crowd_.copies.size()) + 1;
  return static_cast<int>(std::lround((*request_.ink_mm2 - ink()) / mean_area_));
}

void Packer::fill_up() {
  const double gap = request_.gap_mm + request_.slack_mm;
  const double good = request_.slack_mm / 4.0;
  std::vector<CrowdCopy> best;
  double best_ink = 0.0;
  double least_trouble = 1e300;
  int stuck = 0;
  for (int round = 0; round < kPackRounds * request_.effort; ++round) {
    const CrowdState state = crowd_.relax(gap, kRelaxRounds, good);
    double trouble = 0.0;
    int troubled = 0;
    for (const double mm : state.trouble_mm) {
      if (mm > good) {
        trouble += mm;
        ++troubled;
      }
    }
    const int n = static_cast<int>(crowd_.copies.size());
    if (troubled == 0) {
      if (ink() > best_ink) {
        best_ink = ink();
        best = crowd_.copies;
      }
      const int more = std::min(missing(), std::max(1, n / kAddShare));
      if (more <= 0 || add_in_spots(more, gap) == 0) break;
      least_trouble = 1e300;
      stuck = 0;
      continue;
    }
    if (trouble < 0.95 * least_trouble) {
      least_trouble = trouble;
      stuck = 0;
    } else if (++stuck >= 3 * request_.effort) {
      // Too many: the deepest go.
      std::vector<std::size_t> worst(crowd_.copies.size());
      std::iota(worst.begin(), worst.end(), std::size_t{0});
      std::stable_sort(worst.begin(), worst.end(), [&](std::size_t a, std::size_t b) {
        return state.trouble_mm[a] > state.trouble_mm[b];
      });
      worst.resize(static_cast<std::size_t>(std::max(1, troubled / 8)));
      std::sort(worst.rbegin(), worst.rend());
      for (const std::size_t i : worst) {
        crowd_.copies.erase(crowd_.copies.begin() + static_cast<std::ptrdiff_t>(i));
      }
      crowd_.settle();
      least_trouble = 1e300;
      stuck = 0;
      continue;
    }
    relocate(state, gap, std::max(1, std::min(troubled / 2, n / 20 + 1)));
  }
  drop_overlapping(gap, good);
  if (ink() < best_ink) {
    crowd_.copies = best;
    crowd_.settle();
  }
  close_holes(gap, kHoleRounds * request_.effort);
}

void Packer::pack_evenly(int count) {
  strew(count);
  const double room = ground_.free_mm2() / count;
  const double gap = request_.gap_mm + request_.slack_mm;
  const double wide = std::max(gap, wide_gap(room, mean_area_));
  if (request_.part_kin) crowd_.keep_kin_apart(std::max(kKin * largest_radius_, kWideKin * wide));
  crowd_.keep_off_ground(std::max(0.0, kWideEdge * wide - request_.edge_mm));
  kin_reach_ = std::max(kin_reach_, std::sqrt(room) / mean_radius_);
  swell(-0.5 * mean_radius_, 0.7 * wide);
  part_kinds();
  swell(0.7 * wide, wide);
  for (int round = 0; round < kEvenRounds * request_.effort; ++round) {
    const CrowdState state = crowd_.relax(wide, 40, 0.0);
    relocate(state, wide, count / 30 + 1);
  }
  crowd_.relax(wide, 100, 0.0);
  close_holes(std::max(gap, kHoleGap * wide), kHoleRounds * request_.effort);
  drop_overlapping(gap, request_.slack_mm / 4.0);
}

double Packer::wide_gap(double room_mm2, double area_mm2) {
  return kWide * std::max(0.0, std::sqrt(room_mm2) - std::sqrt(area_mm2));
}

void Packer::pack() {
  kin_reach_ = kKinReach;
  if (request_.part_kin) crowd_.keep_kin_apart(kKin * largest_radius_);
  const double room = kFirstDensity * ground_.free_mm2() / mean_grown_;
  const double asked = request_.ink_mm2 ? *request_.ink_mm2 / mean_area_ : 1e300;
  if (asked < room) {
    pack_evenly(std::max(1, static_cast<int>(std::lround(asked))));
    if (missing() > 0) {
      crowd_.keep_off_ground(0.0);
      fill_up();
    }
    return;
  }
  const double gap = request_.gap_mm + request_.slack_mm;
  strew(std::max(1, static_cast<int>(room)));
  swell(-0.5 * mean_radius_, gap - 0.2 * mean_radius_);
  part_kinds();
  swell(gap - 0.2 * mean_radius_, gap);
  fill_up();
}

}  // namespace underdraw
