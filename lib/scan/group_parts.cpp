#include "scan/group_parts.h"

#include <algorithm>
#include <cmath>
#include <limits>
#include <map>

#include <opencv2/imgproc.hpp>

namespace underdraw {
namespace {

constexpr double kTieMm = 2.0;  // dots and dashes this close together are one line or one shading

constexpr double kTrail =
    1.5;  // times the white that separates drawings, from dot to dot of a trail
constexpr double kEven = 0.35;  // by which the steps of an even row differ, in steps

// A part up to this size of its drawing belongs to it from as far as parts do; at the second it is
// a drawing in its own right. A leaf of a flower, a bird over a boat.
constexpr double kPartSize = 0.25;
constexpr double kDrawingSize = 0.5;
// Below this share nobody would draw it for itself, however close the drawings stand.
constexpr double kCrumbSize = 0.12;
// Of the usual white between the drawings of this page; across as much, a part is a neighbour.
constexpr double kNearer = 0.9;
// Small drawings begin here; more than two of a size for each large one are a set of their own.
constexpr double kSketchMm = 10.0;
constexpr double kAlike = 1.5;      // longer sides within this factor are of a size
constexpr double kMostParts = 2.0;  // of a size, of each large drawing
constexpr double kLarge = 0.5;      // of the page's upper quartile: what counts as a large drawing
constexpr double kInside = 0.8;     // of a part's outline inside its drawing's: lies within it
constexpr double kFrame = 0.6;      // of the page's longer side: a frame round the page, no drawing

// Bare paper strewn with marks: dust, or the tooth of rough paper.
constexpr double kStrewnCellMm = 20.0;
constexpr double kLargestDustMm = 5.0;   // a few specks that touch
constexpr std::size_t kMostMarks = 100;  // that a person may well have dotted over a page
constexpr double kStrewnShare = 0.5;     // of the cells without a drawing
constexpr double kDustShare = 0.95;      // this share of what is strewn is smaller than...
constexpr double kMoreThanDust = 1.5;    // ...what this much ink more no longer passes for

int longer_side(const cv::Rect& box) { return std::max(box.width, box.height); }

struct Body {
  cv::Rect box;
  std::vector<cv::Point> hull;
  double size() const { return longer_side(box); }
  // A row of petals is as long as a drawing but narrow, and beside a feather as broad but short.
  double bulk() const { return std::sqrt(size() * std::sqrt(cv::contourArea(hull))); }
};

void grow(Body& body, const cv::Rect& box, const std::vector<cv::Point>& hull) {
  body.box |= box;
  body.hull.insert(body.hull.end(), hull.begin(), hull.end());
}

void close_hull(Body& body) {
  std::vector<cv::Point> hull;
  cv::convexHull(body.hull, hull);
  body.hull = std::move(hull);
}

bool lies_within(const Body& part, const Body& whole) {
  std::size_t inside = 0;
  for (const cv::Point& p : part.hull) {
    if (cv::pointPolygonTest(whole.hull, p, false) >= 0.0) ++inside;
  }
  return static_cast<double>(inside) >= kInside * static_cast<double>(part.hull.size());
}

double quantile(std::vector<double> values, double share) {
  const auto at =
      values.begin() + static_cast<std::ptrdiff_t>(share * static_cast<double>(values.size() - 1));
  std::nth_element(values.begin(), at, values.end());
  return *at;
}

// Ink up to which a mark is one of those strewn over the page; 0 on a clean page.
double strewn_ink(const PageParts& page, const std::vector<bool>& left_out) {
  const double largest = kLargestDustMm * page.px_per_mm;
  const double cell = kStrewnCellMm * page.px_per_mm;
  const int across = std::max(1, static_cast<int>(page.part_of.cols / cell));
  const int down = std::max(1, static_cast<int>(page.part_of.rows / cell));
  const auto column = [&](int x) {
    return std::min(across - 1, static_cast<int>(static_cast<double>(x) / cell));
  };
  const auto row = [&](int y) {
    return std::min(down - 1, static_cast<int>(static_cast<double>(y) / cell));
  };
  cv::Mat taken = cv::Mat::zeros(down, across, CV_8U);
  for (std::size_t i = 0; i < page.parts.size(); ++i) {
    const cv::Rect& box = page.parts[i].box;
    if (!left_out[i] && longer_side(box) < largest) continue;
    taken(cv::Range(row(box.y), row(box.br().y - 1) + 1),
          cv::Range(column(box.x), column(box.br().x - 1) + 1)) = 1;
  }
  cv::Mat strewn = cv::Mat::zeros(down, across, CV_8U);
  std::vector<double> ink;
  for (std::size_t i = 0; i < page.parts.size(); ++i) {
    const cv::Rect& box = page.parts[i].box;
    if (left_out[i] || longer_side(box) >= largest || taken.at<uchar>(row(box.y), column(box.x))) {
      continue;
    }
    strewn.at<uchar>(row(box.y), column(box.x)) = 1;
    ink.push_back(page.parts[i].ink_px);
  }
  const int bare = across * down - cv::countNonZero(taken);
  if (ink.size() < kMostMarks || cv::countNonZero(strewn) < kStrewnShare * bare) return 0.0;
  return kMoreThanDust * quantile(std::move(ink), kDustShare);
}

// White space between sets of parts, narrowest of each pair, narrow ones first.
std::vector<PartGap> between_sets(const std::vector<PartGap>& gaps, Unions& sets) {
  std::map<std::pair<std::size_t, std::size_t>, double> least;
  for (const PartGap& gap : gaps) {  // narrow gaps come first
    const std::pair<std::size_t, std::size_t> pair =
        std::minmax({sets.root(gap.a), sets.root(gap.b)});
    if (pair.first != pair.second) least.try_emplace(pair, gap.px);
  }
  std::vector<PartGap> out;
  for (const auto& [pair, px] : least) out.push_back({pair.first, pair.second, px});
  std::stable_sort(
      out.begin(), out.end(), [](const PartGap& p, const PartGap& q) { return p.px < q.px; });
  return out;
}

// Joins fallen leaves, stamens and the like to the drawings they belong to.
class PartsToDrawings {
 public:
  PartsToDrawings(std::map<std::size_t, Body>& bodies,
                  Unions& sets,
                  std::vector<PartGap> gaps,
                  const PageParts& page,
                  const GroupOptions& options)
      : bodies_(bodies), sets_(sets), gaps_(std::move(gaps)), options_(options) {
    px_per_mm_ = page.px_per_mm;
    page_px_ = std::max(page.part_of.cols, page.part_of.rows);
    std::vector<double> sizes;
    for (const auto& [root, body] : bodies_) {
      if (body.size() >= kSketchMm * px_per_mm_) sizes.push_back(body.size());
    }
    if (!sizes.empty()) large_ = kLarge * quantile(sizes, 0.75);
    measure_usual_gap();
    find_sets();
  }

