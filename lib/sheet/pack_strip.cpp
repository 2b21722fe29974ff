#include <chrono>

#include <fmt/format.h>

#include "core/error.h"
#include "core/parallel.h"
#include "sheet/pack_check.h"
#include "sheet/pack_outlines.h"
#include "sheet/pack_prepare.h"
#include "sheet/pack_settle.h"
#include "sheet/pack_walk.h"

namespace underdraw {
namespace {

constexpr std::size_t kWalks = 2;      // searches side by side, on however many threads
constexpr std::uint64_t kRounds = 40;  // times that they look at each other's result
constexpr int kExactPasses = 300;
constexpr double kRoundSeconds = 0.25;

using Clock = std::chrono::steady_clock;

double seconds_since(Clock::time_point start) {
  return std::chrono::duration<double>(Clock::now() - start).count();
}

// All walks to the end of the allowance; afterwards the first holds the best.
void walk_to_end(std::vector<PackWalk>& walks, const StripOptions& options) {
  const Clock::time_point start = Clock::now();
  const bool by_clock = options.most_seconds > 0.0;
  const std::uint64_t quantum = std::max<std::uint64_t>(options.effort / kRounds, 1);
  for (std::uint64_t round = 0;; ++round) {
    const double spent = seconds_since(start);
    if (by_clock ? spent >= options.most_seconds : round >= kRounds) break;
    parallel_for(
        walks.size(),
        [&](std::size_t w) {
          PackWalk& walk = walks[w];
          if (by_clock) {
            const double end = std::min(spent + kRoundSeconds, options.most_seconds);
            for (double now = spent; now < end && !walk.done(); now = seconds_since(start)) {
              walk.step(now / options.most_seconds);
            }
          } else {
            const std::uint64_t end = (round + 1) * quantum;
            while (walk.places_tried() < end && !walk.done()) {
              walk.step(static_cast<double>(walk.places_tried()) /
                        static_cast<double>(options.effort));
            }
          }
        },
        options.threads);
    if (std::all_of(walks.begin(), walks.end(), [](const PackWalk& w) { return w.done(); })) break;
    const PackWalk* best = &walks.front();
    for (const PackWalk& walk : walks) {
      if (walk.found() && (!best->found() || walk.best_length() < best->best_length())) {
        best = &walk;
      }
    }
    if (!best->found()) continue;
    for (PackWalk& walk : walks) {
      if (&walk == best) continue;
      if (!walk.found() || best->best_length() < walk.best_length() * (1.0 - 1e-4)) {
        walk.adopt(best->best(), best->best_length());
      }
    }
  }
}

// Whole outlines apart, in a strip a little longer if need be: as found if skins tell, else
// settled; where that is blocked, drawn apart once more by their exact outlines; at last in a row.
std::vector<PackPose> whole_apart(const std::vector<OutlineToPack>& outlines,
                                  const PreparedOutlines& ready,
                                  const std::vector<PackPose>& found,
                                  double length,
                                  double height) {
  if (ready.skins_tell()) return found;
  const Box endless{{0.0, 0.0}, {std::numeric_limits<double>::infinity(), height}};
  const auto stretched = [&](double by) {
    std::vector<PackPose> poses = found;
    for (PackPose& pose : poses) pose.at.x *= 1.0 + by;
    return poses;
  };
  for (const double by : {0.0, 1e-4, 3e-4, 1e-3}) {
    const auto out = settle_poses(ready.pointers(), stretched(by), endless);
    if (out) return *out;
  }
  const PreparedOutlines exact(outlines, 0.0, PreparedOutlines::Skin::exact);
  for (const double by : {1e-3, 3e-3, 1e-2, 3e-2}) {
    PackLayout layout(exact.pointers(), {{0.0, 0.0}, {length * (1.0 + by), height}}, 1);
    layout.set_poses(stretched(by));
    for (int pass = 0; pass < kExactPasses && !layout.apart(); ++pass) layout.draw_apart_once();
    if (layout.apart()) return layout.poses();
  }
  return ready.in_a_row();
}

}  // namespace

void StripOptions::validate() const {
  require_between(height_mm, 1e-3, 1e5, "height_mm", "mm");
  require_between(clearance_mm, 0.0, 50.0, "clearance_mm", "mm");
  require_between(static_cast<double>(effort), 1.0, 1e15, "effort", "places");
  require_between(most_seconds, 0.0, 1e6, "most_seconds", "s");
  require_between(threads, 1.0, 64.0, "threads", "");
}

StripPacking pack_strip(const std::vector<OutlineToPack>& outlines, const StripOptions& options) {
  options.validate();
  StripPacking out;
  if (outlines.empty()) return out;
  const PreparedOutlines ready(outlines, options.clearance_mm);
  // Grown outlines in a strip grown likewise: the strip's edges need no clearance.
  const double border = ready.grown_by_mm();
  const double height = options.height_mm + 2.0 * border;
  for (std::size_t i = 0; i < outlines.size(); ++i) {
    ready.require_room(i, {{0.0, 0.0}, {1e9, height}});
  }
  std::vector<PackWalk> walks;
  for (std::size_t w = 0; w < kWalks; ++w) {
    walks.emplace_back(ready.pointers(), height, options.seed * 1000003 + w);
  }
  walk_to_end(walks, options);
  const PackWalk* best = nullptr;
  for (const PackWalk& walk : walks) {
    if (walk.found() && (!best || walk.best_length() < best->best_length())) best = &walk;
  }
  const std::vector<PackPose> poses =
      best ? whole_apart(outlines, ready, best->best(), best->best_length(), height)
           : ready.in_a_row();
  Box extent;
  std::vector<std::vector<Vec2>> lying;
  for (std::size_t i = 0; i < outlines.size(); ++i) {
    out.places.push_back(ready.place(i, poses[i]));
    out.places.back().offset += Vec2{-border, -border};
    lying.push_back(outlines[i].ring);
    for (Vec2& p : lying.back()) {
      p = out.places[i].room_from_outline() * p;
      extent.add(p);
    }
  }
  // The strip starts where the first outline does.
  for (std::size_t i = 0; i < outlines.size(); ++i) {
    out.places[i].offset.x -= extent.min.x;
    for (Vec2& p : lying[i]) p.x -= extent.min.x;
  }
  out.length_mm = extent.width();
  out.density = ready.area() / ((out.length_mm + options.clearance_mm) *
                                (options.height_mm + options.clearance_mm));
  require_no_fault(lying, {{0.0, 0.0}, {out.length_mm, options.height_mm}}, options.clearance_mm);
  return out;
}

}  // namespace underdraw
