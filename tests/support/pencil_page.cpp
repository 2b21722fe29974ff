#include "support/pencil_page.h"

#include <array>
#include <cmath>
#include <cstdint>
#include <random>

#include <opencv2/imgproc.hpp>

#include "core/error.h"
#include "core/parallel.h"
#include "support/stroke_raster.h"

namespace underdraw::test {
namespace {

constexpr double kGraphiteGrey = 48.0;
constexpr double kWidthStep_mm = 0.25;
constexpr double kTwoPi = 2.0 * std::numbers::pi;

// std::mt19937 is the same everywhere, the standard distributions are not.
class Dice {
 public:
  explicit Dice(unsigned seed) : engine_(seed) {}
  double uniform(double low, double high) {
    return low + (high - low) * (static_cast<double>(engine_()) + 0.5) / 4294967296.0;
  }

 private:
  std::mt19937 engine_;
};

// A number that depends on its arguments alone, so rows can be made in any order.
std::uint64_t scrambled(std::uint64_t key) {  // splitmix64's finaliser
  key += 0x9e3779b97f4a7c15ULL;
  key = (key ^ (key >> 30)) * 0xbf58476d1ce4e5b9ULL;
  key = (key ^ (key >> 27)) * 0x94d049bb133111ebULL;
  return key ^ (key >> 31);
}

// Bell-shaped, mean 0, standard deviation 1: four uniform numbers added.
float bell(std::uint64_t key) {
  const std::uint64_t bits = scrambled(key);
  const auto sum = static_cast<float>((bits & 0xffff) + ((bits >> 16) & 0xffff) +
                                      ((bits >> 32) & 0xffff) + (bits >> 48));
  return (sum - 131070.0F) / 37837.0F;
}

double eased(double t) {
  t = std::clamp(t, 0.0, 1.0);
  return t * t * (3.0 - 2.0 * t);
}

// The paper's tooth: height in [0, 1], about 0.5 in the middle, at a point in mm.
class Tooth {
 public:
  explicit Tooth(unsigned seed) : seed_(seed) {}
  double at(double x_mm, double y_mm) const {
    // Turned against each other and against the page, so no grid shows.
    const double u = 0.88 * x_mm + 0.47 * y_mm;
    const double v = 0.88 * y_mm - 0.47 * x_mm;
    return 0.6 * wave(u / 0.17, v / 0.17, 0) +
           0.4 * wave((0.6 * u - 0.8 * v) / 0.09, (0.8 * u + 0.6 * v) / 0.09, 1);
  }

 private:
  double knot(std::int64_t x, std::int64_t y, std::uint64_t layer) const {
    const auto key = static_cast<std::uint64_t>(x) * 0x100000001b3ULL ^
                     static_cast<std::uint64_t>(y) << 24 ^ layer << 60 ^
                     static_cast<std::uint64_t>(seed_) << 32;
    return static_cast<double>(scrambled(key) >> 40) / 16777216.0;
  }
  double wave(double x, double y, std::uint64_t layer) const {
    const double fx = std::floor(x);
    const double fy = std::floor(y);
    const auto ix = static_cast<std::int64_t>(fx);
    const auto iy = static_cast<std::int64_t>(fy);
    const double tx = eased(x - fx);
    const double ty = eased(y - fy);
    const double top = knot(ix, iy, layer) * (1.0 - tx) + knot(ix + 1, iy, layer) * tx;
    const double low = knot(ix, iy + 1, layer) * (1.0 - tx) + knot(ix + 1, iy + 1, layer) * tx;
    return top * (1.0 - ty) + low * ty;
  }
  unsigned seed_;
};

// The hand's drift: a few slow sine waves over the page, so lines that meet go on meeting.
class Wobble {
 public:
  Wobble(double rms_mm, unsigned seed) {
    Dice dice(seed ^ 0x77u);
    for (Wave& wave : waves_) {
      const bool slow = &wave - waves_.data() < 8;
      const double length_mm = slow ? dice.uniform(14.0, 30.0) : dice.uniform(5.0, 8.0);
      const double turn = dice.uniform(0.0, kTwoPi);
      const double push = dice.uniform(0.0, kTwoPi);
      // rms over both axes: 8 slow waves carry 94 % of the power, 4 quick ones the rest.
      const double peak = rms_mm * (slow ? std::sqrt(0.94 / 4.0) : std::sqrt(0.06 / 2.0));
      wave.step = Vec2{std::cos(turn), std::sin(turn)} * (kTwoPi / length_mm);
      wave.push = Vec2{std::cos(push), std::sin(push)} * peak;
      wave.phase = dice.uniform(0.0, kTwoPi);
    }
  }
  Vec2 moved(Vec2 p) const {
    Vec2 out = p;
    for (const Wave& w : waves_) out += w.push * std::sin(dot(w.step, p) + w.phase);
    return out;
  }
  // Where a small step `by` from p goes.
  Vec2 turned(Vec2 p, Vec2 by) const {
    Vec2 out = by;
    for (const Wave& w : waves_) {
      out += w.push * (std::cos(dot(w.step, p) + w.phase) * dot(w.step, by));
    }
    return out;
  }

