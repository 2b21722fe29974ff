// The page on which a person taps the same spots in a photo before and a photo after.
//
// Stage:   io. Text comes back.
// In/out:  one HTML file that asks nothing of any network: style, program and photos are inside it.
//          It hands out the text of points.toml (points_file.h), in px of the upright photos. Its
//          own text is lib/io/points_page/page.{html,css,js}, embedded when the library is built;
//          what is put into it is escaped.
// Source:  HTML Living Standard (WHATWG), SVG 2 (W3C); contrast after WCAG 2.1, 1.4.3.
#pragma once

#include <string>
#include <vector>

namespace underdraw {

struct PointsPhoto {
  std::string name;  // in photos/
  std::string jpeg;  // bytes, upright
  int width_px = 0;  // of the JPEG
  int height_px = 0;
  double file_px = 1.0;  // px of the upright photo per px of the JPEG
};

struct PointsPage {
  std::string piece;
  std::string folder;  // where points.toml belongs, as the person knows it
  std::vector<PointsPhoto> before, after;
};

std::string points_page(const PointsPage& page);

}  // namespace underdraw
