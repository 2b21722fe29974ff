#include "support/hershey.h"

#include <fstream>
#include <sstream>
#include <stdexcept>

namespace underdraw::test {

std::vector<Linework> read_hershey(const std::string& path, double mm_per_unit, double width_mm) {
  std::ifstream in(path);
  if (!in) throw std::runtime_error(path + ": missing; install hershey-fonts-data");
  std::stringstream whole;
  whole << in.rdbuf();
  std::string text;
  for (const char c : whole.str()) {
    if (c != '\n' && c != '\r') text += c;  // long glyphs are wrapped anywhere
  }
  // Five columns of glyph number, three of the count of pairs, then that many pairs of letters
  // around 'R'. The first pair is the glyph's left and right side; " R" lifts the pen.
  std::vector<Linework> glyphs;
  std::size_t at = 0;
  while (at + 8 < text.size()) {
    const int pairs = std::stoi(text.substr(at + 5, 3));
    at += 8;
    if (at + 2 * static_cast<std::size_t>(pairs) > text.size()) {
      throw std::runtime_error(path + ": ends inside a glyph");
    }
    Linework glyph;
    std::vector<Vec2> line;
    const auto lift = [&] {
      if (line.size() > 1) glyph.strokes.push_back({Path::polyline(line), width_mm});
      line.clear();
    };
    for (int i = 1; i < pairs; ++i) {
      const char x = text[at + 2 * static_cast<std::size_t>(i)];
      const char y = text[at + 2 * static_cast<std::size_t>(i) + 1];
      if (x == ' ' && y == 'R') {
        lift();
      } else {
        line.push_back({(x - 'R') * mm_per_unit, (y - 'R') * mm_per_unit});
      }
    }
    lift();
    at += 2 * static_cast<std::size_t>(pairs);
    if (!glyph.strokes.empty()) glyphs.push_back(std::move(glyph));
  }
  return glyphs;
}

}  // namespace underdraw::test
