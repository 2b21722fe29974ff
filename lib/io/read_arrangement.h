// [[arrange]] of piece.toml: what goes where on which face.
//
// Stage:   io. Internal to the piece file's reader.
// Keys:    see repeat/arrangement.h and docs/commands/place.md. A key that the style has no use for
//          is refused, with the styles that have.
// Refuses: everything else (InputError, with line).
#pragma once

#include <string>
#include <vector>

#include "io/toml_table.h"
#include "piece/face.h"
#include "repeat/arrangement.h"

namespace underdraw {

Arrangement read_arrangement(const toml::table& raw,
                             const std::string& file,
                             const std::vector<Face>& faces,
                             const std::vector<std::string>& motifs);

}  // namespace underdraw
