// Linework as SVG text, and SVG files as linework.
//
// Stage:   io. Writing is pure (text comes back); reading opens one file.
// Frame:   the file's viewBox is in mm, so a number in a file of ours is a mm: origin top left,
//          x right, y down.
// Writes:  SVG 1.1: a stroked <path> a stroke, a filled even-odd <path> an area, 3 decimals.
//          stroke-width is the mean; pen widths along the stroke go into data-widths, as Stroke
//          keeps them (SVG 2, 4.6 allows data- attributes; others ignore them).
// Reads:   those, and plain SVG: <path> with every command, line, polyline, polygon, rect, circle,
//          ellipse, <g transform>, presentation attributes, style and single-class style sheets.
// Refuses: what is not SVG, has no size or no drawn line, and what draws but is not linework
//          (text, image, use): InputError says which.
// Source:  W3C, Scalable Vector Graphics (SVG) 1.1 (Second Edition), 2011: ch. 7 (sizes and
//          transforms), 8 (path data), 9 (shapes), 11 (painting), F.6 (arcs).
#pragma once

#include <filesystem>
#include <string>
#include <string_view>
#include <vector>

#include "motif/motif.h"

namespace underdraw {

// One <g>: the name is kept as its title; its id is the name made valid and unique.
struct SvgGroup {
  std::string name;
  Linework lines;
};

struct SvgPage {
  double width_mm = 0.0;
  double height_mm = 0.0;
  std::vector<SvgGroup> groups;
};

// A file of one motif, its ink box as the page. Refuses numbers that are not finite (OutputError).
std::string svg_of_motif(const Motif& motif);

// A whole page, one group a sketch.
std::string svg_of_page(double width_mm,
                        double height_mm,
                        const std::vector<SvgGroup>& groups,
                        const std::string& title = {});

// The motif of a file, named after its stem. Written by svg_of_motif and read back, no coordinate
// moves by more than 0.0006 mm. In other files the ink box is moved to (0, 0).
Motif read_motif_svg(const std::filesystem::path& path);

// A file with its outermost groups apart, in page coordinates. Lines outside any group come first,
// in a group without a name.
SvgPage read_svg_page(const std::filesystem::path& path);

// The same for text that is already in memory; `file` is only named in complaints.
SvgPage svg_page_of_text(std::string_view text, const std::string& file);

}  // namespace underdraw
