// The kept photos of one stage, read, and where the camera stood for each, from the mat.
//
// Stage:   io. Reads photos/.
// In/out:  rows of the record -> pictures as the sensor saw them, with camera and pose. Photos of
//          one camera are posed together. A photo that shows no mat, or another mat than most, is
//          left out and named; that is no error while others remain.
// Refuses: what read_photo and camera_poses refuse; photos none of which shows a mat, if there has
//          to be one (InputError, that of the first photo).
#pragma once

#include <filesystem>
#include <string>
#include <vector>

#include <opencv2/core.hpp>

#include "core/progress.h"
#include "io/piece_file.h"
#include "io/record.h"
#include "photo/camera_pose.h"

namespace underdraw {

struct StagePhoto {
  PhotoRow row;
  cv::Mat bgr;  // CV_8UC3
  int orientation = 1;
  FoundMarks marks;
  PosedPhoto posed;
};

struct PhotoLeftOut {
  PhotoRow row;
  std::string why;      // one line with a remedy
  bool no_mat = false;  // it could be read, but shows no mat
};

struct StagePhotos {
  std::vector<StagePhoto> photos;  // as they were kept
  std::vector<PhotoLeftOut> left_out;
  std::vector<std::string> warnings;
};

struct PoseStageOptions {
  int longest_px = 5000;             // larger photos are shrunk as they are read; [500, 20000]
  std::optional<MeasuredBars> bars;  // see photo/camera_pose.h
  bool needs_mat = true;             // false: photos none of which shows a mat are all left out
};

// What the piece file says of the printed mat.
std::optional<MeasuredBars> mat_bars(const PieceFile& piece);

StagePhotos pose_stage(const std::filesystem::path& piece_folder,
                       const std::vector<PhotoRow>& rows,
                       const PoseStageOptions& options = {},
                       const Progress& progress = {});

}  // namespace underdraw
