// Finds what looks like lines of writing among the parts of a page, by its shape alone.
//
// Stage:   scan. Pure.
// In/out:  parts of the coarse page; everything here is in coarse px.
// Doubt:   a row that could be an ornament (dots, scallops, waves, rope) is no writing.
// Source:  own construction. Letters stand in a row, are of similar height, change direction often
//          and, unlike an ornament, do not repeat.
#pragma once

#include <cstddef>
#include <vector>

#include <opencv2/core.hpp>

#include "scan/page_parts.h"

namespace underdraw {

struct CaptionShape {
  double slope = 0.0;        // of the row, down to the right
  double height = 0.0;       // of a bar with as much spread across the row: ascenders hardly count
  double length = 0.0;       // along the row
  double runs_along = 0.0;   // lines crossed per height by a cut along the row
  double runs_across = 0.0;  // lines crossed by a cut across the row, where there is ink
  double filled = 0.0;       // share of the hulls of its pieces that lies inside their outlines
  // Only where the rest leaves it open. How well each piece matches another, from -1 to 1; -1: the
  // row is too short for that.
  double repeats = 1.0;
  double uneven = 0.0;  // standard deviation of its upper and lower edge, in heights
};

struct WritingRow {
  std::vector<std::size_t> parts;
  cv::Rect box;
  CaptionShape shape;
};

// Rows of small parts side by side, writing or not.
std::vector<WritingRow> rows_of_parts(const PageParts& page, const std::vector<PartGap>& gaps);

// The row that these parts of another make up.
WritingRow row_of(const PageParts& page, std::vector<std::size_t> parts);

// Surely: nothing else looks so. Likely: a short word or a crowded hand, or an ornament after all.
// Perhaps: a word of few letters, or any small part; only where it stands can tell.
enum class Written { no, perhaps, likely, surely };
Written how_written(const WritingRow& row, double px_per_mm);

// Adds the small parts that stand in the row or close round it and nearer to it than to anything
// larger: dots, accents, single letters at its ends.
void take_in_strays(WritingRow& row, const PageParts& page, const std::vector<PartGap>& gaps);

}  // namespace underdraw
