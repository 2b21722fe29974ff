// A drawn page as SVG, true to size, for cutters, screens and drawing programs.
//
// Stage:   io. Text comes back.
// Frame:   the viewBox is in mm: a number in the file is a mm, origin top left, x right, y down.
// Writes:  SVG 1.1. Lines are stroked <path>s, no outlines of lines. What has to be cut stands in
// the
//          group "cut", all else in the group "drawn". Words are outlines: a cutter has no fonts,
//          and on a screen they look as on paper. Letters and marks that repeat stand once in
//          <defs>, and <use> says where they lie. The same input gives the same text.
// Source:  W3C, Scalable Vector Graphics (SVG) 1.1 (Second Edition), 2011: 5.6 (use), 7, 8, 11.
#pragma once

#include <string>

#include "sheet/drawing.h"

namespace underdraw {

std::string svg_of_drawing(const Drawing& drawing);

}  // namespace underdraw
