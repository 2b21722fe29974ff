#include "io/read_tile_photo.h"

#include <filesystem>

#include <opencv2/imgproc.hpp>

#include "core/error.h"
#include "io/photo_facts.h"
#include "io/photo_folder.h"
#include "io/read_photo.h"
#include "io/record_text.h"

namespace underdraw {
namespace {

// Its words are about pieces whose lines are to come back.
FoundMarks marks_of_tile(const cv::Mat& grey, const std::string& path) {
  try {
    return find_marks(grey, {.photo = path});
  } catch (const InputError& error) {
    Complaint complaint = error.complaint();
    complaint.expected = "a tile on the middle of a photo mat";
    complaint.remedy = "take it again with all of the mat in view; underdraw mat --tile prints one";
    throw InputError(complaint);
  }
}

}  // namespace

TilePhoto read_tile_photo(const std::string& path, const TileColourOptions& options) {
  options.validate();
  const PhotoFacts facts = read_photo_facts(path);
  MatPhoto photo;
  photo.bgr = read_photo(path).bgr;
  cv::Mat grey;
  cv::cvtColor(photo.bgr, grey, cv::COLOR_BGR2GRAY);
  photo.marks = marks_of_tile(grey, path);
  std::optional<double> focal;
  if (facts.focal_length_35mm) {
    focal = focal_px_from_35mm(*facts.focal_length_35mm, photo.bgr.cols, photo.bgr.rows);
  }
  photo.posed = camera_poses({{photo.marks, focal}}).photos.front();
  return {.read = tile_colour(photo, options),
          .name = utf8_of_name(std::filesystem::path(path).filename().string()),
          .checksum = sum_of_file(path).checksum};
}

}  // namespace underdraw
