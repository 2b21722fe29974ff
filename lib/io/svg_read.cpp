#include <algorithm>
#include <array>
#include <cstdint>
#include <map>

#include <fmt/format.h>
#include <pugixml.hpp>

#include "core/error.h"
#include "io/svg.h"
#include "io/svg_path_data.h"
#include "io/text_file.h"

namespace underdraw {
namespace {

constexpr std::uintmax_t kLargestFile = 50'000'000;  // bytes; a dense A3 page of ours is under 5 MB
constexpr std::size_t kMostLines = 100'000;          // a dense page of ours has hundreds
constexpr double kLargestMm = 5000.0;
constexpr int kDeepest = 200;      // groups inside groups
constexpr double kDotMm = 0.0015;  // a line no longer than this is a dot
constexpr double kMmPerUnit = 25.4 / 96.0;
constexpr double kSameFrameMm = 0.002;     // rounding of our own files
constexpr double kWidest = 1000.0;         // user units, of a pen along its stroke
constexpr double kWidthRounding = 0.0011;  // of a width and of the least or most of several

using Style = std::map<std::string, std::string, std::less<>>;

struct Brush {
  bool stroke = false;  // SVG's own defaults: filled, not stroked
  bool fill = true;
  double width = 1.0;  // user units
  bool shown = true;
};

std::string_view trimmed(std::string_view text) {
  while (!text.empty() && std::string_view(" \t\r\n").find(text.front()) != text.npos) {
    text.remove_prefix(1);
  }
  while (!text.empty() && std::string_view(" \t\r\n").find(text.back()) != text.npos) {
    text.remove_suffix(1);
  }
  return text;
}

// White paper shows through: white paint is no ink.
bool is_ink(std::string_view paint) {
  static constexpr std::array<std::string_view, 8> kNoInk = {
      "none", "transparent", "white", "#fff", "#FFF", "#ffffff", "#FFFFFF", "rgb(255,255,255)"};
  return std::find(kNoInk.begin(), kNoInk.end(), paint) == kNoInk.end();
}

void add_declarations(std::string_view text, Style& style) {
  while (!text.empty()) {
    const std::size_t end = std::min(text.find(';'), text.size());
    const std::string_view one = text.substr(0, end);
    const std::size_t colon = one.find(':');
    if (colon != one.npos) {
      std::string_view value = trimmed(one.substr(colon + 1));
      if (value.ends_with("!important")) value = trimmed(value.substr(0, value.size() - 10));
      style[std::string(trimmed(one.substr(0, colon)))] = value;
    }
    text.remove_prefix(std::min(end + 1, text.size()));
  }
}

class Reader {
 public:
  Reader(std::string_view text, const std::string& file) : text_(text), file_(file) {}

  SvgPage read() {
    pugi::xml_document document;
    // No document type is read: entities of the file's own making are never expanded.
    const pugi::xml_parse_result parsed =
        document.load_buffer(text_.data(), text_.size(), pugi::parse_default);
    if (!parsed) {
      refuse(line_of(parsed.offset),
             fmt::format("not readable as XML: {}", parsed.description()),
             "an SVG file",
             "save it again as plain SVG, not compressed");
    }
    const pugi::xml_node root = document.document_element();
    if (local_name(root) != "svg") {
      refuse({},
             fmt::format("the outermost element is <{}>", root.name()),
             "<svg>",
             "save it as plain SVG");
    }
    collect_style_sheets(root, 0);
    const Affine mm_from_user = size_page(root);
    Brush brush;
    apply_style(root, brush);
    page_.groups.push_back({});
    if (brush.shown) walk(root, mm_from_user, brush, 0);
    if (page_.groups.front().lines.empty()) page_.groups.erase(page_.groups.begin());
    return std::move(page_);
  }

 private:
  [[noreturn]] void refuse(std::optional<int> line,
                           std::string found,
                           std::string expected,
                           std::string remedy) const {
    throw InputError({.file = file_,
                      .line = line,
                      .found = std::move(found),
                      .expected = std::move(expected),
                      .remedy = std::move(remedy)});
  }

  std::optional<int> line_of(std::ptrdiff_t offset) const {
    if (offset < 0 || static_cast<std::size_t>(offset) > text_.size()) return {};
    return 1 + static_cast<int>(std::count(text_.begin(), text_.begin() + offset, '\n'));
  }

  static std::string_view local_name(const pugi::xml_node& node) {
    const std::string_view name = node.name();
    return name.starts_with("svg:") ? name.substr(4) : name;
  }

