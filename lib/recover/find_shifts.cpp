#include "recover/find_shifts.h"

#include <algorithm>
#include <cmath>
#include <mutex>
#include <optional>
#include <tuple>

#include <opencv2/imgproc.hpp>

#include "core/parallel.h"
#include "recover/face_net.h"
#include "recover/match_patch.h"

namespace underdraw {
namespace {

constexpr double kPxPerMm = 4.0;
constexpr double kPatchMm = 10.0;
constexpr double kApartMm = 9.0;
constexpr float kLeastFacing = 0.42f;  // 65°
constexpr double kLeastMarks = 0.008;  // scatter of marks; below is nothing but grain
constexpr double kClearMarks = 0.03;   // drawn lines
constexpr double kAlike = 0.4;
constexpr double kLeastLike = 0.55;
constexpr double kOtherTop = 0.12;      // how much less like any other place has to be
constexpr std::size_t kMostPairs = 3;   // of a patch
constexpr std::size_t kMostPhotos = 4;  // that a patch is looked for in

// A photo laid out flat: fine marks only, and where it is seen well enough.
struct FlatPart {
  int first = 0;
  cv::Mat marks;   // CV_32FC1
  cv::Mat facing;  // CV_32FC1
  cv::Mat seen;    // CV_8UC1
};

FlatPart flat_part(const StandingFace& face, const FaceGrid& grid, const FacePhoto& photo) {
  const FaceNet net = face_net(face, grid, photo);
  const PhotoPart part = part_of_photo(grid, net, photo.picture);
  FlatPart out;
  out.first = part.first;
  if (part.facing.empty()) return out;
  cv::Mat grey;
  cv::cvtColor(part.colour, grey, cv::COLOR_BGR2GRAY);
  grey.convertTo(grey, CV_32F, 1.0 / 255.0);
  out.marks = fine_marks(grey, kPxPerMm);
  out.facing = part.facing;
  out.seen = part.facing > kLeastFacing;
  return out;
}

// Columns of a part are counted from its own first one.
struct PartColumns {
  const FaceGrid& grid;

  int in_part(const FlatPart& part, int column) const {
    int x = column - part.first;
    if (grid.round) x = (x % grid.columns + grid.columns) % grid.columns;
    return x;
  }
};

std::optional<cv::Rect> window(const FlatPart& part, int x, int y, int half_x, int half_y) {
  if (part.marks.empty()) return {};
  const cv::Rect rect(x - half_x, y - half_y, 2 * half_x + 1, 2 * half_y + 1);
  if (rect.x < 0 || rect.y < 0 || rect.br().x > part.marks.cols || rect.br().y > part.marks.rows) {
    return {};
  }
  return rect;
}

}  // namespace

FoundShifts find_shifts(const StandingFace& face,
                        const std::vector<FacePhoto>& photos,
                        double reach_mm) {
  const FaceGrid grid = face_grid(*face.surface, kPxPerMm);
  std::vector<FlatPart> parts;
  for (const FacePhoto& photo : photos) parts.push_back(flat_part(face, grid, photo));
  const PartColumns columns{grid};
  const int half = static_cast<int>(kPatchMm * kPxPerMm / 2.0);
  const int reach = static_cast<int>(std::ceil(reach_mm * kPxPerMm));
  const int apart = static_cast<int>(kApartMm * kPxPerMm);
  std::vector<cv::Point> middles;
  const int rows = std::max(1, (grid.rows - 2 * (half + 2)) / apart + 1);
  const int rest = grid.rows - 2 * (half + 2) - (rows - 1) * apart;
  for (int r = 0; r < rows; ++r) {
    for (int x = apart / 2; x < grid.columns; x += apart) {
      middles.emplace_back(x, half + 2 + rest / 2 + r * apart);
    }
  }
  FoundShifts out;
  std::mutex mutex;
  parallel_for(middles.size(), [&](std::size_t m) {
    const cv::Point middle = middles[m];
    // Best first: straight on is where a patch is least bent.
    std::vector<std::size_t> seeing;
    for (std::size_t i = 0; i < parts.size(); ++i) {
      const int x = columns.in_part(parts[i], middle.x);
      const auto rect = window(parts[i], x, middle.y, half, half);
      if (rect && cv::countNonZero(parts[i].seen(*rect)) == rect->area()) seeing.push_back(i);
    }
    const auto facing = [&](std::size_t i) {
      return parts[i].facing.at<float>(middle.y, columns.in_part(parts[i], middle.x));
    };
    std::stable_sort(seeing.begin(), seeing.end(), [&](std::size_t a, std::size_t b) {
      return facing(a) > facing(b);
    });
    seeing.resize(std::min(seeing.size(), kMostPhotos));
    FoundShifts found;
    for (std::size_t a = 0; a < seeing.size() && found.shifts.size() < kMostPairs; ++a) {
      for (std::size_t b = a + 1; b < seeing.size() && found.shifts.size() < kMostPairs; ++b) {
        const FlatPart& one = parts[seeing[a]];
        const FlatPart& two = parts[seeing[b]];
        const cv::Rect patch = *window(one, columns.in_part(one, middle.x), middle.y, half, half);
        cv::Scalar mean, scatter;
        cv::meanStdDev(one.marks(patch), mean, scatter);
        if (scatter[0] < kLeastMarks) continue;
        const int x = columns.in_part(two, middle.x);
        const int reach_y = std::min({reach, middle.y - half, grid.rows - 1 - middle.y - half});
        if (reach_y < 1) continue;
        const auto around = window(two, x, middle.y, half + reach, half + reach_y);
        if (!around) continue;
        const PatchMatch like = match_patch(one.marks(patch), two.marks(*around), kPxPerMm);
        const bool clear = scatter[0] > kClearMarks;
        found.clear += clear ? 1U : 0U;
        found.alike += clear && like.like > kAlike ? 1U : 0U;
        if (like.like < kLeastLike || like.other > like.like - kOtherTop) continue;
        PatchShift shift;
        shift.at = grid.face_from_px({middle.x + 0.5, middle.y + 0.5});
        shift.first = seeing[a];
        shift.second = seeing[b];
        const double per_px = face.surface->mm_per_across(shift.at.along) / grid.px_per_across;
        shift.shift = {like.shift_px.x * per_px, like.shift_px.y / grid.px_per_along};
        shift.sd_mm = 0.06 + 0.3 * (1.0 - like.like);
        found.shifts.push_back(shift);
      }
    }
    const std::lock_guard lock(mutex);
    out.shifts.insert(out.shifts.end(), found.shifts.begin(), found.shifts.end());
    out.clear += found.clear;
    out.alike += found.alike;
  });
  // Threads come in any order; sums should not.
  std::sort(out.shifts.begin(), out.shifts.end(), [](const PatchShift& a, const PatchShift& b) {
    return std::tuple(a.at.along, a.at.across, a.first, a.second) <
           std::tuple(b.at.along, b.at.across, b.first, b.second);
  });
  return out;
}

}  // namespace underdraw