  void join_all() {
    for (bool again = true; again;) {
      again = false;
      for (const PartGap& gap : gaps_) {
        const std::size_t a = sets_.root(gap.a);
        const std::size_t b = sets_.root(gap.b);
        if (a == b || !belong(a, b, gap.px)) continue;
        const std::size_t root = sets_.join(a, b);
        const std::size_t other = root == a ? b : a;
        grow(bodies_[root], bodies_[other].box, bodies_[other].hull);
        close_hull(bodies_[root]);
        bodies_.erase(other);
        again = true;
      }
    }
  }

 private:
  void measure_usual_gap() {
    std::map<std::size_t, double> nearest;
    for (const PartGap& gap : gaps_) {
      if (bodies_[gap.a].size() < large_ || bodies_[gap.b].size() < large_) continue;
      nearest.try_emplace(gap.a, gap.px);
      nearest.try_emplace(gap.b, gap.px);
    }
    std::vector<double> gaps;
    for (const auto& [root, px] : nearest) gaps.push_back(px);
    if (!gaps.empty()) usual_gap_ = quantile(gaps, 0.5);
  }

  // Many small drawings of a size beside a few large ones.
  void find_sets() {
    std::vector<double> sizes;
    std::size_t large = 0;
    for (const auto& [root, body] : bodies_) {
      if (body.size() >= large_)
        ++large;
      else if (body.size() >= kSketchMm * px_per_mm_)
        sizes.push_back(body.size());
    }
    std::sort(sizes.begin(), sizes.end());
    for (const double size : sizes) {
      const auto from = std::lower_bound(sizes.begin(), sizes.end(), size / kAlike);
      const auto to = std::upper_bound(sizes.begin(), sizes.end(), size * kAlike);
      if (static_cast<double>(to - from) > kMostParts * static_cast<double>(large)) {
        in_sets_.push_back(size);
      }
    }
  }

  bool belong(std::size_t a, std::size_t b, double px) const {
    const bool a_smaller = bodies_.at(a).size() < bodies_.at(b).size();
    const Body& part = bodies_.at(a_smaller ? a : b);
    const Body& whole = bodies_.at(a_smaller ? b : a);
    const double belongs = options_.belongs_mm * px_per_mm_;
    if (px <= belongs && whole.size() < kFrame * page_px_ && lies_within(part, whole)) return true;
    const double share = std::min(part.size() / whole.size(), part.bulk() / whole.bulk());
    const double apart = options_.apart_mm * px_per_mm_;
    const double lack = std::clamp((share - kPartSize) / (kDrawingSize - kPartSize), 0.0, 1.0);
    if (px > belongs + (apart - belongs) * lack) return false;
    if (share < kCrumbSize) return true;
    if (std::binary_search(in_sets_.begin(), in_sets_.end(), part.size())) return false;
    return px <= kNearer * usual_gap_;
  }

