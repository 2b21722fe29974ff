#include <atomic>
#include <numeric>
#include <optional>

#include "core/error.h"
#include "core/parallel.h"
#include "geometry/path.h"
#include "geometry/rings.h"
#include "sheet/pack_check.h"
#include "sheet/pack_layout.h"
#include "sheet/pack_outlines.h"
#include "sheet/pack_prepare.h"
#include "sheet/pack_rows.h"
#include "sheet/pack_settle.h"

namespace underdraw {
namespace {

constexpr double kEasy = 0.74;             // of the room, by area: nearly always packed at once
constexpr std::uint64_t kFirstEffort = 5;  // times the effort for one more, to begin with
constexpr double kHopeless = 0.9;     // more was never seen to be packed; rows may, if boxes are
constexpr double kNearlyBox = 0.97;   // of their boxes' area
constexpr double kNextSmaller = 0.8;  // after a failure, of the area of what did not go in
constexpr int kMostFailures = 6;      // for a sheet
constexpr std::size_t kTries = 2;     // searches side by side, on however many threads

// What lies on one sheet, and where.
struct Filled {
  std::vector<std::size_t> items;  // of all outlines
  std::vector<PackPose> poses;
};

class SheetFiller {
 public:
  SheetFiller(const std::vector<OutlineToPack>& outlines,
              const PreparedOutlines& ready,
              const SheetsOptions& options)
      : outlines_(outlines),
        ready_(ready),
        options_(options),
        room_(options.room.grown(ready.grown_by_mm())),
        seed_(options.seed) {}

  // One sheet as full as it gets from `left`, which is ordered by falling area.
  Filled fill(const std::vector<std::size_t>& left) {
    Filled sheet;
    const double whole = room_.width() * room_.height();
    double area = 0.0;
    std::vector<bool> taken(left.size(), false);
    const auto take_up_to = [&](double share) {
      for (std::size_t i = 0; i < left.size(); ++i) {
        if (taken[i] || area + ready_.area_of(left[i]) > share * whole) continue;
        taken[i] = true;
        area += ready_.area_of(left[i]);
        sheet.items.push_back(left[i]);
      }
    };
    take_up_to(kEasy);
    // One that fills more than that alone was seen to have room.
    if (sheet.items.empty()) return {{left.front()}, alone(left.front())};
    std::optional<Filled> packed = packed_together(sheet.items, {}, kFirstEffort);
    while (!packed && sheet.items.size() > 1) {
      for (std::size_t drop = 1 + sheet.items.size() / 20; drop > 0; --drop) {
        const auto last = std::find(left.begin(), left.end(), sheet.items.back());
        taken[static_cast<std::size_t>(last - left.begin())] = false;
        area -= ready_.area_of(sheet.items.back());
        sheet.items.pop_back();
      }
      packed = packed_together(sheet.items, {}, kFirstEffort);
    }
    if (!packed) return {{sheet.items.front()}, alone(sheet.items.front())};
    sheet = *packed;
    double largest = std::numeric_limits<double>::infinity();
    for (int failures = 0; failures < kMostFailures;) {
      std::size_t next = 0;
      while (next < left.size() && (taken[next] || ready_.area_of(left[next]) > largest ||
                                    area + ready_.area_of(left[next]) > kHopeless * whole)) {
        ++next;
      }
      if (next == left.size()) break;
      std::vector<std::size_t> more = sheet.items;
      more.push_back(left[next]);
      packed = packed_together(more, sheet.poses, 1);
      if (packed) {
        sheet = *packed;
        taken[next] = true;
        area += ready_.area_of(left[next]);
      } else {
        largest = kNextSmaller * ready_.area_of(left[next]);
        ++failures;
      }
    }
    return sheet;
  }

 private:
  std::vector<PackPose> alone(std::size_t item) {
    return PackLayout({ready_.pointers()[item]}, room_, ++seed_).poses();
  }

