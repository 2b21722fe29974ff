#include <CLI/CLI.hpp>
#include <fmt/format.h>
#include <nlohmann/json.hpp>

#include "command_makers.h"
#include "core/listed.h"
#include "io/out_folder.h"
#include "io/printer_file.h"
#include "io/write_drawing.h"
#include "option_checks.h"

namespace underdraw::cli {
namespace {

std::string factors_text(const PrinterCorrection& printer) {
  return fmt::format("100 mm come out as {:.2f} across, {:.2f} down",
                     100.0 * printer.across,
                     100.0 * printer.down);
}

nlohmann::ordered_json printer_object(const PrinterCorrection& printer) {
  return {{"name", printer.name}, {"across", printer.across}, {"down", printer.down}};
}

class PrinterCommand : public Command {
 public:
  std::string name() const override { return "printer"; }
  std::string summary() const override {
    return "a test page, then the measured bars: a correction for this printer";
  }
  std::string example() const override { return "underdraw printer -o test-page.pdf --paper A4"; }

  void declare(CLI::App& app) override {
    app.add_option("NAME", name_, "the printer; without anything else, what is kept of it")
        ->check(some_name());
    auto* across = app.add_option("--across", across_mm_, "what the bar across measures")
                       ->type_name("MM")
                       ->check(number_between(1, 1000, "mm"));
    auto* down = app.add_option("--down", down_mm_, "what the bar down measures")
                     ->type_name("MM")
                     ->check(number_between(1, 1000, "mm"));
    auto* remove = app.add_flag("--remove", remove_, "forget this printer");
    auto* out = app.add_option("-o,--out", out_, "write the test page; with NAME, one made for it")
                    ->type_name("FILE.pdf")
                    ->check(some_name());
    app.add_option("--paper", paper_, "of the test page, A4 if not given")
        ->type_name("SIZE")
        ->check(one_of(paper_names()))
        ->needs(out);
    for (CLI::Option* other : {remove, out}) {
      other->excludes(across);
      other->excludes(down);
    }
    remove->excludes(out);
    overwrite_.declare(app);
  }

  Outcome run(Console& console) override {
    const bool measured = across_mm_ || down_mm_;
    if ((measured || remove_) && name_.empty()) {
      throw UsageError("printer: NAME is missing; give the printer a name, such as studio-laser");
    }
    if (measured && !(across_mm_ && down_mm_)) {
      throw UsageError("printer: --across and --down belong together; measure both bars");
    }
    if (measured) return keep(console);
    if (remove_) return remove(console);
    if (!out_.empty()) return write_page(console);
    return show(console);
  }

 private:
  Outcome keep(Console& console) const {
    const MeasuredPrinter measured = measured_printer(name_, *across_mm_, *down_mm_);
    const auto before = keep_printer(printers_file(), measured.printer, console.notice());
    console.warnings(measured.warnings);
    std::vector<Fact> facts = {{measured.printer.name, factors_text(measured.printer)}};
    if (before) facts.push_back({"before", factors_text(*before)});
    facts.push_back({"kept in", printers_file().string()});
    console.facts(facts);
    nlohmann::ordered_json object;
    object["printer"] = printer_object(measured.printer);
    object["before"] = before ? printer_object(*before) : nlohmann::ordered_json(nullptr);
    object["warnings"] = measured.warnings;
    object["kept_in"] = printers_file().string();
    console.object(object);
    return Outcome::done;
  }

  Outcome remove(Console& console) const {
    remove_printer(printers_file(), name_, console.notice());
    console.facts({{"removed", name_}});
    nlohmann::ordered_json object;
    object["removed"] = name_;
    console.object(object);
    return Outcome::done;
  }

  Outcome write_page(Console& console) const {
    std::optional<PrinterCorrection> printer;
    if (!name_.empty()) printer = printer_named(printers_file(), name_);
    const PaperSize paper = paper_size(paper_.value_or("A4"));
    write_file(out_,
               pdf_of_drawings({draw_printer_page(paper, printer)},
                               {.title = printer ? "Check page: " + printer->name
                                                 : std::string("Test page for a printer"),
                                .printer = printer}),
               overwrite_.value());
    console.facts(
        {{"bars",
          fmt::format("{:.0f} mm across, {:.0f} mm down", kPrinterAcrossMm, kPrinterDownMm)},
         {"made", out_}});
    nlohmann::ordered_json object;
    object["across_mm"] = kPrinterAcrossMm;
    object["down_mm"] = kPrinterDownMm;
    object["files"] = {out_};
    console.object(object);
    return Outcome::done;
  }

  Outcome show(Console& console) const {
    const std::vector<PrinterCorrection> printers =
        name_.empty() ? read_printers(printers_file())
                      : std::vector{printer_named(printers_file(), name_)};
    std::vector<Fact> facts;
    nlohmann::ordered_json list = nlohmann::ordered_json::array();
    for (const PrinterCorrection& printer : printers) {
      facts.push_back({printer.name, factors_text(printer)});
      list.push_back(printer_object(printer));
    }
    facts.push_back({"kept in", printers_file().string()});
    if (printers.empty()) {
      console.line("no printer is kept; print and measure the test page: " + example());
    } else {
      console.facts(facts);
    }
    nlohmann::ordered_json object;
    object["printers"] = list;
    object["kept_in"] = printers_file().string();
    console.object(object);
    return Outcome::done;
  }

  std::string name_;
  std::optional<double> across_mm_, down_mm_;
  bool remove_ = false;
  std::string out_;
  std::optional<std::string> paper_;
  OverwriteOption overwrite_;
};

}  // namespace

std::unique_ptr<Command> make_printer_command() { return std::make_unique<PrinterCommand>(); }

}  // namespace underdraw::cli
