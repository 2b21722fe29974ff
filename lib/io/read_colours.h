// [coats] and [[colour]] of a piece file.
//
// Stage:   io. Internal to the piece file's reader.
// Keys:    [coats] gap, close, order, hold, pace. [[colour]] name, kind, coats, drying, coverage,
// on. Refuses: unknown keys and words, a count of coats for a wash, two colours of one name or on
// the
//          same part, a part that is neither face nor motif nor an area of one (InputError, line).
#pragma once

#include <string>
#include <vector>

#include "coats/colours.h"
#include "io/toml_table.h"

namespace underdraw {

CoatOptions read_coats(const TomlTable& table);
const std::vector<std::string>& coats_keys();

std::vector<Colour> read_colours(const std::vector<const toml::table*>& tables,
                                 const std::string& file,
                                 const std::vector<std::string>& faces,
                                 const std::vector<std::string>& motifs);

}  // namespace underdraw