  // The attribute languages know neither file nor line: they are added here.
  template <typename Read>
  auto with_place(const pugi::xml_node& node, Read read) const {
    try {
      return read();
    } catch (const InputError& error) {
      const Complaint& c = error.complaint();
      refuse(line_of(node.offset_debug()),
             fmt::format("<{}>: {}", node.name(), c.found),
             c.expected,
             "save it again as plain SVG");
    }
  }

  double length(const pugi::xml_node& node, const char* attribute, double missing = 0.0) const {
    const pugi::xml_attribute a = node.attribute(attribute);
    if (!a) return missing;
    return with_place(node, [&] { return svg_length(a.value()); });
  }

  // Width and height in mm, and the way from user units to them (SVG 1.1, 7.8).
  Affine size_page(const pugi::xml_node& root) {
    const auto side = [&](const char* name) {
      const std::string_view text = root.attribute(name).value();
      if (text.empty() || text.ends_with('%') || text == "auto") return 0.0;
      return with_place(root, [&] { return svg_length(text); }) * kMmPerUnit;
    };
    double width = side("width");
    double height = side("height");
    std::vector<double> box;
    if (root.attribute("viewBox")) {
      box = with_place(root, [&] { return svg_numbers(root.attribute("viewBox").value()); });
      if (box.size() != 4 || !(box[2] > 0.0) || !(box[3] > 0.0)) {
        refuse(line_of(root.offset_debug()),
               fmt::format("viewBox is '{}'", root.attribute("viewBox").value()),
               "four numbers, the last two above 0",
               "save it again as plain SVG");
      }
    }
    if (box.empty() && !(width > 0.0 && height > 0.0)) {
      refuse(line_of(root.offset_debug()),
             "the drawing says no size",
             "width and height in mm, or a viewBox",
             "set the document's size in mm and save it again");
    }
    if (box.empty()) box = {0.0, 0.0, width / kMmPerUnit, height / kMmPerUnit};
    // One missing side follows the viewBox; both missing: its units are CSS pixels.
    if (!(width > 0.0) && !(height > 0.0)) width = box[2] * kMmPerUnit;
    if (!(width > 0.0)) width = height * box[2] / box[3];
    if (!(height > 0.0)) height = width * box[3] / box[2];
    if (!(width <= kLargestMm) || !(height <= kLargestMm)) {
      refuse(line_of(root.offset_debug()),
             fmt::format("the drawing is {:.0f} x {:.0f} mm", width, height),
             fmt::format("at most {:.0f} mm", kLargestMm),
             "set the document's size in mm and save it again");
    }
    page_.width_mm = width;
    page_.height_mm = height;
    double kx = width / box[2];
    double ky = height / box[3];
    if (!std::string_view(root.attribute("preserveAspectRatio").value()).starts_with("none")) {
      // Rounded sizes of our own files must not scale by 0.999: only a real difference counts.
      if (std::abs(kx / ky - 1.0) < 1e-3) {
        kx = ky = std::abs(kx - 1.0) < 1e-3 ? 1.0 : std::sqrt(kx * ky);
      }
      kx = ky = std::min(kx, ky);
    }
    const Vec2 middle{(width - kx * box[2]) / 2.0, (height - ky * box[3]) / 2.0};
    return {kx, 0, middle.x - kx * box[0], 0, ky, middle.y - ky * box[1]};
  }

  void collect_style_sheets(const pugi::xml_node& node, int depth) {
    if (depth > kDeepest) refuse_depth(node);
    for (const pugi::xml_node child : node.children()) {
      if (local_name(child) == "style") {
        std::string css;
        for (const pugi::xml_node part : child.children()) css += part.value();
        add_rules(css, child);
      } else if (child.type() == pugi::node_element) {
        collect_style_sheets(child, depth + 1);
      }
    }
  }

