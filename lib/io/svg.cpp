#include "io/svg.h"

#include <algorithm>
#include <set>

#include "io/svg_text.h"

namespace underdraw {
namespace {

constexpr double kLeastWidthMm = 0.001;  // what three decimals can say

void append_lines(std::string& out, const Linework& lines) {
  for (const Area& area : lines.areas) {
    if (area.rings.empty()) continue;
    out += "<path fill=\"#000\" fill-rule=\"evenodd\" stroke=\"none\" d=\"";
    for (const Path& ring : area.rings) {
      if (!ring.points.empty()) append_svg_path(out, ring);
    }
    out += "\"/>\n";
  }
  for (const Stroke& stroke : lines.strokes) {
    if (stroke.path.points.empty()) continue;
    out += "<path stroke-width=\"";
    append_svg_number(out, std::max(stroke.width_mm, kLeastWidthMm));
    if (!stroke.widths_mm.empty()) {
      out += "\" data-widths=\"";
      for (const double width : stroke.widths_mm) {
        if (out.back() != '"') out += ' ';
        append_svg_number(out, std::max(width, kLeastWidthMm));
      }
    }
    out += "\" d=\"";
    append_svg_path(out, stroke.path);
    out += "\"/>\n";
  }
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

}  // namespace

std::string svg_of_motif(const Motif& motif) {
  std::string out = svg_head(motif.width_mm, motif.height_mm, motif.name);
  append_lines(out, motif.lines);
  return out + "</svg>\n";
}

std::string svg_of_page(double width_mm,
                        double height_mm,
                        const std::vector<SvgGroup>& groups,
                        const std::string& title) {
  std::string out = svg_head(width_mm, height_mm, title);
  std::set<std::string> ids;
  for (const SvgGroup& group : groups) {
    out += "<g id=\"" + unique_id(group.name, ids) + "\">\n";
    if (!group.name.empty()) out += "<title>" + xml_escaped(group.name) + "</title>\n";
    append_lines(out, group.lines);
    out += "</g>\n";
  }
  return out + "</svg>\n";
}

}  // namespace underdraw