 private:
  struct Wave {
    Vec2 step, push;
    double phase = 0.0;
  };
  std::array<Wave, 12> waves_;
};

// Ends and tangents follow the drift exactly; pieces are halved until the rest does too.
void append_wobbled(const Cubic& c, const Wobble& wobble, int depth, Path& path) {
  Cubic out;
  out.p0 = wobble.moved(c.p0);
  out.p3 = wobble.moved(c.p3);
  out.p1 = out.p0 + wobble.turned(c.p0, c.p1 - c.p0);
  out.p2 = out.p3 + wobble.turned(c.p3, c.p2 - c.p3);
  double worst = 0.0;
  for (const double t : {0.25, 0.5, 0.75}) {
    worst = std::max(worst, distance(out.at(t), wobble.moved(c.at(t))));
  }
  if (worst < 0.001 || depth == 0) {
    path.append(out);
    return;
  }
  const CubicPair halves = split(c, 0.5);
  append_wobbled(halves.before, wobble, depth - 1, path);
  append_wobbled(halves.after, wobble, depth - 1, path);
}

Path wobbled(const Path& path, const Wobble& wobble) {
  Path out;
  out.closed = path.closed;
  if (path.is_dot()) out.points.push_back(wobble.moved(path.points.front()));
  for (std::size_t i = 0; i < path.piece_count(); ++i) {
    append_wobbled(path.piece(i), wobble, 12, out);
  }
  return out;
}

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

void draw_stroke(
    Stroke& truth, const PencilOptions& options, const Tooth& tooth, Dice& dice, cv::Mat& bare) {
  const double px_per_mm = options.dpi / 25.4;
  const double length_mm = truth.path.length();
  const Pressure pressure(length_mm, truth.path.closed, dice);
  const double wanted_mm = truth.width_mm;
  const auto width_at = [&](double s_mm) {
    return wanted_mm * (1.0 + options.width_swing * pressure.at(s_mm));
  };
  constexpr int kSteps = 64;
  double sum = 0.0;
  for (int i = 0; i < kSteps; ++i) sum += width_at(length_mm * (i + 0.5) / kSteps);
  truth.width_mm = sum / kSteps;
  const auto steps = std::max(1L, std::lround(length_mm / kWidthStep_mm));
  truth.widths_mm.clear();
  for (long i = 0; i <= steps; ++i) {
    truth.widths_mm.push_back(width_at(length_mm * double(i) / double(steps)));
  }

  const Path path_px = transformed(truth.path, Affine::scale(px_per_mm));
  const double blur_px = Blur(options).at_edges;
  const double reach_px =
      wanted_mm * (1.0 + options.width_swing) / 2.0 * px_per_mm + coverage_reach_px(blur_px);
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
      const double height = tooth.at((pixel.x + 0.5) / px_per_mm, (pixel.y + 0.5) / px_per_mm);
      share *= 1.0 - options.grain * (1.0 - eased((height - floor) / 0.42 + 0.5));
    }
    lay(bare, pixel.x, pixel.y, share * options.darkness * (1.0 + options.pressure * press));
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

void add_smudges(const PencilOptions& options, const Tooth& tooth, Dice& dice, cv::Mat& bare) {
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

class Paper {
 public:
  explicit Paper(const PencilOptions& options)
      : options_(options),
        tooth_(options.seed),
        sheet_from_page_(
            Affine::turn_deg(-options.skew_deg) *
            Affine::translate({-options.page_width_mm / 2.0, -options.page_height_mm / 2.0})) {}

  double grey_at(double x_mm, double y_mm) const {
    const double u = x_mm / options_.page_width_mm;
    const double v = y_mm / options_.page_height_mm;
    double grey = options_.paper_grey;
    if (options_.paper_grain > 0.0) {
      // The tooth's own spread is about 0.15.
      grey += options_.paper_grain * (tooth_.at(x_mm, y_mm) - 0.5) / 0.15;
    }
    const Vec2 on_sheet = sheet_from_page_ * Vec2{x_mm, y_mm};
    if (options_.folds > 0) grey += fold_levels(on_sheet.y);
    if (options_.folds > 1) grey += fold_levels(on_sheet.x);
    const Vec2 from_lamp{(u - 0.38) / 0.72, (v - 0.3) / 0.78};
    grey *= 1.0 - options_.uneven_light * std::min(1.0, dot(from_lamp, from_lamp) / 1.55);
    if (options_.lid_edge_mm > 0.0) {
      const double inside = std::min(options_.page_width_mm - x_mm, options_.page_height_mm - y_mm);
      grey *= 0.22 + 0.78 * eased((inside - options_.lid_edge_mm) / 0.8 + 0.5);
    }
    return grey;
  }

 private:
  const PencilOptions& options_;
  Tooth tooth_;
  Affine sheet_from_page_;  // origin in the middle, unskewed
};

}  // namespace

PencilOptions PencilOptions::clean() {
  PencilOptions o;
  o.darkness = 1.0;
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
  require_between(paper_grey, 50.0, 255.0, "paper_grey", "");
  require_between(paper_grain, 0.0, 30.0, "paper_grain", "");
  require_between(uneven_light, 0.0, 0.9, "uneven_light", "");
  require_between(lid_edge_mm, 0.0, 30.0, "lid_edge_mm", "mm");
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

  page.truth = lines;
  if (options.wobble_mm > 0.0) {
    const Wobble wobble(options.wobble_mm, options.seed);
    for (Stroke& stroke : page.truth.strokes) stroke.path = wobbled(stroke.path, wobble);
    for (Area& area : page.truth.areas) {
      for (Path& ring : area.rings) ring = wobbled(ring, wobble);
    }
  }
  const Vec2 middle{options.page_width_mm / 2.0, options.page_height_mm / 2.0};
  page.truth = transformed(
      page.truth,
      Affine::translate(middle) * Affine::turn_deg(options.skew_deg) * Affine::translate(-middle));

  const Tooth tooth(options.seed);
  Dice dice(options.seed);
  cv::Mat bare(size, CV_32FC1, cv::Scalar(1));
  for (Stroke& stroke : page.truth.strokes) draw_stroke(stroke, options, tooth, dice, bare);
  for (const Area& area : transformed(page.truth, Affine::scale(page.px_per_mm)).areas) {
    cv::Mat covered = area_coverage(area, size);
    if (const double sigma_px = Blur(options).at_edges; sigma_px > 0.0) {
      cv::GaussianBlur(covered, covered, cv::Size(), sigma_px, sigma_px, cv::BORDER_REPLICATE);
    }
    bare = bare.mul(cv::Scalar(1) - options.darkness * covered);
  }
  add_specks(options, dice, bare);
  add_smudges(options, tooth, dice, bare);
  if (const double sigma_px = Blur(options).on_pixels; sigma_px > 0.0) {
    cv::GaussianBlur(bare, bare, cv::Size(), sigma_px, sigma_px, cv::BORDER_REPLICATE);
  }

  const bool plain = options.paper_grey >= 255.0 && options.darkness >= 1.0;
  const double graphite = plain ? 0.0 : kGraphiteGrey;
  const Paper paper(options);
  page.grey.create(size, CV_8UC1);
  parallel_for(static_cast<std::size_t>(size.height), [&](std::size_t row) {
    const int y = static_cast<int>(row);
    const auto* seen = bare.ptr<float>(y);
    auto* grey = page.grey.ptr<std::uint8_t>(y);
    for (int x = 0; x < size.width; ++x) {
      const double light = paper.grey_at((x + 0.5) / page.px_per_mm, (y + 0.5) / page.px_per_mm);
      double level = graphite + (light - graphite) * double(seen[x]);
      if (options.noise > 0.0) {
        const auto key = (static_cast<std::uint64_t>(options.seed) << 40) ^
                         (row * static_cast<std::uint64_t>(size.width) + std::uint64_t(x));
        level += options.noise * double(bell(key));
      }
      grey[x] = cv::saturate_cast<std::uint8_t>(level);
    }
  });
  return page;
}

}  // namespace underdraw::test
