// printers.toml: the corrections of this person's printers, in the user's configuration folder.
//
// Stage:   io.
// In/out:  schema = 1, and a [[printer]] table each with name, across and down: what the printer
//          makes of 1 mm on upright paper. No file is the same as no printers.
// Guarantee: the file is replaced in one step and locked meanwhile; a failed command leaves it.
// Refuses: as io/piece_file.h; a printer that is not known (InputError, with those that are).
// Source:  where it lies: XDG Base Directory Specification 0.8, $XDG_CONFIG_HOME.
#pragma once

#include <filesystem>
#include <string>
#include <vector>

#include "io/out_folder.h"
#include "sheet/printer_correction.h"

namespace underdraw {

constexpr int kPrintersSchema = 1;

// $XDG_CONFIG_HOME/underdraw/printers.toml, or ~/.config/underdraw/printers.toml; InputError when
// the environment names neither folder.
std::filesystem::path printers_file();

// In the order in which they were kept.
std::vector<PrinterCorrection> read_printers(const std::filesystem::path& file);

PrinterCorrection printer_named(const std::filesystem::path& file, const std::string& name);

// Adds it, or puts it in the place of the one with its name. What was there before comes back.
std::optional<PrinterCorrection> keep_printer(const std::filesystem::path& file,
                                              const PrinterCorrection& printer,
                                              const Notice& notice = {});

void remove_printer(const std::filesystem::path& file,
                    const std::string& name,
                    const Notice& notice = {});

}  // namespace underdraw
