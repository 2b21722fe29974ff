#include "io/show_trace.h"

#include <algorithm>
#include <cmath>
#include <cstdint>
#include <functional>
#include <numbers>
#include <utility>

#include <fmt/format.h>
#include <opencv2/imgproc.hpp>

#include "geometry/meetings.h"
#include "io/cairo_canvas.h"

namespace underdraw {
namespace {

constexpr double kMostPxPerMm = 12.0;
constexpr double kPageSidePx = 3400.0;  // of the page itself; the legend comes below it
constexpr double kLeastUnitPx = 13.0;   // of letters and marks, however small the page
constexpr double kPaleness = 0.52;      // share of the scan's darkness that is left

struct Colour {
  double red, green, blue;
};
// Dark enough on white, and no two alike in lightness and hue for any common kind of colour
// blindness; shapes tell the marks apart all the same.
constexpr Colour kLine{0.05, 0.22, 0.52};
constexpr Colour kBand{0.10, 0.50, 0.95};
constexpr Colour kMeeting{0.80, 0.26, 0.02};
constexpr Colour kLoose{0.45, 0.05, 0.45};
constexpr Colour kDot{0.00, 0.42, 0.30};
constexpr Colour kArea{0.52, 0.34, 0.00};
constexpr Colour kFrame{0.38, 0.42, 0.48};
constexpr Colour kInk{0.12, 0.14, 0.18};
constexpr Colour kPaper{0.975, 0.975, 0.965};
constexpr Colour kWhite{1.0, 1.0, 1.0};

struct Found {
  Linework all;  // sketches and loose marks
  LineEnds ends;
  std::size_t dots = 0;
  double median_pen_mm = 0.0;  // half of the length is drawn wider
};

Found found_on(const TracedPage& traced) {
  Found found;
  for (const TracedSketch& sketch : traced.sketches) found.all.append(sketch.lines);
  for (const TracedSketch& mark : traced.loose) found.all.append(mark.lines);
  found.ends = find_line_ends(found.all);
  std::erase_if(found.ends.meetings, [](const Meeting& m) { return m.arms < 3; });
  std::vector<std::pair<double, double>> pens;  // width, length
  double length = 0.0;
  for (const Stroke& stroke : found.all.strokes) {
    if (stroke.path.is_dot()) {
      ++found.dots;
    } else {
      pens.emplace_back(stroke.width_mm, stroke.path.length());
      length += pens.back().second;
    }
  }
  std::sort(pens.begin(), pens.end());
  double below = 0.0;
  for (const auto& [width, share] : pens) {
    found.median_pen_mm = width;
    below += share;
    if (below >= length / 2.0) break;
  }
  return found;
}

std::string counted(std::size_t count, const std::string& one, const std::string& several) {
  return fmt::format("{} {}", count, count == 1 ? one : several);
}

std::vector<std::string> facts_of(const TracedPage& traced, const Found& found) {
  const std::size_t lines = found.all.strokes.size() - found.dots;
  std::vector<std::string> facts = {
      counted(traced.sketches.size(), "sketch", "sketches"),
      fmt::format(
          "{} of {:.0f} cm", counted(lines, "line", "lines"), found.all.length_mm() / 10.0)};
  if (lines > 0) facts.push_back(fmt::format("pen {:.2f} mm wide", found.median_pen_mm));
  facts.push_back(counted(found.ends.meetings.size(), "meeting", "meetings"));
  facts.push_back(counted(found.ends.loose.size(), "loose end", "loose ends"));
  facts.push_back(counted(found.dots, "dot", "dots"));
  facts.push_back(counted(found.all.areas.size(), "solid area", "solid areas"));
  if (!traced.captions.empty()) {
    facts.push_back(counted(traced.captions.size(), "caption", "captions"));
  }
  if (!traced.loose.empty()) {
    facts.push_back(counted(traced.loose.size(), "mark", "marks") + " outside all sketches");
  }
  return facts;
}

void set_colour(cairo_t* context, Colour colour, double alpha = 1.0) {
  cairo_set_source_rgba(context, colour.red, colour.green, colour.blue, alpha);
}

// The scan's darkness made lighter, at the picture's size.
cv::Mat paled(const Page& page, int width, int height) {
  cv::Mat small;
  const bool shrinks = width < page.grey.cols;
  cv::resize(
      page.grey, small, {width, height}, 0.0, 0.0, shrinks ? cv::INTER_AREA : cv::INTER_LINEAR);
  small.convertTo(small, CV_8U, kPaleness, 255.0 * (1.0 - kPaleness));
  return small;
}

// Of the surface's own pixels, from (left, 0).
void paint_scan(cairo_surface_t* surface, const cv::Mat& grey, int left) {
  cairo_surface_flush(surface);
  unsigned char* data = cairo_image_surface_get_data(surface);
  const int stride = cairo_image_surface_get_stride(surface);
  for (int y = 0; y < grey.rows; ++y) {
    auto* row = reinterpret_cast<std::uint32_t*>(data + static_cast<std::ptrdiff_t>(y) * stride);
    const uchar* from = grey.ptr<uchar>(y);
    for (int x = 0; x < grey.cols; ++x) row[left + x] = 0x010101U * from[x];
  }
  cairo_surface_mark_dirty(surface);
}

// Draws in px; lines come in mm.
class Picture {
 public:
  // `unit` is the size of marks and letters, px: about a hundredth of the longer side.
  Picture(cairo_t* context, double px_per_mm, double unit)
      : context_(context), px_per_mm_(px_per_mm), unit_(unit) {}

