#include "io/svg.h"

#include <charconv>
#include <cmath>
#include <set>

#include "core/error.h"
#include "io/text_file.h"

namespace underdraw {
namespace {

constexpr double kLeastWidthMm = 0.001;  // what three decimals can say

// Three decimals, trailing zeros dropped, always with a point: independent of any locale.
void append_number(std::string& out, double value) {
  if (!std::isfinite(value) || std::abs(value) > 1e6) {
    throw OutputError({.file = {},
                       .line = {},
                       .found = "a coordinate of the linework is not a usable number",
                       .expected = "finite lengths",
                       .remedy = {}});
  }
  char text[32];
  auto [end, problem] = std::to_chars(text, text + sizeof text, value, std::chars_format::fixed, 3);
  while (end[-1] == '0') --end;
  if (end[-1] == '.') --end;
  const std::string_view digits(text, static_cast<std::size_t>(end - text));
  out += digits == "-0" ? "0" : digits;
}

void append_point(std::string& out, Vec2 p) {
  append_number(out, p.x);
  out += ' ';
  append_number(out, p.y);
}

bool is_straight(const Cubic& c) {
  return distance(c.p1, mix(c.p0, c.p3, 1.0 / 3.0)) < 1e-6 &&
         distance(c.p2, mix(c.p0, c.p3, 2.0 / 3.0)) < 1e-6;
}

void append_path_data(std::string& out, const Path& path) {
  out += 'M';
  append_point(out, path.points.front());
  // A dot is a line too short to see: viewers differ on whether a line of no length has caps.
  if (path.is_dot()) out += "l0.001 0";
  for (std::size_t i = 0; i < path.piece_count(); ++i) {
    const Cubic c = path.piece(i);
    if (is_straight(c)) {
      out += 'L';
    } else {
      out += 'C';
      append_point(out, c.p1);
      out += ' ';
      append_point(out, c.p2);
      out += ' ';
    }
    append_point(out, c.p3);
  }
  if (path.closed) out += 'Z';
}

void append_lines(std::string& out, const Linework& lines) {
  for (const Area& area : lines.areas) {
    if (area.rings.empty()) continue;
    out += "<path fill=\"#000\" fill-rule=\"evenodd\" stroke=\"none\" d=\"";
    for (const Path& ring : area.rings) {
      if (!ring.points.empty()) append_path_data(out, ring);
    }
    out += "\"/>\n";
  }
  for (const Stroke& stroke : lines.strokes) {
    if (stroke.path.points.empty()) continue;
    out += "<path stroke-width=\"";
    append_number(out, std::max(stroke.width_mm, kLeastWidthMm));
    if (!stroke.widths_mm.empty()) {
      out += "\" data-widths=\"";
      for (const double width : stroke.widths_mm) {
        if (out.back() != '"') out += ' ';
        append_number(out, std::max(width, kLeastWidthMm));
      }
    }
    out += "\" d=\"";
    append_path_data(out, stroke.path);
    out += "\"/>\n";
  }
}

std::string escaped(std::string_view text) {
  std::string out;
  while (!text.empty()) {
    const std::size_t n = utf8_character_bytes(text);
    const char c = text.front();
    if (n == 0) {
      out += '?';
    } else if (n > 1) {
      out += text.substr(0, n);
    } else if (c == '&') {
      out += "&amp;";
    } else if (c == '<') {
      out += "&lt;";
    } else if (c == '>') {
      out += "&gt;";
    } else {
      out += static_cast<unsigned char>(c) < 0x20 ? ' ' : c;  // XML 1.0 knows no control characters
    }
    text.remove_prefix(std::max<std::size_t>(n, 1));
  }
  return out;
}

// Ids are ASCII letters, digits, '-', '_' and '.', begin with a letter or '_' and are unique.
std::string unique_id(const std::string& name, std::set<std::string>& taken) {
  std::string id;
  for (const char c : name) {
    const bool letter = (c >= 'a' && c <= 'z') || (c >= 'A' && c <= 'Z') || c == '_';
    const bool later = (c >= '0' && c <= '9') || c == '-' || c == '.';
    if (id.empty() && !letter) id.push_back('_');
    if (letter || later) {
      id.push_back(c);
    } else if (id.back() != '-' && id.back() != '_') {
      id.push_back('-');
    }
  }
  if (id.empty()) id.push_back('_');
  std::string unique = id;
  for (int n = 2; !taken.insert(unique).second; ++n) unique = id + "-" + std::to_string(n);
  return unique;
}

std::string head(double width_mm, double height_mm, const std::string& title) {
  std::string out = "<?xml version=\"1.0\" encoding=\"UTF-8\"?>\n";
  out += "<svg xmlns=\"http://www.w3.org/2000/svg\" version=\"1.1\" width=\"";
  append_number(out, std::max(width_mm, 0.001));
  out += "mm\" height=\"";
  append_number(out, std::max(height_mm, 0.001));
  out += "mm\" viewBox=\"0 0 ";
  append_point(out, {std::max(width_mm, 0.001), std::max(height_mm, 0.001)});
  out += "\" fill=\"none\" stroke=\"#000\" stroke-linecap=\"round\" stroke-linejoin=\"round\">\n";
  if (!title.empty()) out += "<title>" + escaped(title) + "</title>\n";
  return out;
}

}  // namespace

std::string svg_of_motif(const Motif& motif) {
  std::string out = head(motif.width_mm, motif.height_mm, motif.name);
  append_lines(out, motif.lines);
  return out + "</svg>\n";
}

std::string svg_of_page(double width_mm,
                        double height_mm,
                        const std::vector<SvgGroup>& groups,
                        const std::string& title) {
  std::string out = head(width_mm, height_mm, title);
  std::set<std::string> ids;
  for (const SvgGroup& group : groups) {
    out += "<g id=\"" + unique_id(group.name, ids) + "\">\n";
    if (!group.name.empty()) out += "<title>" + escaped(group.name) + "</title>\n";
    append_lines(out, group.lines);
    out += "</g>\n";
  }
  return out + "</svg>\n";
}

}  // namespace underdraw
