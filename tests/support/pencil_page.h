// A page of pencil lines as a scanner would see it, with the very lines that were drawn.
//
// In/out:  linework in the page frame, mm, in; an 8-bit page and its true linework out.
// Refuses: options outside their ranges (OptionError).
// Same options, same lines, same page: all randomness is the own generators' here, seeded.
// Source:  own construction; the pencil is a threshold on the paper's tooth, as graphite keeps to
//          the heights that the lead reaches.
#pragma once

#include <array>

#include <opencv2/core.hpp>

#include "geometry/linework.h"

namespace underdraw::test {

// 0 turns an effect off. `PencilOptions::clean()` turns all of them off.
struct PencilOptions {
  unsigned seed = 1;
  double dpi = 300.0;             // [25, 2400]
  double page_width_mm = 210.0;   // [1, 2000]
  double page_height_mm = 297.0;  // [1, 2000]

  // The hand. A stroke's own width is its mean; pressure moves it up and down and darkens it too.
  double width_swing = 0.25;  // share of the width, about 0.34 to 0.56 for 0.45; [0, 0.9]
  double darkness = 0.72;     // share of the light that graphite takes where it lies; (0, 1]
  double pen_grey = 48.0;     // of graphite that lies closed; [0, 200]
  double pressure = 0.18;     // share by which darkness swings along a stroke; [0, 0.9]
  double wobble_mm = 0.10;    // rms distance from the line as meant, in slow waves; [0, 1]
  double grain = 0.75;        // how far the paper's tooth breaks the line into crumbs; [0, 1]

  // The paper and the scanner.
  double paper_grey = 243.0;  // (50, 255]
  double paper_grain = 2.0;   // grey levels, rms; [0, 30]
  double uneven_light = 0.1;  // share of light missing in the darkest corner; [0, 0.9]
  double vignette = 0.0;      // share of light missing in the corners; [0, 0.9]
  double lid_edge_mm = 0.0;   // dark band at the right and lower edge; [0, 30]
  int folds = 1;              // 1: across at half height; 2: also down at half width; [0, 2]
  int specks = 40;            // dust, 0.05 to 0.2 mm wide; [0, 10000]
  int smudges = 2;            // faint rubbed patches, 6 to 20 mm; [0, 100]
  double blur_mm = 0.04;      // standard deviation of the scanner's spread; [0, 1]
  double noise = 1.2;         // grey levels, standard deviation; [0, 50]
  double skew_deg = 0.0;      // the drawing turned about the page's middle; [-45, 45]
  // A camera held at 1.5 times the page's longer side, tilted by that much against looking straight
  // down; the page's side of tilt_towards_deg is the far one. The paper fills the picture.
  double tilt_deg = 0.0;  // [0, 40]
  double tilt_towards_deg = 0.0;
  Linework back = {};         // drawn on the other side, as seen from there
  double show_through = 0.0;  // share of light that it takes; [0, 0.5]

  bool colour = false;
  // What the paper throws back of each light, and what the pen does; only read for colour.
  std::array<double, 3> paper_tint = {1, 1, 1};  // blue, green, red; [0.5, 1.05]
  std::array<double, 3> pen_tint = {1, 1, 1};    // [0, 3]

  static PencilOptions clean();  // black strokes of exact width on white, at their exact place
  void validate() const;         // throws OptionError
};

struct PencilPage {
  cv::Mat grey;            // CV_8UC1
  cv::Mat colour;          // CV_8UC3 in the order blue, green, red, when it was asked for
  Linework truth;          // page frame, mm: as the pixels show it, with widths_mm
  double px_per_mm = 0.0;  // the same across and down
};

// The truth's paths are within 0.003 mm of the wobbled lines by construction, and the pixels are
// drawn from the truth itself, so against the pixels they are exact.
PencilPage draw_pencil_page(const Linework& lines, const PencilOptions& options = {});

}  // namespace underdraw::test