  std::map<std::size_t, Body>& bodies_;
  Unions& sets_;
  std::vector<PartGap> gaps_;
  const GroupOptions& options_;
  double px_per_mm_ = 0.0;
  double page_px_ = 0.0;
  double large_ = 0.0;
  double usual_gap_ = std::numeric_limits<double>::infinity();
  std::vector<double> in_sets_;
};

std::map<std::size_t, Body> bodies_of(const PageParts& page,
                                      const std::vector<bool>& chosen,
                                      Unions& sets) {
  std::map<std::size_t, Body> bodies;
  for (std::size_t i = 0; i < page.parts.size(); ++i) {
    if (chosen[i]) grow(bodies[sets.root(i)], page.parts[i].box, page.parts[i].hull);
  }
  for (auto& [root, body] : bodies) close_hull(body);
  return bodies;
}

// The nearest drawing's part to each mark, and the white between; parts beyond reach have none.
struct Host {
  std::size_t part = 0;
  double px = std::numeric_limits<double>::infinity();
};
std::vector<Host> hosts_of(const PageParts& page,
                           const NearestParts& nearest,
                           const std::vector<bool>& marks) {
  std::vector<Host> hosts(page.parts.size());
  for (std::size_t i = 0; i < page.parts.size(); ++i) {
    if (!marks[i]) continue;
    const cv::Rect& box = page.parts[i].box;
    for (int y = box.y; y < box.br().y; ++y) {
      for (int x = box.x; x < box.br().x; ++x) {
        if (page.part_of.at<int>(y, x) != static_cast<int>(i) + 1) continue;
        const Nearest at = nearest.at(x, y);
        if (at.part >= 0 && at.px < hosts[i].px) {
          hosts[i] = {static_cast<std::size_t>(at.part), at.px};
        }
      }
    }
  }
  return hosts;
}

cv::Point2d middle_of(const cv::Rect& box) {
  return {box.x + box.width / 2.0, box.y + box.height / 2.0};
}

// A mark that makes one more even step of a row of marks goes with them.
void go_on_along_rows(const PageParts& page,
                      const std::vector<PartGap>& gaps,
                      const std::vector<bool>& marks,
                      double reach,
                      std::vector<bool>& drawn,
                      Unions& sets) {
  std::vector<std::vector<std::size_t>> beside(marks.size());
  for (const PartGap& gap : gaps) {
    if (gap.px > reach || !marks[gap.a] || !marks[gap.b]) continue;
    beside[gap.a].push_back(gap.b);
    beside[gap.b].push_back(gap.a);
  }
  std::vector<std::size_t> ends;
  for (std::size_t i = 0; i < marks.size(); ++i) {
    if (marks[i] && drawn[sets.root(i)]) ends.push_back(i);
  }
  while (!ends.empty()) {
    const std::size_t end = ends.back();
    ends.pop_back();
    const cv::Point2d at = middle_of(page.parts[end].box);
    for (const std::size_t before : beside[end]) {
      const cv::Point2d step = at - middle_of(page.parts[before].box);
      if (sets.root(before) != sets.root(end)) continue;
      for (const std::size_t next : beside[end]) {
        if (drawn[sets.root(next)]) continue;
        const cv::Point2d off = middle_of(page.parts[next].box) - at - step;
        if (std::hypot(off.x, off.y) > kEven * std::hypot(step.x, step.y)) continue;
        drawn[sets.join(end, next)] = true;
        ends.push_back(next);
      }
    }
  }
}

PartGroups collect(const PageParts& page,
                   const std::vector<bool>& left_out,
                   const std::vector<bool>& in_drawing,
                   Unions& sets,
                   double smallest) {
  PartGroups out;
  out.group_of.assign(page.parts.size(), -1);
  std::map<std::size_t, int> number;
  for (std::size_t i = 0; i < page.parts.size(); ++i) {
    if (left_out[i]) continue;
    const auto [at, fresh] = number.try_emplace(sets.root(i), static_cast<int>(out.groups.size()));
    if (fresh) out.groups.emplace_back();
    out.group_of[i] = at->second;
    PartGroup& group = out.groups[static_cast<std::size_t>(at->second)];
    group.parts.push_back(i);
    group.box |= page.parts[i].box;
    group.hull.insert(group.hull.end(), page.parts[i].hull.begin(), page.parts[i].hull.end());
    group.drawing = group.drawing || in_drawing[i];
  }
  for (PartGroup& group : out.groups) {
    std::vector<cv::Point> hull;
    cv::convexHull(group.hull, hull);
    group.hull = std::move(hull);
    group.drawing = group.drawing || longer_side(group.box) >= smallest;
  }
  return out;
}

}  // namespace

PartGroups group_parts(const PageParts& page,
                       const std::vector<PartGap>& gaps,
                       const std::vector<bool>& left_out,
                       const GroupOptions& options) {
  const double smallest = options.smallest_mm * page.px_per_mm;
  const double apart = options.apart_mm * page.px_per_mm;
  const double belongs = options.belongs_mm * page.px_per_mm;
  const double tie = std::min(kTieMm * page.px_per_mm, apart);
  double dust = strewn_ink(page, left_out);
  const auto is_small = [&](std::size_t i) {
    return dust > 0.0 && longer_side(page.parts[i].box) < kLargestDustMm * page.px_per_mm;
  };
  const auto is_dust = [&](std::size_t i) { return is_small(i) && page.parts[i].ink_px <= dust; };
  bool any_else = false;
  for (std::size_t i = 0; i < page.parts.size(); ++i) {
    any_else =
        any_else || (!left_out[i] && !is_small(i) && longer_side(page.parts[i].box) >= smallest);
  }
  if (!any_else) dust = 0.0;  // a page of small motifs
  // On strewn paper small parts tie nothing together: they may all be dust.
  const auto ties = [&](const PartGap& gap) {
    return !left_out[gap.a] && !left_out[gap.b] && !is_dust(gap.a) && !is_dust(gap.b) &&
           !(is_small(gap.a) && is_small(gap.b));
  };

  // What hangs together closely; large enough, it is (a piece of) a drawing.
  Unions sets(page.parts.size());
  for (const PartGap& gap : gaps) {
    if (gap.px > tie) break;
    if (ties(gap)) sets.join(gap.a, gap.b);
  }
  std::vector<cv::Rect> boxes(page.parts.size());
  std::vector<bool> sure(page.parts.size(), false);  // of a set, at its root
  for (std::size_t i = 0; i < boxes.size(); ++i) {
    boxes[sets.root(i)] |= page.parts[i].box;
    if (!is_small(i)) sure[sets.root(i)] = true;
  }
  std::vector<bool> in_body(page.parts.size());
  std::vector<bool> marks(page.parts.size());
  for (std::size_t i = 0; i < boxes.size(); ++i) {
    in_body[i] = !left_out[i] && sure[sets.root(i)] && longer_side(boxes[sets.root(i)]) >= smallest;
    marks[i] = !left_out[i] && !in_body[i];
  }

  NearestParts nearest = nearest_parts(page, in_body);
  const std::vector<PartGap> body_gaps = gaps_between(nearest, belongs);
  for (const PartGap& gap : body_gaps) {
    if (gap.px <= apart) sets.join(gap.a, gap.b);
  }
  std::map<std::size_t, Body> bodies = bodies_of(page, in_body, sets);
  PartsToDrawings(bodies, sets, between_sets(body_gaps, sets), page, options).join_all();

  // Marks go to the drawing nearest to them, alone or in a trail; they never join two.
  std::vector<PartGap> ways;
  const std::vector<Host> hosts = hosts_of(page, nearest, marks);
  for (std::size_t i = 0; i < marks.size(); ++i) {
    if (marks[i] && hosts[i].px <= (is_dust(i) ? tie : belongs)) {
      ways.push_back({i, hosts[i].part, hosts[i].px});
    }
  }
  for (const PartGap& gap : gaps) {
    if (gap.px > kTrail * apart) break;
    // Two pieces of drawings have been compared already.
    if (ties(gap) && (marks[gap.a] || marks[gap.b])) ways.push_back(gap);
  }
  std::stable_sort(
      ways.begin(), ways.end(), [](const PartGap& p, const PartGap& q) { return p.px < q.px; });
  std::vector<bool> drawn(page.parts.size(), false);  // of a set, at its root
  for (std::size_t i = 0; i < in_body.size(); ++i) {
    if (in_body[i]) drawn[sets.root(i)] = true;
  }
  for (const PartGap& way : ways) {
    const bool a = drawn[sets.root(way.a)];
    const bool b = drawn[sets.root(way.b)];
    if (!(a && b)) drawn[sets.join(way.a, way.b)] = a || b;
  }
  if (dust == 0.0) go_on_along_rows(page, gaps, marks, belongs, drawn, sets);
  const double least = dust > 0.0 ? std::numeric_limits<double>::infinity() : smallest;
  PartGroups out = collect(page, left_out, in_body, sets, least);
  out.nearest = std::move(nearest);
  return out;
}

}  // namespace underdraw