  // Only ".name, .other { … }": enough for what drawing programs write.
  void add_rules(std::string css, const pugi::xml_node& node) {
    for (std::size_t at = 0; (at = css.find("/*")) != css.npos;) {
      const std::size_t end = css.find("*/", at);
      css.erase(at, end == css.npos ? css.npos : end + 2 - at);
    }
    std::string_view rest = trimmed(css);
    while (!rest.empty()) {
      const std::size_t open = rest.find('{');
      const std::size_t close = rest.find('}');
      if (open == rest.npos || close == rest.npos || close < open) break;
      std::string_view selectors = rest.substr(0, open);
      while (!selectors.empty()) {
        const std::size_t comma = std::min(selectors.find(','), selectors.size());
        const std::string_view one = trimmed(selectors.substr(0, comma));
        if (!one.starts_with('.') || one.find_first_of(" >+~:[#.", 1) != one.npos) {
          refuse(line_of(node.offset_debug()),
                 fmt::format("a style sheet with the selector '{}'", one),
                 "styles as attributes or by class",
                 "save it again as plain SVG with styles as attributes");
        }
        add_declarations(rest.substr(open + 1, close - open - 1),
                         classes_[std::string(one.substr(1))]);
        selectors.remove_prefix(std::min(comma + 1, selectors.size()));
      }
      rest = trimmed(rest.substr(close + 1));
    }
  }

  void apply_style(const pugi::xml_node& node, Brush& brush) const {
    Style style;
    for (const char* name : {"stroke",
                             "fill",
                             "stroke-width",
                             "display",
                             "visibility",
                             "opacity",
                             "fill-opacity",
                             "stroke-opacity"}) {
      if (node.attribute(name)) style[name] = std::string(trimmed(node.attribute(name).value()));
    }
    std::string_view names = trimmed(node.attribute("class").value());
    while (!names.empty()) {
      const std::size_t end = std::min(names.find_first_of(" \t\r\n"), names.size());
      const auto rule = classes_.find(names.substr(0, end));
      if (rule != classes_.end()) {
        for (const auto& [key, value] : rule->second) style[key] = value;
      }
      names = trimmed(names.substr(end));
    }
    add_declarations(node.attribute("style").value(), style);
    const auto has = [&](const char* key) {
      const auto found = style.find(key);
      return found != style.end() && found->second != "inherit";
    };
    if (has("stroke")) brush.stroke = is_ink(style["stroke"]);
    if (has("fill")) brush.fill = is_ink(style["fill"]);
    if (has("fill-opacity") && style["fill-opacity"] == "0") brush.fill = false;
    if (has("stroke-opacity") && style["stroke-opacity"] == "0") brush.stroke = false;
    if (has("stroke-width")) {
      brush.width = with_place(node, [&] { return svg_length(style["stroke-width"]); });
      if (brush.width < 0.0) {
        refuse(line_of(node.offset_debug()),
               fmt::format("<{}> has the stroke width {}", node.name(), style["stroke-width"]),
               "0 or more",
               "save it again as plain SVG");
      }
    }
    if (has("display") && style["display"] == "none") brush.shown = false;
    if (has("visibility")) brush.shown = brush.shown && style["visibility"] == "visible";
    if (has("opacity") && style["opacity"] == "0") brush.shown = false;
  }

  [[noreturn]] void refuse_depth(const pugi::xml_node& node) const {
    refuse(line_of(node.offset_debug()),
           "groups are nested too deep",
           fmt::format("at most {} levels", kDeepest),
           "ungroup the drawing and save it again");
  }

  void walk(const pugi::xml_node& parent, const Affine& mm_from_parent, Brush outer, int depth) {
    if (depth > kDeepest) refuse_depth(parent);
    for (const pugi::xml_node node : parent.children()) {
      if (node.type() != pugi::node_element) continue;
      const std::string_view name = local_name(node);
      if (is_passed_over(name)) continue;
      Brush brush = outer;
      apply_style(node, brush);
      if (!brush.shown) continue;
      Affine mm_from_user = mm_from_parent;
      if (node.attribute("transform")) {
        mm_from_user = mm_from_parent * with_place(node, [&] {
                         return svg_transform(node.attribute("transform").value());
                       });
      }
      if (name == "g" || name == "a" || name == "switch") {
        const std::size_t before = target_;
        if (depth == 0) {
          target_ = page_.groups.size();
          page_.groups.push_back({group_name(node), {}});
        }
        walk(node, mm_from_user, brush, depth + 1);
        target_ = before;
      } else {
        with_place(node, [&] { draw(node, shape_of(node, name), mm_from_user, brush); });
      }
    }
  }

  static std::string group_name(const pugi::xml_node& node) {
    const std::string title = node.child_value("title");
    return title.empty() ? node.attribute("id").value() : title;
  }

