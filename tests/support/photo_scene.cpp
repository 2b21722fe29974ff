#include "support/photo_scene.h"

#include <algorithm>
#include <cmath>

#include <jpeglib.h>
#include <opencv2/imgproc.hpp>

#include "core/parallel.h"
#include "io/write_drawing.h"
#include "io/write_jpeg.h"
#include "support/grey_of_png.h"
#include "support/seeded.h"

namespace underdraw::test {
namespace {

constexpr double kPaperDpi = 300.0;
constexpr float kInkLight = 0.035f;   // toner
constexpr float kPaperLight = 0.86f;  // office paper
constexpr float kAmbient = 0.45f;
constexpr float kKey = 0.62f;

// Linear light to an 8-bit tone, IEC 61966-2-1.
float tone_of(float light) {
  light = std::clamp(light, 0.0f, 1.0f);
  return light <= 0.0031308f ? 12.92f * light : 1.055f * std::pow(light, 1.0f / 2.4f) - 0.055f;
}

}  // namespace

Vec3 Standing::turned_to_mat(Vec3 p) const {
  const double c = std::cos(radians(turn_deg));
  const double s = std::sin(radians(turn_deg));
  return {c * p.x - s * p.y, s * p.x + c * p.y, p.z};
}
Vec3 Standing::turned_to_piece(Vec3 p) const { return Standing{{}, -turn_deg}.turned_to_mat(p); }
Vec3 Standing::mat_from_piece(Vec3 p) const {
  return turned_to_mat(p) + Vec3{shift_mm.x, shift_mm.y, 0.0};
}
Vec3 Standing::piece_from_mat(Vec3 p) const {
  return turned_to_piece(p - Vec3{shift_mm.x, shift_mm.y, 0.0});
}

Rgb LightOnMat::at(Vec2 mat) const {
  const auto share = static_cast<float>(std::max(0.02, 1.0 + dot(mat, rise_per_mm)));
  return tint * share;
}

struct PhotoMaker::Paper {
  const MatLayout& layout;
  cv::Mat grey;  // of the sheet, linear: 255 paper, 0 ink

  explicit Paper(const MatOptions& options)
      : layout(mat_layout(options.paper, options.form())),
        grey(grey_of_png(png_of_drawing(draw_mat(options), kPaperDpi))) {}

