// A piece as a table of TOML: for those who put it together from more than one file or table.
//
// Stage:   io. Internal to the readers of piece.toml and class.toml.
// Refuses: as io/piece_file.h.
#pragma once

#include <string>
#include <string_view>
#include <vector>

#include <toml++/toml.h>

#include "io/piece_file.h"

namespace underdraw {

// The text as a table; what is empty, not UTF-8 or not TOML is refused with its line.
toml::table parsed_toml(std::string_view text, const std::string& file);

// What a piece file may hold at its top.
const std::vector<std::string>& piece_keys();

// Lines in complaints are those of the nodes, so tables copied from the same file keep theirs.
PieceFile piece_of_table(const toml::table& root, const std::string& file);

}  // namespace underdraw
