#include "support/pencil_page.h"

#include <algorithm>
#include <cmath>
#include <cstdint>
#include <optional>

#include <opencv2/imgproc.hpp>

#include "core/error.h"
#include "core/parallel.h"
#include "support/bent_lines.h"
#include "support/paper_tooth.h"
#include "support/seeded.h"
#include "support/stroke_raster.h"

namespace underdraw::test {
namespace {

constexpr double kCameraHeight = 1.5;  // of the page's longer side
constexpr double kTwoPi = 2.0 * std::numbers::pi;

// How hard the pencil is pressed along one stroke: -1 to 1, light where it lands and lifts.
class Pressure {
 public:
  Pressure(double length_mm, bool closed, Dice& dice)
      : length_mm_(length_mm),
        ends_(!closed && length_mm > 0.0),
        slow_(dice.uniform(0.0, kTwoPi)),
        quick_(dice.uniform(0.0, kTwoPi)),
        level_(dice.uniform(-0.25, 0.25)) {}
  double at(double s_mm) const {
    if (length_mm_ <= 0.0) return 0.5 + level_;  // a dot is pressed
    const double waves = 0.45 * std::sin(kTwoPi * s_mm / 13.0 + slow_) +
                         0.3 * std::sin(kTwoPi * s_mm / 4.7 + quick_);
    if (!ends_) return waves + level_;
    const double taper = std::min(1.6, length_mm_ / 3.0);
    const double lift = eased(std::min(s_mm, length_mm_ - s_mm) / taper);
    return (waves + level_) * lift - 0.8 * (1.0 - lift);
  }

 private:
  double length_mm_;
  bool ends_;
  double slow_, quick_, level_;
};

// The scanner's spread in px: as much as half a pixel is worked into the edges before they are
// sampled, which keeps them true to fractions of a pixel; the rest is done on the pixels.
struct Blur {
  double at_edges = 0.0;
  double on_pixels = 0.0;

  explicit Blur(const PencilOptions& options) {
    const double whole = options.blur_mm * options.dpi / 25.4;
    at_edges = std::min(whole, 0.5);
    on_pixels = std::sqrt(whole * whole - at_edges * at_edges);
  }
};

// Lays graphite of that share over what is there; `bare` holds the share of paper still seen.
void lay(cv::Mat& bare, int x, int y, double share) {
  bare.at<float>(y, x) *= static_cast<float>(1.0 - std::clamp(share, 0.0, 1.0));
}

// The camera between the page and its picture; points pass unchanged when it looks straight down.
class Camera {
 public:
  explicit Camera(const PencilOptions& options) {
    if (options.tilt_deg <= 0.0) return;
    const double distance_mm =
        kCameraHeight * std::max(options.page_width_mm, options.page_height_mm);
    tilt_.emplace(options.tilt_deg,
                  options.tilt_towards_deg,
                  distance_mm,
                  Vec2{options.page_width_mm, options.page_height_mm} / 2.0);
  }
  Vec2 page_from_picture(Vec2 p) const { return tilt_ ? tilt_->unmoved(p) : p; }
  Linework seen(const Linework& lines) const { return tilt_ ? bent(lines, *tilt_) : lines; }

