// A harbour's desk: a piece folder with a good out/ and kept photos, a class, bare files, and a
// printer's settings; what a row of the table of bad inputs spoils.
//
// Stage: tests.
#pragma once

#include <filesystem>
#include <functional>
#include <map>
#include <string>
#include <vector>

#include "cli/run_program.h"
#include "support/own_folder.h"

namespace underdraw::test {

using Contents = std::map<std::string, std::string>;  // of files, by name; "(folder)"

// In the folder that the program runs in:
//   tea-bowl/       piece.toml, pages/page.png, out/ as `run` made it, photos/ and record.db
//   class/          class.toml and pages/
//   hook.svg, ring.svg, page.png, IMG_1.jpg to IMG_3.jpg, sheets.pdf, notes.txt
//   settings/       printers.toml knows studio-laser
class Harbour {
 public:
  Harbour();  // throws std::runtime_error when the good run fails
  Harbour(const Harbour&) = delete;
  Harbour& operator=(const Harbour&) = delete;

  const std::filesystem::path& path() const { return desk_; }
  std::filesystem::path operator/(const std::string& name) const { return desk_ / name; }
  std::filesystem::path toml() const { return desk_ / "tea-bowl/piece.toml"; }
  std::filesystem::path page() const { return desk_ / "tea-bowl/pages/page.png"; }

  // Throws std::runtime_error when the text is not there, so that no row tests nothing.
  void replace(const std::string& file, const std::string& from, const std::string& to) const;
  void write(const std::string& file, const std::string& text) const;

  // Everything with its content, hidden files too.
  Contents contents() const;
  void restore() const;  // as it was when it was made
  ProgramRun run(const std::vector<std::string>& words, ProgramOptions options = {}) const;

 private:
  OwnFolder own_;
  std::filesystem::path desk_ = own_.path() / "desk";
  std::filesystem::path whole_ = own_.path() / "whole";
};

using Spoil = std::function<void(const Harbour&)>;

// One row: what is wrong, what is asked, and what must come of it.
struct BadInput {
  std::string wrong;
  std::vector<std::string> words;
  int exit_code = 1;              // 1 refused, 2 wrong use
  std::vector<std::string> says;  // the file or option concerned, what was found, what to do
  Spoil spoil = {};
};

// What the program did otherwise than promised, one line each.
std::string broken_promises(const BadInput& bad, const ProgramRun& run);
// What was lost, changed or left lying, one line each.
std::string changes(const Contents& before, const Contents& after);

std::vector<BadInput> bad_uses();
std::vector<BadInput> bad_piece_files();
std::vector<BadInput> bad_arrangements();
std::vector<BadInput> bad_pages();
std::vector<BadInput> bad_motifs();
std::vector<BadInput> bad_photos();
std::vector<BadInput> bad_folders();

// A piece.toml with `from` replaced by `to`.
Spoil in_toml(const std::string& from, const std::string& to);

}  // namespace underdraw::test