  // Poses for all, near those given for the first of them; nothing when the effort is spent. Of
  // the searches the one that needed least is taken, so timing has no influence.
  std::optional<Filled> packed_together(const std::vector<std::size_t>& items,
                                        const std::vector<PackPose>& known,
                                        std::uint64_t efforts) {
    std::vector<const PackShape*> shapes;
    for (const std::size_t item : items) shapes.push_back(ready_.pointers()[item]);
    const std::uint64_t seed = ++seed_ * kTries;
    std::atomic<std::uint64_t> least{options_.effort * efforts};
    struct Try {
      std::uint64_t effort = 0;
      std::vector<PackPose> poses;
    };
    std::vector<Try> tries(kTries);
    parallel_for(
        kTries,
        [&](std::size_t t) {
          PackLayout layout(shapes, room_, seed + t);
          if (!known.empty()) {
            std::vector<PackPose> poses = known;
            for (std::size_t i = known.size(); i < items.size(); ++i) {
              poses.push_back(layout.poses()[i]);
            }
            layout.set_poses(poses);
          }
          while (!layout.apart() && layout.places_tried() <= least) layout.draw_apart_once();
          if (!layout.apart()) return;
          const std::optional<std::vector<PackPose>> poses =
              ready_.skins_tell() ? layout.poses() : settle_poses(shapes, layout.poses(), room_);
          if (!poses || !checked(items, *poses)) return;
          tries[t] = {layout.places_tried(), *poses};
          std::uint64_t before = least;
          while (tries[t].effort < before &&
                 !least.compare_exchange_weak(before, tries[t].effort)) {
          }
        },
        options_.threads);
    const Try* best = nullptr;
    for (const Try& one : tries) {
      if (!one.poses.empty() && (!best || one.effort < best->effort)) best = &one;
    }
    if (!best) return std::nullopt;
    return Filled{items, best->poses};
  }

  bool checked(const std::vector<std::size_t>& items, const std::vector<PackPose>& poses) const {
    std::vector<std::vector<Vec2>> lying;
    for (std::size_t i = 0; i < items.size(); ++i) {
      const PackedPlace place = ready_.place(items[i], poses[i]);
      lying.push_back(outlines_[items[i]].ring);
      for (Vec2& p : lying.back()) p = place.room_from_outline() * p;
    }
    return !find_packing_fault(lying, options_.room, options_.clearance_mm);
  }