 private:
  std::optional<Tilt> tilt_;
};

void draw_stroke(Stroke& truth,
                 const PencilOptions& options,
                 const Camera& camera,
                 Tooth& tooth,
                 Dice& dice,
                 cv::Mat& bare) {
  const double px_per_mm = options.dpi / 25.4;
  const double length_mm = truth.path.length();
  const Pressure pressure(length_mm, truth.path.closed, dice);
  const Stroke meant = truth;
  const double widest_mm =
      meant.widths_mm.empty() ? meant.width_mm : *std::ranges::max_element(meant.widths_mm);
  const auto width_at = [&](double s_mm) {
    return width_along(meant, s_mm, length_mm) * (1.0 + options.width_swing * pressure.at(s_mm));
  };
  constexpr int kSteps = 64;
  double sum = 0.0;
  for (int i = 0; i < kSteps; ++i) sum += width_at(length_mm * (i + 0.5) / kSteps);
  truth.width_mm = sum / kSteps;
  const std::size_t steps = width_steps(length_mm);
  truth.widths_mm.clear();
  for (std::size_t i = 0; i <= steps; ++i) {
    truth.widths_mm.push_back(width_at(length_mm * double(i) / double(steps)));
  }

  const Path path_px = transformed(truth.path, Affine::scale(px_per_mm));
  const double blur_px = Blur(options).at_edges;
  const double reach_px =
      widest_mm * (1.0 + options.width_swing) / 2.0 * px_per_mm + coverage_reach_px(blur_px);
  for (const NearPixel& pixel : pixels_near(path_px, reach_px, bare.size())) {
    const double s_mm = pixel.along_px / px_per_mm;
    const double half_px = width_at(s_mm) / 2.0 * px_per_mm;
    double share = covered_share(pixel, half_px, blur_px);
    if (share <= 0.0) continue;
    const double press = pressure.at(s_mm);
    if (options.grain > 0.0) {
      // The lead reaches less deep into the tooth at its rim and where it is pressed less.
      const double rim = std::min(1.0, pixel.off_px / half_px);
      const double floor = 0.30 + 0.26 * rim * rim - 0.10 * press;
      const Vec2 at =
          camera.page_from_picture({(pixel.x + 0.5) / px_per_mm, (pixel.y + 0.5) / px_per_mm});
      share *= 1.0 - options.grain * (1.0 - eased((tooth.at(at.x, at.y) - floor) / 0.42 + 0.5));
    }
    lay(bare, pixel.x, pixel.y, share * options.darkness * (1.0 + options.pressure * press));
  }
}

// What was drawn on the other side, soft after its way through the paper.
void add_show_through(const PencilOptions& options, const Camera& camera, cv::Mat& bare) {
  if (options.show_through <= 0.0 || options.back.empty()) return;
  constexpr double kSoft_mm = 0.12;
  const double px_per_mm = options.dpi / 25.4;
  const Linework seen = camera.seen(transformed(
      options.back, Affine::translate({options.page_width_mm, 0}) * Affine::mirror_x()));
  cv::Mat back = draw_clean(seen, px_per_mm, bare.size());
  const double sigma_px = kSoft_mm * px_per_mm;
  cv::GaussianBlur(back, back, cv::Size(), sigma_px, sigma_px, cv::BORDER_REPLICATE);
  for (int y = 0; y < bare.rows; ++y) {
    for (int x = 0; x < bare.cols; ++x) {
      const double dark = 1.0 - back.at<std::uint8_t>(y, x) / 255.0;
      if (dark > 0.0) lay(bare, x, y, options.show_through * dark);
    }
  }
}

void add_specks(const PencilOptions& options, Dice& dice, cv::Mat& bare) {
  const double px_per_mm = options.dpi / 25.4;
  for (int i = 0; i < options.specks; ++i) {
    const Vec2 at{dice.uniform(0.0, bare.cols), dice.uniform(0.0, bare.rows)};
    const double half_px = dice.uniform(0.025, 0.1) * px_per_mm;
    const double share = dice.uniform(0.15, 0.55);
    const Path dot{{at}, false};
    const double blur_px = Blur(options).at_edges;
    const double reach_px = half_px + coverage_reach_px(blur_px);
    for (const NearPixel& pixel : pixels_near(dot, reach_px, bare.size())) {
      lay(bare, pixel.x, pixel.y, share * covered_share(pixel, half_px, blur_px));
    }
  }
}

void add_smudges(const PencilOptions& options, Tooth& tooth, Dice& dice, cv::Mat& bare) {
  const double px_per_mm = options.dpi / 25.4;
  for (int i = 0; i < options.smudges; ++i) {
    const Vec2 at{dice.uniform(0.1, 0.9) * bare.cols, dice.uniform(0.1, 0.9) * bare.rows};
    const double long_px = dice.uniform(3.0, 10.0) * px_per_mm;
    const double across_px = long_px * dice.uniform(0.25, 0.5);
    const Affine patch_from_page =
        Affine::turn_deg(dice.uniform(0.0, 180.0)) * Affine::translate(-at);
    const Path centre{{at}, false};
    for (const NearPixel& pixel : pixels_near(centre, 2.0 * long_px, bare.size())) {
      const Vec2 p = patch_from_page * Vec2{pixel.x + 0.5, pixel.y + 0.5};
      const double fade =
          std::exp(-(p.x * p.x) / (long_px * long_px) - (p.y * p.y) / (across_px * across_px));
      const double height = tooth.at((pixel.x + 0.5) / px_per_mm, (pixel.y + 0.5) / px_per_mm);
      lay(bare, pixel.x, pixel.y, 0.11 * fade * (0.5 + height));
    }
  }
}

// Grey levels that a fold adds at a distance from it: a dull valley beside a bright ridge.
double fold_levels(double off_mm) {
  if (std::abs(off_mm) > 8.0) return 0.0;
  const double valley = off_mm / 0.9;
  const double ridge = (off_mm - 1.5) / 1.1;
  return -11.0 * std::exp(-valley * valley) + 6.0 * std::exp(-ridge * ridge);
}

// The bare paper under its light. Each thread needs its own.
class Paper {
 public:
  Paper(const PencilOptions& options, const Camera& camera)
      : options_(options),
        camera_(camera),
        tooth_(options.seed),
        sheet_from_page_(
            Affine::turn_deg(-options.skew_deg) *
            Affine::translate({-options.page_width_mm / 2.0, -options.page_height_mm / 2.0})) {}

