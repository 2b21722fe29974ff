#include "io/bench_page.h"

#include <algorithm>
#include <array>
#include <cmath>
#include <map>
#include <set>
#include <span>
#include <string_view>
#include <utility>

#include <fmt/format.h>

#include "geometry/rings.h"
#include "io/html_text.h"
#include "io/page_text.h"
#include "io/sha256.h"

namespace underdraw {
namespace {

constexpr double kSimplerPx = 0.35;     // of lines over photos
constexpr double kLineMm = 0.01;        // of drawings
constexpr double kDrawingMargin = 6.0;  // mm round a drawing, for its ticks and arrow
constexpr double kTickMm = 3.0;

// "3" and not "3.0".
std::string number_text(double value) {
  std::string text = fmt::format("{:.1f}", value);
  if (text.ends_with(".0")) text.resize(text.size() - 2);
  return text == "-0" ? "0" : text;
}

// One path element; a dot becomes a line of no length, which its round ends make visible.
std::string path_element(const std::vector<Vec2>& points) {
  std::string d;
  for (std::size_t i = 0; i < points.size(); ++i) {
    d += fmt::format("{}{} {}",
                     i == 0   ? "M"
                     : i == 1 ? "L"
                              : " ",
                     number_text(points[i].x),
                     number_text(points[i].y));
  }
  if (points.size() == 1) d += "h0";
  return fmt::format("<path d=\"{}\"/>", d);
}

std::vector<Vec2> simpler(const std::vector<Vec2>& points, double tolerance) {
  return points.size() > 2 ? simpler_line(points, tolerance) : points;
}

// Where a number's badge stands: on top of its lines.
Vec2 badge_spot(const std::vector<const PhotoLine*>& lines) {
  Box box;
  for (const PhotoLine* line : lines) {
    for (const Vec2 p : line->px) box.add(p);
  }
  return {box.centre().x, box.min.y};
}

using LinesOfNumber = std::map<int, std::vector<const PhotoLine*>>;  // 0: of none

LinesOfNumber by_number(const BenchView& view) {
  LinesOfNumber out;
  for (const PhotoLine& line : view.lines) {
    if (!line.px.empty()) out[line.placement.value_or(0)].push_back(&line);
  }
  return out;
}

std::string view_element(const BenchView& view, std::size_t index) {
  const std::string id = fmt::format("v{}", index);
  const LinesOfNumber lines = by_number(view);
  std::string out = fmt::format(
      "      <div class=\"picture\" id=\"{}\" data-width=\"{}\" data-height=\"{}\"{}>\n",
      id,
      view.width_px,
      view.height_px,
      index == 0 ? "" : " hidden");
  const std::string title = html_escaped(view.title);
  out += fmt::format("        <img class=\"after\" alt=\"{}, after\" src=\"{}\">\n",
                     title,
                     jpeg_data_uri(view.after_jpeg));
  if (!view.before_jpeg.empty()) {
    out += fmt::format("        <img class=\"before\" alt=\"{}, before\" src=\"{}\">\n",
                       title,
                       jpeg_data_uri(view.before_jpeg));
  }
  out += fmt::format(
      "        <svg viewBox=\"0 0 {} {}\" preserveAspectRatio=\"none\" aria-hidden=\"true\">\n"
      "        <defs>\n",
      view.width_px,
      view.height_px);
  for (const bool covered : {true, false}) {
    out += fmt::format("<g id=\"{}-{}\">\n", id, covered ? "covered" : "open");
    for (const auto& [number, of_number] : lines) {
      std::string paths;
      for (const PhotoLine* line : of_number) {
        if (line->covered == covered) paths += path_element(simpler(line->px, kSimplerPx));
      }
      if (paths.empty()) continue;
      out += fmt::format("<g id=\"{}-{}{}\">{}</g>\n", id, covered ? "c" : "o", number, paths);
    }
    out += "</g>\n";
  }
  out += "        </defs>\n        <g class=\"layer\">\n";
  for (const char* kind : {"casing", "inked"}) {
    out += fmt::format(
        "<use class=\"{0} open\" href=\"#{1}-open\"/><use class=\"{0}\" href=\"#{1}-covered\"/>\n",
        kind,
        id);
  }
  out += "<g class=\"chosen\"></g>\n";
  for (const auto& [number, of_number] : lines) {
    if (number == 0) continue;
    const Vec2 at = badge_spot(of_number);
    out += fmt::format(
        "<g transform=\"translate({0} {1})\"><g class=\"badge\" data-number=\"{2}\" "
        "data-x=\"{0}\" data-y=\"{1}\"><circle r=\"13\"/><text "
        "font-size=\"13\">{2}</text></g></g>\n",
        number_text(at.x),
        number_text(at.y),
        number);
  }
  return out + "        </g>\n        </svg>\n        <div class=\"edge\"" +
         (view.before_jpeg.empty() ? " hidden" : "") + "></div>\n      </div>\n";
}

// Views that show the number, the one that shows most of it first.
std::string views_of(const BenchPage& page, int number) {
  std::vector<std::pair<double, std::size_t>> views;
  for (std::size_t i = 0; i < page.views.size(); ++i) {
    double shown = 0.0;
    for (const PhotoLine& line : page.views[i].lines) {
      if (line.placement == number) shown += 1.0 + polyline_length(line.px);
    }
    const double side = std::max(page.views[i].width_px, page.views[i].height_px);
    if (shown > 0.0) views.emplace_back(-shown / std::max(side, 1.0), i);
  }
  std::sort(views.begin(), views.end());
  std::string out;
  for (const auto& [shown, index] : views) {
    out += fmt::format("{}{}", out.empty() ? "" : " ", index);
  }
  return out;
}

std::string number_element(const BenchPage& page, const BenchNumber& number) {
  return fmt::format(
      "      <li><button type=\"button\" data-number=\"{0}\" data-name=\"{1}\" "
      "data-views=\"{2}\"{3}{4}>{0}</button></li>\n",
      number.number,
      html_escaped(number.name),
      views_of(page, number.number),
      number.lines.empty() ? " data-missing=\"1\" class=\"missing\"" : "",
      number.there ? " data-there=\"1\"" : "");
}

// Lines at true size; ticks at the edges stand straight above, below and beside the spot whose
// angle and height are named.
std::string drawing_element(const BenchNumber& number) {
  Box box = number.lines.ink_box();
  box.add(Vec2{0.0, 0.0});
  box = box.grown(kDrawingMargin);
  std::string out = fmt::format(
      "      <div class=\"frame\" tabindex=\"0\" role=\"group\" aria-label=\"Drawing {0} at true "
      "size\"><svg class=\"drawing\" role=\"img\" aria-label=\"Lines of number {0}\" "
      "data-width=\"{1:.2f}\" data-height=\"{2:.2f}\" viewBox=\"{3:.2f} {4:.2f} {1:.2f} {2:.2f}\">",
      number.number,
      box.width(),
      box.height(),
      box.min.x,
      box.min.y);
  out += fmt::format(
      "<path class=\"datum\" d=\"M0 {0:.2f}v{4}M0 {1:.2f}v-{4}M{2:.2f} 0h{4}M{3:.2f} 0h-{4}\"/>",
      box.min.y,
      box.max.y,
      box.min.x,
      box.max.x,
      kTickMm);
  out += fmt::format("<path class=\"up\" d=\"M{:.2f} {:.2f}l-1.2 2h.8v2.4h.8v-2.4h.8z\"/>",
                     box.max.x - 2.0,
                     box.min.y + 0.8);
  for (const Stroke& stroke : number.lines.strokes) {
    const std::vector<Vec2> points = flatten(stroke.path, kLineMm);
    std::string d;
    for (std::size_t i = 0; i < points.size(); ++i) {
      d += fmt::format("{}{:.2f} {:.2f}",
                       i == 0   ? "M"
                       : i == 1 ? "L"
                                : " ",
                       points[i].x,
                       points[i].y);
    }
    if (points.size() == 1) d += "h0";
    out +=
        fmt::format("<path class=\"ink\" stroke-width=\"{:.2f}\" d=\"{}\"/>", stroke.width_mm, d);
  }
  return out + "</svg></div>\n";
}

std::string detail_element(const BenchNumber& number) {
  std::string out = fmt::format(
      "      <article class=\"detail\" data-number=\"{0}\" hidden>\n"
      "      <h3>{0} · {1}</h3>\n      <p class=\"where\">{2}{3}{4}</p>\n",
      number.number,
      html_escaped(number.name),
      html_escaped(number.where),
      number.size.empty() ? "" : " · ",
      html_escaped(number.size));
  if (!number.note.empty()) {
    out += fmt::format("      <p class=\"note\">{}</p>\n", html_escaped(number.note));
  }
  if (!number.lines.empty()) out += drawing_element(number);
  return out + "      </article>\n";
}

std::string notes_element(const std::vector<std::string>& notes) {
  if (notes.empty()) return {};
  std::string out =
      "  <section class=\"notes\" aria-labelledby=\"notes-head\">\n"
      "    <h2 id=\"notes-head\">Good to know</h2>\n    <ul>\n";
  for (const std::string& note : notes) {
    out += fmt::format("      <li>{}</li>\n", html_escaped(note));
  }
  return out + "    </ul>\n  </section>\n";
}

// Ticks belong to these lines: other lines, another key.
std::string key_of(const BenchPage& page) {
  Sha256 sum;
  const auto add = [&](const std::string& text) {
    sum.add(std::span(reinterpret_cast<const std::uint8_t*>(text.data()), text.size()));
  };
  add(page.piece);
  for (const BenchNumber& number : page.numbers) {
    add(fmt::format("/{} {} {}", number.number, number.name, number.lines.empty()));
    for (const Stroke& stroke : number.lines.strokes) {
      for (const Vec2 p : stroke.path.points) add(fmt::format(" {:.1f} {:.1f}", p.x, p.y));
    }
  }
  return sum.hex().substr(0, 16);
}

}  // namespace

std::string bench_page(const BenchPage& page) {
  std::string views;
  std::string options;
  for (std::size_t i = 0; i < page.views.size(); ++i) {
    views += view_element(page.views[i], i);
    options += fmt::format("          <option value=\"{}\">{} of {}: {}</option>\n",
                           i,
                           i + 1,
                           page.views.size(),
                           html_escaped(page.views[i].title));
  }
  std::string numbers;
  std::string details;
  for (const BenchNumber& number : page.numbers) {
    numbers += number_element(page, number);
    details += detail_element(number);
  }
  return filled_page(bench_page_text::kHtml,
                     {{"piece", html_escaped(page.piece)},
                      {"key", key_of(page)},
                      {"css", std::string(bench_page_text::kCss)},
                      {"js", std::string(bench_page_text::kJs)},
                      {"no_views", page.views.empty() ? " hidden" : ""},
                      {"no_numbers", page.numbers.empty() ? " hidden" : ""},
                      {"view_options", options},
                      {"views", views},
                      {"numbers", numbers},
                      {"details", details},
                      {"notes", notes_element(page.notes)}});
}

}  // namespace underdraw
