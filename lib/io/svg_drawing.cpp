#include "io/svg_drawing.h"

#include <cmath>
#include <map>

#include <fmt/format.h>

#include "io/cairo_canvas.h"
#include "io/svg_text.h"

namespace underdraw {
namespace {

constexpr int kFine = 5;  // decimals of letters, which are drawn 1 mm high and then scaled

std::string colour(Grey grey) {
  const auto level = static_cast<int>(std::lround(255.0 * grey.lightness));
  return fmt::format("#{0:02x}{0:02x}{0:02x}", level);
}

void append_matrix(std::string& out, const Affine& m) {
  out += " transform=\"matrix(";
  for (const double n : {m.xx, m.yx, m.xy, m.yy}) {
    append_svg_number(out, n, 9);
    out += ' ';
  }
  append_svg_point(out, {m.tx, m.ty}, 4);
  out += ")\"";
}

void append(std::string& out, const PathMark& mark) {
  if (mark.paths.empty() || (!mark.filled && mark.line_width_mm <= 0.0)) return;
  out += "<path";
  if (mark.filled) out += fmt::format(" fill=\"{}\" fill-rule=\"evenodd\"", colour(mark.fill));
  if (mark.line_width_mm <= 0.0) {
    out += " stroke=\"none\"";
  } else {
    if (mark.line.lightness > 0.0) out += fmt::format(" stroke=\"{}\"", colour(mark.line));
    out += " stroke-width=\"";
    append_svg_number(out, mark.line_width_mm);
    out += '"';
    if (!mark.dashes_mm.empty()) {
      out += " stroke-linecap=\"butt\" stroke-dasharray=\"";
      for (const double dash : mark.dashes_mm) {
        if (out.back() != '"') out += ' ';
        append_svg_number(out, dash);
      }
      out += '"';
    }
  }
  out += " d=\"";
  for (const Path& path : mark.paths) {
    if (!path.points.empty()) append_svg_path(out, path);
  }
  out += "\"/>\n";
}

class Writer {
 public:
  std::string written(const Drawing& drawing) {
    for (const Mark& mark : drawing.marks) {
      std::visit([&](const auto& m) { add(m); }, mark);
    }
    std::string out = svg_head(drawing.width_mm, drawing.height_mm);
    if (!defs_.empty()) out += "<defs>\n" + defs_ + "</defs>\n";
    out += "<g id=\"drawn\" xmlns:xlink=\"http://www.w3.org/1999/xlink\">\n" + drawn_ + "</g>\n";
    if (!cut_.empty()) out += "<g id=\"cut\">\n" + cut_ + "</g>\n";
    return out + "</svg>\n";
  }

 private:
  void add(const PathMark& mark) { append(mark.cut ? cut_ : drawn_, mark); }

  void add(const SharedMark& mark) {
    std::string& id = shared_[mark.marks.get()];
    if (id.empty()) {
      id = fmt::format("m{}", shared_.size());
      defs_ += "<g id=\"" + id + "\">\n";
      for (const PathMark& each : *mark.marks) append(defs_, each);
      defs_ += "</g>\n";
    }
    drawn_ += "<use xlink:href=\"#" + id + '"';
    append_matrix(drawn_, mark.page_from_marks);
    drawn_ += "/>\n";
  }

  void add(const TextMark& mark) {
    const std::vector<Letter> letters = letters_of_line(mark.text, mark.bold);
    if (letters.empty()) return;
    const double width = letters.back().end;
    const double start = mark.align == Align::left     ? 0.0
                         : mark.align == Align::centre ? -width / 2.0
                                                       : -width;
    drawn_ += fmt::format("<g fill=\"{}\" stroke=\"none\"", colour(mark.colour));
    append_matrix(drawn_,
                  Affine::translate(mark.at) * Affine::turn_deg(mark.turn_deg) *
                      Affine::scale(mark.height_mm) * Affine::translate({start, 0.0}));
    drawn_ += '>';
    for (const Letter& letter : letters) {
      if (letter.outline.empty()) continue;
      drawn_ += "<use xlink:href=\"#" + id_of(letter) + "\" x=\"";
      append_svg_number(drawn_, letter.at, kFine);
      drawn_ += "\"/>";
    }
    drawn_ += "</g>\n";
  }

  const std::string& id_of(const Letter& letter) {
    std::string data;
    for (const Path& path : letter.outline) append_svg_path(data, path, kFine);
    std::string& id = letters_[data];
    if (id.empty()) {
      id = fmt::format("l{}", letters_.size());
      defs_ += "<path id=\"" + id + "\" d=\"" + data + "\"/>\n";
    }
    return id;
  }

  std::string defs_, drawn_, cut_;
  std::map<const void*, std::string> shared_;   // ids
  std::map<std::string, std::string> letters_;  // outlines to ids
};

}  // namespace

std::string svg_of_drawing(const Drawing& drawing) { return Writer().written(drawing); }

}  // namespace underdraw