  void lines(const Linework& all) {
    // Bands are painted as one layer: where they overlap they are no darker.
    cairo_push_group(context_);
    set_colour(context_, kBand);
    round_lines();
    for (const Stroke& stroke : all.strokes) {
      if (!stroke.path.is_dot()) band(stroke);
    }
    cairo_pop_group_to_source(context_);
    cairo_paint_with_alpha(context_, 0.40);
    for (const Area& area : all.areas) hatched(area);
    set_colour(context_, kLine);
    cairo_set_line_width(context_, std::max(1.4, 0.045 * unit_));
    for (const Stroke& stroke : all.strokes) {
      if (!stroke.path.is_dot()) course(stroke.path);
    }
    cairo_stroke(context_);
  }

  void marks(const Found& found) {
    for (const Meeting& meeting : found.ends.meetings) ring(px(meeting.at));
    for (const Vec2 end : found.ends.loose) square(px(end));
    for (const Stroke& stroke : found.all.strokes) {
      if (!stroke.path.is_dot()) continue;
      diamond(px(stroke.path.points.front()), stroke.width_mm * px_per_mm_ / 2.0);
    }
  }

  void frame(const Box& box, bool dotted) {
    frame_px(Box{px(box.min), px(box.max)}.grown(0.7 * unit_), dotted);
  }

  void frame_px(const Box& b, bool dotted) {
    cairo_rectangle(context_, b.min.x, b.min.y, b.width(), b.height());
    const std::vector<double> dashes = dotted ? std::vector<double>{0.01, 0.35 * unit_}
                                              : std::vector<double>{0.6 * unit_, 0.35 * unit_};
    set_colour(context_, kFrame);
    cairo_set_line_width(context_, (dotted ? 0.12 : 0.07) * unit_);
    cairo_set_line_cap(context_, CAIRO_LINE_CAP_ROUND);
    cairo_set_dash(context_, dashes.data(), 2, 0.0);
    cairo_stroke(context_);
    cairo_set_dash(context_, nullptr, 0, 0.0);
  }

  // The name on a tab that stands on the frame's upper left corner, or hangs in it at the page's
  // edge.
  void label(const Box& box, const std::string& name) {
    const std::string text = readable(name);
    const double size = 1.15 * unit_;
    set_font(context_, text, size, true);
    const double width = advance(context_, text) + 0.8 * unit_;
    const double height = 1.6 * size;
    const Vec2 corner = px(box.min) - Vec2{0.7 * unit_, 0.7 * unit_};
    const double top = corner.y < height ? std::max(0.0, corner.y) : corner.y - height;
    const double left = std::max(0.0, corner.x);
    set_colour(context_, kFrame);
    cairo_rectangle(context_, left, top, width, height);
    cairo_fill(context_);
    set_colour(context_, kWhite);
    cairo_move_to(context_, left + 0.4 * unit_, top + 1.15 * size);
    cairo_show_text(context_, text.c_str());
  }

