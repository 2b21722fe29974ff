// Writing as strokes whose middle lines were set down by others: Hershey's letters and the medians
// of Chinese characters.
//
// In/out:  text in; strokes in mm, x right, y down, out. Corners stay, what lies between them
//          becomes a smooth curve through the given points. An end that lies within a pen width of
//          another line is moved onto it, as a person writes it, so that it either meets or stays
//          clear.
// Source:  Hershey: see support/hershey.h. Characters: see strokes/README.md.
#pragma once

#include <string>

#include "geometry/linework.h"

namespace underdraw::test {

// One line of printable ASCII; capitals are cap_mm tall and stand on y = 0. font: "rowmans".
// Throws std::runtime_error when the font is not installed.
Linework written(const std::string& font, const std::string& text, double cap_mm, double pen_mm);

// Characters of strokes/hanzi-medians.json (UTF-8) in rows, each in a square of size_mm.
Linework brushed(const std::string& characters, int in_a_row, double size_mm, double pen_mm);

// The same strokes with the pen pressed unevenly, its width between least and most.
Linework pressed(Linework lines, double least_mm, double most_mm, unsigned seed);

}  // namespace underdraw::test
