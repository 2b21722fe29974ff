#include "io/pair_photos.h"

#include <algorithm>
#include <numeric>

#include <fmt/format.h>
#include <opencv2/imgproc.hpp>

#include "core/error.h"
#include "geometry/rings.h"
#include "io/photo_folder.h"
#include "io/points_file.h"
#include "io/read_photo.h"
#include "io/upright.h"
#include "io/write_jpeg.h"
#include "recover/align_views.h"
#include "recover/map_by_points.h"

namespace fs = std::filesystem;

namespace underdraw {
namespace {

constexpr std::size_t kTried = 3;  // photos before, of each photo after
constexpr int kTappedPx = 1600;    // longer side of photos on the page for tapping
constexpr double kFilePx = 0.2;    // by which lines in the file may differ
constexpr double kUnsurePx = 4.0;  // of a map by four points: a finger's
const cv::Size kGlance(64, 64);

struct UprightPhoto {
  cv::Mat bgr;
  double file_px = 1.0;
};

UprightPhoto read_upright(const fs::path& folder, const PhotoRow& row, int longest_px) {
  const Photo photo = read_photo((folder / row.name).string(), {.longest_px = longest_px});
  return {upright(photo.bgr, photo.orientation).clone(), static_cast<double>(photo.shrink)};
}

// Where a photo is light and dark at first glance, whatever the exposure.
cv::Mat glance_at(const cv::Mat& bgr) {
  cv::Mat grey;
  cv::cvtColor(bgr, grey, cv::COLOR_BGR2GRAY);
  cv::resize(grey, grey, kGlance, 0, 0, cv::INTER_AREA);
  cv::GaussianBlur(grey, grey, {}, 1.5);
  grey.convertTo(grey, CV_32F);
  cv::Scalar mean;
  cv::Scalar deviation;
  cv::meanStdDev(grey, mean, deviation);
  return (grey - mean[0]) / std::max(deviation[0], 1e-3);
}

PointsPhoto for_tapping(const PhotoRow& row, const UprightPhoto& photo) {
  const double scale =
      std::min(1.0, kTappedPx / static_cast<double>(std::max(photo.bgr.cols, photo.bgr.rows)));
  cv::Mat small;
  cv::resize(photo.bgr, small, {}, scale, scale, cv::INTER_AREA);
  return {row.name,
          jpeg_of_picture(small, 80),
          small.cols,
          small.rows,
          photo.file_px * photo.bgr.cols / small.cols};
}

struct Laid {
  ViewMap map;
  double left_out_px = 0.0;
  double unsure_px = 0.0;
};

std::string in_folder(const PhotoRow& row) { return "photos/" + row.name; }

class Pairing {
 public:
  Pairing(const fs::path& piece_folder, int longest_px)
      : folder_(PhotoFolder::path_in(piece_folder)),
        points_path_(piece_folder / kPointsFile),
        longest_px_(longest_px) {
    if (fs::exists(points_path_)) tapped_ = read_points(points_path_);
  }

  PairedPhotos pair(const std::vector<PhotoRow>& before,
                    const std::vector<PhotoRow>& after,
                    const Progress& progress) {
    check_points(before, after);
    std::vector<cv::Mat> glances;
    for (const PhotoRow& row : before) {
      const UprightPhoto photo = read_upright(folder_, row, longest_px_);
      glances.push_back(glance_at(photo.bgr));
      out_.before.push_back(for_tapping(row, photo));
    }
    std::vector<char> used(before.size(), 0);
    for (std::size_t a = 0; a < after.size(); ++a) {
      report(progress,
             "laying photos over each other",
             static_cast<double>(a) / static_cast<double>(after.size()));
      const UprightPhoto photo = read_upright(folder_, after[a], longest_px_);
      out_.after.push_back(for_tapping(after[a], photo));
      if (by_points(before, used, after[a], photo)) continue;
      by_likeness(before, glances, used, after[a], photo);
    }
    for (std::size_t b = 0; b < before.size(); ++b) {
      if (used[b] || after.empty()) continue;
      out_.left_out.push_back(
          {before[b],
           fmt::format(
               "{}: shows no mat, and no photo after was laid over it; photograph the piece "
               "on its mat, or take a photo after from the same place",
               in_folder(before[b])),
           true});
    }
    return std::move(out_);
  }

 private:
  // Points of photos that are there, but need none, do no harm.
  void check_points(const std::vector<PhotoRow>& before, const std::vector<PhotoRow>& after) {
    const auto among = [](const std::vector<PhotoRow>& rows, const std::string& name) {
      return std::any_of(
          rows.begin(), rows.end(), [&](const PhotoRow& row) { return row.name == name; });
    };
    for (const TappedPair& pair : tapped_) {
      for (const auto& [name, rows] : {std::pair{pair.before, &before}, {pair.after, &after}}) {
        if (among(*rows, name)) continue;
        if (!fs::exists(folder_ / name)) {
          throw InputError({.file = points_path_.string(),
                            .line = pair.line,
                            .found = fmt::format("photos/{} is not kept", name),
                            .expected = "the name of a kept photo",
                            .remedy = "copy the names as out/points.html gives them"});
        }
        out_.warnings.push_back(
            fmt::format("{}:{}: photos/{} is not used by its points: it shows the mat, or is of "
                        "another stage",
                        points_path_.string(),
                        pair.line,
                        name));
      }
    }
  }