  void ring(Vec2 at) {
    cairo_new_path(context_);
    cairo_arc(context_, at.x, at.y, 0.19 * unit_, 0.0, 2.0 * std::numbers::pi);
    outline(kMeeting);
  }

  void square(Vec2 at) {
    const double half = 0.15 * unit_;
    cairo_rectangle(context_, at.x - half, at.y - half, 2.0 * half, 2.0 * half);
    outline(kLoose);
  }

  void diamond(Vec2 at, double radius) {
    const double reach = radius + 0.22 * unit_;
    cairo_move_to(context_, at.x, at.y - reach);
    cairo_line_to(context_, at.x + reach, at.y);
    cairo_line_to(context_, at.x, at.y + reach);
    cairo_line_to(context_, at.x - reach, at.y);
    cairo_close_path(context_);
    outline(kDot);
    set_colour(context_, kDot);
    cairo_arc(context_, at.x, at.y, std::max(1.5, 0.4 * radius), 0.0, 2.0 * std::numbers::pi);
    cairo_fill(context_);
  }

  // As the paled scan shows a pencil line.
  void pencil(Vec2 at) {
    const double grey = 1.0 - 0.6 * kPaleness;
    set_colour(context_, {grey, grey, grey});
    round_lines();
    cairo_set_line_width(context_, 0.22 * unit_);
    cairo_move_to(context_, at.x - 0.9 * unit_, at.y);
    cairo_line_to(context_, at.x + 0.9 * unit_, at.y);
    cairo_stroke(context_);
  }

  // Diagonals inside, a line round it.
  void hatched(const Area& area) {
    Box box;
    cairo_new_path(context_);
    for (const Path& ring : area.rings) {
      course(ring);
      box.add(ring.box());
    }
    cairo_set_fill_rule(context_, CAIRO_FILL_RULE_EVEN_ODD);
    cairo_save(context_);
    set_colour(context_, kArea, 0.22);
    cairo_fill_preserve(context_);
    cairo_path_t* outlines = cairo_copy_path(context_);
    cairo_clip(context_);
    const Vec2 a = px(box.min);
    const Vec2 b = px(box.max);
    const double step = 0.3 * unit_;
    for (double x = a.x - (b.y - a.y); x < b.x; x += step) {
      cairo_move_to(context_, x, b.y);
      cairo_line_to(context_, x + (b.y - a.y), a.y);
    }
    set_colour(context_, kArea, 0.8);
    cairo_set_line_width(context_, 0.06 * unit_);
    cairo_stroke(context_);
    cairo_restore(context_);
    cairo_append_path(context_, outlines);
    cairo_path_destroy(outlines);
    set_colour(context_, kArea);
    cairo_set_line_width(context_, std::max(1.6, 0.07 * unit_));
    cairo_stroke(context_);
  }

 private:
  Vec2 px(Vec2 mm) const { return mm * px_per_mm_; }

  void round_lines() {
    cairo_set_line_cap(context_, CAIRO_LINE_CAP_ROUND);
    cairo_set_line_join(context_, CAIRO_LINE_JOIN_ROUND);
  }

  void course(const Path& path) {
    add_path(context_, transformed(path, Affine::scale(px_per_mm_)));
  }

  void band(const Stroke& stroke) {
    cairo_new_path(context_);
    if (stroke.widths_mm.size() < 2) {
      cairo_set_line_width(context_, stroke.width_mm * px_per_mm_);
      course(stroke.path);
      cairo_stroke(context_);
      return;
    }
    const std::vector<Vec2> points = sample(stroke.path, 0.15);
    const double last = static_cast<double>(std::max<std::size_t>(points.size(), 2) - 1);
    const std::vector<double>& widths = stroke.widths_mm;
    for (std::size_t i = 0; i + 1 < points.size(); ++i) {
      const double place =
          (static_cast<double>(i) + 0.5) / last * static_cast<double>(widths.size() - 1);
      const std::size_t k = std::min(static_cast<std::size_t>(place), widths.size() - 2);
      const double width = std::lerp(widths[k], widths[k + 1], place - static_cast<double>(k));
      cairo_set_line_width(context_, width * px_per_mm_);
      const Vec2 from = px(points[i]);
      const Vec2 to = px(points[i + 1]);
      cairo_move_to(context_, from.x, from.y);
      cairo_line_to(context_, to.x, to.y);
      cairo_stroke(context_);
    }
  }

