// piece.toml: everything that a person states about a piece.
//
// Stage:   io.
// Refuses: a file that is missing, empty, not UTF-8 or not TOML; every unknown key (the nearest
//          known one is suggested), wrong type, length out of range, repeated name, arrangement of
//          an unknown face or motif, colour on a part that is not there, form or style that is not
//          supported. InputError, with line.
// Source:  TOML 1.0 (toml.io).
#pragma once

#include <filesystem>
#include <optional>
#include <string>
#include <string_view>
#include <vector>

#include "coats/colours.h"
#include "motif/line_detail.h"
#include "piece/face.h"
#include "piece/shrinkage.h"
#include "repeat/arrangement.h"
#include "scan/captions.h"
#include "sheet/sheet_plan.h"

namespace underdraw {

constexpr int kPieceSchema = 1;
constexpr double kUsualMarginMm = 8.0;

struct PageEntry {
  std::string file;                       // relative to the piece folder, or absolute
  std::vector<std::string> names;         // of its sketches, left to right, top to bottom
  std::optional<double> dpi;              // overrides what the file says
  int page = 1;                           // 1-based page of that file
  std::optional<Captions> captions = {};  // nothing: as the command says
  int line = 0;                           // where it stands in piece.toml
};

// A motif that is an SVG file of linework already.
struct MotifEntry {
  std::string name;
  std::string file;  // relative to the piece folder, or absolute
};

struct PieceFile {
  std::string name;
  bool clay_stated = false;  // no [clay]: sizes are taken as they are
  Clay clay;
  SheetOptions sheets;   // paper, and how lines are transferred; without its printer
  std::string printer;   // whose correction the sheets take; empty: none
  int printer_line = 0;  // where that stands in piece.toml
  // The photo mat's 100 mm bars as measured, across and down; nothing: printed true.
  std::optional<Vec2> mat_bars_mm;
  LineTool tool;              // what the pencil, pen or brush can do, when the lines go on
  double least_gap_mm = 0.8;  // closest that two drawings may come
  std::vector<PageEntry> pages;
  std::vector<MotifEntry> motif_files;
  std::vector<Face> faces;
  std::vector<Arrangement> arrangements;
  CoatOptions coats;
  std::vector<Colour> colours;  // in the order in which they are painted
};

// `path` is the file itself.
PieceFile read_piece_file(const std::filesystem::path& path);

// The same for text in memory; `file` is named in complaints, and outlines of faces are looked for
// beside it.
PieceFile piece_of_text(std::string_view text, const std::string& file);

// A commented piece.toml that reads back and works once pages/sketches.png is there. form: one of
// form_names() (OptionError otherwise).
std::string piece_template(const std::string& form, const std::string& piece_name = "New piece");

}  // namespace underdraw
