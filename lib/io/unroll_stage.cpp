#include "io/unroll_stage.h"

#include <cmath>

#include <fmt/format.h>

namespace underdraw {
namespace {

// Columns come back in at the other side.
void roll(cv::Mat& picture, int columns) {
  cv::Mat out(picture.size(), picture.type());
  const int wide = picture.cols;
  const int by = (columns % wide + wide) % wide;
  if (by == 0) return;
  picture.colRange(by, wide).copyTo(out.colRange(0, wide - by));
  picture.colRange(0, by).copyTo(out.colRange(wide - by, wide));
  picture = out;
}

std::vector<FacePhoto> photos_of(const StagePhotos& stage, const std::vector<std::size_t>& of) {
  std::vector<FacePhoto> out;
  for (const std::size_t i : of) {
    const StagePhoto& photo = stage.photos[i];
    out.push_back(face_photo(photo.bgr, photo.posed, photo.marks));
  }
  return out;
}

}  // namespace

StageFaces unroll_stage(StagePhotos photos,
                        const std::vector<PlacedFace>& placed,
                        const std::vector<double>& sizes,
                        const Progress& progress) {
  StageFaces out;
  UnrollOptions options;
  options.fit.sizes = sizes;
  out.photos = std::move(photos);
  for (std::size_t f = 0; f < placed.size(); ++f) {
    StageFace face;
    for (std::size_t i = 0; i < out.photos.photos.size(); ++i) {
      const std::optional<std::string>& of = out.photos.photos[i].row.face;
      if (of ? *of == placed[f].face.name : f == 0) face.photos.push_back(i);
    }
    if (face.photos.empty()) {
      out.faces.emplace_back();
      continue;
    }
    face.unrolled =
        unroll_face(placed[f].surface, photos_of(out.photos, face.photos), options, progress);
    const std::string& name = placed[f].face.name;
    if (const double size = face.stands().size; size != 1.0) {
      out.photos.warnings.push_back(fmt::format(
          "{}: in the photos of stage {} the piece is {:.1f} % {} than when the lines went on; "
          "redraw sheets are of the size that it had then",
          name,
          out.photos.photos.front().row.stage,
          100.0 * std::abs(1.0 - size),
          size < 1.0 ? "smaller" : "larger"));
    }
    for (const std::string& warning : face.unrolled.warnings) {
      out.photos.warnings.push_back(name + ": " + warning);
    }
    out.faces.push_back(std::move(face));
  }
  return out;
}

double turn_back(StageFace& face, double deg) {
  Unrolled& picture = face.unrolled.picture;
  const int columns = static_cast<int>(std::lround(deg * picture.px_per_across));
  for (cv::Mat* layer : {&picture.light, &picture.colour, &picture.trust, &picture.steep}) {
    roll(*layer, columns);
  }
  const double turn = columns / picture.px_per_across;
  face.unrolled.fit.standing.turn_deg += turn;
  return turn;
}

}  // namespace underdraw
