#include "photo/flatten_sheet.h"

#include <algorithm>
#include <cmath>

#include <fmt/format.h>
#include <opencv2/imgproc.hpp>

#include "core/parallel.h"
#include "scan/find_ruling.h"
#include "scan/lift_ruling.h"
#include "scan/paper_light.h"

namespace underdraw {
namespace {

constexpr double kLeastDpi = 300.0;
constexpr double kMostDpi = 600.0;
constexpr double kCoarseDpi = 200.0;  // below, thin lines are guessed
constexpr double kTintDpi = 150.0;
constexpr double kWarnRmsMm = 0.12;
constexpr int kGrid = 16;                // px: between them the map is nearly straight
constexpr double kRingDark = 0.15;       // darker than paper by this share
constexpr double kRingInkMm = 0.5;       // along it
constexpr double kScanOffShare = 0.005;  // of the size that a scan states: printers err by less

// Where the pixels of a page are in a picture that is `times` as large as the photo.
void fill_maps(const BentSheet& bent,
               cv::Size size,
               double px_per_mm,
               double times,
               cv::Mat& map_x,
               cv::Mat& map_y) {
  const int across = size.width / kGrid + 2;
  const int down = size.height / kGrid + 2;
  cv::Mat knots(down, across, CV_32FC2);
  parallel_for(static_cast<std::size_t>(down), [&](std::size_t row) {
    auto* out = knots.ptr<cv::Vec2f>(static_cast<int>(row));
    for (int i = 0; i < across; ++i) {
      const Vec2 page{i * kGrid + 0.5, static_cast<double>(row) * kGrid + 0.5};
      const Vec2 px = bent.px_of(page / px_per_mm).value_or(Vec2{-1e4, -1e4}) * times;
      out[i] = {static_cast<float>(px.x - 0.5), static_cast<float>(px.y - 0.5)};
    }
  });
  map_x.create(size, CV_32F);
  map_y.create(size, CV_32F);
  parallel_for(static_cast<std::size_t>(size.height), [&](std::size_t row) {
    const int y = static_cast<int>(row);
    const float t = static_cast<float>(y % kGrid) / kGrid;
    const auto* above = knots.ptr<cv::Vec2f>(y / kGrid);
    const auto* below = knots.ptr<cv::Vec2f>(y / kGrid + 1);
    auto* to_x = map_x.ptr<float>(y);
    auto* to_y = map_y.ptr<float>(y);
    for (int x = 0; x < size.width; ++x) {
      const int i = x / kGrid;
      const float s = static_cast<float>(x % kGrid) / kGrid;
      const cv::Vec2f left = above[i] + t * (below[i] - above[i]);
      const cv::Vec2f right = above[i + 1] + t * (below[i + 1] - above[i + 1]);
      const cv::Vec2f at = left + s * (right - left);
      to_x[x] = at[0];
      to_y[x] = at[1];
    }
  });
}

double best_dpi(const FoundSheet& found) {
  double most = 0.0;
  for (const Box& frame : found.sheet.frames) {
    for (const Vec2 at : {frame.min, frame.max}) most = std::max(most, found.bent.px_per_mm(at));
  }
  return std::clamp(std::round(most * 25.4), kLeastDpi, kMostDpi);
}

// The printed lines of all frames, for what takes ruling off.
Ruling frame_lines(const DrawingSheet& sheet, const Page& page) {
  Ruling ruling;
  ruling.across.strip_px = page.grey.cols / 2.0;
  ruling.down.strip_px = page.grey.rows / 2.0;
  const double k = page.px_per_mm_x;
  const double over = 0.5 * kFrameLineMm;
  for (const Box& frame : sheet.frames) {
    for (const double y : {frame.min.y, frame.max.y}) {
      ruling.across.lines.push_back(
          {(frame.min.x - over) * k, (frame.max.x + over) * k, {y * k, y * k}});
    }
    for (const double x : {frame.min.x, frame.max.x}) {
      ruling.down.lines.push_back(
          {(frame.min.y - over) * k, (frame.max.y + over) * k, {x * k, x * k}});
    }
  }
  return ruling;
}

cv::Rect px_box(const Box& mm, const Page& page) {
  const int left = static_cast<int>(std::floor(mm.min.x * page.px_per_mm_x));
  const int top = static_cast<int>(std::floor(mm.min.y * page.px_per_mm_y));
  const int right = static_cast<int>(std::ceil(mm.max.x * page.px_per_mm_x));
  const int below = static_cast<int>(std::ceil(mm.max.y * page.px_per_mm_y));
  return cv::Rect(left, top, right - left, below - top) &
         cv::Rect(0, 0, page.grey.cols, page.grey.rows);
}

float light_at(const PaperLight& light, int x, int y) {
  return light.light.at<float>(std::min(y / light.shrink, light.light.rows - 1),
                               std::min(x / light.shrink, light.light.cols - 1));
}

// Whether ink lies along the ring where a frame's reach ends.
bool runs_over(const Page& page, const PaperLight& light, const cv::Rect& reach) {
  int dark = 0;
  const auto look = [&](int x, int y) {
    if (page.grey.at<std::uint8_t>(y, x) < (1.0 - kRingDark) * light_at(light, x, y)) ++dark;
  };
  for (int x = reach.x; x < reach.br().x; ++x) {
    look(x, reach.y);
    look(x, reach.br().y - 1);
  }
  for (int y = reach.y; y < reach.br().y; ++y) {
    look(reach.x, y);
    look(reach.br().x - 1, y);
  }
  return dark > kRingInkMm * page.px_per_mm_x;
}

// Bare paper wherever no frame reaches.
void clear_outside(Page& page, const PaperLight& light, const std::vector<cv::Rect>& reaches) {
  cv::Mat keep = cv::Mat::zeros(page.grey.size(), CV_8U);
  for (const cv::Rect& reach : reaches) keep(reach).setTo(255);
  cv::Mat paper;
  light.light.convertTo(paper, CV_8U);
  for (int y = 0; y < page.grey.rows; ++y) {
    auto* grey = page.grey.ptr<std::uint8_t>(y);
    const auto* kept = keep.ptr<std::uint8_t>(y);
    const auto* bare = paper.ptr<std::uint8_t>(std::min(y / light.shrink, paper.rows - 1));
    for (int x = 0; x < page.grey.cols; ++x) {
      if (kept[x] == 0) grey[x] = bare[std::min(x / light.shrink, paper.cols - 1)];
    }
  }
  if (page.tint.empty()) return;
  // In the paper's own colour: a border between two whites would pass for a coloured line.
  std::vector<cv::Mat> planes;
  cv::split(page.tint, planes);
  for (cv::Mat& plane : planes) {
    plane_light(plane, page.px_per_mm_x / page.tint_shrink).convertTo(plane, CV_8U);
  }
  cv::Mat bare_tint;
  cv::merge(planes, bare_tint);
  for (int y = 0; y < page.tint.rows; ++y) {
    auto* tint = page.tint.ptr<cv::Vec3b>(y);
    const int from_y = std::min(static_cast<int>((y + 0.5) * page.tint_shrink), keep.rows - 1);
    for (int x = 0; x < page.tint.cols; ++x) {
      const int from_x = std::min(static_cast<int>((x + 0.5) * page.tint_shrink), keep.cols - 1);
      if (keep.at<std::uint8_t>(from_y, from_x) == 0) tint[x] = bare_tint.at<cv::Vec3b>(y, x);
    }
  }
}

std::string on(const Page& photo, const FoundSheet& found) {
  return fmt::format("{}: drawing sheet {}", photo.file, found.sheet.kind.page);
}

}  // namespace

Page rectified_sheet(const Page& photo, const FoundSheet& found) {
  Page page;
  const double px_per_mm = best_dpi(found) / 25.4;
  page.px_per_mm_x = page.px_per_mm_y = px_per_mm;
  page.file = photo.file;
  page.number = photo.number;
  const cv::Size size(static_cast<int>(std::lround(found.sheet.paper.width_mm * px_per_mm)),
                      static_cast<int>(std::lround(found.sheet.paper.height_mm * px_per_mm)));
  cv::Mat map_x, map_y;
  fill_maps(found.bent, size, px_per_mm, 1.0, map_x, map_y);
  cv::remap(photo.grey, page.grey, map_x, map_y, cv::INTER_CUBIC, cv::BORDER_REPLICATE);
  if (photo.tint.empty()) return page;
  const double tint_per_mm = kTintDpi / 25.4;
  page.tint_shrink = px_per_mm / tint_per_mm;
  const cv::Size tint_size(static_cast<int>(std::ceil(size.width / page.tint_shrink)),
                           static_cast<int>(std::ceil(size.height / page.tint_shrink)));
  fill_maps(found.bent, tint_size, tint_per_mm, 1.0 / photo.tint_shrink, map_x, map_y);
  cv::remap(photo.tint, page.tint, map_x, map_y, cv::INTER_LINEAR, cv::BORDER_REPLICATE);
  return page;
}

FlatSheet flatten_sheet(const Page& photo, const FoundSheet& found) {
  FlatSheet flat;
  flat.page = rectified_sheet(photo, found);
  if (found.dpi < kCoarseDpi) {
    flat.warnings.push_back(fmt::format(
        "{} is shown with only {:.0f} dpi: thin lines may be lost; come nearer until it "
        "fills the picture, or use the camera's full resolution",
        on(photo, found),
        found.dpi));
  }
  if (found.bent.rms_mm > kWarnRmsMm) {
    flat.warnings.push_back(
        fmt::format("{} is bent more than one way: lines may be off by half a millimetre; press it "
                    "flat and photograph it again",
                    on(photo, found)));
  }
  if (found.bent.px_from_sheet && photo.px_per_mm_x > 0.0) {
    const double share = found.bent.px_from_sheet->length_factor() /
                         std::sqrt(photo.px_per_mm_x * photo.px_per_mm_y);
    // A camera's file states anything; a scanner's is off by what the printer was.
    if (std::abs(share - 1.0) > kScanOffShare && std::abs(share - 1.0) < 0.08) {
      flat.warnings.push_back(
          fmt::format("{} measures {:.1f} % of its size by the scan's {:.0f} dpi: its 100 mm bars "
                      "say whether it was printed at 100 %; sizes are taken from its marks",
                      on(photo, found),
                      100.0 * share,
                      photo.dpi()));
    }
  }
  PaperLight light = paper_light(flat.page);
  std::vector<cv::Rect> reaches;
  std::string over;
  for (std::size_t f = 0; f < found.sheet.frames.size(); ++f) {
    reaches.push_back(px_box(found.sheet.frames[f].grown(kOverFrameMm), flat.page));
    if (!runs_over(flat.page, light, reaches.back())) continue;
    over += fmt::format("{}{}", over.empty() ? "" : ", ", f + 1);
  }
  if (!over.empty()) {
    flat.warnings.push_back(
        fmt::format("{}: something runs over frame {}: what is farther than {:g} mm outside of it "
                    "is left out",
                    on(photo, found),
                    over,
                    kOverFrameMm));
  }
  flat.page = lift_ruling(flat.page, light, frame_lines(found.sheet, flat.page));
  clear_outside(flat.page, light, reaches);
  return flat;
}

}  // namespace underdraw
