// What one printer makes of a millimetre, measured once, so that its sheets come out true.
//
// Stage:   sheet. Pure: lib/io keeps corrections in a file and writes and proves with them.
// In/out:  two measured lengths to two factors; a page's frames, mm, origin top left: "sent" is
//          what the file says, "printed" what lies on the paper.
// Frame:   across and down are those of upright paper. A page wider than high goes through the
//          printer turned, so that its across is the paper's down.
// Refuses: lengths more than 5 % off (InputError: both lengths, what to check): no printer errs by
//          so much, a page fitted to the paper does. Names that would not stand on one line.
// Source:  own construction. That printers err by well under 1 %: common practice, no source.
#pragma once

#include <optional>
#include <string>
#include <vector>

#include "geometry/vec2.h"
#include "sheet/drawing.h"
#include "sheet/paper.h"

namespace underdraw {

constexpr double kMostPrinterError = 0.05;

struct PrinterCorrection {
  std::string name;
  double across = 1.0;  // mm on upright paper for 1 mm in the file; [0.95, 1.05]
  double down = 1.0;

  void validate() const;  // throws OptionError

  friend bool operator==(const PrinterCorrection&, const PrinterCorrection&) = default;
};

// Lengths of the test page's bars; they fit all named papers.
constexpr double kPrinterAcrossMm = 180.0;
constexpr double kPrinterDownMm = 220.0;

struct MeasuredPrinter {
  PrinterCorrection printer;
  std::vector<std::string> warnings;  // usable, but it looks like something else than the printer
};

// What a ruler says of the two bars of the test page.
MeasuredPrinter measured_printer(const std::string& name, double across_mm, double down_mm);

// Where a page's ink lands. Both scale about the page's middle.
Affine printed_from_sent(const PrinterCorrection& printer, Vec2 page_mm);

// The margins that keep a page of this size inside the printer's, left and right, above and below.
// Printers scale about the middle or about a corner; there is room for either.
Vec2 printed_margins(const std::optional<PrinterCorrection>& printer,
                     Vec2 page_mm,
                     double margin_mm);

// "made for the printer studio-laser"
std::string printer_words(const PrinterCorrection& printer);

// "studio-laser prints 100 mm as 99.58 mm across and 100.25 mm down"
std::string printer_error_words(const PrinterCorrection& printer);

// The page whose bars are measured. With a printer: the same made for it, to see that it is true.
Drawing draw_printer_page(const PaperSize& paper,
                          const std::optional<PrinterCorrection>& printer = {});

}  // namespace underdraw
