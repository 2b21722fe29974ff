#include "sheet/text_width.h"

#include <array>
#include <cstdint>

#include "sheet/open_sans_widths.h"

namespace underdraw {
namespace {

// The next code point of a UTF-8 text; a damaged byte counts as one letter.
char32_t next_letter(std::string_view text, std::size_t& at) {
  const auto byte = [&](std::size_t i) { return static_cast<unsigned char>(text[i]); };
  const unsigned char first = byte(at++);
  const int extra = first >= 0xF0 ? 3 : first >= 0xE0 ? 2 : first >= 0xC0 ? 1 : 0;
  if (extra == 0) return first < 0x80 ? first : 0xFFFD;
  char32_t letter = first & (0x3FU >> extra);
  for (int i = 0; i < extra; ++i) {
    if (at >= text.size() || (byte(at) & 0xC0) != 0x80) return 0xFFFD;
    letter = (letter << 6) | (byte(at++) & 0x3FU);
  }
  return letter;
}

template <typename Ascii, typename Latin, typename Signs>
double units(char32_t letter, const Ascii& ascii, const Latin& latin, const Signs& signs) {
  if (letter >= 0x20 && letter < 0x20 + ascii.size()) return ascii[letter - 0x20];
  if (letter >= 0xA0 && letter < 0xA0 + latin.size()) return latin[letter - 0xA0];
  for (const auto& [sign, width] : signs) {
    if (sign == letter) return width;
  }
  return kWidestGlyph;
}

}  // namespace

double text_width_mm(std::string_view text, double height_mm, bool bold) {
  double sum = 0.0;
  for (std::size_t at = 0; at < text.size();) {
    const char32_t letter = next_letter(text, at);
    sum += bold ? units(letter, kSemiboldAscii, kSemiboldLatin, kSemiboldSigns)
                : units(letter, kRegularAscii, kRegularLatin, kRegularSigns);
  }
  return sum / kFontUnits * height_mm;
}

double text_width_mm(const TextMark& mark) {
  return text_width_mm(mark.text, mark.height_mm, mark.bold);
}

Box text_box(const TextMark& mark) {
  const double width = text_width_mm(mark);
  const double left = mark.align == Align::left     ? 0.0
                      : mark.align == Align::centre ? -width / 2.0
                                                    : -width;
  const Affine page_from_line = Affine::translate(mark.at) * Affine::turn_deg(mark.turn_deg);
  Box box;
  for (const double x : {left, left + width}) {
    for (const double y : {-kAscent * mark.height_mm, kDescent * mark.height_mm}) {
      box.add(page_from_line * Vec2{x, y});
    }
  }
  return box;
}

std::string fitted_text(const std::string& text, double width_mm, double height_mm, bool bold) {
  if (text_width_mm(text, height_mm, bold) <= width_mm) return text;
  const std::string dots = "\u2026";
  std::string best;
  for (std::size_t at = 0; at < text.size();) {
    const std::string candidate = text.substr(0, at) + dots;
    if (text_width_mm(candidate, height_mm, bold) > width_mm) break;
    best = candidate;
    next_letter(text, at);
  }
  return best;
}

}  // namespace underdraw