  bool by_points(const std::vector<PhotoRow>& before,
                 std::vector<char>& used,
                 const PhotoRow& row,
                 const UprightPhoto& photo) {
    bool any = false;
    for (const TappedPair& tapped : tapped_) {
      if (tapped.after != row.name) continue;
      const auto of = std::find_if(before.begin(), before.end(), [&](const PhotoRow& other) {
        return other.name == tapped.before;
      });
      if (of == before.end()) continue;
      const UprightPhoto drawn = read_upright(folder_, *of, longest_px_);
      std::vector<SpotPair> points = tapped.points;
      for (SpotPair& point : points) {
        point.before = point.before / drawn.file_px;
        point.after = point.after / photo.file_px;
      }
      try {
        const PointsView view = map_by_points(points, drawn.bgr.size(), photo.bgr.size());
        tell_points(tapped, view);
        add(*of,
            drawn,
            row,
            photo,
            {view.map, view.left_out_median_px, std::max(view.left_out_median_px, kUnsurePx)},
            true);
      } catch (const InputError& error) {
        Complaint complaint = error.complaint();
        complaint.file = points_path_.string();
        complaint.line = tapped.line;
        throw InputError(complaint);
      }
      used[static_cast<std::size_t>(of - before.begin())] = 1;
      any = true;
    }
    return any;
  }

  void tell_points(const TappedPair& tapped, const PointsView& view) {
    const std::string where = fmt::format("{}:{}: ", points_path_.string(), tapped.line);
    if (view.left_out_px.empty()) {
      out_.warnings.push_back(where +
                              "with 4 points nothing tells how well they fit; tap a few more");
    }
    for (const std::size_t i : view.doubtful) {
      out_.warnings.push_back(fmt::format(
          "{}point {} lies where the others do not put it, and is left out; tap it again",
          where,
          i + 1));
    }
  }

  void by_likeness(const std::vector<PhotoRow>& before,
                   const std::vector<cv::Mat>& glances,
                   std::vector<char>& used,
                   const PhotoRow& row,
                   const UprightPhoto& photo) {
    const cv::Mat glance = glance_at(photo.bgr);
    std::vector<std::size_t> order(before.size());
    std::iota(order.begin(), order.end(), std::size_t{0});
    std::vector<double> unlike;
    for (const cv::Mat& other : glances) unlike.push_back(cv::norm(glance, other, cv::NORM_L1));
    std::stable_sort(order.begin(), order.end(), [&](std::size_t a, std::size_t b) {
      return unlike[a] < unlike[b];
    });
    if (order.size() > kTried) order.resize(kTried);

    std::optional<FittedView> best;
    std::size_t of = 0;
    UprightPhoto drawn;
    std::string why;
    for (const std::size_t b : order) {
      UprightPhoto candidate = read_upright(folder_, before[b], longest_px_);
      try {
        FittedView fitted =
            align_views({in_folder(before[b]), candidate.bgr}, {in_folder(row), photo.bgr});
        if (best && fitted.pairs.size() <= best->pairs.size()) continue;
        best = std::move(fitted);
        of = b;
        drawn = std::move(candidate);
      } catch (const InputError& error) {
        if (why.empty()) why = error.what();
      }
    }
    if (!best) {
      if (why.empty()) why = in_folder(row) + ": shows no mat, and no photo before is without one";
      out_.left_out.push_back({row, why, true});
      return;
    }
    used[of] = 1;
    add(before[of], drawn, row, photo, {best->map, best->left_out_px, best->left_out_95_px}, false);
  }

  void add(const PhotoRow& before_row,
           const UprightPhoto& before,
           const PhotoRow& row,
           const UprightPhoto& after,
           const Laid& laid,
           bool by_points) {
    PairedPhoto pair{before_row, row, by_points, laid.left_out_px * after.file_px, {}, {}, {}, 1.0};
    pair.lines = carry_lines(before.bgr, after.bgr, laid.map, {.unsure_px = laid.unsure_px}).lines;
    pair.before_seen = seen_from_after(laid.map, before.bgr, after.bgr);
    pair.after_bgr = after.bgr;
    pair.file_px = after.file_px;
    out_.pairs.push_back(std::move(pair));
    out_.warnings.push_back(fmt::format(
        "{}: lines are drawn only between {}; look whether some are missing, and tap {} in "
        "out/points.html",
        in_folder(row),
        by_points ? "the points" : "places that it shows as the photo before does",
        by_points ? "more points" : "points"));
  }

  fs::path folder_;
  fs::path points_path_;
  int longest_px_;
  std::vector<TappedPair> tapped_;
  PairedPhotos out_;
};

}  // namespace

PairedPhotos pair_photos(const fs::path& piece_folder,
                         const std::vector<PhotoRow>& before,
                         const std::vector<PhotoRow>& after,
                         int longest_px,
                         const Progress& progress) {
  if (before.empty() && after.empty()) return {};
  return Pairing(piece_folder, longest_px).pair(before, after, progress);
}

std::vector<RecoveredStroke> strokes_of(const PairedPhoto& pair) {
  std::vector<RecoveredStroke> out;
  for (const CarriedLine& line : pair.lines) {
    RecoveredStroke stroke{{}, 1.0, pair.after.name, {}};
    for (const Vec2 p : line.px) stroke.points.push_back(p * pair.file_px);
    if (stroke.points.size() > 2) stroke.points = simpler_line(stroke.points, kFilePx);
    out.push_back(std::move(stroke));
  }
  return out;
}

}  // namespace underdraw
