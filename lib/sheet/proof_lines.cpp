#include "sheet/proof_lines.h"

#include <algorithm>
#include <cmath>
#include <unordered_map>

namespace underdraw {
namespace {

constexpr double kReach = 0.3;      // beyond a line's edge, looked at on both sides
constexpr double kEdgeReach = 0.4;  // to both sides of an area's edge
constexpr double kInked = 0.4;      // darker than this is ink

double reach_of(const LineSample& s) {
  return s.kind == LineSample::Kind::edge ? kEdgeReach : s.half_mm + kReach;
}

// Samples by square cells, for neighbours.
class SampleGrid {
 public:
  explicit SampleGrid(const std::vector<LineSample>& samples) : samples_(samples) {
    for (std::size_t i = 0; i < samples.size(); ++i) {
      widest_ = std::max(widest_, samples[i].half_mm);
      cells_[key(cell(samples[i].at.x), cell(samples[i].at.y))].push_back(i);
    }
  }

  // True when something other than the sample's own stretch of line is within its reach.
  bool crowded(const LineSample& s) const {
    const double far = reach_of(s) + widest_ + 0.1;
    for (long cy = cell(s.at.y - far); cy <= cell(s.at.y + far); ++cy) {
      for (long cx = cell(s.at.x - far); cx <= cell(s.at.x + far); ++cx) {
        const auto found = cells_.find(key(cx, cy));
        if (found == cells_.end()) continue;
        for (const std::size_t i : found->second) {
          if (disturbs(s, samples_[i])) return true;
        }
      }
    }
    return false;
  }

 private:
  static long cell(double mm) { return static_cast<long>(std::floor(mm)); }
  static long key(long x, long y) { return x * 100'003 + y; }

  static bool disturbs(const LineSample& s, const LineSample& other) {
    const double within = reach_of(s) + other.half_mm + 0.1;
    if (distance(s.at, other.at) >= within) return false;
    if (other.stroke != s.stroke) return true;
    // Its own line: only where that comes back or bends sharply.
    if (std::abs(other.along_mm - s.along_mm) > 1.3 * within) return true;
    return std::abs(dot(s.normal, other.normal)) < 0.9;
  }

  const std::vector<LineSample>& samples_;
  std::unordered_map<long, std::vector<std::size_t>> cells_;
  double widest_ = 0.0;
};

Rings rings_of(const Area& area) {
  Rings rings;
  for (const Path& ring : area.rings) rings.push_back(flatten(ring, 0.005));
  return rings;
}

void add_path(std::vector<LineSample>& samples,
              const Path& path,
              const LineSample& like,
              double step_mm) {
  double along = 0.0;
  for (std::size_t i = 0; i < path.piece_count(); ++i) {
    const Cubic c = path.piece(i);
    const double bound = distance(c.p0, c.p1) + distance(c.p1, c.p2) + distance(c.p2, c.p3);
    if (bound == 0.0) continue;
    const int n = std::max(1, static_cast<int>(std::ceil(bound / step_mm)));
    Vec2 before = c.p0;
    for (int k = 0; k < n; ++k) {
      // In the middle of each stretch: ends of pieces may have no direction.
      const double t = (k + 0.5) / n;
      LineSample s = like;
      s.at = c.at(t);
      along += distance(before, s.at);
      before = s.at;
      s.along_mm = along;
      s.normal = perpendicular(normalized(c.derivative(t)));
      if (s.normal == Vec2{}) s.normal = perpendicular(normalized(c.p3 - c.p0));
      if (s.normal == Vec2{}) continue;
      samples.push_back(s);
    }
    along += distance(before, c.p3);
  }
}

bool inked_near(const GreyView& page, Vec2 at) {
  const int x = static_cast<int>(std::floor(at.x * page.px_per_mm));
  const int y = static_cast<int>(std::floor(at.y * page.px_per_mm));
  for (int dy = -1; dy <= 1; ++dy) {
    for (int dx = -1; dx <= 1; ++dx) {
      if (page.ink_at(x + dx, y + dy) > kInked) return true;
    }
  }
  return false;
}

// Deviation of a line's middle along the normal; nothing when there is too little ink.
std::optional<double> across(const GreyView& page, const LineSample& s) {
  const double reach = reach_of(s);
  const double step = 0.5 / page.px_per_mm;
  const int n = static_cast<int>(std::ceil(reach / step));
  double ink = 0.0;
  double moment = 0.0;
  for (int i = -n; i <= n; ++i) {
    const double t = i * step;
    const double d = page.ink_at_mm(s.at + s.normal * t);
    ink += d * step;
    moment += d * step * t;
  }
  if (s.kind == LineSample::Kind::edge) {
    // Ink from the inner end up to the edge.
    if (page.ink_at_mm(s.at - s.normal * (0.9 * reach)) < kInked) return std::nullopt;
    return ink - (n + 0.5) * step;
  }
  if (ink < std::max(0.3 * 2.0 * s.half_mm, 0.03)) return std::nullopt;
  return moment / ink;
}

std::optional<double> dot_offset(const GreyView& page, const LineSample& s) {
  const double reach = reach_of(s);
  const double step = 1.0 / page.px_per_mm;
  const int n = static_cast<int>(std::ceil(reach / step));
  double ink = 0.0;
  Vec2 moment;
  for (int iy = -n; iy <= n; ++iy) {
    for (int ix = -n; ix <= n; ++ix) {
      const Vec2 off{ix * step, iy * step};
      if (length(off) > reach) continue;
      const double d = page.ink_at_mm(s.at + off);
      ink += d * step * step;
      moment += off * (d * step * step);
    }
  }
  if (ink < 0.3 * std::numbers::pi * s.half_mm * s.half_mm) return std::nullopt;
  return length(moment / ink);
}

// Which pixels of a window are accounted for.
class Mask {
 public:
  Mask(const Box& window, double px_per_mm)
      : scale_(px_per_mm),
        left_(static_cast<int>(std::floor(window.min.x * scale_))),
        top_(static_cast<int>(std::floor(window.min.y * scale_))),
        width_(static_cast<int>(std::ceil(window.max.x * scale_)) - left_),
        height_(static_cast<int>(std::ceil(window.max.y * scale_)) - top_),
        taken_(static_cast<std::size_t>(width_) * static_cast<std::size_t>(height_), 0) {}

