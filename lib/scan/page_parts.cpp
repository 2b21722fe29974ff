#include "scan/page_parts.h"

#include <algorithm>
#include <cmath>
#include <cstdint>
#include <numeric>

#include <opencv2/imgproc.hpp>

#include "core/parallel.h"

namespace underdraw {
namespace {

constexpr double kCrumbMm = 0.3;    // half of the paper that grain leaves bare inside a line
constexpr double kSpeckMm2 = 0.12;  // less ink in one piece is no dot of a pen, but dust,
constexpr double kCrumbs = 4.0;     // unless so many times as much of it lies together
// A line is darker than the paper beside it; a smudge or a shadow hardly is. Faint ink is ink only
// close to what stands out, and a part has no less than this share of the latter: noise on a smudge
// stands out in places.
constexpr double kFaint = 0.2;        // density
constexpr double kStandsOutMm = 2.5;  // what counts as beside it: this wide a square
constexpr double kStandsOut = 0.7;    // of the least density of ink
constexpr double kCoreShare = 0.25;
constexpr double kCloseMm = 0.4;
constexpr double kDustPerMm2 = 0.015;  // so many specks, 900 on A4, and a page is dusty
constexpr double kNowhere = 1e9;
constexpr double kFinePxPerMm = 5.0;    // from here on parts stay apart at half the resolution
constexpr double kLidThickMm = 1.5;     // thicker than any line
constexpr double kLidContactMm = 15.0;  // longer than any line that runs off the page

// The scanner's dark lid or the table beside the paper: thick ink along the image's edge for longer
// than any line is that runs off the page.
cv::Mat find_lid(const cv::Mat& ink, double px_per_mm) {
  const int along_edge = cv::countNonZero(ink.row(0)) + cv::countNonZero(ink.row(ink.rows - 1)) +
                         cv::countNonZero(ink.col(0)) + cv::countNonZero(ink.col(ink.cols - 1));
  if (along_edge <= kLidContactMm * px_per_mm) return cv::Mat::zeros(ink.size(), CV_8U);
  const int thick = std::max(3, static_cast<int>(std::lround(kLidThickMm * px_per_mm)));
  cv::Mat bordered;  // beyond the image the lid goes on
  cv::copyMakeBorder(ink, bordered, thick, thick, thick, thick, cv::BORDER_REPLICATE);
  const cv::Mat square = cv::getStructuringElement(cv::MORPH_RECT, {thick, thick});
  cv::morphologyEx(bordered, bordered, cv::MORPH_OPEN, square);
  cv::Mat labels;
  const int count = cv::connectedComponents(
      bordered(cv::Rect(thick, thick, ink.cols, ink.rows)), labels, 8, CV_32S);
  std::vector<int> contact(static_cast<std::size_t>(count), 0);
  for (int x = 0; x < ink.cols; ++x) {
    ++contact[static_cast<std::size_t>(labels.at<int>(0, x))];
    ++contact[static_cast<std::size_t>(labels.at<int>(ink.rows - 1, x))];
  }
  for (int y = 0; y < ink.rows; ++y) {
    ++contact[static_cast<std::size_t>(labels.at<int>(y, 0))];
    ++contact[static_cast<std::size_t>(labels.at<int>(y, ink.cols - 1))];
  }
  cv::Mat lid = cv::Mat::zeros(ink.size(), CV_8U);
  bool any = false;
  for (int i = 1; i < count; ++i) {
    if (contact[static_cast<std::size_t>(i)] <= kLidContactMm * px_per_mm) continue;
    lid.setTo(255, labels == i);
    any = true;
  }
  if (any) cv::dilate(lid, lid, square);  // its blurred edge too
  return lid;
}

cv::Mat square(double reach_mm, double px_per_mm) {
  const int reach = std::max(1, static_cast<int>(std::lround(reach_mm * px_per_mm)));
  return cv::getStructuringElement(cv::MORPH_RECT, {2 * reach + 1, 2 * reach + 1});
}

// Takes smudges out of the ink; gives what of it stands out or is dark.
cv::Mat drop_smudges(cv::Mat& ink, const PaperLight& light, double least, double px_per_mm) {
  const int wide = static_cast<int>(std::lround(kStandsOutMm * px_per_mm)) | 1;
  cv::Mat limit;
  cv::blur(light.grey, limit, {wide, wide});
  limit.convertTo(limit, CV_8U, 1.0 - kStandsOut * least);
  cv::Mat stands_out;
  cv::compare(light.grey, limit, stands_out, cv::CMP_LT);
  stands_out &= ink;
  cv::Mat close;
  cv::dilate(stands_out, close, square(kCloseMm, px_per_mm));
  light.light.convertTo(limit, CV_8U, 1.0 - kFaint);
  cv::Mat strong;
  cv::compare(light.grey, limit, strong, cv::CMP_LT);
  close |= strong;
  ink &= close;
  stands_out |= strong;
  return stands_out;
}

// Ends of the runs of ink in each row are enough for the hull.
void measure_parts(PageParts& page) {
  std::vector<std::vector<cv::Point>> ends(page.parts.size());
  std::vector<cv::Point> low(page.parts.size(), {page.part_of.cols, page.part_of.rows});
  std::vector<cv::Point> high(page.parts.size(), {-1, -1});
  for (int y = 0; y < page.part_of.rows; ++y) {
    const int* part = page.part_of.ptr<int>(y);
    for (int x = 0; x < page.part_of.cols; ++x) {
      if (part[x] == 0) continue;
      const auto i = static_cast<std::size_t>(part[x] - 1);
      ++page.parts[i].ink_px;
      const bool starts = x == 0 || part[x - 1] != part[x];
      const bool stops = x + 1 == page.part_of.cols || part[x + 1] != part[x];
      if (!starts && !stops) continue;
      low[i] = {std::min(low[i].x, x), std::min(low[i].y, y)};
      high[i] = {std::max(high[i].x, x), std::max(high[i].y, y)};
      ends[i].emplace_back(x, y);
    }
  }
  for (std::size_t i = 0; i < page.parts.size(); ++i) {
    page.parts[i].box = cv::Rect(low[i], high[i] + cv::Point(1, 1));
    cv::convexHull(ends[i], page.parts[i].hull);
  }
}

}  // namespace

PageParts find_parts(const Page& page, const PaperLight& light, double lightest) {
  PageParts out;
  out.px_per_mm = page.dpi() / 25.4 / light.shrink;
  out.grey = light.grey;
  out.light = light.light;
  const double threshold = std::max(lightest, 5.0 * light.noise);
  cv::Mat limit;
  light.light.convertTo(limit, CV_8U, 1.0 - threshold);
  cv::Mat ink;
  cv::compare(light.grey, limit, ink, cv::CMP_LT);
  out.ink_share = static_cast<double>(cv::countNonZero(ink)) / static_cast<double>(ink.total());
  out.lid = find_lid(ink, out.px_per_mm);
  ink.setTo(0, out.lid);

  const cv::Mat core = drop_smudges(ink, light, threshold, out.px_per_mm);

  int count = 0;
  cv::Mat pieces;
  cv::Mat stats;
  parallel_for(2, [&](std::size_t job) {
    if (job == 0) {
      cv::Mat together;
      cv::dilate(ink, together, square(kCrumbMm, out.px_per_mm));
      count = cv::connectedComponents(together, out.part_of, 8, CV_32S);
    } else {
      cv::Mat middles;
      cv::connectedComponentsWithStats(ink, pieces, stats, middles, 8, CV_32S);
    }
  });
  std::vector<int> ink_px(static_cast<std::size_t>(count), 0);
  std::vector<int> core_px(static_cast<std::size_t>(count), 0);
  std::vector<int> largest_px(static_cast<std::size_t>(count), 0);
  for (int y = 0; y < ink.rows; ++y) {
    int* part = out.part_of.ptr<int>(y);
    const uchar* dark = ink.ptr<uchar>(y);
    const uchar* stands_out = core.ptr<uchar>(y);
    for (int x = 0; x < ink.cols; ++x) {
      if (!dark[x]) part[x] = 0;
      if (part[x] == 0) continue;
      ++ink_px[static_cast<std::size_t>(part[x])];
      if (stands_out[x]) ++core_px[static_cast<std::size_t>(part[x])];
    }
  }
  for (int y = 0; y < ink.rows; ++y) {
    const int* piece = pieces.ptr<int>(y);
    const int* part = out.part_of.ptr<int>(y);
    for (int x = 0; x < ink.cols; ++x) {
      if (part[x] == 0) continue;
      int& largest = largest_px[static_cast<std::size_t>(part[x])];
      largest = std::max(largest, stats.at<int>(piece[x], cv::CC_STAT_AREA));
    }
  }
  const double speck_px = kSpeckMm2 * out.px_per_mm * out.px_per_mm;
  std::vector<int> number(static_cast<std::size_t>(count), 0);
  int kept = 0;
  int dust = 0;
  for (std::size_t i = 1; i < number.size(); ++i) {
    const bool enough = largest_px[i] >= speck_px || ink_px[i] >= kCrumbs * speck_px;
    if (!enough) ++dust;
    if (enough && core_px[i] >= kCoreShare * ink_px[i]) number[i] = ++kept;
  }
  // Elsewhere crumbs are the faint ends of lines; here they are dust that makes drawings larger.
  const bool dusty = dust > kDustPerMm2 * page.width_mm() * page.height_mm();
  out.parts.resize(static_cast<std::size_t>(kept));
  for (int y = 0; y < ink.rows; ++y) {
    int* part = out.part_of.ptr<int>(y);
    const int* piece = pieces.ptr<int>(y);
    for (int x = 0; x < ink.cols; ++x) {
      if (part[x] == 0) continue;
      const auto i = static_cast<std::size_t>(part[x]);
      const bool crumb = dusty && largest_px[i] >= speck_px &&
                         stats.at<int>(piece[x], cv::CC_STAT_AREA) < speck_px;
      part[x] = crumb ? 0 : number[i];
    }
  }
  measure_parts(out);
  return out;
}

Nearest NearestParts::at(int x, int y) const {
  const int row = std::min(y / step, part.rows - 1);
  const int column = std::min(x / step, part.cols - 1);
  return {part.at<int>(row, column) - 1,
          std::max(0.0, static_cast<double>(off.at<float>(row, column)) - step)};
}

NearestParts nearest_parts(const PageParts& page,
                           const std::vector<bool>& chosen,
                           double around_px) {
  NearestParts out;
  const int step = page.px_per_mm >= kFinePxPerMm ? 2 : 1;
  out.step = step;
  const cv::Size size((page.part_of.cols + step - 1) / step, (page.part_of.rows + step - 1) / step);
  out.part = cv::Mat::zeros(size, CV_32S);
  out.off = cv::Mat(size, CV_32F, cv::Scalar(kNowhere));
  cv::Rect inked;
  for (std::size_t i = 0; i < page.parts.size(); ++i) {
    if (chosen[i]) inked |= page.parts[i].box;
  }
  if (inked.empty()) return out;

  const int round = static_cast<int>(around_px);
  const cv::Point low(std::max(0, (inked.x - round) / step), std::max(0, (inked.y - round) / step));
  const cv::Point high(std::min(size.width, (inked.br().x + round) / step + 1),
                       std::min(size.height, (inked.br().y + round) / step + 1));
  const cv::Rect window(low, high);
  cv::Mat near = out.part(window);  // part number + 1 of chosen ink, for a start
  cv::Mat off = out.off(window);
  cv::Mat empty(window.size(), CV_8U, cv::Scalar(255));
  for (int y = inked.y; y < inked.br().y; ++y) {
    const int* part = page.part_of.ptr<int>(y);
    int* seeded = near.ptr<int>(y / step - low.y);
    uchar* white = empty.ptr<uchar>(y / step - low.y);
    for (int x = inked.x; x < inked.br().x; ++x) {
      if (part[x] == 0 || !chosen[static_cast<std::size_t>(part[x] - 1)]) continue;
      seeded[x / step - low.x] = part[x];
      white[x / step - low.x] = 0;
    }
  }
  cv::Mat piece_of;
  cv::Mat distance;
  cv::distanceTransform(empty, distance, piece_of, cv::DIST_L2, 5, cv::DIST_LABEL_CCOMP);
  distance.convertTo(off, CV_32F, step);
  // The transform numbers pieces of ink in its own way.
  std::vector<int> part_of_piece;
  for (int y = 0; y < window.height; ++y) {
    const int* seeded = near.ptr<int>(y);
    const int* piece = piece_of.ptr<int>(y);
    for (int x = 0; x < window.width; ++x) {
      if (seeded[x] == 0) continue;
      const auto at = static_cast<std::size_t>(piece[x]);
      if (at >= part_of_piece.size()) part_of_piece.resize(at + 1, 0);
      part_of_piece[at] = seeded[x];
    }
  }
  for (int y = 0; y < window.height; ++y) {
    int* to = near.ptr<int>(y);
    const int* piece = piece_of.ptr<int>(y);
    for (int x = 0; x < window.width; ++x)
      to[x] = part_of_piece[static_cast<std::size_t>(piece[x])];
  }
  return out;
}

std::vector<PartGap> gaps_between(const NearestParts& nearest, double most_px) {
  std::vector<PartGap> found;
  const auto meet = [&](int a, int b, float px) {
    if (a > b) std::swap(a, b);
    if (a == 0 || px > most_px) return;
    const auto first = static_cast<std::size_t>(a - 1);
    const auto second = static_cast<std::size_t>(b - 1);
    // Neighbouring pixels mostly see the same pair.
    if (!found.empty() && found.back().a == first && found.back().b == second) {
      found.back().px = std::min(found.back().px, static_cast<double>(px));
    } else {
      found.push_back({first, second, px});
    }
  };
  for (int y = 0; y < nearest.part.rows; ++y) {
    const int* here = nearest.part.ptr<int>(y);
    const int* below = nearest.part.ptr<int>(std::min(y + 1, nearest.part.rows - 1));
    const float* off = nearest.off.ptr<float>(y);
    const float* off_below = nearest.off.ptr<float>(std::min(y + 1, nearest.part.rows - 1));
    for (int x = 0; x < nearest.part.cols; ++x) {
      if (here[x] != below[x]) meet(here[x], below[x], off[x] + off_below[x]);
      if (x > 0 && here[x] != here[x - 1]) meet(here[x], here[x - 1], off[x] + off[x - 1]);
    }
  }
  std::sort(found.begin(), found.end(), [](const PartGap& p, const PartGap& q) {
    return std::tie(p.a, p.b, p.px) < std::tie(q.a, q.b, q.px);
  });
  found.erase(
      std::unique(found.begin(),
                  found.end(),
                  [](const PartGap& p, const PartGap& q) { return p.a == q.a && p.b == q.b; }),
      found.end());
  std::sort(found.begin(), found.end(), [](const PartGap& p, const PartGap& q) {
    return std::tie(p.px, p.a, p.b) < std::tie(q.px, q.a, q.b);
  });
  return found;
}

Unions::Unions(std::size_t count) : parent_(count) {
  std::iota(parent_.begin(), parent_.end(), std::size_t{0});
}

std::size_t Unions::root(std::size_t i) {
  while (parent_[i] != i) i = parent_[i] = parent_[parent_[i]];
  return i;
}

std::size_t Unions::join(std::size_t a, std::size_t b) {
  const std::size_t one = std::min(root(a), root(b));
  return parent_[std::max(root(a), root(b))] = one;
}

}  // namespace underdraw
