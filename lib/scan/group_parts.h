// Gathers the parts of a page into drawings: what belongs together, what stands apart.
//
// Stage:   scan. Pure.
// In/out:  parts of the coarse page; options in mm, results in coarse px.
// Source:  own construction: single linkage whose reach depends on how the two sides compare. Two
//          drawings keep apart across white space that a dot or a fallen leaf still belongs across.
#pragma once

#include <cstddef>
#include <vector>

#include <opencv2/core.hpp>

#include "scan/page_parts.h"

namespace underdraw {

struct GroupOptions {
  double apart_mm = 4.5;  // drawings closer than this are one; > 0
  double belongs_mm =
      10.0;  // a much smaller part this near to a drawing is part of it; >= apart_mm
  double smallest_mm = 3.0;  // a longer side below this is a mark, not a drawing; > 0
};

struct PartGroup {
  std::vector<std::size_t> parts;
  cv::Rect box;
  std::vector<cv::Point> hull;
  bool drawing = false;  // false: a mark far from every drawing
};

struct PartGroups {
  std::vector<PartGroup> groups;
  std::vector<int> group_of;  // of each part; -1: left out
  NearestParts nearest;       // to the parts that make up drawings, loose marks not counted
};

// `gaps` are those between all parts. Parts that are left out tie nothing together.
PartGroups group_parts(const PageParts& page,
                       const std::vector<PartGap>& gaps,
                       const std::vector<bool>& left_out,
                       const GroupOptions& options);

}  // namespace underdraw
