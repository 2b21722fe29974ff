// The ink of a page as parts: pieces of ink with clear paper round them, and how far apart they
// are.
//
// Stage:   scan. Pure.
// In/out:  the coarse page of paper_light(); everything here is in coarse px.
// Source:  own construction on connected components and distance transforms, so that its cost grows
//          with the page's area and the number of neighbours, not with the square of the parts.
#pragma once

#include <cstddef>
#include <vector>

#include <opencv2/core.hpp>

#include "scan/page.h"
#include "scan/paper_light.h"

namespace underdraw {

struct PagePart {
  cv::Rect box;
  int ink_px = 0;
  std::vector<cv::Point> hull;  // corners of its ink's convex hull
};

struct PageParts {
  double px_per_mm = 0.0;  // of the coarse page
  double ink_share = 0.0;  // of the page's area, lid and dust included
  cv::Mat lid;             // CV_8UC1, 255 where the scanner's lid or the table shows
  cv::Mat part_of;         // CV_32SC1, part number + 1 on ink, 0 elsewhere
  cv::Mat grey;            // as in PaperLight; pixels shared
  cv::Mat light;
  std::vector<PagePart> parts;
};

// Ink is darker than `lightest` (share of the paper's light) and than the paper's noise. Ink with
// less than about 0.6 mm of paper between is one part: pencil grain breaks lines no wider than
// that. What is finer than the finest dot of a pen is no part.
PageParts find_parts(const Page& page, const PaperLight& light, double lightest);

struct Nearest {
  int part = -1;    // number; -1: there is none
  double px = 0.0;  // white space from ink at the pixel to that part's
};

// For every square of step x step pixels the nearest of the chosen parts. From 5 px a mm on, parts
// stay apart in squares of two: a pixel less exact, at a quarter of the cost.
struct NearestParts {
  int step = 1;
  cv::Mat part;  // CV_32SC1, part number + 1; 0 everywhere when none is chosen
  cv::Mat off;   // CV_32FC1, px, distance to its ink; 0 on it

  Nearest at(int x, int y) const;  // coarse px
};

// Farther than `around_px` beyond the box round all chosen parts nobody asks.
NearestParts nearest_parts(const PageParts& page,
                           const std::vector<bool>& chosen,
                           double around_px = 1e6);

// White space between two parts that are neighbours: some paper is nearest to both.
struct PartGap {
  std::size_t a = 0;
  std::size_t b = 0;  // > a
  double px = 0.0;
};

// Of each pair of neighbours that is at most `most_px` apart, once; narrow gaps first. A chain of
// these gaps joins any two parts as tightly as any gaps could.
std::vector<PartGap> gaps_between(const NearestParts& nearest, double most_px);

// Sets that grow together.
class Unions {
 public:
  explicit Unions(std::size_t count);
  std::size_t root(std::size_t i);
  std::size_t join(std::size_t a, std::size_t b);  // the root of both

 private:
  std::vector<std::size_t> parent_;
};

}  // namespace underdraw
