// The worst place of a traced page, drawn large: the scan in pale grey, the drawn lines broad and
// blue, the traced lines thin and red, and what is wrong.
//
// In/out:  a page and its lines, mm; an indexed PNG, 12 by 12 mm at 40 px a mm and a caption.
#pragma once

#include <optional>
#include <string>

#include "accuracy/score_page.h"
#include "scan/page.h"

namespace underdraw::test {

constexpr double kWorstPlaceMm = 12.0;

// Middle of the square with the most weight of faults in it; nothing when there are no faults.
std::optional<Vec2> worst_place(const PageScore& score);

// "2 gaps, 1 crossing split, 3.1 mm missed": what is wrong within the square.
std::string what_is_wrong(const PageScore& score, Vec2 middle);

std::string png_of_place(const Page& page,
                         const Linework& drawn,
                         const Linework& traced,
                         const PageScore& score,
                         const std::string& title,
                         Vec2 middle);

}  // namespace underdraw::test
