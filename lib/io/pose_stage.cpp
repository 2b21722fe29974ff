#include "io/pose_stage.h"

#include <algorithm>
#include <exception>
#include <map>
#include <optional>
#include <tuple>

#include <fmt/format.h>
#include <opencv2/imgproc.hpp>

#include "core/error.h"
#include "core/parallel.h"
#include "io/photo_folder.h"
#include "io/read_photo.h"

namespace underdraw {
namespace {

struct Read {
  std::optional<StagePhoto> photo;
  std::string why;  // it is left out
  bool no_mat = false;
  std::exception_ptr error;
};

Read read_one(const std::filesystem::path& file, const PhotoRow& row, const PoseStageOptions& how) {
  Read out;
  try {
    StagePhoto photo;
    photo.row = row;
    Photo read = read_photo(file.string(), {.longest_px = how.longest_px});
    photo.bgr = std::move(read.bgr);
    photo.orientation = read.orientation;
    cv::Mat grey;
    cv::cvtColor(photo.bgr, grey, cv::COLOR_BGR2GRAY);
    out.no_mat = true;
    photo.marks = find_marks(grey, {.photo = "photos/" + row.name});
    out.no_mat = false;
    out.photo = std::move(photo);
  } catch (const InputError& error) {
    out.why = error.what();
    out.error = std::current_exception();
  }
  return out;
}

// Most photos' mat is the one that was meant.
const MatLayout* usual_mat(const std::vector<Read>& all) {
  std::map<const MatLayout*, int> count;
  for (const Read& read : all) {
    if (read.photo) ++count[read.photo->marks.mat];
  }
  const auto most = std::max_element(
      count.begin(), count.end(), [](const auto& a, const auto& b) { return a.second < b.second; });
  return most == count.end() ? nullptr : most->first;
}

// Photos that one lens, at one zoom, can have made.
auto camera_of(const StagePhoto& photo) {
  const PhotoFacts& facts = photo.row.facts;
  return std::tuple(facts.camera_make.value_or(""),
                    facts.camera_model.value_or(""),
                    facts.focal_length_35mm.value_or(0.0),
                    std::minmax({photo.bgr.cols, photo.bgr.rows}).first,
                    std::minmax({photo.bgr.cols, photo.bgr.rows}).second);
}

}  // namespace

std::optional<MeasuredBars> mat_bars(const PieceFile& piece) {
  if (!piece.mat_bars_mm) return std::nullopt;
  return MeasuredBars{piece.mat_bars_mm->x, piece.mat_bars_mm->y};
}

StagePhotos pose_stage(const std::filesystem::path& piece_folder,
                       const std::vector<PhotoRow>& rows,
                       const PoseStageOptions& options,
                       const Progress& progress) {
  StagePhotos out;
  const std::filesystem::path folder = PhotoFolder::path_in(piece_folder);
  std::vector<Read> all(rows.size());
  std::mutex mutex;
  std::size_t done = 0;
  parallel_for(rows.size(), [&](std::size_t i) {
    all[i] = read_one(folder / rows[i].name, rows[i], options);
    const std::lock_guard lock(mutex);
    report(
        progress, "reading photos", static_cast<double>(++done) / static_cast<double>(rows.size()));
  });
  const MatLayout* mat = usual_mat(all);
  if (!mat && options.needs_mat) {
    for (const Read& read : all) {
      if (read.error) std::rethrow_exception(read.error);
    }
  }
  for (std::size_t i = 0; i < all.size(); ++i) {
    if (!all[i].photo) {
      out.left_out.push_back({rows[i], all[i].why, all[i].no_mat});
    } else if (all[i].photo->marks.mat != mat) {
      out.left_out.push_back(
          {rows[i],
           fmt::format("photos/{}: taken on the {} mat, the others on {}; keep photos of one mat "
                       "for one stage, or a stage of their own for these",
                       rows[i].name,
                       all[i].photo->marks.mat->name,
                       mat->name)});
    } else {
      out.photos.push_back(std::move(*all[i].photo));
    }
  }
  std::map<decltype(camera_of(out.photos.front())), std::vector<std::size_t>> cameras;
  for (std::size_t i = 0; i < out.photos.size(); ++i) {
    cameras[camera_of(out.photos[i])].push_back(i);
  }
  CameraPoseOptions pose;
  pose.bars = options.bars;
  for (const auto& [camera, members] : cameras) {
    std::vector<PosePhoto> photos;
    for (const std::size_t i : members) {
      const StagePhoto& photo = out.photos[i];
      std::optional<double> focal;
      if (const auto mm = photo.row.facts.focal_length_35mm) {
        focal = focal_px_from_35mm(*mm, photo.bgr.cols, photo.bgr.rows);
      }
      photos.push_back({photo.marks, focal});
    }
    CameraPoses poses = camera_poses(photos, pose);
    for (std::size_t k = 0; k < members.size(); ++k) {
      out.photos[members[k]].posed = std::move(poses.photos[k]);
    }
    out.warnings.insert(out.warnings.end(), poses.warnings.begin(), poses.warnings.end());
  }
  return out;
}

}  // namespace underdraw
