#include "sheet/printer_correction.h"

#include <algorithm>
#include <cmath>

#include <fmt/format.h>

#include "core/error.h"

namespace underdraw {
namespace {

constexpr std::size_t kLongestName = 40;  // bytes: it stands in the head line of every sheet
constexpr double kUsualError = 0.01;
constexpr double kRounding = 1e-6;    // corrections are kept to as many places
constexpr double kBothAlike = 0.003;  // of the two factors of a page that was fitted to the paper

void require_printer_name(const std::string& name) {
  const auto control = [](char c) {
    const auto byte = static_cast<unsigned char>(c);
    return byte < 0x20 || byte == 0x7f;
  };
  if (!name.empty() && name.size() <= kLongestName && name.front() != ' ' && name.back() != ' ' &&
      std::none_of(name.begin(), name.end(), control)) {
    return;
  }
  throw OptionError(
      {.file = {},
       .line = {},
       .found = fmt::format("printer name of {} bytes", name.size()),
       .expected = fmt::format("1 to {} bytes on one line, no space at the ends", kLongestName),
       .remedy = "choose a short name, such as studio-laser"});
}

double factor_of(const char* which, double measured_mm, double bar_mm) {
  const double factor = measured_mm / bar_mm;
  if (std::abs(factor - 1.0) <= kMostPrinterError + kRounding) return factor;
  throw InputError(
      {.file = {},
       .line = {},
       .found = fmt::format("the bar {} measures {:g} mm", which, measured_mm),
       .expected =
           fmt::format("{:.0f} mm, at most {:.0f} % off", bar_mm, 100.0 * kMostPrinterError),
       .remedy = "no printer errs by so much: print the test page at 100 %, nothing fitted to the "
                 "page, and measure from end tick to end tick"});
}

// Across and down of a page as it is read.
Vec2 factors_on(const PrinterCorrection& printer, Vec2 page_mm) {
  if (page_mm.x > page_mm.y) return {printer.down, printer.across};
  return {printer.across, printer.down};
}

}  // namespace

void PrinterCorrection::validate() const {
  require_printer_name(name);
  for (const double factor : {across, down}) {
    require_between(factor,
                    1.0 - kMostPrinterError - kRounding,
                    1.0 + kMostPrinterError + kRounding,
                    "printer's mm for 1 mm",
                    "mm");
  }
}

MeasuredPrinter measured_printer(const std::string& name, double across_mm, double down_mm) {
  MeasuredPrinter out;
  out.printer = {name,
                 factor_of("across", across_mm, kPrinterAcrossMm),
                 factor_of("down", down_mm, kPrinterDownMm)};
  out.printer.validate();
  const double across_off = out.printer.across - 1.0;
  const double down_off = out.printer.down - 1.0;
  if (std::max(std::abs(across_off), std::abs(down_off)) > kUsualError) {
    out.warnings.push_back(
        std::abs(across_off - down_off) < kBothAlike
            ? fmt::format("both bars are {:.1f} % too {}, which looks like a page fitted to the "
                          "paper; if it was, print it again at 100 % and measure again",
                          100.0 * std::abs(across_off),
                          across_off < 0.0 ? "short" : "long")
            : fmt::format("{:.1f} % across and {:.1f} % down is much for a printer; measure again",
                          100.0 * across_off,
                          100.0 * down_off));
  }
  return out;
}

Affine printed_from_sent(const PrinterCorrection& printer, Vec2 page_mm) {
  const Vec2 factors = factors_on(printer, page_mm);
  const Vec2 middle = page_mm / 2.0;
  Affine scale;
  scale.xx = factors.x;
  scale.yy = factors.y;
  return Affine::translate(middle) * scale * Affine::translate(-middle);
}

Vec2 printed_margins(const std::optional<PrinterCorrection>& printer,
                     Vec2 page_mm,
                     double margin_mm) {
  if (!printer) return {margin_mm, margin_mm};
  const Vec2 factors = factors_on(*printer, page_mm);
  return {margin_mm + std::abs(factors.x - 1.0) * page_mm.x / 2.0,
          margin_mm + std::abs(factors.y - 1.0) * page_mm.y / 2.0};
}

std::string printer_words(const PrinterCorrection& printer) {
  return "made for the printer " + printer.name;
}

std::string printer_error_words(const PrinterCorrection& printer) {
  return fmt::format("{} prints 100 mm as {:.2f} mm across and {:.2f} mm down",
                     printer.name,
                     100.0 * printer.across,
                     100.0 * printer.down);
}

}  // namespace underdraw
