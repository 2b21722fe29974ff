// Kept photos that show no mat: those of a later stage laid over those of the stage before, and the
// lines before drawn over them.
//
// Stage:   io, internal to recover_piece.cpp. Reads photos/ and points.toml.
// How:     by the points of points.toml where they name two photos, else by what has not changed
//          (recover/align_views.h): each photo after with those few before that look most like it.
// Refuses: what read_photo and read_points refuse; points of a photo that is not kept, or that are
//          no view (InputError).
#pragma once

#include <filesystem>
#include <optional>
#include <string>
#include <vector>

#include <opencv2/core.hpp>

#include "core/progress.h"
#include "io/points_page.h"
#include "io/pose_stage.h"
#include "recover/carry_lines.h"
#include "recover/recovered.h"

namespace underdraw {

struct PairedPhoto {
  PhotoRow before, after;
  bool by_points = false;
  double left_out_px = 0.0;        // see recover/view_map.h; px of the file; 0: 4 points, not known
  cv::Mat before_seen, after_bgr;  // upright, CV_8UC3, of the same size and view
  std::vector<CarriedLine> lines;  // px of after_bgr
  double file_px = 1.0;            // px of the upright file per px here
};

struct PairedPhotos {
  std::vector<PairedPhoto> pairs;
  std::vector<PhotoLeftOut> left_out;
  std::vector<std::string> warnings;
  std::vector<PointsPhoto> before, after;  // all of them, for tapping points
};

PairedPhotos pair_photos(const std::filesystem::path& piece_folder,
                         const std::vector<PhotoRow>& before,
                         const std::vector<PhotoRow>& after,
                         int longest_px,
                         const Progress& progress = {});

// As recovered.json has them: in px of the photo after.
std::vector<RecoveredStroke> strokes_of(const PairedPhoto& pair);

}  // namespace underdraw