  const std::vector<OutlineToPack>& outlines_;
  const PreparedOutlines& ready_;
  const SheetsOptions& options_;
  Box room_;
  std::uint64_t seed_;
};

// Each in the first turn that fits, box beside box.
std::vector<SheetPlace> in_rows(const std::vector<OutlineToPack>& outlines,
                                const std::vector<std::size_t>& items,
                                const PreparedOutlines& ready,
                                const SheetsOptions& options) {
  std::vector<Box> boxes;
  std::vector<double> turns;
  for (const std::size_t item : items) {
    turns.push_back(*ready.turn_with_room(item, options.room.grown(ready.grown_by_mm())));
    Box box;
    for (const Vec2 p : outlines[item].ring) box.add(Affine::turn_deg(turns.back()) * p);
    boxes.push_back(box);
  }
  const BoxPacking rows = pack_rows(boxes, options.room, options.clearance_mm);
  std::vector<SheetPlace> out;
  for (std::size_t i = 0; i < items.size(); ++i) {
    out.push_back({rows.spots[i].sheet, {turns[i], rows.spots[i].move}});
  }
  return out;
}

// Upright boxes lie best in rows: searching would only take time.
bool nearly_boxes(const std::vector<OutlineToPack>& outlines) {
  double area = 0.0, boxes = 0.0;
  for (const OutlineToPack& outline : outlines) {
    const auto upright = [](double turn) { return std::fmod(turn, 180.0) == 0.0; };
    if (outline.turns.free ||
        !std::all_of(outline.turns.at_deg.begin(), outline.turns.at_deg.end(), upright)) {
      return false;
    }
    const Box box = box_of(outline.ring);
    area += std::abs(signed_area(outline.ring));
    boxes += box.width() * box.height();
  }
  return area > kNearlyBox * boxes;
}

std::size_t sheets_of(const std::vector<SheetPlace>& places) {
  std::size_t sheets = 0;
  for (const SheetPlace& place : places) sheets = std::max(sheets, place.sheet + 1);
  return sheets;
}

void require_no_fault_on_any(const std::vector<OutlineToPack>& outlines,
                             const SheetsPacking& packing,
                             const SheetsOptions& options) {
  std::vector<std::vector<std::vector<Vec2>>> sheets(packing.sheets);
  for (std::size_t i = 0; i < outlines.size(); ++i) {
    std::vector<Vec2> ring = outlines[i].ring;
    for (Vec2& p : ring) p = packing.places[i].place.room_from_outline() * p;
    sheets[packing.places[i].sheet].push_back(std::move(ring));
  }
  for (const auto& lying : sheets) require_no_fault(lying, options.room, options.clearance_mm);
}

}  // namespace

void SheetsOptions::validate() const {
  require_between(room.width(), 1e-3, 1e5, "room width", "mm");
  require_between(room.height(), 1e-3, 1e5, "room height", "mm");
  require_between(clearance_mm, 0.0, 50.0, "clearance_mm", "mm");
  require_between(static_cast<double>(effort), 1.0, 1e15, "effort", "places");
  require_between(threads, 1.0, 64.0, "threads", "");
}

bool has_room(const OutlineToPack& outline, const Box& room) {
  return turn_with_room(outline, 0.0, room).has_value();
}

SheetsPacking pack_on_sheets(const std::vector<OutlineToPack>& outlines,
                             const SheetsOptions& options) {
  options.validate();
  SheetsPacking out;
  if (outlines.empty()) return out;
  const PreparedOutlines ready(outlines, options.clearance_mm);
  for (std::size_t i = 0; i < outlines.size(); ++i) {
    ready.require_room(i, options.room.grown(ready.grown_by_mm()));
  }
  const double room = (options.room.width() + options.clearance_mm) *
                      (options.room.height() + options.clearance_mm);
  const auto sheets_for = [&](double area) {
    return std::max<std::size_t>(1, static_cast<std::size_t>(std::ceil(area / room - 1e-9)));
  };
  out.least_sheets = sheets_for(ready.area());

  std::vector<std::size_t> left(outlines.size());
  std::iota(left.begin(), left.end(), std::size_t{0});
  out.places = in_rows(outlines, left, ready, options);
  out.sheets = sheets_of(out.places);
  if (!nearly_boxes(outlines) && sheets_for(ready.area() / kHopeless) < out.sheets) {
    std::stable_sort(left.begin(), left.end(), [&](std::size_t a, std::size_t b) {
      return ready.area_of(a) > ready.area_of(b);
    });
    SheetFiller filler(outlines, ready, options);
    std::vector<SheetPlace> places(outlines.size());
    std::size_t sheet = 0;
    double area = ready.area();
    while (!left.empty() && sheet + sheets_for(area / kHopeless) < out.sheets) {
      if (area < room) {
        std::vector<std::size_t> in_order = left;
        std::sort(in_order.begin(), in_order.end());
        const std::vector<SheetPlace> rows = in_rows(outlines, in_order, ready, options);
        if (sheets_of(rows) == 1) {
          for (std::size_t i = 0; i < rows.size(); ++i)
            places[in_order[i]] = {sheet, rows[i].place};
          left.clear();
          ++sheet;
          break;
        }
      }
      const Filled filled = filler.fill(left);
      for (std::size_t i = 0; i < filled.items.size(); ++i) {
        places[filled.items[i]] = {sheet, ready.place(filled.items[i], filled.poses[i])};
        area -= ready.area_of(filled.items[i]);
        std::erase(left, filled.items[i]);
      }
      ++sheet;
    }
    if (left.empty() && sheet < out.sheets) {
      out.places = std::move(places);
      out.sheets = sheet;
    }
  }
  out.share_used = ready.area() / (static_cast<double>(out.sheets) * room);
  require_no_fault_on_any(outlines, out, options);
  return out;
}

}  // namespace underdraw