  static bool is_passed_over(std::string_view name) {
    static constexpr std::array<std::string_view, 17> kNotDrawn = {"defs",
                                                                   "symbol",
                                                                   "clipPath",
                                                                   "mask",
                                                                   "pattern",
                                                                   "marker",
                                                                   "metadata",
                                                                   "title",
                                                                   "desc",
                                                                   "style",
                                                                   "view",
                                                                   "linearGradient",
                                                                   "radialGradient",
                                                                   "filter",
                                                                   "script",
                                                                   "animate",
                                                                   "set"};
    return name.find(':') != name.npos ||
           std::find(kNotDrawn.begin(), kNotDrawn.end(), name) != kNotDrawn.end();
  }

  std::vector<Path> shape_of(const pugi::xml_node& node, std::string_view name) const {
    if (name == "path") return svg_path_data(node.attribute("d").value());
    if (name == "line") {
      return {Path::polyline(
          {{length(node, "x1"), length(node, "y1")}, {length(node, "x2"), length(node, "y2")}})};
    }
    if (name == "polyline" || name == "polygon") {
      const std::vector<double> n = svg_numbers(node.attribute("points").value());
      std::vector<Vec2> corners;
      for (std::size_t i = 0; i + 1 < n.size(); i += 2) corners.push_back({n[i], n[i + 1]});
      if (corners.size() < 2) return {};
      return {Path::polyline(corners, name == "polygon")};
    }
    if (name == "circle" || name == "ellipse") {
      const double rx = length(node, name == "circle" ? "r" : "rx");
      const double ry = length(node, name == "circle" ? "r" : "ry");
      if (!(rx > 0.0 && ry > 0.0)) return {};
      return {ellipse_path({length(node, "cx"), length(node, "cy")}, rx, ry)};
    }
    if (name == "rect") return rectangle(node);
    refuse(line_of(node.offset_debug()),
           fmt::format("has a <{}> in it", node.name()),
           "drawn lines only",
           name == "text"  ? "turn text into paths and save it again"
           : name == "use" ? "replace clones by copies and save it again"
                           : "remove it, or draw it as paths, and save it again");
  }

  std::vector<Path> rectangle(const pugi::xml_node& node) const {
    const double x = length(node, "x");
    const double y = length(node, "y");
    const double w = length(node, "width");
    const double h = length(node, "height");
    if (!(w > 0.0 && h > 0.0)) return {};
    double rx = length(node, "rx", length(node, "ry"));
    double ry = length(node, "ry", rx);
    rx = std::clamp(rx, 0.0, w / 2.0);
    ry = std::clamp(ry, 0.0, h / 2.0);
    if (rx == 0.0 || ry == 0.0) {
      return {Path::polyline({{x, y}, {x + w, y}, {x + w, y + h}, {x, y + h}}, true)};
    }
    return svg_path_data(
        fmt::format("M{0} {1}H{2}A{3} {4} 0 0 1 {5} {6}V{7}A{3} {4} 0 0 1 {2} {8}"
                    "H{0}A{3} {4} 0 0 1 {9} {7}V{6}A{3} {4} 0 0 1 {0} {1}Z",
                    x + rx,
                    y,
                    x + w - rx,
                    rx,
                    ry,
                    x + w,
                    y + ry,
                    y + h - ry,
                    y + h,
                    x));
  }

  void draw(const pugi::xml_node& node,
            const std::vector<Path>& shape,
            const Affine& mm_from_user,
            const Brush& brush) {
    std::vector<Path> paths;
    for (const Path& path : shape) {
      paths.push_back(transformed(path, mm_from_user));
      for (const Vec2 p : paths.back().points) {
        if (std::abs(p.x) <= 1e5 && std::abs(p.y) <= 1e5) continue;  // also false for NaN
        refuse(line_of(node.offset_debug()),
               fmt::format("<{}> lies {} mm, {} mm from the corner", node.name(), p.x, p.y),
               "at most 100 m",
               "set the document's size in mm and save it again");
      }
    }
    lines_read_ += paths.size();
    if (lines_read_ > kMostLines) {
      refuse(line_of(node.offset_debug()),
             fmt::format("draws more than {} lines", kMostLines),
             "a motif as a hand draws it",
             "simplify the drawing and save it again");
    }
    Linework& lines = page_.groups[target_].lines;
    if (brush.fill) {
      Area area;
      for (Path ring : paths) {
        if (ring.piece_count() == 0 || (ring.piece_count() == 1 && !bends(ring))) continue;
        if (ring.points.front() != ring.points.back()) {
          const Vec2 from = ring.points.back();
          const Vec2 to = ring.points.front();
          ring.append({from, mix(from, to, 1.0 / 3.0), mix(from, to, 2.0 / 3.0), to});
        }
        ring.closed = true;
        area.rings.push_back(std::move(ring));
      }
      if (!area.rings.empty()) lines.areas.push_back(std::move(area));
    }
    const double width = brush.width * mm_from_user.length_factor();
    if (brush.stroke && width > 0.0) {
      const std::vector<double> widths =
          paths.size() == 1 ? widths_along(node, brush.width) : std::vector<double>();
      for (Path& path : paths) {
        if (path.length() <= kDotMm) path = Path{{path.points.front()}, false};
        lines.strokes.push_back({std::move(path), width, {}});
        if (lines.strokes.back().path.is_dot()) continue;
        for (const double w : widths) {
          lines.strokes.back().widths_mm.push_back(w * mm_from_user.length_factor());
        }
      }
    }
  }

