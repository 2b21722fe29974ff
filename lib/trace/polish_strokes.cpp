#include "trace/polish_strokes.h"

#include <algorithm>
#include <cmath>

#include "trace/fit_cubics.h"
#include "trace/measure_line.h"
#include "trace/median.h"
#include "trace/read_runs.h"
#include "trace/stroke_places.h"
#include "trace/value_at.h"

namespace underdraw {
namespace {

constexpr double kWidthEveryMm = 0.5;  // between the pen widths that are kept
constexpr double kInk = 0.3;           // share of a line's darkness; less is bare paper
constexpr double kBareMm = 0.4;        // grain leaves a pencil line bare for so long
constexpr double kEvenOverMm = 0.5;    // a line is judged over this length
constexpr double kBroadMm = 0.8;       // a pen wider than this is judged more broadly
constexpr int kRoughRounds = 3;
constexpr double kWidthOverMm = 0.5;  // they are averaged over this far to either side

// Pen widths at equal steps of length from single readings, gaps bridged.
std::vector<double> even_widths(const Places& places,
                                const std::vector<LineReading>& readings,
                                double px_per_mm) {
  const std::size_t count =
      2 + static_cast<std::size_t>(places.length / (kWidthEveryMm * px_per_mm));
  const double reach = kWidthOverMm * px_per_mm;
  std::vector<double> out(count, 0.0);
  std::size_t from = 0;
  for (std::size_t k = 0; k < count; ++k) {
    const double at = places.length * static_cast<double>(k) / static_cast<double>(count - 1);
    while (from < places.so_far.size() && places.so_far[from] < at - reach) ++from;
    std::vector<double> near;
    for (std::size_t i = from; i < places.so_far.size() && places.so_far[i] <= at + reach; ++i) {
      const LinePlace& p = places.list[i];
      const bool alone = p.left_free() && p.right_free();
      if (alone && readings[i].width > 0.0) near.push_back(readings[i].width);
    }
    if (near.size() >= 3) out[k] = median(std::move(near));
  }
  // Unread stretches take the nearest width that was read.
  std::vector<double> filled = out;
  for (std::size_t k = 0; k < count; ++k) {
    for (std::size_t d = 0; filled[k] <= 0.0 && d < count; ++d) {
      if (k >= d && out[k - d] > 0.0)
        filled[k] = out[k - d];
      else if (k + d < count && out[k + d] > 0.0)
        filled[k] = out[k + d];
    }
  }
  if (filled.front() <= 0.0) filled.clear();
  return filled;
}

double mean_of(const std::vector<double>& values) {
  double sum = 0.0;
  for (const double v : values) sum += v;
  return sum / static_cast<double>(values.size());
}

double median_density(const cv::Mat& smooth, const Places& places) {
  std::vector<double> values;
  for (const LinePlace& p : places.list) {
    values.push_back(static_cast<double>(value_at(smooth, p.at)));
  }
  return median(std::move(values));
}

// The longest stretch, px, in which places about a px apart are lighter than ink.
double longest_bare(const cv::Mat& smooth, const std::vector<Vec2>& places, double ink) {
  double longest = 0.0;
  double now = 0.0;
  for (std::size_t i = 1; i < places.size(); ++i) {
    const bool bare = static_cast<double>(value_at(smooth, places[i])) < ink;
    now = bare ? now + distance(places[i - 1], places[i]) : 0.0;
    longest = std::max(longest, now);
  }
  return longest;
}

}  // namespace

FitOptions fit_for_pen(double width, Closeness closeness, const PolishOptions& options) {
  const double broad = std::max(1.0, width / (kBroadMm * options.px_per_mm));
  const double even_over = kEvenOverMm * options.px_per_mm * broad;
  const bool rough = closeness == Closeness::rough;
  return {.tolerance = options.tolerance * broad,
          .even_over = even_over,
          .gather = even_over / (rough ? 3.0 : 4.0),
          .rounds = rough ? kRoughRounds : FitOptions{}.rounds};
}

void polish_strokes(std::vector<FittedStroke>& strokes,
                    const cv::Mat& smooth,
                    Closeness closeness,
                    const PolishOptions& options) {
  std::vector<Places> places;
  places.reserve(strokes.size());
  for (const FittedStroke& stroke : strokes) places.push_back(places_of(stroke));
  const PlaceGrid grid(places);
  mark_neighbours(places, grid);
  std::vector<std::vector<LineReading>> readings;
  for (std::size_t s = 0; s < strokes.size(); ++s) {
    readings.push_back(
        measure_line(smooth,
                     places[s].list,
                     {.stretch_px = 0.3 * options.px_per_mm, .ring = strokes[s].path.closed}));
  }
  const std::vector<ReadLine> lines = read_runs(smooth, places, grid, readings);
  for (std::size_t s = 0; s < strokes.size(); ++s) {
    if (lines[s].points.empty()) continue;
    FittedStroke& stroke = strokes[s];
    stroke.widths = even_widths(places[s], readings[s], options.px_per_mm);
    if (!stroke.widths.empty()) stroke.width = mean_of(stroke.widths);
    std::vector<double> depths;
    for (const LineReading& r : readings[s]) depths.push_back(r.depth);
    stroke.depth = median(std::move(depths));
    Path path = fit_cubics(lines[s].points,
                           lines[s].corners,
                           stroke.path.closed,
                           fit_for_pen(stroke.width, closeness, options),
                           lines[s].weights);
    // What was read must not lead the line over bare paper where it was on ink before.
    const double ink = kInk * median_density(smooth, places[s]);
    const double bare = longest_bare(smooth, sample(path, 1.0), ink);
    if (bare > kBareMm * options.px_per_mm &&
        bare > 1.2 * longest_bare(smooth, sample(stroke.path, 1.0), ink)) {
      continue;
    }
    stroke.path = std::move(path);
  }
}

}  // namespace underdraw
