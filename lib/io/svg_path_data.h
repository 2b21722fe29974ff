// The small languages inside SVG attributes: numbers, lengths, path data, transform lists.
//
// Stage:   io. Pure.
// In/out:  attribute text in; user units out.
// Refuses: text outside the grammar, numbers that are not finite (InputError whose complaint has
//          only `found` and `expected`; the caller knows the file and line).
// Source:  W3C SVG 1.1 (Second Edition): 7.6 (transform), 8.3 (path data), F.6 (arcs).
#pragma once

#include <string_view>
#include <vector>

#include "geometry/path.h"

namespace underdraw {

// Everything in the list, separated by white space and commas.
std::vector<double> svg_numbers(std::string_view text);

// "12", "12px", "3mm", "1in", "2.5cm", "9pt", "1pc" in user units (1/96 inch).
double svg_length(std::string_view text);

// One Path a subpath; a subpath of a single "moveto" draws nothing and is dropped.
std::vector<Path> svg_path_data(std::string_view text);

Affine svg_transform(std::string_view text);

// Elliptical arc around a centre, whole, as four cubics.
Path ellipse_path(Vec2 centre, double rx, double ry);

}  // namespace underdraw