  double grey_at(double x_mm, double y_mm) {
    const double u = x_mm / options_.page_width_mm;
    const double v = y_mm / options_.page_height_mm;
    const Vec2 on_page = camera_.page_from_picture({x_mm, y_mm});
    double grey = options_.paper_grey;
    if (options_.paper_grain > 0.0) {
      // The tooth's own spread is about 0.15.
      grey += options_.paper_grain * (tooth_.at(on_page.x, on_page.y) - 0.5) / 0.15;
    }
    const Vec2 on_sheet = sheet_from_page_ * on_page;
    if (options_.folds > 0) grey += fold_levels(on_sheet.y);
    if (options_.folds > 1) grey += fold_levels(on_sheet.x);
    const Vec2 from_lamp{(u - 0.38) / 0.72, (v - 0.3) / 0.78};
    grey *= 1.0 - options_.uneven_light * std::min(1.0, dot(from_lamp, from_lamp) / 1.55);
    if (options_.vignette > 0.0) {
      const Vec2 from_middle{2.0 * u - 1.0, 2.0 * v - 1.0};
      const double off = dot(from_middle, from_middle) / 2.0;  // 1 in the corners
      grey *= 1.0 - options_.vignette * off * off;
    }
    if (options_.lid_edge_mm > 0.0) {
      const double inside = std::min(options_.page_width_mm - x_mm, options_.page_height_mm - y_mm);
      grey *= 0.22 + 0.78 * eased((inside - options_.lid_edge_mm) / 0.8 + 0.5);
    }
    return grey;
  }

