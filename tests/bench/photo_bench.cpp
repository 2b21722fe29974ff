#include <algorithm>
#include <filesystem>
#include <stdexcept>
#include <vector>

#include <opencv2/imgproc.hpp>

#include "bench/benches.h"
#include "bench/register_one.h"
#include "io/make_piece.h"
#include "io/read_photo.h"
#include "recover/recover_lines.h"
#include "recover/unroll.h"

namespace underdraw::bench {
namespace {

constexpr int kLongestPx = 4000;  // 12 megapixels
constexpr std::size_t kPhotos = 8;

// The sample's photos of the jar with its lines drawn, enlarged to what phones take; the first of
// them again, so that there are eight.
std::vector<cv::Mat> large_photos(const std::filesystem::path& piece) {
  std::vector<std::filesystem::path> files;
  for (const auto& entry : std::filesystem::directory_iterator(piece / "photos")) {
    files.push_back(entry.path());
  }
  if (files.empty()) throw std::runtime_error("the sample has no photos");
  std::sort(files.begin(), files.end());
  std::vector<cv::Mat> out;
  for (std::size_t i = 0; i < kPhotos; ++i) {
    const cv::Mat photo = read_photo(files[i % files.size()].string()).bgr;
    const double scale = static_cast<double>(kLongestPx) / std::max(photo.cols, photo.rows);
    cv::resize(photo, out.emplace_back(), {}, scale, scale, cv::INTER_CUBIC);
  }
  return out;
}

FoundMarks marks_of(const cv::Mat& photo) {
  cv::Mat grey;
  cv::cvtColor(photo, grey, cv::COLOR_BGR2GRAY);
  return find_marks(grey);
}

std::size_t bring_back(const std::vector<cv::Mat>& photos, const PieceResult& placed) {
  std::vector<PosePhoto> marks;
  for (const cv::Mat& photo : photos) marks.push_back({marks_of(photo), {}});
  const CameraPoses poses = camera_poses(marks);
  std::vector<FacePhoto> face_photos;
  for (std::size_t i = 0; i < photos.size(); ++i) {
    face_photos.push_back(face_photo(photos[i], poses.photos[i], marks[i].marks));
  }
  const PlacedFace& wall = placed.faces.front();
  const UnrolledFace face = unroll_face(wall.surface, face_photos);
  std::size_t found = 0;
  for (const FoundPlacement& p :
       recover_lines(face.picture, wall, placed.placed_motifs).placements) {
    found += is_found(p.finding) ? 1U : 0U;
  }
  if (found < wall.placements.size() * 9 / 10) {
    throw std::runtime_error("the sample's drawings are not found");
  }
  return found;
}

}  // namespace

void register_recovering(const BenchFiles& files) {
  const std::filesystem::path folder = files.piece_folder();
  const std::vector<cv::Mat> photos = large_photos(folder);
  const PieceResult placed = place_piece(read_piece_folder(folder),
                                         folder / "piece.toml",
                                         {.until = MakeStep::place, .trace = {}, .prove = {}});
  const std::string jpeg = std::filesystem::directory_iterator(folder / "photos")->path().string();
  register_one("read_photo/sample", [=] { return read_photo(jpeg).bgr; });
  register_one("find_marks/12 megapixels", [photo = photos.front()] { return marks_of(photo); });
  register_one("recover/one photo", [=] {
    const std::vector<PosePhoto> marks = {{marks_of(photos.front()), {}}};
    const CameraPoses poses = camera_poses(marks);
    return unroll_face(placed.faces.front().surface,
                       {face_photo(photos.front(), poses.photos[0], marks[0].marks)});
  });
  register_one("recover/eight photos", [=] { return bring_back(photos, placed); });
}

}  // namespace underdraw::bench
