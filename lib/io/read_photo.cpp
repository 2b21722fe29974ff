#include "io/read_photo.h"

#include <algorithm>

#include <opencv2/imgproc.hpp>

#include "core/error.h"
#include "io/exif_facts.h"
#include "io/photo_metadata.h"
#include "io/photo_reader.h"

namespace underdraw {
namespace {

Photo photo_of(const std::string& path, const ReadPhotoOptions& options) {
  const OpenPhoto open = open_photo(path);
  const std::int64_t longer = std::max(open.header.width_px, open.header.height_px);
  constexpr std::int64_t kMostShrink = 16;  // see PagePlanes
  Photo photo;
  photo.shrink = static_cast<int>(
      std::min((longer + options.longest_px - 1) / options.longest_px, kMostShrink));
  if (open.kind != PageKind::heic) {
    photo.orientation = read_exif(exif_of_photo(open.kind, path)).orientation;
  }
  const PageImage image = open.reader->image(1, photo.shrink);
  if (!image.tint.empty()) {
    cv::cvtColor(image.tint, photo.bgr, cv::COLOR_RGB2BGR);
    return photo;
  }
  cv::Mat grey = image.grey;
  if (photo.shrink > 1) {
    cv::resize(image.grey, grey, {}, 1.0 / photo.shrink, 1.0 / photo.shrink, cv::INTER_AREA);
  }
  cv::cvtColor(grey, photo.bgr, cv::COLOR_GRAY2BGR);
  return photo;
}

}  // namespace

void ReadPhotoOptions::validate() const {
  require_between(longest_px, 500.0, 20'000.0, "longer side of photos", "px");
}

Photo read_photo(const std::string& path, const ReadPhotoOptions& options) {
  options.validate();
  return speaking_of_photos([&] { return photo_of(path, options); });
}

}  // namespace underdraw
