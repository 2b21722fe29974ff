// A placed face in JSON, as placements.json and sheets.json have it: name, form, what was measured,
// and the placements.
//
// Stage:   io. Pure.
// In/out:  {"name","form","measured":{…},"transfer_from_measured","template":{"width_mm",
//          "height_mm"},"placements":[{"id","variant","motif","mirrored","turn_deg","scale",
//          "centre":{"a_deg","s_mm"} or {"x_mm","y_mm"},"strain_percent","too_fine","darts":[…]}]}.
//          "measured" has the fields of piece/face.h; centres are at the stage when the lines go
//          on, tape lengths times transfer_from_measured.
// Refuses: numbers out of range, readings that no face has (InputError).
#pragma once

#include "io/json_value.h"
#include "repeat/arrange.h"

namespace underdraw {

Json json_of_face(const PlacedFace& face);

// Without its reports.
PlacedFace face_of_json(const JsonValue& value);

}  // namespace underdraw