  void take_row(int y, double from_px, double to_px) {
    if (y < top_ || y >= top_ + height_) return;
    const int a = std::max(left_, static_cast<int>(std::floor(from_px)));
    const int b = std::min(left_ + width_ - 1, static_cast<int>(std::ceil(to_px)));
    if (a > b) return;
    const auto row = taken_.begin() + static_cast<std::ptrdiff_t>(y - top_) * width_;
    std::fill(row + (a - left_), row + (b - left_ + 1), std::uint8_t{1});
  }
  void take_disc(Vec2 centre_mm, double radius_mm) {
    const double r = radius_mm * scale_;
    const double cx = centre_mm.x * scale_;
    const double cy = centre_mm.y * scale_;
    for (int y = static_cast<int>(cy - r); y <= static_cast<int>(cy + r); ++y) {
      const double dy = y + 0.5 - cy;
      const double half = std::sqrt(std::max(0.0, r * r - dy * dy));
      take_row(y, cx - half, cx + half);
    }
  }
  void take_inside(const Rings& rings) {
    for_rows(rings, [&](int y, const std::vector<double>& cuts) {
      for (std::size_t i = 0; i + 1 < cuts.size(); i += 2) {
        take_row(y, cuts[i] * scale_, cuts[i + 1] * scale_);
      }
    });
  }
  void take_outside(const Rings& rings) {
    for_rows(rings, [&](int y, std::vector<double> cuts) {
      cuts.insert(cuts.begin(), (left_ - 1) / scale_);
      cuts.push_back((left_ + width_ + 1) / scale_);
      for (std::size_t i = 0; i + 1 < cuts.size(); i += 2) {
        take_row(y, cuts[i] * scale_, cuts[i + 1] * scale_);
      }
    });
  }
  // Calls job(y, places where the rings cross the row's middle, in order).
  template <typename Job>
  void for_rows(const Rings& rings, Job job) const {
    for (int y = top_; y < top_ + height_; ++y) {
      const double py = (y + 0.5) / scale_;
      std::vector<double> cuts;
      for (const auto& ring : rings) {
        for (std::size_t i = 0, j = ring.size() - 1; i < ring.size(); j = i++) {
          const Vec2 a = ring[i];
          const Vec2 b = ring[j];
          if ((a.y > py) != (b.y > py)) {
            cuts.push_back((b.x - a.x) * (py - a.y) / (b.y - a.y) + a.x);
          }
        }
      }
      std::sort(cuts.begin(), cuts.end());
      job(y, cuts);
    }
  }

