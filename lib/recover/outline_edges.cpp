#include "recover/outline_edges.h"

#include <algorithm>
#include <cmath>

namespace underdraw {
namespace {

constexpr double kSideMm = 1.4;  // on both sides of an edge, what is compared
constexpr double kGapMm = 0.2;   // between them: the edge's own blur
constexpr double kBlurMm = 0.4;  // an edge's own width, half
constexpr double kFarMm = 1.1;
constexpr double kShadowMm = 1.8;        // wider ones are edges of their own
constexpr double kLeastShadowMm = 0.35;  // less is blur
constexpr float kLikePiece = 0.35f;      // log of tone: shading towards the limb is as much
constexpr float kUnlike = 0.15f;         // the two sides of a clear edge
constexpr float kDark = 0.04f;           // added before the logarithm
constexpr double kLeastScore = 0.15;

// The photo's colours along the normal, log of tone.
std::vector<cv::Vec3f> colours_across(
    const cv::Mat& picture, const OutlinePlace& place, double from_mm, double step_mm, int count) {
  std::vector<cv::Vec3f> out;
  out.reserve(static_cast<std::size_t>(count));
  for (int i = 0; i < count; ++i) {
    const Vec2 px = place.px + place.outward * ((from_mm + i * step_mm) * place.px_per_mm);
    const double x = std::clamp(px.x - 0.5, 0.0, picture.cols - 1.001);
    const double y = std::clamp(px.y - 0.5, 0.0, picture.rows - 1.001);
    const int c = static_cast<int>(x);
    const int r = static_cast<int>(y);
    const auto u = static_cast<float>(x - c);
    const auto v = static_cast<float>(y - r);
    const auto* top = picture.ptr<cv::Vec3b>(r) + c;
    const auto* low = picture.ptr<cv::Vec3b>(std::min(r + 1, picture.rows - 1)) + c;
    cv::Vec3f colour;
    for (int k = 0; k < 3; ++k) {
      const float upper =
          static_cast<float>(top[0][k]) * (1.0f - u) + static_cast<float>(top[1][k]) * u;
      const float lower =
          static_cast<float>(low[0][k]) * (1.0f - u) + static_cast<float>(low[1][k]) * u;
      colour[k] = std::log((upper * (1.0f - v) + lower * v) / 255.0f + kDark);
    }
    out.push_back(colour);
  }
  return out;
}

cv::Vec3f median_colour(std::vector<cv::Vec3f> colours) {
  cv::Vec3f out;
  for (int k = 0; k < 3; ++k) {
    const auto middle = colours.begin() + static_cast<std::ptrdiff_t>(colours.size() / 2);
    std::nth_element(colours.begin(), middle, colours.end(), [k](const auto& a, const auto& b) {
      return a[k] < b[k];
    });
    out[k] = (*middle)[k];
  }
  return out;
}

float unlike(cv::Vec3f a, cv::Vec3f b) {
  const cv::Vec3f d = a - b;
  return std::sqrt(d.dot(d) / 3.0f);
}

// The edge near an offset, as light that passes half way from one side's mean to the other's: blur
// does not move it.
double half_way(const OutlineEdges& edges, double offset_mm) {
  const int last = static_cast<int>(edges.light.size()) - 1;
  const auto index = [&](double mm) {
    return edges.margin + static_cast<int>(std::lround((mm + edges.reach_mm) / edges.step_mm));
  };
  const auto mean = [&](double from_mm, double to_mm) {
    cv::Vec3f sum;
    int count = 0;
    for (int i = std::max(0, index(from_mm)); i <= std::min(last, index(to_mm)); ++i, ++count) {
      sum += edges.light[static_cast<std::size_t>(i)];
    }
    return sum * (1.0f / static_cast<float>(std::max(1, count)));
  };
  const cv::Vec3f inner = mean(offset_mm - kFarMm, offset_mm - kBlurMm);
  const cv::Vec3f outer = mean(offset_mm + kBlurMm, offset_mm + kFarMm);
  const cv::Vec3f axis = outer - inner;
  const float half = 0.5f * axis.dot(inner + outer);
  double best = offset_mm;
  double nearest = kFarMm;
  for (int i = std::max(0, index(offset_mm - kFarMm));
       i < std::min(last, index(offset_mm + kFarMm));
       ++i) {
    const float here = axis.dot(edges.light[static_cast<std::size_t>(i)]) - half;
    const float next = axis.dot(edges.light[static_cast<std::size_t>(i) + 1]) - half;
    if (here > 0.0f || next <= 0.0f) continue;
    const double at =
        (i - edges.margin + static_cast<double>(here / (here - next))) * edges.step_mm -
        edges.reach_mm;
    if (std::abs(at - offset_mm) >= nearest) continue;
    nearest = std::abs(at - offset_mm);
    best = at;
  }
  return best;
}

// Where the piece ends before an edge: a narrow shadow beside it has its brightness, but not its
// colour. The edge's own offset where there is none.
double before_shadow(const OutlineEdges& edges, double offset_mm) {
  const auto colour = [&](double mm) {
    const int i =
        edges.margin + static_cast<int>(std::lround((mm + edges.reach_mm) / edges.step_mm));
    const int last = static_cast<int>(edges.light.size()) - 1;
    cv::Vec3f out = edges.light[static_cast<std::size_t>(std::clamp(i, 0, last))];
    for (int k = 0; k < 3; ++k) out[k] = std::log(out[k] + kDark);
    return out;
  };
  const cv::Vec3f inner = colour(offset_mm - kShadowMm);
  const float half = 0.5f * unlike(inner, colour(offset_mm + 0.5 * (kBlurMm + kFarMm)));
  double at = offset_mm;
  while (at > offset_mm - kShadowMm && unlike(inner, colour(at)) > half) at -= edges.step_mm;
  return offset_mm - at > kLeastShadowMm && offset_mm - at < kShadowMm - kBlurMm ? at : offset_mm;
}

}  // namespace

OutlineEdges edges_across(const cv::Mat& picture, const OutlinePlace& place, double reach_mm) {
  OutlineEdges out;
  out.reach_mm = reach_mm;
  const int side = static_cast<int>(std::lround(kSideMm / out.step_mm));
  const int gap = static_cast<int>(std::lround(kGapMm / out.step_mm));
  const int count = 2 * static_cast<int>(std::lround(reach_mm / out.step_mm)) + 1;
  const int margin = side + gap;
  // What the piece looks like here is read beyond the reach: inside whatever the standing is.
  const std::vector<cv::Vec3f> colours = colours_across(
      picture, place, -reach_mm - margin * out.step_mm, out.step_mm, count + 2 * margin);
  out.margin = margin;
  for (const cv::Vec3f& c : colours) {
    cv::Vec3f light;
    for (int k = 0; k < 3; ++k) light[k] = std::pow(std::exp(c[k]), 2.2f);  // near enough to sRGB
    out.light.push_back(light);
  }
  const cv::Vec3f piece =
      median_colour({colours.begin(), colours.begin() + std::max(margin, count / 4)});
  std::vector<cv::Vec3f> sums(colours.size() + 1);
  for (std::size_t i = 0; i < colours.size(); ++i) sums[i + 1] = sums[i] + colours[i];
  const auto mean = [&](int from, int to) {
    return (sums[static_cast<std::size_t>(to)] - sums[static_cast<std::size_t>(from)]) *
           (1.0f / static_cast<float>(to - from));
  };
  out.score.resize(static_cast<std::size_t>(count));
  for (int i = 0; i < count; ++i) {
    const int at = i + margin;
    const cv::Vec3f inner = mean(at - gap - side, at - gap);
    const cv::Vec3f outer = mean(at + gap, at + gap + side);
    const float like = unlike(inner, piece) / kLikePiece;
    const float edge = unlike(inner, outer) / kUnlike;
    out.score[static_cast<std::size_t>(i)] =
        std::exp(-like * like) * (1.0f - std::exp(-edge * edge));
  }
  return out;
}

std::optional<double> edge_near(const OutlineEdges& edges, double gate_mm) {
  const int count = static_cast<int>(edges.score.size());
  int best = -1;
  double most = kLeastScore;
  for (int i = 1; i + 1 < count; ++i) {
    const double offset = i * edges.step_mm - edges.reach_mm;
    const double near = offset / gate_mm;
    const double score = static_cast<double>(edges.score[static_cast<std::size_t>(i)]) *
                         std::exp(-0.5 * near * near);
    if (score <= most) continue;
    most = score;
    best = i;
  }
  if (best < 0) return {};
  // Sub-pixel: where light is half way between its two sides.
  double offset = best * edges.step_mm - edges.reach_mm;
  for (int round = 0; round < 3; ++round) offset = half_way(edges, offset);
  return before_shadow(edges, offset);
}

}  // namespace underdraw
