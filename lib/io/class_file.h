// class.toml: one piece file for many persons, and what is different for each.
//
// Stage:   io. Reads class.toml and the names of the scans.
// Refuses: what the piece file's reader refuses in the part that all share; an unknown key; a list
//          without anybody on it (InputError). What is wrong with one person alone is told with
//          that person and refuses nobody else.
// Source:  TOML 1.0 (toml.io). The keys are in docs/class-file.md.
#pragma once

#include <filesystem>
#include <optional>
#include <string>
#include <vector>

#include "io/piece_file.h"

namespace underdraw {

struct ClassPerson {
  std::string name;                // as on the sheets: the second Mika is "Mika (2)"
  std::string file_name;           // "07-Mika-2": safe in any folder, no two alike
  std::optional<PieceFile> piece;  // nothing: `complaint` says why
  std::string complaint;
};

struct ClassFile {
  std::string name;
  PaperSize paper;  // of the part that all share: the contents page is on it
  double margin_mm = 10.0;
  std::vector<ClassPerson> persons;   // in the order of the list
  std::vector<std::string> warnings;  // scans that belong to nobody
};

// `path` is the file itself.
ClassFile read_class_file(const std::filesystem::path& path);

// A file name that any disk takes: the place in the list first, so that no two are alike and none
// begins with a dot; letters of all alphabets stay, what means something to a shell, a path or
// another system becomes a dash.
std::string person_file_name(std::size_t place, std::size_t count, const std::string& name);

}  // namespace underdraw
