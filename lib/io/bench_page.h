// The page for the bench: photos before and after with the lines over them, every number in turn
// with its drawing at true size and a tick when it is drawn again.
//
// Stage:   io. Text comes back.
// In/out:  one HTML file that asks nothing of any network: style, program, photos and lines are
//          inside it. Its own text is lib/io/bench_page/page.{html,css,js}, embedded when the
//          library is built; what is put into it is escaped.
// Frames:  lines over a photo in px of the picture given here; a number's drawing in mm on paper
//          laid at its placement, origin there, x right, y down.
// Source:  HTML Living Standard (WHATWG), SVG 2 (W3C); contrast after WCAG 2.1, 1.4.3.
#pragma once

#include <string>
#include <vector>

#include "geometry/linework.h"
#include "recover/photo_line.h"

namespace underdraw {

// One photo after, and the same view before if there is one: both of the same size.
struct BenchView {
  std::string title;  // "wall, from a 120°"
  int width_px = 0;
  int height_px = 0;
  std::string before_jpeg;  // bytes; may be empty
  std::string after_jpeg;
  std::vector<PhotoLine> lines;
};

struct BenchNumber {
  int number = 0;
  std::string name;    // "kelp, mirrored"
  std::string where;   // "wall, a 90.0°, s 60.0"
  std::string size;    // "42.0 mm high"
  std::string note;    // what was not seen, and from where to photograph it; may be empty
  Linework lines;      // empty: not recovered
  bool there = false;  // the later photos show it: ticked at first
};

struct BenchPage {
  std::string piece;
  std::vector<BenchView> views;
  std::vector<BenchNumber> numbers;
  std::vector<std::string> notes;  // below all, one line each
};

std::string bench_page(const BenchPage& page);

}  // namespace underdraw