 private:
  const PencilOptions& options_;
  const Camera& camera_;
  Tooth tooth_;
  Affine sheet_from_page_;  // origin in the middle, unskewed
};

// Light falls on the paper, some of it stays in the graphite, and the sensor adds its noise.
cv::Mat developed(const cv::Mat& bare, const PencilOptions& options, const Camera& camera) {
  const double px_per_mm = options.dpi / 25.4;
  const int channels = options.colour ? 3 : 1;
  cv::Mat out(bare.size(), CV_8UC(channels));
  parallel_for(static_cast<std::size_t>(bare.rows), [&](std::size_t row) {
    const int y = static_cast<int>(row);
    Paper paper(options, camera);
    const auto* seen = bare.ptr<float>(y);
    auto* pixel = out.ptr<std::uint8_t>(y);
    for (int x = 0; x < bare.cols; ++x) {
      const double light = paper.grey_at((x + 0.5) / px_per_mm, (y + 0.5) / px_per_mm);
      for (int c = 0; c < channels; ++c) {
        const auto channel = static_cast<std::size_t>(c);
        const double paper_light = options.colour ? light * options.paper_tint[channel] : light;
        const double pen =
            options.colour ? options.pen_grey * options.pen_tint[channel] : options.pen_grey;
        double level = pen + (paper_light - pen) * double(seen[x]);
        if (options.noise > 0.0) {
          const auto key = (static_cast<std::uint64_t>(options.seed) << 40) ^
                           (static_cast<std::uint64_t>(channel) << 38) ^
                           (row * static_cast<std::uint64_t>(bare.cols) + std::uint64_t(x));
          level += options.noise * double(bell(key));
        }
        *pixel++ = cv::saturate_cast<std::uint8_t>(level);
      }
    }
  });
  return out;
}

}  // namespace

PencilOptions PencilOptions::clean() {
  PencilOptions o;
  o.darkness = 1.0;
  o.pen_grey = 0.0;
  o.paper_grey = 255.0;
  o.width_swing = o.pressure = o.wobble_mm = o.grain = 0.0;
  o.paper_grain = o.uneven_light = o.blur_mm = o.noise = 0.0;
  o.folds = o.specks = o.smudges = 0;
  return o;
}

void PencilOptions::validate() const {
  require_between(dpi, 25.0, 2400.0, "dpi", "dpi");
  require_between(page_width_mm, 1.0, 2000.0, "page_width_mm", "mm");
  require_between(page_height_mm, 1.0, 2000.0, "page_height_mm", "mm");
  require_between(width_swing, 0.0, 0.9, "width_swing", "");
  require_between(darkness, 0.01, 1.0, "darkness", "");
  require_between(pressure, 0.0, 0.9, "pressure", "");
  require_between(wobble_mm, 0.0, 1.0, "wobble_mm", "mm");
  require_between(grain, 0.0, 1.0, "grain", "");
  require_between(pen_grey, 0.0, 200.0, "pen_grey", "");
  require_between(paper_grey, 50.0, 255.0, "paper_grey", "");
  require_between(paper_grain, 0.0, 30.0, "paper_grain", "");
  require_between(uneven_light, 0.0, 0.9, "uneven_light", "");
  require_between(lid_edge_mm, 0.0, 30.0, "lid_edge_mm", "mm");
  require_between(vignette, 0.0, 0.9, "vignette", "");
  require_between(show_through, 0.0, 0.5, "show_through", "");
  require_between(tilt_deg, 0.0, 40.0, "tilt_deg", "degrees");
  require_between(tilt_towards_deg, -360.0, 360.0, "tilt_towards_deg", "degrees");
  for (const double share : paper_tint) require_between(share, 0.5, 1.05, "paper_tint", "");
  for (const double share : pen_tint) require_between(share, 0.0, 3.0, "pen_tint", "");
  require_between(folds, 0.0, 2.0, "folds", "");
  require_between(specks, 0.0, 10000.0, "specks", "");
  require_between(smudges, 0.0, 100.0, "smudges", "");
  require_between(blur_mm, 0.0, 1.0, "blur_mm", "mm");
  require_between(noise, 0.0, 50.0, "noise", "");
  require_between(skew_deg, -45.0, 45.0, "skew_deg", "degrees");
}

PencilPage draw_pencil_page(const Linework& lines, const PencilOptions& options) {
  options.validate();
  PencilPage page;
  page.px_per_mm = options.dpi / 25.4;
  const cv::Size size(static_cast<int>(std::lround(options.page_width_mm * page.px_per_mm)),
                      static_cast<int>(std::lround(options.page_height_mm * page.px_per_mm)));

  const Camera camera(options);
  page.truth =
      options.wobble_mm > 0.0 ? bent(lines, Wobble(options.wobble_mm, options.seed)) : lines;
  const Vec2 middle{options.page_width_mm / 2.0, options.page_height_mm / 2.0};
  page.truth = transformed(
      page.truth,
      Affine::translate(middle) * Affine::turn_deg(options.skew_deg) * Affine::translate(-middle));
  page.truth = camera.seen(page.truth);

  Tooth tooth(options.seed);
  Dice dice(options.seed);
  cv::Mat bare(size, CV_32FC1, cv::Scalar(1));
  for (Stroke& stroke : page.truth.strokes) {
    draw_stroke(stroke, options, camera, tooth, dice, bare);
  }
  for (const Area& area : transformed(page.truth, Affine::scale(page.px_per_mm)).areas) {
    cv::Mat covered = area_coverage(area, size);
    if (const double sigma_px = Blur(options).at_edges; sigma_px > 0.0) {
      cv::GaussianBlur(covered, covered, cv::Size(), sigma_px, sigma_px, cv::BORDER_REPLICATE);
    }
    bare = bare.mul(cv::Scalar(1) - options.darkness * covered);
  }
  add_specks(options, dice, bare);
  add_smudges(options, tooth, dice, bare);
  add_show_through(options, camera, bare);
  if (const double sigma_px = Blur(options).on_pixels; sigma_px > 0.0) {
    cv::GaussianBlur(bare, bare, cv::Size(), sigma_px, sigma_px, cv::BORDER_REPLICATE);
  }

  page.grey = developed(bare, options, camera);
  if (options.colour) {
    page.colour = page.grey;
    cv::cvtColor(page.colour, page.grey, cv::COLOR_BGR2GRAY);
  }
  return page;
}

}  // namespace underdraw::test
