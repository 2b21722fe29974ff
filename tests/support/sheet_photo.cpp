#include "support/sheet_photo.h"

#include <algorithm>
#include <cmath>

#include <opencv2/imgproc.hpp>

#include "core/parallel.h"
#include "io/write_drawing.h"
#include "support/grey_of_png.h"
#include "support/pencil_page.h"
#include "support/seeded.h"

namespace underdraw::test {
namespace {

constexpr double kRasterDpi = 300.0;
constexpr double kPxPerMm = kRasterDpi / 25.4;
constexpr float kInkLight = 0.035F;   // toner
constexpr float kPaperLight = 0.86F;  // office paper
constexpr float kTable = 0.22F;
constexpr std::uint8_t kPaperTone = 243;
constexpr int kGrid = 8;  // px between sight lines

// Of an 8-bit tone, IEC 61966-2-1.
float light_of(std::uint8_t tone) {
  const float v = static_cast<float>(tone) / 255.0F;
  return v <= 0.04045F ? v / 12.92F : std::pow((v + 0.055F) / 1.055F, 2.4F);
}

// Bilinear; the raster's pixel middles are at half px.
float read_at(const cv::Mat& raster, Vec2 px) {
  const double x = std::clamp(px.x - 0.5, 0.0, raster.cols - 1.001);
  const double y = std::clamp(px.y - 0.5, 0.0, raster.rows - 1.001);
  const int i = static_cast<int>(x);
  const int j = static_cast<int>(y);
  const auto s = static_cast<float>(x - i);
  const auto t = static_cast<float>(y - j);
  const auto* top = raster.ptr<float>(j) + i;
  const auto* low = raster.ptr<float>(j + 1) + i;
  return (1 - t) * (top[0] + s * (top[1] - top[0])) + t * (low[0] + s * (low[1] - low[0]));
}

// The page's right is to the right, as one holds a phone over a table.
CameraPose looking_down(Vec3 eye, Vec3 target, double roll_deg) {
  const Vec3 forward = normalized(target - eye);
  const Vec3 right = normalized(Vec3{1.0, 0.0, 0.0} - forward * forward.x);
  const Vec3 down = cross(forward, right);
  const double c = std::cos(radians(roll_deg));
  const double s = std::sin(radians(roll_deg));
  const Vec3 x = right * c + down * s;
  const Vec3 y = down * c - right * s;
  CameraPose pose;
  pose.turn = {x.x, x.y, x.z, y.x, y.y, y.z, forward.x, forward.y, forward.z};
  pose.shift = {-dot(x, eye), -dot(y, eye), -dot(forward, eye)};
  return pose;
}

}  // namespace

SheetPhotos::SheetPhotos(SheetScene scene)
    : scene_(std::move(scene)),
      sheet_(drawing_sheet(scene_.kind)),
      paper_({sheet_.paper.width_mm, sheet_.paper.height_mm},
             scene_.shape,
             scene_.bow_mm,
             scene_.bend_along_deg) {
  const cv::Mat printed =
      grey_of_png(png_of_drawing(draw_blank_sheets({.first = scene_.kind}).front(), kRasterDpi));
  cv::Mat drawn(printed.size(), CV_8UC1, cv::Scalar(kPaperTone));
  if (!scene_.lines.empty()) {
    PencilOptions pencil;
    pencil.seed = scene_.seed;
    pencil.dpi = kRasterDpi;
    pencil.page_width_mm = sheet_.paper.width_mm;
    pencil.page_height_mm = sheet_.paper.height_mm;
    pencil.paper_grey = kPaperTone;
    pencil.uneven_light = 0.0;
    pencil.folds = 0;
    pencil.smudges = 0;
    pencil.noise = 0.0;
    PencilPage page = draw_pencil_page(scene_.lines, pencil);
    drawn = page.grey;
    truth_ = std::move(page.truth);
  }
  const cv::Size size(std::min(printed.cols, drawn.cols), std::min(printed.rows, drawn.rows));
  raster_.create(size, CV_32FC1);
  for (int y = 0; y < size.height; ++y) {
    for (int x = 0; x < size.width; ++x) {
      const float toner =
          kInkLight + (kPaperLight - kInkLight) * printed.at<std::uint8_t>(y, x) / 255.0F;
      const float graphite =
          std::min(1.0F, light_of(drawn.at<std::uint8_t>(y, x)) / light_of(kPaperTone));
      raster_.at<float>(y, x) = toner * graphite;
    }
  }
}

bool SheetPhotos::is_covered(Vec2 sheet) const {
  return std::any_of(scene_.covers.begin(), scene_.covers.end(), [&](const Box& box) {
    return box.contains(sheet);
  });
}

Vec2 SheetPhotos::sheet_seen(const Shot& shot, Vec2 px) const {
  const auto ray = sight_ray(shot.camera, shot.pose, px);
  if (!ray || ray->towards.z >= -1e-6) return {-1e4, -1e4};
  double height = 0.0;
  Vec2 at;
  for (int i = 0; i < 12; ++i) {
    const Vec3 p = ray->from + ray->towards * ((height - ray->from.z) / ray->towards.z);
    at = {p.x, p.y};
    const double next = paper_.height_at(at);
    if (std::abs(next - height) < 1e-4) break;
    height = std::clamp(next, -20.0, 40.0);
  }
  return paper_.sheet_from_mat(at);
}

cv::Mat SheetPhotos::photo(const Shot& shot) const {
  const Camera& camera = shot.camera;
  const int across = camera.width_px / kGrid + 2;
  const int down = camera.height_px / kGrid + 2;
  std::vector<Vec2> knots(static_cast<std::size_t>(across) * static_cast<std::size_t>(down));
  const auto knot = [&](int i, int j) -> Vec2& {
    return knots[static_cast<std::size_t>(j) * static_cast<std::size_t>(across) +
                 static_cast<std::size_t>(i)];
  };
  parallel_for(static_cast<std::size_t>(down), [&](std::size_t row) {
    const int j = static_cast<int>(row);
    for (int i = 0; i < across; ++i) {
      knot(i, j) = sheet_seen(shot, {double(i * kGrid), double(j * kGrid)});
    }
  });
  const Box paper{{0.0, 0.0}, {sheet_.paper.width_mm, sheet_.paper.height_mm}};
  cv::Mat light(camera.height_px, camera.width_px, CV_32FC3);
  const int n = shot.samples;
  parallel_for(static_cast<std::size_t>(camera.height_px), [&](std::size_t row) {
    const int y = static_cast<int>(row);
    auto* out = light.ptr<cv::Vec3f>(y);
    for (int x = 0; x < camera.width_px; ++x) {
      cv::Vec3f sum;
      for (int k = 0; k < n * n; ++k) {
        const Vec2 at{x + (k % n + 0.5) / n, y + (k / n + 0.5) / n};
        const int i = static_cast<int>(at.x) / kGrid;
        const int j = static_cast<int>(at.y) / kGrid;
        const double s = at.x / kGrid - i;
        const double t = at.y / kGrid - j;
        const Vec2 sheet =
            mix(mix(knot(i, j), knot(i + 1, j), s), mix(knot(i, j + 1), knot(i + 1, j + 1), s), t);
        if (!paper.contains(sheet) || is_covered(sheet)) {
          sum += cv::Vec3f(0.6F, 0.75F, 1.0F) * kTable;
        } else {
          const float grey = read_at(raster_, sheet * kPxPerMm);
          sum += cv::Vec3f(0.97F, 1.0F, 1.0F) * grey;
        }
      }
      // A window on one side, and what the lens takes from the corners.
      const double u = static_cast<double>(x) / camera.width_px - 0.5;
      const double v = static_cast<double>(y) / camera.height_px - 0.5;
      const auto bright = static_cast<float>(
          shot.exposure * (1.0 - scene_.uneven_light * (0.5 + 0.6 * u + 0.35 * v + 0.3 * u * u)));
      out[x] = sum * (0.93F * bright / static_cast<float>(n * n));
    }
  });
  return developed(std::move(light), shot, scene_.seed);
}

cv::Mat SheetPhotos::grey_photo(const Shot& shot) const {
  cv::Mat grey;
  cv::cvtColor(photo(shot), grey, cv::COLOR_BGR2GRAY);
  return grey;
}

cv::Mat SheetPhotos::grey_scan(double dpi, double skew_deg) const {
  const double px_per_mm = dpi / 25.4;
  const cv::Size size(static_cast<int>(std::lround((sheet_.paper.width_mm + 8.0) * px_per_mm)),
                      static_cast<int>(std::lround((sheet_.paper.height_mm + 8.0) * px_per_mm)));
  const Vec2 middle{sheet_.paper.width_mm / 2.0, sheet_.paper.height_mm / 2.0};
  const Affine sheet_from_glass = Affine::translate(middle) * Affine::turn_deg(-skew_deg) *
                                  Affine::translate(Vec2{-4.0, -4.0} - middle);
  const Box paper{{0.0, 0.0}, middle * 2.0};
  cv::Mat scan(size, CV_8UC1);
  parallel_for(static_cast<std::size_t>(size.height), [&](std::size_t row) {
    const int y = static_cast<int>(row);
    for (int x = 0; x < size.width; ++x) {
      const Vec2 sheet = sheet_from_glass * (Vec2{x + 0.5, y + 0.5} / px_per_mm);
      const float light = is_covered(sheet)       ? kTable
                          : paper.contains(sheet) ? read_at(raster_, sheet * kPxPerMm) / kPaperLight
                                                  : 0.9F;
      const float tone =
          light <= 0.0031308F ? 12.92F * light : 1.055F * std::pow(light, 1.0F / 2.4F) - 0.055F;
      const float grain =
          1.2F * bell(static_cast<std::uint64_t>(y) * 100'003 + static_cast<std::uint64_t>(x));
      scan.at<std::uint8_t>(y, x) = cv::saturate_cast<std::uint8_t>(245.0F * tone + grain);
    }
  });
  return scan;
}

std::optional<Vec2> SheetPhotos::px_of(const Shot& shot, Vec2 sheet) const {
  return px_from_mat(shot.camera, shot.pose, paper_.mat_from_sheet(sheet));
}

Shot shot_of_sheet(const SheetPhotos& photos, const SheetShot& how) {
  Shot shot;
  shot.samples = 2;
  Camera& camera = shot.camera;
  camera.width_px = how.longer_px * 3 / 4;
  camera.height_px = how.longer_px;
  camera.focal_px = 0.78 * how.longer_px;
  camera.centre_px = {0.5 * camera.width_px + 0.004 * how.longer_px,
                      0.5 * camera.height_px - 0.006 * how.longer_px};
  camera.k1 = how.k1;
  camera.k2 = how.k2;
  const double tilt = radians(how.tilt_deg);
  const double azimuth = radians(how.azimuth_deg);
  const Vec3 way{
      std::sin(tilt) * std::sin(azimuth), -std::sin(tilt) * std::cos(azimuth), std::cos(tilt)};
  const Vec2 paper{photos.sheet().paper.width_mm, photos.sheet().paper.height_mm};
  // Nearer and nearer until the sheet fills as much of the picture as it should.
  double distance_mm = 2000.0;
  for (int i = 0; i < 30; ++i) {
    shot.pose = looking_down(way * distance_mm, {2.0, -3.0, 0.0}, how.roll_deg);
    double fills = 0.0;
    for (const Vec2 corner : {Vec2{}, Vec2{paper.x, 0.0}, paper, Vec2{0.0, paper.y}}) {
      const Vec2 px = *photos.px_of(shot, corner);
      fills = std::max({fills,
                        std::abs(2.0 * px.x / camera.width_px - 1.0),
                        std::abs(2.0 * px.y / camera.height_px - 1.0)});
    }
    distance_mm *= std::pow(fills / how.fills, 0.7);
  }
  return shot;
}

}  // namespace underdraw::test
