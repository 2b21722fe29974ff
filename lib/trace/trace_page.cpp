#include "trace/trace_page.h"

#include <algorithm>
#include <mutex>
#include <numeric>

#include <fmt/format.h>
#include <opencv2/imgproc.hpp>

#include "core/error.h"
#include "core/parallel.h"
#include "scan/clear_page.h"
#include "scan/find_sketches.h"
#include "scan/ink_density.h"
#include "scan/paper_light.h"
#include "scan/shrink_page.h"
#include "trace/fit_cubics.h"
#include "trace/follow_strokes.h"
#include "trace/ink_mask.h"
#include "trace/median.h"
#include "trace/polish_strokes.h"
#include "trace/take_areas.h"
#include "trace/take_dots.h"
#include "trace/thin.h"

namespace underdraw {
namespace {

// Pencil grain, not pixels, limits how well a line's middle is known: beyond this resolution a
// finer scan only costs time, so it is averaged down first.
constexpr double kWorkDpi = 320.0;
constexpr double kMarginMm = 1.2;      // paper kept around a sketch
constexpr double kMostInk = 0.5;       // of the page; more is no line drawing
constexpr double kShadowMm = 8.0;      // a shadow's line is shorter than this
constexpr double kShadowDepth = 0.25;  // and less dark than this share of the drawing's lines
constexpr double kShortestMm = 0.6;    // a loose line below this is a crumb of graphite

// Ink near other sketches is wiped from this one's window.
void wipe_others(cv::Mat& density,
                 const PaperLight& light,
                 const SketchRegions& regions,
                 const cv::Rect& window,
                 int sketch) {
  for (int y = 0; y < density.rows; ++y) {
    const int* label =
        regions.labels.ptr<int>(std::min((window.y + y) / light.shrink, regions.labels.rows - 1));
    float* d = density.ptr<float>(y);
    for (int x = 0; x < density.cols; ++x) {
      if (label[std::min((window.x + x) / light.shrink, regions.labels.cols - 1)] != sketch + 1) {
        d[x] = 0.0F;
      }
    }
  }
}

// Short lines far fainter than the drawing are grain in a smudge.
void drop_shadows(std::vector<FittedStroke>& strokes, double px_per_mm) {
  std::vector<double> depths;  // one a px of line, so that long lines count for more
  for (const FittedStroke& s : strokes) {
    depths.insert(depths.end(), static_cast<std::size_t>(s.path.length()), s.depth);
  }
  const double usual = median(std::move(depths));
  std::erase_if(strokes, [&](const FittedStroke& s) {
    return s.path.length() < kShadowMm * px_per_mm && s.depth < kShadowDepth * usual;
  });
}

TracedSketch trace_sketch(const Page& page,
                          const PaperLight& light,
                          const SketchRegions& regions,
                          std::size_t sketch,
                          const TraceOptions& options) {
  // Steers sizes in px only. Rounded, so that the same pixels give the same lines from any file,
  // however many digits of resolution it states.
  const double px_per_mm = std::round(page.dpi() / 25.4 * 100.0) / 100.0;
  const int margin = static_cast<int>(std::ceil(kMarginMm * px_per_mm));
  cv::Rect window = regions.boxes[sketch];
  window -= cv::Point(margin, margin);
  window += cv::Size(2 * margin, 2 * margin);
  window &= cv::Rect(0, 0, page.grey.cols, page.grey.rows);

  cv::Mat density = ink_density(page, light, window);
  wipe_others(density, light, regions, window, static_cast<int>(sketch));
  // Coarse px average many page px, so the noise of one page px is larger by about that factor.
  InkMask ink = find_ink(density, {.px_per_mm = px_per_mm, .noise = light.noise * light.shrink});
  density.release();
  const std::vector<InkDot> dots = take_dots(ink, {.px_per_mm = px_per_mm});
  Thinned thinned = thin(ink.ink);
  const std::vector<InkArea> areas = take_areas(ink, thinned, {.px_per_mm = px_per_mm});

  const std::vector<StrokeLine> lines =
      follow_strokes(make_stroke_graph(thinned), ink.smooth, px_per_mm);

  TracedSketch out;
  const Vec2 corner{static_cast<double>(window.x), static_cast<double>(window.y)};
  const auto page_mm = [&](Path path) {
    for (Vec2& p : path.points) p = page.mm_from_px(p + corner);
    return path;
  };
  const double tolerance = options.tolerance_mm * px_per_mm;
  const PolishOptions polish{.px_per_mm = px_per_mm, .tolerance = tolerance};
  std::vector<FittedStroke> strokes;
  for (const StrokeLine& line : lines) {
    if (line.points.size() > 1 && !line.closed &&
        polyline_length(line.points) < kShortestMm * px_per_mm) {
      continue;
    }
    FittedStroke& stroke = strokes.emplace_back();
    stroke.width = line.width;
    stroke.path = fit_cubics(line.points,
                             line.corners,
                             line.closed,
                             fit_for_pen(line.width, Closeness::rough, polish),
                             line.weights);
  }
  // The second time every line knows better where the others run.
  polish_strokes(strokes, ink.smooth, Closeness::rough, polish);
  polish_strokes(strokes, ink.smooth, Closeness::fine, polish);
  drop_shadows(strokes, px_per_mm);
  for (const FittedStroke& stroke : strokes) {
    Stroke drawn{page_mm(stroke.path), stroke.width / px_per_mm, stroke.widths};
    for (double& width : drawn.widths_mm) width /= px_per_mm;
    out.lines.strokes.push_back(std::move(drawn));
  }
  for (const InkArea& area : areas) {
    Area drawn;
    for (const InkRing& ring : area.rings) {
      drawn.rings.push_back(page_mm(
          fit_cubics(ring.points, ring.corners, true, fit_for_pen(0.0, Closeness::fine, polish))));
    }
    out.lines.areas.push_back(std::move(drawn));
  }
  for (const InkDot& dot : dots) {
    Path path;
    path.points = {page.mm_from_px(dot.at + corner)};
    out.lines.strokes.push_back({path, dot.width / px_per_mm});
  }
  out.box = out.lines.ink_box();
  return out;
}

// Says what was taken for writing, so that no drawing loses a part unseen.
std::string caption_warning(const Page& page,
                            const std::vector<PageCaption>& captions,
                            Captions choice) {
  constexpr std::size_t kMostPlaces = 12;
  std::string places;
  for (std::size_t i = 0; i < std::min(captions.size(), kMostPlaces); ++i) {
    const Vec2 at = captions[i].box.min;
    places += fmt::format("{}{:.0f} / {:.0f}", i == 0 ? "" : ", ", at.x, at.y);
  }
  if (captions.size() > kMostPlaces) places += ", ...";
  return fmt::format("{}: page {} has {} caption{} at {} mm from the left / top: {}",
                     page.file,
                     page.number,
                     captions.size(),
                     captions.size() == 1 ? "" : "s",
                     places,
                     choice == Captions::keep
                         ? "traced with the sketches (captions skip leaves them out)"
                         : "left out (captions keep traces them)");
}

}  // namespace

void TraceOptions::validate() const {
  require_between(tolerance_mm, 0.005, 1.0, "tolerance", "mm");
  require_between(apart_mm, 1.0, 100.0, "apart", "mm");
}

TracedPage trace_page(const Page& scan, const TraceOptions& options, const Progress& progress) {
  options.validate();
  TracedPage out;
  out.width_mm = scan.width_mm();
  out.height_mm = scan.height_mm();
  report(progress, "finding ink", 0.0);
  const int times = std::max(1, static_cast<int>(std::lround(scan.dpi() / kWorkDpi)));
  Page page = shrink_page(scan, times);
  PaperLight light = paper_light(page);
  if (!options.keep_ruling) {
    ClearedPage cleared = clear_page(page, light);
    page = std::move(cleared.page);
    light = std::move(cleared.light);
    if (cleared.colour_lifted) {
      out.warnings.push_back(
          fmt::format("{}: page {} has colour beside its pencil lines: taken for guides or stains "
                      "and left out; --ruling keep traces it",
                      scan.file,
                      scan.number));
    }
  }
  const SketchRegions regions =
      find_sketches(page, light, {.apart_mm = options.apart_mm, .captions = options.captions});
  if (regions.ink_share > kMostInk || cv::mean(light.light)[0] < 40.0) {
    throw InputError({.file = page.file,
                      .line = {},
                      .found = fmt::format("page {} is dark all over", page.number),
                      .expected = "dark lines on light paper",
                      .remedy = "scan it again, face down on the glass and with the lamp on"});
  }
  std::vector<TracedSketch> traced(regions.boxes.size());
  std::size_t done = 0;
  std::mutex progress_mutex;
  // The largest first, so that no core is left alone with it in the end.
  std::vector<std::size_t> order(traced.size());
  std::iota(order.begin(), order.end(), std::size_t{0});
  std::stable_sort(order.begin(), order.end(), [&](std::size_t a, std::size_t b) {
    return regions.boxes[a].area() > regions.boxes[b].area();
  });
  parallel_for(order.size(), [&](std::size_t k) {
    const std::size_t i = order[k];
    traced[i] = trace_sketch(page, light, regions, i, options);
    const std::lock_guard lock(progress_mutex);
    report(progress, "tracing", static_cast<double>(++done) / static_cast<double>(traced.size()));
  });
  std::vector<std::optional<std::size_t>> place(traced.size());  // in out.sketches
  for (std::size_t i = 0; i < traced.size(); ++i) {
    if (traced[i].lines.empty()) continue;
    if (i < regions.sketch_count) place[i] = out.sketches.size();
    (i < regions.sketch_count ? out.sketches : out.loose).push_back(std::move(traced[i]));
  }
  for (const FoundCaption& caption : regions.captions) {
    const Vec2 low(caption.box.x, caption.box.y);
    const Vec2 high(caption.box.br().x, caption.box.br().y);
    out.captions.push_back({{page.mm_from_px(low), page.mm_from_px(high)},
                            caption.sketch ? place[*caption.sketch] : std::nullopt});
  }
  if (!out.captions.empty()) {
    out.warnings.push_back(caption_warning(scan, out.captions, options.captions));
  }
  if (!out.loose.empty()) {
    const Vec2 at = out.loose.front().box.centre();
    out.warnings.push_back(
        fmt::format("{}: page {} has {} small mark{} far from any sketch, the first {:.0f} mm from "
                    "the left and {:.0f} mm from the top: part of no sketch",
                    scan.file,
                    scan.number,
                    out.loose.size(),
                    out.loose.size() == 1 ? "" : "s",
                    at.x,
                    at.y));
  }
  if (out.sketches.empty()) {
    throw InputError({.file = page.file,
                      .line = {},
                      .found = fmt::format("page {} has no lines on it", page.number),
                      .expected = "sketches at least 3 mm large",
                      .remedy = "check which side was scanned, or scan darker"});
  }
  return out;
}

}  // namespace underdraw
