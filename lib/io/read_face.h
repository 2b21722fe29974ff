// [[face]] of piece.toml: what a person measured.
//
// Stage:   io. Internal to the piece file's reader.
// Keys:    flat: width, height or outline (an SVG file), joint. cylinder: circumference or
//          diameter, height. cone: foot and rim (circumferences) or foot_diameter and rim_diameter,
//          height or slant. turned: profile (height, circumference) or wall_profile (length along
//          the wall, circumference), between. ring: inner, outer
//          (diameters), height or slant. ball: circumference or
//          diameter. patch: across, across_chord, up, up_chord, saddle. All: name, form, keep_out.
//          What is stated twice must agree.
// Refuses: everything else, and readings that contradict each other (InputError, with line).
#pragma once

#include <string>

#include "io/toml_table.h"
#include "piece/face.h"

namespace underdraw {

// An outline's file is looked for beside `file`, which is the piece file.
Face read_face(const toml::table& raw, const std::string& file);

}  // namespace underdraw
