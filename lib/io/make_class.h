// The whole chain for a class: everybody's page to proved sheets with the name on them, and one
// file for the printer.
//
// Stage:   io. Reads class.toml and the scans, replaces out/ (see io/out_folder.h).
// Guarantee: what is wrong with one person's page stops nobody else. Sheets that are not true are
//          not in out/. When nobody's sheets could be made, out/ stays as it was.
// Memory:  one person a core at a time; what stays of each is the PDF.
// Refuses: what io/class_file.h refuses; a folder or disk that takes no files (OutputError).
#pragma once

#include <filesystem>
#include <string>
#include <vector>

#include "core/progress.h"
#include "io/make_piece.h"

namespace underdraw {

constexpr const char* kClassFile = "class.toml";

struct PersonResult {
  std::string name;
  std::string file_name;  // "07-Mika-2"
  std::string problem;    // why nothing was made; empty: all is well
  std::size_t placements = 0;
  std::size_t sheets = 0;
  std::string paper;
  std::string method;
  double largest_mm = 0.0;  // the proof's largest deviation
  int first_page = 0;       // in printer.pdf, with the cover
  int last_page = 0;
  std::vector<std::string> warnings;
};

struct ClassResult {
  std::string name;
  std::vector<PersonResult> persons;  // in the order of the list
  int pages = 0;                      // of printer.pdf
  std::vector<std::string> warnings;  // of the class file
  std::vector<std::string> files;     // for the teacher, as paths
  bool published = false;             // false: nobody's sheets could be made

  bool complete() const;
};

ClassResult make_class(const std::filesystem::path& folder,
                       const MakeOptions& options = {},
                       const Progress& progress = {},
                       const Notice& notice = {});

// The same as JSON text: {"schema":1,"class","pages","persons":[…],"warnings","files"}.
std::string class_text(const ClassResult& result);

}  // namespace underdraw
