// How wide a line of text comes out in print, so that pages can be laid out without a printer.
//
// Stage:   sheet. Pure: widths come from a table (open_sans_widths.h); lib/io/ sets the same font.
// In/out:  UTF-8, mm. Letters are set at their advance widths, without kerning.
#pragma once

#include <string>
#include <string_view>

#include "geometry/vec2.h"
#include "sheet/drawing.h"

namespace underdraw {

// Heights in the fonts, as shares of the font size.
constexpr double kCapHeight = 0.714;  // digits and capitals
constexpr double kAscent = 0.75;      // ink above the baseline, accents on capitals excepted
constexpr double kDescent = 0.245;    // ink below the baseline
// Some letters reach out of their advance width, J by 0.08 to the left, ď by 0.11 to the right:
// text keeps this far from the margin, mm, at up to 7 mm of size.
constexpr double kTextInset = 0.7;
constexpr double kLineSpacing = 1.45;  // from baseline to baseline in running text

// Latin text exact; letters of other scripts count as wide as the widest.
double text_width_mm(std::string_view text, double height_mm, bool bold = false);
double text_width_mm(const TextMark& mark);

// Around the ink of a line, however it is turned.
Box text_box(const TextMark& mark);

// The text, or as much of it as fits, ending in "…"; never empty unless nothing at all fits.
std::string fitted_text(const std::string& text, double width_mm, double height_mm, bool bold);

}  // namespace underdraw