  double untaken_ink_mm2(const GreyView& page) const {
    std::size_t count = 0;
    for (int y = std::max(0, top_); y < std::min(page.height, top_ + height_); ++y) {
      const std::uint8_t* row = page.pixels + static_cast<std::size_t>(y) * page.stride;
      const auto taken = taken_.begin() + static_cast<std::ptrdiff_t>(y - top_) * width_;
      for (int x = std::max(0, left_); x < std::min(page.width, left_ + width_); ++x) {
        if (row[x] < 128 && taken[x - left_] == 0) ++count;
      }
    }
    return static_cast<double>(count) / (scale_ * scale_);
  }

 private:
  double scale_;
  int left_, top_, width_, height_;
  std::vector<std::uint8_t> taken_;
};

}  // namespace

std::vector<LineSample> samples_clear_of(const std::vector<Path>& darts,
                                         std::vector<LineSample> samples) {
  constexpr double kNear = 1.0;  // beyond a line's edge
  for (const Path& dart : darts) {
    const std::vector<Vec2> points = sample(dart, 0.25);
    const Box box = dart.box().grown(kNear + 2.0);
    for (LineSample& s : samples) {
      if (s.crowded || !box.contains(s.at)) continue;
      s.crowded = std::any_of(points.begin(), points.end(), [&](Vec2 p) {
        return distance(p, s.at) < s.half_mm + kNear;
      });
    }
  }
  return samples;
}

std::vector<LineSample> line_samples(const Linework& lines, double step_mm) {
  std::vector<LineSample> samples;
  std::size_t id = 0;
  for (const Stroke& stroke : lines.strokes) {
    LineSample like;
    like.half_mm = stroke.width_mm / 2.0;
    like.stroke = id++;
    if (stroke.path.length() < 0.5 * stroke.width_mm || stroke.path.is_dot()) {
      if (stroke.path.points.empty()) continue;
      like.kind = LineSample::Kind::dot;
      like.at = stroke.path.box().centre();
      samples.push_back(like);
    } else {
      add_path(samples, stroke.path, like, step_mm);
    }
  }
  std::vector<Rings> areas;
  for (const Area& area : lines.areas) {
    areas.push_back(rings_of(area));
    for (const Path& ring : area.rings) {
      LineSample like;
      like.kind = LineSample::Kind::edge;
      like.stroke = id++;
      const std::size_t first = samples.size();
      add_path(samples, ring, like, step_mm);
      for (std::size_t i = first; i < samples.size(); ++i) {
        LineSample& s = samples[i];
        if (inside(areas.back(), s.at + s.normal * 0.02)) s.normal = -s.normal;
      }
    }
  }
  const SampleGrid grid(samples);
  for (LineSample& s : samples) {
    s.crowded = grid.crowded(s);
    for (const Rings& area : areas) {
      if (s.crowded) break;
      if (s.kind != LineSample::Kind::edge) s.crowded = inside(area, s.at);
    }
  }
  return samples;
}

LineMeasure measure_lines(const GreyView& page, const std::vector<LineSample>& samples) {
  LineMeasure out;
  for (const LineSample& s : samples) {
    ++out.samples;
    if (s.crowded) {
      const Vec2 probe = s.kind == LineSample::Kind::edge ? s.at - s.normal * 0.1 : s.at;
      if (!inked_near(page, probe)) ++out.missing;
      continue;
    }
    const std::optional<double> off =
        s.kind == LineSample::Kind::dot ? dot_offset(page, s) : across(page, s);
    if (!off) {
      ++out.missing;
      continue;
    }
    ++out.measured;
    out.sum_mm += std::abs(*off);
    out.largest_mm = std::max(out.largest_mm, std::abs(*off));
  }
  return out;
}

double inked_share(const GreyView& page,
                   const std::vector<LineSample>& samples,
                   const Affine& move) {
  std::size_t hits = 0;
  std::size_t count = 0;
  const std::size_t every = std::max<std::size_t>(1, samples.size() / 400);
  for (std::size_t i = 0; i < samples.size(); i += every) {
    const LineSample& s = samples[i];
    if (s.kind == LineSample::Kind::edge) continue;
    const Vec2 at = move * s.at;
    hits += page.ink_at(static_cast<int>(std::floor(at.x * page.px_per_mm)),
                        static_cast<int>(std::floor(at.y * page.px_per_mm))) > kInked;
    ++count;
  }
  return count == 0 ? 0.0 : static_cast<double>(hits) / static_cast<double>(count);
}

BestMove best_move(const GreyView& page, const std::vector<LineSample>& samples, double reach_mm) {
  BestMove best;
  double best_score = -1.0;
  const auto search = [&](Vec2 middle, double reach, double step) {
    const int n = static_cast<int>(std::ceil(reach / step - 1e-9));
    for (int iy = -n; iy <= n; ++iy) {
      for (int ix = -n; ix <= n; ++ix) {
        const Vec2 by = middle + Vec2{ix * step, iy * step};
        const double share = inked_share(page, samples, Affine::translate(by));
        // Of equal moves the smallest.
        const double score = share - 1e-4 * length(by);
        if (score > best_score) {
          best_score = score;
          best = {by, share};
        }
      }
    }
  };
  search({}, reach_mm, 0.15);
  // Every move of a whole plateau meets as much ink: its middle is the place.
  const double top = best.inked_share;
  Vec2 sum;
  double count = 0.0;
  for (int iy = -12; iy <= 12; ++iy) {
    for (int ix = -12; ix <= 12; ++ix) {
      const Vec2 by = best.by + Vec2{ix * 0.05, iy * 0.05};
      const double share = inked_share(page, samples, Affine::translate(by));
      if (share < top - 0.02) continue;
      sum += by;
      count += 1.0;
    }
  }
  if (count > 0.0) best.by = sum / count;
  best.inked_share = inked_share(page, samples, Affine::translate(best.by));
  return best;
}

double unexpected_ink(const GreyView& page,
                      const Linework& lines,
                      const std::vector<LineSample>& samples,
                      const CutOut& cut_out) {
  constexpr double kGrow = 0.25;
  Mask mask(cut_out.area, page.px_per_mm);
  mask.take_outside({flatten(cut_out.cut_line, 0.01)});  // neighbours may lie within its box
  for (const LineSample& s : samples) mask.take_disc(s.at, s.half_mm + kGrow);
  for (const Stroke& stroke : lines.strokes) {
    // Samples lie between the ends of pieces.
    mask.take_disc(stroke.path.points.front(), stroke.width_mm / 2.0 + kGrow);
    mask.take_disc(stroke.path.points.back(), stroke.width_mm / 2.0 + kGrow);
  }
  for (const Area& area : lines.areas) mask.take_inside(rings_of(area));
  for (const Vec2 p : sample(cut_out.cut_line, 0.25)) mask.take_disc(p, 0.4);
  for (const Path& dart : cut_out.darts) {
    for (const Vec2 p : sample(dart, 0.25)) mask.take_disc(p, 0.4);
  }
  const auto take_turned = [&](const Box& box) {
    const Affine turn = Affine::translate(box.centre()) * Affine::turn_deg(cut_out.turn_deg) *
                        Affine::translate(-box.centre());
    mask.take_inside({{turn * box.min,
                       turn * Vec2{box.max.x, box.min.y},
                       turn * box.max,
                       turn * Vec2{box.min.x, box.max.y}}});
  };
  for (const Box& box : cut_out.label_boxes) take_turned(box.grown(kGrow));
  take_turned(cut_out.number_box.grown(kGrow));
  return mask.untaken_ink_mm2(page);
}

}  // namespace underdraw
