// Photos and scans of a drawing sheet with something drawn on it, bent as paper bends.
//
// Frames: sheet, mat and photo as in photo/drawing_sheet.h and support/bent_paper.h.
// How:    a sight line a few px apart is followed to the bent paper and what lies between is read
//         from the raster of the printed page with its pencil lines; then as in photo_scene.h.
#pragma once

#include <optional>
#include <vector>

#include <opencv2/core.hpp>

#include "geometry/linework.h"
#include "photo/drawing_sheet.h"
#include "support/bent_paper.h"
#include "support/photo_scene.h"

namespace underdraw::test {

struct SheetScene {
  SheetKind kind;
  Linework lines;  // drawn on it in pencil, sheet, mm
  BendShape shape = BendShape::arc;
  double bow_mm = 0.0;
  double bend_along_deg = 0.0;
  double uneven_light = 0.0;  // share of light missing at the darkest side
  std::vector<Box> covers;    // sheet: something lies on it
  std::uint32_t seed = 1;
};

class SheetPhotos {
 public:
  explicit SheetPhotos(SheetScene scene);

  cv::Mat photo(const Shot& shot) const;  // CV_8UC3, blue, green, red
  cv::Mat grey_photo(const Shot& shot) const;
  // On a scanner: flat, askew by so much, its glass a little larger than the paper.
  cv::Mat grey_scan(double dpi, double skew_deg) const;

  const DrawingSheet& sheet() const { return sheet_; }
  // What was drawn, as the hand made it.
  const Linework& truth() const { return truth_; }
  std::optional<Vec2> px_of(const Shot& shot, Vec2 sheet) const;

 private:
  bool is_covered(Vec2 sheet) const;
  Vec2 sheet_seen(const Shot& shot, Vec2 px) const;

  SheetScene scene_;
  DrawingSheet sheet_;
  BentPaper paper_;
  Linework truth_;
  cv::Mat raster_;  // CV_32FC1, linear light of the paper, kRasterDpi
};

struct SheetShot {
  double tilt_deg = 0.0;
  double azimuth_deg = 20.0;  // towards which the camera stands
  double roll_deg = 3.0;
  int longer_px = 3200;
  double fills = 0.95;  // as much of the picture, by the corner that is nearest to its edge
  double k1 = 0.05;
  double k2 = -0.06;
};
Shot shot_of_sheet(const SheetPhotos& photos, const SheetShot& how);

}  // namespace underdraw::test
