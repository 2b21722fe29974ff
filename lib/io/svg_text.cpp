#include "io/svg_text.h"

#include <algorithm>
#include <charconv>
#include <cmath>

#include "core/error.h"
#include "io/text_file.h"

namespace underdraw {
namespace {

bool is_straight(const Cubic& c) {
  return distance(c.p1, mix(c.p0, c.p3, 1.0 / 3.0)) < 1e-6 &&
         distance(c.p2, mix(c.p0, c.p3, 2.0 / 3.0)) < 1e-6;
}

}  // namespace

void append_svg_number(std::string& out, double value, int decimals) {
  if (!std::isfinite(value) || std::abs(value) > 1e6) {
    throw OutputError({.file = {},
                       .line = {},
                       .found = "a coordinate of the linework is not a usable number",
                       .expected = "finite lengths",
                       .remedy = {}});
  }
  char text[32];
  auto [end, problem] =
      std::to_chars(text, text + sizeof text, value, std::chars_format::fixed, decimals);
  while (end[-1] == '0') --end;
  if (end[-1] == '.') --end;
  const std::string_view digits(text, static_cast<std::size_t>(end - text));
  out += digits == "-0" ? "0" : digits;
}

void append_svg_point(std::string& out, Vec2 p, int decimals) {
  append_svg_number(out, p.x, decimals);
  out += ' ';
  append_svg_number(out, p.y, decimals);
}

void append_svg_path(std::string& out, const Path& path, int decimals) {
  out += 'M';
  append_svg_point(out, path.points.front(), decimals);
  // A dot is a line too short to see: viewers differ on whether a line of no length has caps.
  if (path.is_dot()) out += "l0.001 0";
  for (std::size_t i = 0; i < path.piece_count(); ++i) {
    const Cubic c = path.piece(i);
    if (is_straight(c)) {
      out += 'L';
    } else {
      out += 'C';
      append_svg_point(out, c.p1, decimals);
      out += ' ';
      append_svg_point(out, c.p2, decimals);
      out += ' ';
    }
    append_svg_point(out, c.p3, decimals);
  }
  if (path.closed) out += 'Z';
}

std::string xml_escaped(std::string_view text) {
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

std::string svg_head(double width_mm, double height_mm, const std::string& title) {
  std::string out = "<?xml version=\"1.0\" encoding=\"UTF-8\"?>\n";
  out += "<svg xmlns=\"http://www.w3.org/2000/svg\" version=\"1.1\" width=\"";
  append_svg_number(out, std::max(width_mm, 0.001));
  out += "mm\" height=\"";
  append_svg_number(out, std::max(height_mm, 0.001));
  out += "mm\" viewBox=\"0 0 ";
  append_svg_point(out, {std::max(width_mm, 0.001), std::max(height_mm, 0.001)});
  out += "\" fill=\"none\" stroke=\"#000\" stroke-linecap=\"round\" stroke-linejoin=\"round\">\n";
  if (!title.empty()) out += "<title>" + xml_escaped(title) + "</title>\n";
  return out;
}

}  // namespace underdraw
