// What is drawn on one part of a template at true size.
//
// Stage:   sheet. Pure.
// Frame:   of the part (piece/face_template.h), mm.
// Holds:   the cut line; seam, foot and rim by name; centre lines; division marks; a cross with
//          number and up arrow for each placement; darts; zones; the part's own name.
#pragma once

#include <string>
#include <vector>

#include "piece/face_template.h"
#include "repeat/arrange.h"
#include "sheet/drawing.h"

namespace underdraw {

// Into how many equal parts the edges are divided: as many as copies stand in each row; 4 and 8
// where there is no row.
std::vector<int> divisions_of(const PlacedFace& face);

// Whether any edge has room for them: the tips of a ball's gores have none.
bool has_division_marks(const PlacedFace& face, const FaceTemplate& shape);

// Words stay inside the cut line wherever there is room.
std::vector<Mark> template_part_marks(const PlacedFace& face,
                                      const FaceTemplate& shape,
                                      std::size_t part);

// The cut lines alone.
PathMark outline_mark(const TemplatePart& part, double width_mm);

}  // namespace underdraw