  // In user units. Whoever gave the line another width in a drawing program meant all of it:
  // widths that no longer have stroke-width among them are stale, and then there are none.
  static std::vector<double> widths_along(const pugi::xml_node& node, double stroke_width) {
    const pugi::xml_attribute attribute = node.attribute("data-widths");
    if (!attribute) return {};
    std::vector<double> widths = svg_numbers(attribute.value());
    const auto usable = [](double width) { return width > 0.0 && width <= kWidest; };
    if (widths.size() < 2 || !std::all_of(widths.begin(), widths.end(), usable)) {
      throw InputError({.file = {},
                        .line = {},
                        .found = fmt::format("data-widths is '{}'", attribute.value()),
                        .expected = fmt::format("two or more numbers above 0, up to {}", kWidest),
                        .remedy = {}});
    }
    const auto [least, most] = std::minmax_element(widths.begin(), widths.end());
    const bool stale =
        stroke_width < *least - kWidthRounding || stroke_width > *most + kWidthRounding;
    return stale ? std::vector<double>() : widths;
  }

  static bool bends(const Path& path) {
    return path.piece_count() == 1 &&
           path.length() > distance(path.points[0], path.points[3]) + 1e-9;
  }

  std::string_view text_;
  std::string file_;
  std::map<std::string, Style, std::less<>> classes_;
  std::size_t lines_read_ = 0;
  SvgPage page_;
  std::size_t target_ = 0;  // group that lines go to
};

}  // namespace

SvgPage svg_page_of_text(std::string_view text, const std::string& file) {
  SvgPage page = Reader(text, file).read();
  const bool drawn = std::any_of(page.groups.begin(), page.groups.end(), [](const SvgGroup& group) {
    return !group.lines.empty();
  });
  if (!drawn) {
    throw InputError({.file = file,
                      .line = {},
                      .found = "has no drawn line in it",
                      .expected = "stroked or filled paths",
                      .remedy = "draw with lines, not with pictures or scripts"});
  }
  return page;
}

SvgPage read_svg_page(const std::filesystem::path& path) {
  return svg_page_of_text(
      read_text_file(path,
                     {.expected = "an SVG file",
                      .most_bytes = kLargestFile,
                      .when_large = "simplify the drawing or save it without embedded pictures"}),
      path.string());
}

Motif read_motif_svg(const std::filesystem::path& path) {
  const SvgPage page = read_svg_page(path);
  Linework all;
  for (const SvgGroup& group : page.groups) {
    all.strokes.insert(all.strokes.end(), group.lines.strokes.begin(), group.lines.strokes.end());
    all.areas.insert(all.areas.end(), group.lines.areas.begin(), group.lines.areas.end());
  }
  const Box ink = all.ink_box();
  if (ink.width() > kLargestMm || ink.height() > kLargestMm) {
    throw InputError(
        {.file = path.string(),
         .line = {},
         .found = fmt::format("the drawing is {:.0f} x {:.0f} mm", ink.width(), ink.height()),
         .expected = fmt::format("at most {:.0f} mm", kLargestMm),
         .remedy = "set the document's size in mm and save it again"});
  }
  // A file of ours: its page is the ink box already, and moving it would add rounding.
  if (distance(ink.min, {}) < kSameFrameMm &&
      distance(ink.max, {page.width_mm, page.height_mm}) < kSameFrameMm) {
    return make_motif(path.stem().string(), all, {{0, 0}, {page.width_mm, page.height_mm}});
  }
  return make_motif(path.stem().string(), all);
}

}  // namespace underdraw