  // With a light rim, so that it stands out from the line under it.
  void outline(Colour colour) {
    cairo_set_line_join(context_, CAIRO_LINE_JOIN_MITER);
    set_colour(context_, kWhite, 0.6);
    cairo_set_line_width(context_, 0.15 * unit_);
    cairo_stroke_preserve(context_);
    set_colour(context_, colour);
    cairo_set_line_width(context_, 0.075 * unit_);
    cairo_stroke(context_);
  }

  cairo_t* context_;
  double px_per_mm_;
  double unit_;
};

// One sign of the legend and its word.
struct Sign {
  std::string word;
  std::function<void(Picture&, Vec2 at)> draw;  // about `at`, px
};

std::vector<Sign> signs(double px_per_mm, double unit, double pen_mm) {
  const auto in_mm = [=](Vec2 px) { return px / px_per_mm; };
  const auto box_at = [=](Vec2 at) {
    return Box{at - Vec2{0.8 * unit, 0.55 * unit}, at + Vec2{0.8 * unit, 0.55 * unit}};
  };
  const auto scan = [](Picture& picture, Vec2 at) { picture.pencil(at); };
  const auto line = [=](Picture& picture, Vec2 at) {
    Linework one;
    const Vec2 reach{0.9 * unit, 0.0};
    one.strokes.push_back({Path::polyline({in_mm(at - reach), in_mm(at + reach)}),
                           std::clamp(pen_mm, 0.2, 0.5 * unit / px_per_mm),
                           {}});
    picture.lines(one);
  };
  const auto area = [=](Picture& picture, Vec2 at) {
    const Vec2 x{0.75 * unit, 0.0}, y{0.0, 0.5 * unit};
    picture.hatched({{Path::polyline(
        {in_mm(at - x - y), in_mm(at + x - y), in_mm(at + x + y), in_mm(at - x + y)}, true)}});
  };
  return {{"scan", scan},
          {"traced line, as wide as the pen", line},
          {"lines meet", [](Picture& picture, Vec2 at) { picture.ring(at); }},
          {"loose end", [](Picture& picture, Vec2 at) { picture.square(at); }},
          {"dot", [=](Picture& picture, Vec2 at) { picture.diamond(at, 0.15 * unit); }},
          {"solid area", area},
          {"sketch", [=](Picture& picture, Vec2 at) { picture.frame_px(box_at(at), false); }},
          {"caption, or part of no sketch",
           [=](Picture& picture, Vec2 at) { picture.frame_px(box_at(at), true); }}};
}

// Words below the page: the title, what was found, and the signs, broken into rows.
class Legend {
 public:
  Legend(const TracedPage& traced, const Found& found, const ShowTraceOptions& options, double unit)
      : unit_(unit), title_(readable(options.title)), facts_(facts_of(traced, found)) {
    for (std::size_t i = 0; i + 1 < facts_.size(); ++i) facts_[i] += ",";
  }

  // Draws from `top` down within [0, width], or only measures when there is no picture. Returns
  // where it ends.
  double draw(cairo_t* context,
              Picture* picture,
              const std::vector<Sign>& all_signs,
              double top,
              double width) const {
    const double margin = 1.5 * unit_;
    double y = top + 2.4 * unit_;
    if (!title_.empty()) {
      word(context, picture, {margin, y}, title_, 1.5, true);
      y += 2.2 * unit_;
    }
    double x = margin;
    const auto room_for = [&](double wide, double row) {
      if (x > margin && x + wide > width - margin) {
        x = margin;
        y += row;
      }
    };
    for (const std::string& fact : facts_) {
      const double wide = width_of(context, fact);
      room_for(wide, 1.8 * unit_);
      word(context, picture, {x, y}, fact, kLetters, false);
      x += wide + 0.45 * unit_;
    }
    x = margin;
    y += 2.3 * unit_;
    for (const Sign& sign : all_signs) {
      const double wide = kSignRoom * unit_ + width_of(context, sign.word);
      room_for(wide, 2.0 * unit_);
      if (picture != nullptr) sign.draw(*picture, {x + 1.0 * unit_, y - 0.42 * unit_});
      word(context, picture, {x + kSignRoom * unit_, y}, sign.word, kLetters, false);
      x += wide + 1.8 * unit_;
    }
    return y + 1.4 * unit_;
  }