  // Lightness, or nothing beside the sheet.
  std::optional<float> at(Vec2 mat) const {
    const Vec2 sheet = layout.sheet_from_mat() * mat;
    if (sheet.x < 0 || sheet.y < 0 || sheet.x >= layout.paper.width_mm ||
        sheet.y >= layout.paper.height_mm) {
      return {};
    }
    const Vec2 px = sheet * (kPaperDpi / 25.4) - Vec2{0.5, 0.5};
    const int x = std::clamp(static_cast<int>(std::floor(px.x)), 0, grey.cols - 2);
    const int y = std::clamp(static_cast<int>(std::floor(px.y)), 0, grey.rows - 2);
    const double u = std::clamp(px.x - x, 0.0, 1.0);
    const double v = std::clamp(px.y - y, 0.0, 1.0);
    const std::uint8_t* top = grey.ptr<std::uint8_t>(y) + x;
    const std::uint8_t* low = grey.ptr<std::uint8_t>(y + 1) + x;
    return static_cast<float>(std::lerp(std::lerp(double(top[0]), double(top[1]), u),
                                        std::lerp(double(low[0]), double(low[1]), u),
                                        v) /
                              255.0);
  }
};

PhotoMaker::PhotoMaker(Scene scene)
    : scene_(std::move(scene)), paper_(std::make_unique<Paper>(scene_.mat)) {
  scene_.to_light = normalized(scene_.to_light);
}
PhotoMaker::~PhotoMaker() = default;

SightRay PhotoMaker::in_piece(const SightRay& ray) const {
  return {scene_.standing.piece_from_mat(ray.from), scene_.standing.turned_to_piece(ray.towards)};
}

bool PhotoMaker::in_shadow(Vec3 mat) const {
  return scene_.body && scene_.body->meet(in_piece({mat, scene_.to_light})).has_value();
}

// Boards with a grain.
Rgb PhotoMaker::table_at(Vec2 at) const {
  const double grain = smooth_noise(at.x / 40.0, at.y / 2.5, scene_.seed + 77);
  const double board = smooth_noise(std::floor(at.y / 90.0) * 3.7, 0.0, scene_.seed + 78);
  const auto light = static_cast<float>(1.0 + 0.2 * grain + 0.15 * board);
  return Rgb{0.36f, 0.25f, 0.16f} * light;
}

Rgb PhotoMaker::light_along(const SightRay& ray) const {
  if (scene_.body) {
    if (const auto hit = scene_.body->meet(in_piece(ray))) {
      if (hit->hollow) return {0.05f, 0.045f, 0.04f};
      const Vec3 hit_at = ray.from + ray.towards * hit->reach;
      const Vec3 normal = scene_.standing.turned_to_mat(hit->normal);
      const auto facing = static_cast<float>(std::max(0.0, dot(normal, scene_.to_light)));
      const auto sky = static_cast<float>(0.6 + 0.4 * normal.z);
      Rgb colour{0.55f, 0.34f, 0.22f};
      double gloss = 0.0;
      if (scene_.texture) {
        colour = hit->face ? scene_.texture->colour_at(*hit->face) : scene_.texture->bare();
        gloss = scene_.texture->gloss();
      }
      colour = colour * (kAmbient * sky + kKey * facing);
      if (gloss > 0.0) {
        const Vec3 half = normalized(scene_.to_light - ray.towards);
        const auto shine =
            static_cast<float>(1.6 * gloss * std::pow(std::max(0.0, dot(normal, half)), 90.0));
        colour = colour + Rgb{shine, shine, shine};
      }
      return colour * scene_.light.at({hit_at.x, hit_at.y});
    }
  }
  if (ray.towards.z >= -1e-9) return {0.5f, 0.52f, 0.55f};
  const double t = -ray.from.z / ray.towards.z;
  const Vec3 at = ray.from + ray.towards * t;
  if (t > 4000.0) return {0.4f, 0.4f, 0.42f};
  const Vec2 flat{at.x, at.y};
  Rgb colour = table_at(flat);
  if (scene_.with_mat) {
    const auto lightness = paper_->at({flat.x / scene_.mat_scale.x, flat.y / scene_.mat_scale.y});
    if (lightness) {
      const float light = kInkLight + (kPaperLight - kInkLight) * *lightness;
      colour = {light, light, light * 0.97f};
    }
  }
  for (const Cover& cover : scene_.covers) {
    if (flat.x >= cover.from_mm.x && flat.x <= cover.to_mm.x && flat.y >= cover.from_mm.y &&
        flat.y <= cover.to_mm.y) {
      colour = cover.colour;
    }
  }
  float key = kKey * static_cast<float>(scene_.to_light.z);
  float sky = 1.0f;
  if (scene_.body) {
    if (in_shadow({at.x, at.y, 1e-6})) key *= 0.45f;
    const Vec3 p = scene_.standing.piece_from_mat(at);
    const double off = std::max(0.0, scene_.body->from_foot_mm({p.x, p.y}));
    sky = static_cast<float>(1.0 - 0.5 * std::exp(-off / 12.0));
  }
  colour = colour * (kAmbient * sky + key);
  for (const GlareSpot& spot : scene_.glare) {
    const double r = length(flat - spot.at_mm) / spot.radius_mm;
    const auto shine = static_cast<float>(spot.strength * std::exp(-r * r));
    colour = colour + Rgb{shine, shine, shine};
  }
  return colour * scene_.light.at(flat);
}

cv::Mat PhotoMaker::photo(const Shot& shot) const {
  const Camera& camera = shot.camera;
  cv::Mat light(camera.height_px, camera.width_px, CV_32FC3);
  const int n = shot.samples;
  parallel_for(static_cast<std::size_t>(camera.height_px), [&](std::size_t row) {
    const int y = static_cast<int>(row);
    auto* out = light.ptr<cv::Vec3f>(y);
    for (int x = 0; x < camera.width_px; ++x) {
      Rgb sum;
      for (int i = 0; i < n * n; ++i) {
        const Vec2 px{x + (i % n + 0.5) / n, y + (i / n + 0.5) / n};
        const auto ray = sight_ray(camera, shot.pose, px);
        if (ray) sum = sum + light_along(*ray);
      }
      const float k =
          static_cast<float>(0.8 / (0.86 * 0.96) * shot.exposure) / static_cast<float>(n * n);
      out[x] = {sum.b * k, sum.g * k, sum.r * k};
    }
  });
  return developed(std::move(light), shot, scene_.seed);
}

cv::Mat developed(cv::Mat light, const Shot& shot, std::uint32_t seed) {
  if (shot.blur_px > 0.0) cv::GaussianBlur(light, light, {}, shot.blur_px);
  if (shot.shake_px > 0.5) {
    const int reach = static_cast<int>(std::ceil(shot.shake_px / 2.0)) + 1;
    cv::Mat kernel = cv::Mat::zeros(2 * reach + 1, 2 * reach + 1, CV_32F);
    const Vec2 along{std::cos(radians(shot.shake_deg)), std::sin(radians(shot.shake_deg))};
    for (int i = 0; i < 200; ++i) {  // the smear, each point shared by its four pixels
      const Vec2 p =
          along * (shot.shake_px * ((i + 0.5) / 200.0 - 0.5)) + Vec2{double(reach), double(reach)};
      const int px = static_cast<int>(p.x);
      const int py = static_cast<int>(p.y);
      const auto u = static_cast<float>(p.x - px);
      const auto v = static_cast<float>(p.y - py);
      kernel.at<float>(py, px) += (1 - u) * (1 - v);
      kernel.at<float>(py, px + 1) += u * (1 - v);
      kernel.at<float>(py + 1, px) += (1 - u) * v;
      kernel.at<float>(py + 1, px + 1) += u * v;
    }
    kernel /= cv::sum(kernel)[0];
    cv::filter2D(light, light, -1, kernel, {-1, -1}, 0, cv::BORDER_REPLICATE);
  }
  cv::Mat tones(light.size(), CV_8UC3);
  parallel_for(static_cast<std::size_t>(light.rows), [&](std::size_t row) {
    const int y = static_cast<int>(row);
    const auto* from = light.ptr<float>(y);
    auto* to = tones.ptr<std::uint8_t>(y);
    for (int i = 0; i < 3 * light.cols; ++i) {
      // Shot noise grows with the root of the light; a little is always there.
      const float grain =
          static_cast<float>(shot.noise) *
          bell((static_cast<std::uint64_t>(seed) << 40) +
               row * 3U * static_cast<std::size_t>(light.cols) + static_cast<std::size_t>(i));
      const float value = from[i] + grain * std::sqrt(std::max(0.0f, from[i]) + 0.04f);
      to[i] = static_cast<std::uint8_t>(std::lround(255.0f * tone_of(value)));
    }
  });
  return shot.jpeg_quality > 0 ? through_jpeg(tones, shot.jpeg_quality) : tones;
}

cv::Mat PhotoMaker::grey_photo(const Shot& shot) const {
  cv::Mat grey;
  cv::cvtColor(photo(shot), grey, cv::COLOR_BGR2GRAY);
  return grey;
}

Vec3 PhotoMaker::face_in_mat(FacePoint point) const {
  return scene_.standing.mat_from_piece(scene_.body->in_space(point));
}

std::optional<Vec2> PhotoMaker::px_of(const Shot& shot, FacePoint point) const {
  return px_from_mat(shot.camera, shot.pose, face_in_mat(point));
}

bool PhotoMaker::sees(const Shot& shot, FacePoint point) const {
  const auto px = px_of(shot, point);
  if (!px || px->x < 0 || px->y < 0 || px->x > shot.camera.width_px ||
      px->y > shot.camera.height_px || steepness_deg(shot, point) >= 90.0) {
    return false;
  }
  const Vec3 eye = shot.pose.eye();
  const Vec3 way = face_in_mat(point) - eye;
  const auto hit = scene_.body->meet(in_piece({eye, normalized(way)}));
  return hit && hit->face && std::abs(hit->reach - length(way)) < 0.2;
}

double PhotoMaker::steepness_deg(const Shot& shot, FacePoint point) const {
  const Vec3 back = normalized(shot.pose.eye() - face_in_mat(point));
  const Vec3 normal = scene_.standing.turned_to_mat(scene_.body->outward(point));
  return degrees(std::acos(std::clamp(dot(back, normal), -1.0, 1.0)));
}

Shot hand_held(const HandHeld& how) {
  Dice dice(how.seed);
  const double elevation = radians(how.elevation_deg);
  const double azimuth = radians(how.azimuth_deg);
  const Vec3 aim{dice.uniform(-10, 10), dice.uniform(-10, 10), how.aim_height_mm};
  const Vec3 from{std::cos(elevation) * std::sin(azimuth),
                  -std::cos(elevation) * std::cos(azimuth),
                  std::sin(elevation)};
  Shot shot;
  Camera& camera = shot.camera;
  const int shorter = how.longer_px * 3 / 4;
  camera.width_px = how.portrait ? shorter : how.longer_px;
  camera.height_px = how.portrait ? how.longer_px : shorter;
  camera.focal_px = how.focal_share * how.longer_px;
  camera.centre_px = {0.5 * camera.width_px + 0.004 * how.longer_px,
                      0.5 * camera.height_px - 0.006 * how.longer_px};
  camera.k1 = how.k1;
  camera.k2 = how.k2;
  const Vec3 base{0.0, 0.0, how.aim_height_mm};
  shot.pose = CameraPose::looking(base + from * how.distance_mm, aim, dice.uniform(-4.0, 4.0));
  return shot;
}

cv::Mat through_jpeg(const cv::Mat& bgr, int quality) {
  const std::string bytes = jpeg_of_picture(bgr, quality);
  cv::Mat decoded(bgr.size(), CV_8UC3);
  jpeg_error_mgr errors{};
  jpeg_decompress_struct in{};
  in.err = jpeg_std_error(&errors);
  jpeg_create_decompress(&in);
  jpeg_mem_src(&in, reinterpret_cast<const unsigned char*>(bytes.data()), bytes.size());
  jpeg_read_header(&in, TRUE);
  in.out_color_space = JCS_EXT_BGR;
  jpeg_start_decompress(&in);
  while (in.output_scanline < in.output_height) {
    JSAMPROW row = decoded.ptr<std::uint8_t>(static_cast<int>(in.output_scanline));
    jpeg_read_scanlines(&in, &row, 1);
  }
  jpeg_finish_decompress(&in);
  jpeg_destroy_decompress(&in);
  return decoded;
}

}  // namespace underdraw::test
