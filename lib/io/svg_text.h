// What every SVG file of ours is written with: numbers, path data, words, the opening of the file.
//
// Stage:   io. Text is appended or comes back.
// Frame:   a number in the file is a mm.
// Refuses: numbers that are not finite (OutputError).
// Source:  W3C, Scalable Vector Graphics (SVG) 1.1 (Second Edition), 2011.
#pragma once

#include <string>
#include <string_view>

#include "geometry/path.h"

namespace underdraw {

// Decimals as asked, trailing zeros dropped, always with a point: independent of any locale.
void append_svg_number(std::string& out, double value, int decimals = 3);
void append_svg_point(std::string& out, Vec2 p, int decimals = 3);
void append_svg_path(std::string& out, const Path& path, int decimals = 3);

std::string xml_escaped(std::string_view text);

// Up to the first drawn line; what follows has round black lines and no filling unless it says so.
std::string svg_head(double width_mm, double height_mm, const std::string& title = {});

}  // namespace underdraw