 private:
  static constexpr double kLetters = 1.2;   // units
  static constexpr double kSignRoom = 2.4;  // units, of a sign before its word

  double width_of(cairo_t* context, const std::string& text) const {
    set_font(context, text, kLetters * unit_, false);
    return advance(context, text);
  }

  void word(cairo_t* context,
            const Picture* picture,
            Vec2 at,
            const std::string& text,
            double size,
            bool bold) const {
    if (picture == nullptr) return;
    set_font(context, text, size * unit_, bold);
    set_colour(context, kInk);
    cairo_move_to(context, at.x, at.y);
    cairo_show_text(context, text.c_str());
  }

  double unit_;
  std::string title_;
  std::vector<std::string> facts_;
};

}  // namespace

std::string trace_summary(const TracedPage& traced) {
  std::string text;
  for (const std::string& fact : facts_of(traced, found_on(traced))) {
    text += (text.empty() ? "" : ", ") + fact;
  }
  return text;
}

std::string png_of_trace(const Page& page,
                         const TracedPage& traced,
                         const ShowTraceOptions& options) {
  const double side_mm = std::max(traced.width_mm, traced.height_mm);
  const double px_per_mm = std::min(kMostPxPerMm, kPageSidePx / side_mm);
  const int page_width = std::max(1, static_cast<int>(std::lround(traced.width_mm * px_per_mm)));
  const int page_height = std::max(1, static_cast<int>(std::lround(traced.height_mm * px_per_mm)));
  const double unit = std::max(kLeastUnitPx, side_mm * px_per_mm / 100.0);
  const Found found = found_on(traced);
  const Legend legend(traced, found, options, unit);
  const std::vector<Sign> all_signs = signs(px_per_mm, unit, found.median_pen_mm);

  const int width = std::max(page_width, static_cast<int>(std::ceil(46.0 * unit)));
  int height = 0;
  {
    const CairoSurface surface(cairo_image_surface_create(CAIRO_FORMAT_A8, 1, 1));
    const CairoContext context(cairo_create(surface.get()));
    height = static_cast<int>(
        std::ceil(legend.draw(context.get(), nullptr, all_signs, page_height, width)));
  }
  const CairoSurface surface(cairo_image_surface_create(CAIRO_FORMAT_RGB24, width, height));
  require_success(cairo_surface_status(surface.get()));
  const CairoContext context(cairo_create(surface.get()));
  set_colour(context.get(), kPaper);
  cairo_paint(context.get());
  const int left = (width - page_width) / 2;
  paint_scan(surface.get(), paled(page, page_width, page_height), left);

  Picture picture(context.get(), px_per_mm, unit);
  cairo_save(context.get());
  cairo_translate(context.get(), left, 0.0);
  cairo_rectangle(context.get(), 0.0, 0.0, page_width, page_height);
  cairo_clip(context.get());
  for (const TracedSketch& sketch : traced.sketches) picture.frame(sketch.box, false);
  for (const TracedSketch& mark : traced.loose) picture.frame(mark.box, true);
  for (const PageCaption& caption : traced.captions) picture.frame(caption.box, true);
  picture.lines(found.all);
  picture.marks(found);
  for (std::size_t i = 0; i < traced.sketches.size(); ++i) {
    picture.label(traced.sketches[i].box,
                  i < options.names.size() ? options.names[i] : fmt::format("{}", i + 1));
  }
  cairo_restore(context.get());
  legend.draw(context.get(), &picture, all_signs, page_height, width);
  require_success(cairo_status(context.get()));
  return png_of_surface(surface.get());
}

}  // namespace underdraw
