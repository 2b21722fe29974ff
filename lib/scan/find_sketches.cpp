#include "scan/find_sketches.h"

#include <algorithm>
#include <cmath>
#include <map>
#include <set>

#include <opencv2/imgproc.hpp>

#include "scan/find_captions.h"
#include "scan/group_parts.h"
#include "scan/page_parts.h"
#include "scan/reading_order.h"

namespace underdraw {
namespace {

constexpr double kNearInkMm = 2.0;    // faint ends and specks this near to ink go with it
constexpr double kLetterShare = 0.4;  // of its drawing's longer side: higher is no writing under it
constexpr double kClearMm = 0.8;      // writing touches nothing
constexpr double kRowInside = 0.5;    // of a row's parts inside a drawing's outline: part of it
constexpr double kSameHand = 1.6;     // heights of the lines on one page are within this factor
constexpr std::size_t kHabit = 2;     // so many sure captions show that the drawings have names
constexpr std::size_t kNamed = 3;     // so many, and a place without a name looks empty
constexpr double kSlackMm = 1.5;      // by which the white over names differs on a page
constexpr double kMiddle = 0.3;       // of its drawing's side that a name stands off the middle
constexpr double kLetterWidth = 1.2;  // heights
constexpr double kWordGap = 0.85;     // heights; more white than between two words of one name
constexpr double kSameLine = 2.0;     // heights; words of one name stand no farther apart
constexpr double kWordReachMm = 10.0;  // white between words of the largest hand, and more

// One line of writing and the drawing it stands beside.
struct Caption {
  WritingRow row;
  Written written = Written::no;
  int group = -1;   // -1: none within reach
  int beside = -1;  // the nearest, within reach or not
};

// The drawing nearest to the row's ink.
struct Beside {
  int group = -1;
  double px = 1e9;
};
Beside beside_of(const WritingRow& row, const PageParts& page, const PartGroups& groups) {
  Beside out;
  for (int y = row.box.y; y < row.box.br().y; ++y) {
    for (int x = row.box.x; x < row.box.br().x; ++x) {
      const int part = page.part_of.at<int>(y, x);
      if (part == 0 || groups.group_of[static_cast<std::size_t>(part - 1)] >= 0) continue;
      const Nearest near = groups.nearest.at(x, y);
      if (near.part < 0 || near.px >= out.px) continue;
      out = {groups.group_of[static_cast<std::size_t>(near.part)], near.px};
    }
  }
  return out;
}

double white_between(const cv::Rect& a, const cv::Rect& b) {
  const int x = std::max({0, a.x - b.br().x, b.x - a.br().x});
  const int y = std::max({0, a.y - b.br().y, b.y - a.br().y});
  return std::hypot(x, y);
}

// A drawing with parts all round is as near as its box: what stands beside it may be far from ink.
bool within_reach(const WritingRow& row,
                  const Beside& beside,
                  const PartGroups& groups,
                  double reach_px) {
  if (beside.group < 0) return false;
  const cv::Rect& drawing = groups.groups[static_cast<std::size_t>(beside.group)].box;
  return std::min(beside.px, white_between(row.box, drawing)) <= reach_px;
}

bool within(const WritingRow& row, const PageParts& page, const PartGroup& group) {
  double inside = 0.0;
  for (const std::size_t part : row.parts) {
    const cv::Rect& box = page.parts[part].box;
    for (const double share : {0.1, 0.5, 0.9}) {
      const cv::Point2d at(box.x + share * box.width, box.y + box.height / 2.0);
      if (cv::pointPolygonTest(group.hull, at, false) >= 0.0) inside += 1.0 / 3.0;
    }
  }
  return inside >= kRowInside * static_cast<double>(row.parts.size());
}

// Names of neighbouring drawings may stand close enough to read as one line. The row in pieces, by
// the drawing nearest to each word; one piece when all have the same.
std::vector<WritingRow> by_drawing(const WritingRow& row,
                                   const PageParts& page,
                                   const PartGroups& groups) {
  std::vector<std::size_t> parts = row.parts;
  std::sort(parts.begin(), parts.end(), [&](std::size_t a, std::size_t b) {
    return page.parts[a].box.x < page.parts[b].box.x;
  });
  std::vector<WritingRow> words;
  const double space = kWordGap * row.shape.height;
  for (const std::size_t part : parts) {
    const cv::Rect& box = page.parts[part].box;
    if (words.empty() || box.x - words.back().box.br().x > space) words.emplace_back();
    words.back().parts.push_back(part);
    words.back().box |= box;
  }
  std::vector<std::vector<std::size_t>> pieces;
  int before = -1;
  for (const WritingRow& word : words) {
    const int group = beside_of(word, page, groups).group;
    if (pieces.empty() || group != before) pieces.emplace_back();
    pieces.back().insert(pieces.back().end(), word.parts.begin(), word.parts.end());
    before = group;
  }
  if (pieces.size() < 2) return {row};
  std::vector<WritingRow> out;
  for (std::vector<std::size_t>& piece : pieces) {
    WritingRow one = row_of(page, std::move(piece));
    // A single letter or number at the end of a line goes with the rest of it.
    const bool letter = one.box.width < kLetterWidth * row.shape.height;
    if (letter && !out.empty()) {
      one.parts.insert(one.parts.end(), out.back().parts.begin(), out.back().parts.end());
      out.back() = row_of(page, std::move(one.parts));
    } else {
      out.push_back(std::move(one));
    }
  }
  return out;
}

// Whether a row that looks written stands where captions stand.
bool stands_beside(Caption& caption,
                   const PageParts& page,
                   const PartGroups& groups,
                   double reach_px) {
  const Beside beside = beside_of(caption.row, page, groups);
  if (beside.group < 0 || beside.px < kClearMm * page.px_per_mm) return false;
  const PartGroup& group = groups.groups[static_cast<std::size_t>(beside.group)];
  const int size = std::max(group.box.width, group.box.height);
  if (caption.row.shape.height > kLetterShare * size || within(caption.row, page, group)) {
    return false;
  }
  caption.beside = beside.group;
  caption.group = within_reach(caption.row, beside, groups, reach_px) ? beside.group : -1;
  return true;
}

// Where a row stands by its drawing.
enum class Side { below, above, right, left, amid };
struct Place {
  Side side = Side::amid;
  double gap = 0.0;  // between the boxes
  double off = 0.0;  // of the middles, along the drawing's side
};
Place place_of(const cv::Rect& row, const cv::Rect& drawing) {
  const double x = row.x + row.width / 2.0 - (drawing.x + drawing.width / 2.0);
  const double y = row.y + row.height / 2.0 - (drawing.y + drawing.height / 2.0);
  if (2.0 * y > drawing.height)
    return {Side::below, static_cast<double>(row.y - drawing.br().y), x};
  if (2.0 * y < -drawing.height)
    return {Side::above, static_cast<double>(drawing.y - row.br().y), x};
  if (2.0 * x > drawing.width) return {Side::right, static_cast<double>(row.x - drawing.br().x), y};
  if (2.0 * x < -drawing.width) return {Side::left, static_cast<double>(drawing.x - row.br().x), y};
  return {};
}

double median(std::vector<double> values) {
  const auto middle = values.begin() + static_cast<std::ptrdiff_t>(values.size() / 2);
  std::nth_element(values.begin(), middle, values.end());
  return *middle;
}

// How the drawings of this page are named, as far as that is sure.
struct Habit {
  double height = 0.0;
  Side side = Side::amid;
  std::size_t count = 0;   // of captions on that side
  double gap = 0.0;        // there
  std::vector<int> named;  // drawings
};
Habit habit_of(const std::vector<Caption>& captions, const PartGroups& groups) {
  Habit out;
  std::vector<double> heights;
  std::map<Side, std::vector<double>> gaps;
  for (const Caption& caption : captions) {
    if (caption.written < Written::likely) continue;
    if (caption.written == Written::surely) heights.push_back(caption.row.shape.height);
    if (caption.group < 0) continue;
    const cv::Rect& drawing = groups.groups[static_cast<std::size_t>(caption.group)].box;
    const Place place = place_of(caption.row.box, drawing);
    gaps[place.side].push_back(place.gap);
    out.named.push_back(caption.group);
  }
  if (heights.size() >= kHabit) out.height = median(heights);
  for (const auto& [side, of_side] : gaps) {
    if (of_side.size() <= out.count) continue;
    out.side = side;
    out.count = of_side.size();
    out.gap = median(of_side);
  }
  return out;
}

// Between two drawings a name belongs to the one on whose usual side it stands, nearer or not.
void settle_drawings(std::vector<Caption>& captions,
                     const PageParts& page,
                     const PartGroups& groups) {
  const Habit habit = habit_of(captions, groups);
  if (habit.count < kHabit || habit.side == Side::amid) return;
  const double most = habit.gap + std::max(kSlackMm * page.px_per_mm, 0.5 * habit.gap);
  const bool aside = habit.side == Side::right || habit.side == Side::left;
  for (Caption& caption : captions) {
    if (caption.beside < 0) continue;
    const auto box_of = [&](int group) -> const cv::Rect& {
      return groups.groups[static_cast<std::size_t>(group)].box;
    };
    if (place_of(caption.row.box, box_of(caption.beside)).side == habit.side) continue;
    double least = most;
    for (std::size_t i = 0; i < groups.groups.size(); ++i) {
      if (!groups.groups[i].drawing) continue;
      const cv::Rect& box = groups.groups[i].box;
      const Place place = place_of(caption.row.box, box);
      if (place.side != habit.side || place.gap > least) continue;
      if (2.0 * std::abs(place.off) > (aside ? box.height : box.width)) continue;
      least = place.gap;
      caption.group = caption.beside = static_cast<int>(i);
    }
  }
}

// Doubtful rows count where sure ones show that the drawings have names in a hand of that height,
// and the most doubtful where such a name is missing in its usual place.
void drop_doubtful(std::vector<Caption>& captions,
                   const PageParts& page,
                   const PartGroups& groups) {
  const auto other_hand = [](const Caption& caption, double usual) {
    const double height = caption.row.shape.height;
    return height > kSameHand * usual || usual > kSameHand * height;
  };
  const double usual = habit_of(captions, groups).height;
  std::erase_if(captions, [&](const Caption& caption) {
    return caption.written == Written::likely && other_hand(caption, usual);
  });
  // A border between a drawing and its name is no second name.
  std::vector<Caption> sure;
  for (const Caption& caption : captions) {
    if (caption.written == Written::surely) sure.push_back(caption);
  }
  std::erase_if(captions, [&](const Caption& caption) {
    if (caption.written == Written::surely || caption.beside < 0) return false;
    const cv::Rect& box = caption.row.box;
    const cv::Rect& drawing = groups.groups[static_cast<std::size_t>(caption.beside)].box;
    return std::any_of(sure.begin(), sure.end(), [&](const Caption& name) {
      const double way = white_between(name.row.box, drawing);
      return name.beside == caption.beside && white_between(name.row.box, box) < way &&
             white_between(box, drawing) < way;
    });
  });
  // Where drawings have their names on one side, what stands on another is no second name.
  const Habit seen = habit_of(captions, groups);
  std::set<int> named;
  const auto elsewhere = [&](const Caption& caption) {
    if (caption.group < 0) return false;
    const cv::Rect& drawing = groups.groups[static_cast<std::size_t>(caption.group)].box;
    return place_of(caption.row.box, drawing).side != seen.side;
  };
  for (const Caption& caption : captions) {
    if (caption.written >= Written::likely && !elsewhere(caption)) named.insert(caption.group);
  }
  std::erase_if(captions, [&](const Caption& caption) {
    return seen.count >= kHabit && elsewhere(caption) &&
           (caption.written < Written::surely || named.contains(caption.group));
  });
  const Habit habit = habit_of(captions, groups);
  std::erase_if(captions, [&](const Caption& caption) {
    if (caption.written != Written::perhaps) return false;
    if (habit.count < kNamed || habit.side == Side::amid || other_hand(caption, usual)) return true;
    if (caption.group < 0 ||
        std::find(habit.named.begin(), habit.named.end(), caption.group) != habit.named.end()) {
      return true;
    }
    const cv::Rect& drawing = groups.groups[static_cast<std::size_t>(caption.group)].box;
    const Place place = place_of(caption.row.box, drawing);
    const double slack = std::max(kSlackMm * page.px_per_mm, 0.5 * habit.gap);
    const bool aside = habit.side == Side::below || habit.side == Side::above;
    return place.side != habit.side || std::abs(place.gap - habit.gap) > slack ||
           std::abs(place.off) > kMiddle * (aside ? drawing.width : drawing.height);
  });
}

// Words of one name that stand too far apart to have been read as one row.
void join_words(std::vector<Caption>& captions) {
  for (std::size_t i = 0; i < captions.size(); ++i) {
    for (std::size_t k = i + 1; k < captions.size();) {
      WritingRow& row = captions[i].row;
      const WritingRow& more = captions[k].row;
      const int shared =
          std::min(row.box.br().y, more.box.br().y) - std::max(row.box.y, more.box.y);
      const double height = std::max(row.shape.height, more.shape.height);
      if (captions[i].group != captions[k].group ||
          2 * shared < std::min(row.box.height, more.box.height) ||
          white_between(row.box, more.box) > kSameLine * height) {
        ++k;
        continue;
      }
      row.parts.insert(row.parts.end(), more.parts.begin(), more.parts.end());
      row.box |= more.box;
      captions.erase(captions.begin() + static_cast<std::ptrdiff_t>(k));
      k = i + 1;  // the longer row may reach what the shorter did not
    }
  }
}

struct Grouped {
  NearestParts nearest;  // to all parts
  PartGroups groups;
  std::vector<Caption> captions;
};

Grouped group_page(const PageParts& page, const FindSketchesOptions& options) {
  Grouped out;
  out.nearest = nearest_parts(
      page, std::vector<bool>(page.parts.size(), true), kNearInkMm * page.px_per_mm + 1.0);
  const GroupOptions group_options{.apart_mm = options.apart_mm,
                                   .belongs_mm = options.belongs * options.apart_mm,
                                   .smallest_mm = options.smallest_mm};
  const double reach_px = group_options.belongs_mm * page.px_per_mm;
  const std::vector<PartGap> gaps =
      gaps_between(out.nearest, page.px_per_mm * std::max(options.apart_mm, kWordReachMm));
  std::vector<bool> left_out(page.parts.size(), false);
  const auto leave_out = [&] {
    left_out.assign(page.parts.size(), false);
    for (const Caption& caption : out.captions) {
      for (const std::size_t part : caption.row.parts) left_out[part] = true;
    }
  };
  for (WritingRow& row : rows_of_parts(page, gaps)) {
    const Written written = how_written(row, page.px_per_mm);
    if (written != Written::no) out.captions.push_back({std::move(row), written});
  }
  leave_out();
  out.groups = group_parts(page, gaps, left_out, group_options);
  if (out.captions.empty()) return out;
  std::vector<Caption> pieces;
  for (const Caption& caption : out.captions) {
    std::vector<WritingRow> rows = by_drawing(caption.row, page, out.groups);
    for (WritingRow& row : rows) {
      const Written written = how_written(row, page.px_per_mm);
      if (written != Written::no) pieces.push_back({std::move(row), written});
    }
  }
  out.captions = std::move(pieces);
  // What turns out to be no caption is a drawing's part, and may be what another row stands beside.
  std::erase_if(out.captions, [&](Caption& caption) {
    return !stands_beside(caption, page, out.groups, reach_px);
  });
  settle_drawings(out.captions, page, out.groups);
  drop_doubtful(out.captions, page, out.groups);
  for (Caption& caption : out.captions) take_in_strays(caption.row, page, gaps);
  leave_out();
  out.groups = group_parts(page, gaps, left_out, group_options);
  for (Caption& caption : out.captions) {
    const Beside beside = beside_of(caption.row, page, out.groups);
    caption.beside = beside.group;
    caption.group = within_reach(caption.row, beside, out.groups, reach_px) ? beside.group : -1;
  }
  settle_drawings(out.captions, page, out.groups);
  join_words(out.captions);
  return out;
}

// What is to be traced: drawings with their captions, then marks, each with the box of its ink.
struct Regions {
  std::vector<cv::Rect> boxes;  // coarse px
  std::vector<int> region_of;   // of each part, -1: none
  std::size_t sketch_count = 0;
  std::vector<std::optional<std::size_t>> sketch_of;  // of each caption
};

Regions regions_of(const PageParts& page, const Grouped& grouped, Captions captions) {
  const std::vector<PartGroup>& groups = grouped.groups.groups;
  std::vector<int> drawings;
  std::vector<cv::Rect> boxes;
  for (std::size_t i = 0; i < groups.size(); ++i) {
    if (!groups[i].drawing) continue;
    drawings.push_back(static_cast<int>(i));
    boxes.push_back(groups[i].box);
  }
  // Writing far from all drawings, kept, is a drawing like any other.
  const bool keep = captions == Captions::keep;
  std::vector<std::size_t> lone;
  for (std::size_t i = 0; i < grouped.captions.size(); ++i) {
    if (!keep || grouped.captions[i].group >= 0) continue;
    lone.push_back(i);
    boxes.push_back(grouped.captions[i].row.box);
  }
  Regions out;
  out.region_of.assign(page.parts.size(), -1);
  out.sketch_of.resize(grouped.captions.size());
  std::vector<int> region_of_group(groups.size(), -1);
  for (const std::size_t i : reading_order(boxes)) {
    const int region = static_cast<int>(out.boxes.size());
    if (i < drawings.size()) {
      region_of_group[static_cast<std::size_t>(drawings[i])] = region;
    } else {
      out.sketch_of[lone[i - drawings.size()]] = out.boxes.size();
    }
    out.boxes.push_back(boxes[i]);
  }
  out.sketch_count = out.boxes.size();
  for (std::size_t i = 0; i < groups.size(); ++i) {
    if (!groups[i].drawing) {
      region_of_group[i] = static_cast<int>(out.boxes.size());
      out.boxes.push_back(groups[i].box);
    }
    for (const std::size_t part : groups[i].parts) out.region_of[part] = region_of_group[i];
  }
  for (std::size_t i = 0; i < grouped.captions.size(); ++i) {
    const Caption& caption = grouped.captions[i];
    if (caption.group >= 0) {
      out.sketch_of[i] =
          static_cast<std::size_t>(region_of_group[static_cast<std::size_t>(caption.group)]);
    }
    if (!keep) continue;
    for (const std::size_t part : caption.row.parts) {
      out.region_of[part] = static_cast<int>(*out.sketch_of[i]);
    }
    out.boxes[*out.sketch_of[i]] |= caption.row.box;
  }
  return out;
}

}  // namespace

SketchRegions find_sketches(const Page& page,
                            const PaperLight& light,
                            const FindSketchesOptions& options) {
  SketchRegions out;
  const PageParts parts = find_parts(page, light, options.lightest);
  const Grouped grouped = group_page(parts, options);
  const Regions regions = regions_of(parts, grouped, options.captions);
  out.ink_share = parts.ink_share;
  out.sketch_count = regions.sketch_count;
  const cv::Rect whole(0, 0, page.grey.cols, page.grey.rows);
  const auto on_page = [&](const cv::Rect& b) {
    const int s = light.shrink;
    return cv::Rect(b.x * s, b.y * s, b.width * s, b.height * s) & whole;
  };
  for (const cv::Rect& box : regions.boxes) out.boxes.push_back(on_page(box));
  for (std::size_t i = 0; i < grouped.captions.size(); ++i) {
    out.captions.push_back({on_page(grouped.captions[i].row.box), regions.sketch_of[i]});
  }
  out.labels = cv::Mat::zeros(light.grey.size(), CV_32S);
  const NearestParts& nearest = grouped.nearest;
  const double near_px = kNearInkMm * parts.px_per_mm;
  for (int y = 0; y < out.labels.rows; ++y) {
    const int* part = nearest.part.ptr<int>(y / nearest.step);
    const float* off = nearest.off.ptr<float>(y / nearest.step);
    int* label = out.labels.ptr<int>(y);
    for (int x = 0; x < out.labels.cols; ++x) {
      const int square = x / nearest.step;
      if (part[square] == 0 || off[square] > near_px) continue;
      label[x] = regions.region_of[static_cast<std::size_t>(part[square] - 1)] + 1;
    }
  }
  out.labels.setTo(0, parts.lid);
  return out;
}

}  // namespace underdraw
