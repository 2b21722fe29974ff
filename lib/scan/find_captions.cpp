#include "scan/find_captions.h"

#include <algorithm>
#include <cmath>
#include <map>

#include <opencv2/imgproc.hpp>

namespace underdraw {
namespace {

constexpr double kTallestMm = 9.0;    // ascender to descender of the largest hand under a sketch
constexpr double kSlopeShare = 0.15;  // of a word's width that a sloping page or hand adds to it
constexpr double kWordSpace = 1.0;    // white between two words, in heights of the line
constexpr double kSideBySide = 0.35;  // of the lower one's height that two neighbours share
constexpr double kAsTall =
    0.4;  // "sea" beside "pink" is half as tall; a drawing beside its name is taller
constexpr double kIDot = 0.45;  // of a letter's height: dots, commas, strokes over letters

constexpr double kLeastWidth = 0.7;  // of its height: a word of two letters
constexpr double kShortestMm = 2.0;
constexpr double kElementSpace = 0.12;  // heights of white between two that stand by themselves
constexpr double kElementTall = 0.5;    // heights
constexpr int kElementPx = 16;
constexpr double kLetterWide = 0.8;  // heights
constexpr double kLargePx = 24.0;
constexpr double kTooShort = -1.0;   // for its pieces to recur
constexpr int kFiner = 2;            // small letters are few coarse px tall
constexpr double kCore = 0.5;        // of the darkest strokes' density: what is no blurred edge
constexpr double kWhole = 0.25;      // of the same: where grain does not break outlines
constexpr double kIDotMm = 1.2;      // nor farther over it than this, whatever the hand
constexpr double kStrayReach = 1.3;  // heights from a word's end to a letter that stands alone

// Bounds between writing and ornament, set between what was measured on Hershey's alphabets and a
// running hand, 2 to 4.5 mm, and on borders drawn as unevenly as a hand does.
struct WritingBounds {
  double runs_across;   // at least; writing from 1.36; dots, scallops, waves to 1.14, tufts to 1.28
  double length;        // at least, in heights; "oar" and "kelp" 2.4, "lid" 1.5
  double filled;        // at most; writing to 0.89, the smaller the more; leaves from 0.91
  double filled_short;  // the same for what is too short to repeat; a leaf alone from 0.91
  double repeats;       // at most; writing to 0.85; tufts from 0.94
  double both;          // filled + repeats at most; uneven writing to 1.53
  double both_even;  // the same of a row with level edges; such writing to 1.39, rings, rope 1.51
};
constexpr WritingBounds kSurely{1.3, 2.2, 0.90, 0.81, 0.89, 1.53, 1.43};
constexpr WritingBounds kLikely{1.25, 1.4, 0.90, 0.88, 0.91, 1.60, 1.48};
constexpr WritingBounds kPerhaps{1.15, 0.8, 0.93, 0.90, 0.95, 2.00, 1.60};
constexpr double kEven = 0.10;  // heights; rings to 0.09, rope to 0.06, small letters from 0.10
constexpr double kRunsAlong = 0.95;  // writing from 1.17; dots to 0.6
constexpr double kLowestMm = 1.0;
constexpr double kHighestMm = 7.0;

bool keeps_to(const WritingBounds& bounds, const CaptionShape& shape) {
  return shape.runs_across >= bounds.runs_across && shape.length >= bounds.length * shape.height &&
         shape.filled <= (shape.repeats == kTooShort ? bounds.filled_short : bounds.filled) &&
         shape.repeats <= bounds.repeats && shape.filled + shape.repeats <= bounds.both;
}

bool could_be_written(const PagePart& part, double px_per_mm) {
  return part.box.height <= kTallestMm * px_per_mm + kSlopeShare * part.box.width;
}

bool share_a_line(const PagePart& a, const PagePart& b, double gap) {
  const bool a_taller = a.box.height >= b.box.height;
  const cv::Rect& tall = (a_taller ? a : b).box;
  const cv::Rect& low = (a_taller ? b : a).box;
  const double height = std::min(tall.height, 2 * low.height);
  if (low.height <= kIDot * tall.height && low.width <= kIDot * tall.height) {
    return gap <= kIDot * tall.height;
  }
  if (low.height < kAsTall * tall.height) return false;
  const int shared = std::min(tall.br().y, low.br().y) - std::max(tall.y, low.y);
  return shared >= kSideBySide * low.height && gap <= kWordSpace * height;
}

// The row's ink alone, kFiner times as fine, with paper round it; 1 is its darkest strokes'
// density.
cv::Mat density_of(const PageParts& page, const WritingRow& row) {
  const int margin = 2;
  cv::Mat density = cv::Mat::zeros(row.box.height + 2 * margin, row.box.width + 2 * margin, CV_32F);
  std::vector<int> numbers;
  for (const std::size_t part : row.parts) numbers.push_back(static_cast<int>(part) + 1);
  std::sort(numbers.begin(), numbers.end());
  std::vector<float> of_ink;
  for (int y = 0; y < row.box.height; ++y) {
    const int* part = page.part_of.ptr<int>(row.box.y + y) + row.box.x;
    const uchar* grey = page.grey.ptr<uchar>(row.box.y + y) + row.box.x;
    const float* light = page.light.ptr<float>(row.box.y + y) + row.box.x;
    float* d = density.ptr<float>(y + margin) + margin;
    for (int x = 0; x < row.box.width; ++x) {
      if (!part[x] || !std::binary_search(numbers.begin(), numbers.end(), part[x])) continue;
      d[x] = 1.0F - static_cast<float>(grey[x]) / light[x];
      of_ink.push_back(d[x]);
    }
  }
  const auto dark =
      of_ink.begin() + static_cast<std::ptrdiff_t>(0.85 * static_cast<double>(of_ink.size() - 1));
  std::nth_element(of_ink.begin(), dark, of_ink.end());
  cv::Mat fine;
  cv::resize(density, fine, {}, kFiner, kFiner, cv::INTER_CUBIC);
  return fine / *dark;
}

struct Spread {
  double middle_y = 0.0;
  double slope = 0.0;
  double height = 0.0;
};

Spread spread_of(const cv::Mat& picture) {
  const cv::Moments m = cv::moments(picture, true);
  Spread out;
  out.middle_y = m.m01 / m.m00;
  const double xx = m.mu20 / m.m00;
  const double yy = m.mu02 / m.m00;
  const double xy = m.mu11 / m.m00;
  // Of a short word the letters' own ups and downs would pass for a slope.
  if (xx > 4.0 * yy) out.slope = std::clamp(xy / xx, -0.2, 0.2);
  const double across = yy - 2.0 * out.slope * xy + out.slope * out.slope * xx;
  out.height = std::sqrt(12.0 * std::max(across, 0.1));
  return out;
}

int runs_in(const uchar* ink, int count, std::ptrdiff_t step) {
  int runs = 0;
  uchar before = 0;
  for (int i = 0; i < count; ++i, ink += step) {
    if (*ink && !before) ++runs;
    before = *ink;
  }
  return runs;
}

double lower_quartile(std::vector<double> values) {
  const auto at = values.begin() + static_cast<std::ptrdiff_t>(values.size() / 4);
  std::nth_element(values.begin(), at, values.end());
  return *at;
}

// Each piece of the row is looked for elsewhere in it.
double repeats_in(const cv::Mat& whole, double whole_height) {
  // Large letters need no fine picture, and the search costs its square.
  const bool large = whole_height > kLargePx;
  cv::Mat picture = whole;
  if (large) cv::resize(whole, picture, {}, 0.5, 0.5, cv::INTER_AREA);
  const double height = large ? 0.5 * whole_height : whole_height;
  const int wide = std::max(6, static_cast<int>(std::lround(1.6 * height)));
  if (picture.cols < 2 * wide) return kTooShort;
  cv::Mat soft;
  cv::GaussianBlur(picture, soft, {0, 0}, std::max(0.8, 0.08 * height));
  const int slack = std::max(1, static_cast<int>(std::lround(0.2 * height)));
  cv::Mat room;
  cv::copyMakeBorder(soft, room, slack, slack, 0, 0, cv::BORDER_CONSTANT, 0);
  std::vector<double> best;
  for (int x = 0; x + wide <= soft.cols; x += std::max(1, wide / 2)) {
    const cv::Mat piece = soft(cv::Rect(x, 0, wide, soft.rows));
    if (cv::countNonZero(piece > 60) < wide / 2) continue;  // the space between two words
    cv::Mat match;
    cv::matchTemplate(room, piece, match, cv::TM_CCOEFF_NORMED);
    const int own = static_cast<int>(std::lround(0.5 * height));  // this near it finds itself
    double found = -1.0;
    for (int y = 0; y < match.rows; ++y) {
      const float* m = match.ptr<float>(y);
      for (int k = 0; k < match.cols; ++k) {
        if (std::abs(k - x) >= own) found = std::max(found, static_cast<double>(m[k]));
      }
    }
    best.push_back(found);
  }
  if (best.empty()) return kTooShort;
  return lower_quartile(std::move(best));
}

// Each element that stands by itself is compared with those of about its size, all stretched alike.
double elements_repeat(const cv::Mat& picture, double height) {
  cv::Mat columns;
  cv::reduce(picture, columns, 0, cv::REDUCE_MAX, CV_8U);
  const int space = std::max(2, static_cast<int>(std::lround(kElementSpace * height)));
  std::vector<cv::Mat> shapes;
  std::vector<cv::Size> sizes;
  const auto add = [&](int from, int to) {
    const cv::Rect box = cv::boundingRect(picture.colRange(from, to));
    if (box.height < kElementTall * height) return;  // a comma, a dash
    cv::Mat soft;
    picture.colRange(from, to)(box).convertTo(soft, CV_32F);
    cv::resize(soft, soft, {kElementPx, kElementPx}, 0, 0, cv::INTER_AREA);
    cv::GaussianBlur(soft, soft, {0, 0}, 1.5);
    shapes.push_back(soft);
    sizes.push_back(box.size());
  };
  int from = -1;
  int last = -1;
  for (int x = 0; x < columns.cols; ++x) {
    if (!columns.at<uchar>(0, x)) continue;
    if (from >= 0 && x - last > space) {
      add(from, last + 1);
      from = x;
    }
    if (from < 0) from = x;
    last = x;
  }
  if (from >= 0) add(from, last + 1);
  if (shapes.size() < 3) return kTooShort;
  const auto alike = [](int a, int b) { return 3 * std::abs(a - b) <= std::max(a, b) + 3; };
  std::vector<double> best(shapes.size(), 0.0);
  for (std::size_t i = 0; i < shapes.size(); ++i) {
    for (std::size_t k = 0; k < shapes.size(); ++k) {
      if (i == k || !alike(sizes[i].width, sizes[k].width)) continue;
      if (!alike(sizes[i].height, sizes[k].height)) continue;
      cv::Mat match;
      cv::matchTemplate(shapes[i], shapes[k], match, cv::TM_CCOEFF_NORMED);
      best[i] = std::max(best[i], static_cast<double>(match.at<float>(0, 0)));
    }
  }
  return lower_quartile(std::move(best));
}

// How far the upper and the lower edge of the row rise and fall, from letter to letter.
double unevenness(const cv::Mat& picture, double height) {
  const int reach = std::max(1, static_cast<int>(std::lround(kLetterWide * height / 2.0)));
  std::vector<int> top(static_cast<std::size_t>(picture.cols), picture.rows);
  std::vector<int> bottom(static_cast<std::size_t>(picture.cols), -1);
  for (int y = 0; y < picture.rows; ++y) {
    const uchar* ink = picture.ptr<uchar>(y);
    for (std::size_t x = 0; x < top.size(); ++x) {
      if (!ink[x]) continue;
      top[x] = std::min(top[x], y);
      bottom[x] = y;
    }
  }
  std::vector<double> highs;
  std::vector<double> lows;
  for (int x = 0; x < picture.cols; ++x) {
    int high = picture.rows;
    int low = -1;
    for (int k = std::max(0, x - reach); k <= std::min(picture.cols - 1, x + reach); ++k) {
      high = std::min(high, top[static_cast<std::size_t>(k)]);
      low = std::max(low, bottom[static_cast<std::size_t>(k)]);
    }
    if (low < 0) continue;
    highs.push_back(high);
    lows.push_back(low);
  }
  cv::Scalar mean;
  cv::Scalar high_spread;
  cv::Scalar low_spread;
  cv::meanStdDev(highs, mean, high_spread);
  cv::meanStdDev(lows, mean, low_spread);
  return std::hypot(high_spread[0], low_spread[0]) / height;
}

double filled_share(const cv::Mat& picture) {
  std::vector<std::vector<cv::Point>> outlines;
  cv::findContours(picture.clone(), outlines, cv::RETR_EXTERNAL, cv::CHAIN_APPROX_SIMPLE);
  double inside = 0.0;
  double hulls = 1.0;
  std::vector<cv::Point> hull;
  for (const auto& outline : outlines) {
    inside += cv::contourArea(outline);
    cv::convexHull(outline, hull);
    hulls += cv::contourArea(hull);
  }
  return inside / hulls;
}

CaptionShape shape_of(const PageParts& page, const WritingRow& row) {
  CaptionShape out;
  const cv::Mat density = density_of(page, row);
  cv::Mat picture = density > kCore;
  const Spread spread = spread_of(picture);
  out.slope = spread.slope;
  out.height = spread.height;
  out.length = static_cast<double>(kFiner * row.box.width);
  if (spread.slope != 0.0) {
    const cv::Matx23d level(1.0, 0.0, 0.0, -spread.slope, 1.0, spread.slope * picture.cols / 2.0);
    cv::warpAffine(picture, picture, level, picture.size(), cv::INTER_LINEAR);
    cv::threshold(picture, picture, 127, 255, cv::THRESH_BINARY);
  }
  // Cuts through the middle half of the line.
  int along = 0;
  int cuts = 0;
  for (int y = static_cast<int>(spread.middle_y - out.height / 4.0);
       y <= static_cast<int>(spread.middle_y + out.height / 4.0);
       ++y) {
    if (y < 0 || y >= picture.rows) continue;
    along += runs_in(picture.ptr<uchar>(y), picture.cols, 1);
    ++cuts;
  }
  out.runs_along = static_cast<double>(along) / std::max(1, cuts) / out.length * out.height;
  int across = 0;
  int inked = 0;
  for (int x = 0; x < picture.cols; ++x) {
    const int runs = runs_in(picture.ptr<uchar>(0) + x, picture.rows, picture.step);
    across += runs;
    if (runs > 0) ++inked;
  }
  out.runs_across = static_cast<double>(across) / std::max(1, inked);
  const cv::Mat whole = density > kWhole;
  out.filled = filled_share(whole);
  // The search for repeats takes the longest, so only where the rest leaves it open.
  if (out.runs_across >= kPerhaps.runs_across && out.runs_along >= kRunsAlong &&
      out.filled <= kPerhaps.filled) {
    out.repeats = std::max(repeats_in(picture, out.height), elements_repeat(whole, out.height));
    out.uneven = unevenness(picture, out.height);
  }
  out.height /= kFiner;
  out.length /= kFiner;
  return out;
}

}  // namespace

WritingRow row_of(const PageParts& page, std::vector<std::size_t> parts) {
  WritingRow row;
  row.parts = std::move(parts);
  for (const std::size_t part : row.parts) row.box |= page.parts[part].box;
  row.shape = shape_of(page, row);
  return row;
}

std::vector<WritingRow> rows_of_parts(const PageParts& page, const std::vector<PartGap>& gaps) {
  Unions lines(page.parts.size());
  for (const PartGap& gap : gaps) {
    const PagePart& a = page.parts[gap.a];
    const PagePart& b = page.parts[gap.b];
    if (could_be_written(a, page.px_per_mm) && could_be_written(b, page.px_per_mm) &&
        share_a_line(a, b, gap.px)) {
      lines.join(gap.a, gap.b);
    }
  }
  std::map<std::size_t, std::vector<std::size_t>> rows;
  for (std::size_t i = 0; i < page.parts.size(); ++i) {
    if (could_be_written(page.parts[i], page.px_per_mm)) rows[lines.root(i)].push_back(i);
  }
  std::vector<WritingRow> out;
  for (auto& [root, parts] : rows) {
    cv::Rect box;
    for (const std::size_t part : parts) box |= page.parts[part].box;
    if (box.width < kLeastWidth * box.height || box.width < kShortestMm * page.px_per_mm) continue;
    out.push_back(row_of(page, std::move(parts)));
  }
  return out;
}

Written how_written(const WritingRow& row, double px_per_mm) {
  const CaptionShape& shape = row.shape;
  if (shape.height < kLowestMm * px_per_mm || shape.height > kHighestMm * px_per_mm) {
    return Written::no;
  }
  if (shape.runs_along < kRunsAlong) return Written::no;
  if (keeps_to(kSurely, shape)) return Written::surely;
  if (keeps_to(kLikely, shape)) return Written::likely;
  return keeps_to(kPerhaps, shape) ? Written::perhaps : Written::no;
}

void take_in_strays(WritingRow& row, const PageParts& page, const std::vector<PartGap>& gaps) {
  const double height = row.shape.height;
  std::vector<std::size_t> in_row = row.parts;
  std::sort(in_row.begin(), in_row.end());
  const auto is_in = [&](std::size_t i) {
    return std::binary_search(in_row.begin(), in_row.end(), i);
  };
  struct Stray {
    double to_row = 1e9;
    double to_larger = 1e9;
  };
  std::map<std::size_t, Stray> strays;
  for (const PartGap& gap : gaps) {
    if (gap.px > kStrayReach * height) break;
    if (is_in(gap.a) == is_in(gap.b)) continue;
    Stray& stray = strays[is_in(gap.a) ? gap.b : gap.a];
    stray.to_row = std::min(stray.to_row, gap.px);
  }
  for (const PartGap& gap : gaps) {
    for (const auto& [i, other] : {std::pair{gap.a, gap.b}, std::pair{gap.b, gap.a}}) {
      const auto stray = strays.find(i);
      if (stray == strays.end() || is_in(other)) continue;
      const cv::Rect& box = page.parts[other].box;
      if (std::max(box.width, box.height) < 2.0 * height) continue;
      stray->second.to_larger = std::min(stray->second.to_larger, gap.px);
    }
  }
  const cv::Rect whole = row.box;
  for (const auto& [i, stray] : strays) {
    const cv::Rect& box = page.parts[i].box;
    const bool small = box.height <= kIDot * whole.height && box.width <= whole.height;
    const double middle = box.y + box.height / 2.0;
    const bool in_line = box.height <= 1.2 * whole.height && box.width <= 3.0 * height &&
                         middle > whole.y && middle < whole.br().y;
    const double over = std::min(kIDot * whole.height, kIDotMm * page.px_per_mm);
    const double reach = in_line ? kStrayReach * height : small ? over : -1.0;
    if (stray.to_row > reach || stray.to_row > stray.to_larger) continue;
    row.parts.push_back(i);
    row.box |= box;
  }
}

}  // namespace underdraw
