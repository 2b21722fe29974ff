// Checks of option values that name the unit, and the options that several commands share.
#pragma once

#include <optional>
#include <string>
#include <vector>

#include <CLI/CLI.hpp>

#include "io/make_piece.h"
#include "io/out_folder.h"

namespace underdraw::cli {

// A whole decimal number: no NaN, no unit behind it, no comma. Nothing otherwise.
std::optional<double> number_of(const std::string& text);

// A number from low to high, both included: number_between(0.005, 1, "mm").
CLI::Validator number_between(double low, double high, const std::string& unit);

// A whole number from low up.
CLI::Validator count_from(int low);

// One of these words.
CLI::Validator one_of(const std::vector<std::string>& words);

// A file name with this ending, in either case.
CLI::Validator name_that_ends_in(const std::string& ending);

// Not empty.
CLI::Validator some_name();

// A word that photos can be kept under.
CLI::Validator stage_name();

// --overwrite
struct OverwriteOption {
  bool given = false;

  void declare(CLI::App& app);
  Overwrite value() const { return given ? Overwrite::yes : Overwrite::no; }
};

// --also and --png-dpi
struct AlsoOption {
  std::vector<std::string> kinds;
  std::optional<double> png_dpi;

  void declare(CLI::App& app);
  PageFiles value() const;
};

}  // namespace underdraw::cli
