#include <filesystem>

#include <CLI/CLI.hpp>
#include <fmt/format.h>
#include <nlohmann/json.hpp>

#include "command_makers.h"
#include "core/error.h"
#include "core/listed.h"
#include "io/make_piece.h"
#include "io/out_folder.h"
#include "io/printer_file.h"
#include "io/sheets_file.h"
#include "io/svg.h"
#include "option_checks.h"
#include "piece_command.h"
#include "piece_object.h"
#include "sheet/lay_out_sheets.h"

namespace fs = std::filesystem;

namespace underdraw::cli {
namespace {

// "A4", or "210x297" in mm.
PaperSize paper_of(const std::string& text) {
  const std::size_t x = text.find('x');
  if (x != std::string::npos) {
    const std::optional<double> width = number_of(text.substr(0, x));
    const std::optional<double> height = number_of(text.substr(x + 1));
    if (width && height) return custom_paper(*width, *height);
  }
  return paper_size(text);
}

CLI::Validator some_paper() {
  return CLI::Validator(
      [](std::string& text) -> std::string {
        try {
          paper_of(text);
          return {};
        } catch (const OptionError& error) {
          return error.what();
        }
      },
      "");
}

class SheetCommand : public Command {
 public:
  std::string name() const override { return "sheet"; }
  std::string summary() const override { return "transfer sheets to print at true size"; }
  std::string example() const override {
    return "underdraw sheet samples/harbour-jar/out/motifs/*.svg -o sheets.pdf --paper A4";
  }

  void declare(CLI::App& app) override {
    app.add_option("INPUT", inputs_, "one piece folder, or SVG files of one motif each")
        ->required()
        ->check(some_name());
    app.add_option("-o,--out", out_, "the PDF to write, for bare motifs")
        ->type_name("FILE.pdf")
        ->check(some_name());
    app.add_option("--paper",
                   paper_,
                   fmt::format("{}, or WIDTHxHEIGHT in mm; A4 if not given", listed(paper_names())))
        ->type_name("SIZE")
        ->check(some_paper());
    app.add_option("--method", method_, "how the lines are transferred, carbon if not given")
        ->type_name("METHOD")
        ->check(one_of(transfer_names()));
    app.add_option("--margin", margin_mm_, "edge that the printer leaves free, 10 if not given")
        ->type_name("MM")
        ->check(number_between(kLeastMarginMm, kMostMarginMm, "mm"));
    app.add_option("--turn", turn_, "how cut-outs may be turned to save paper, none if not given")
        ->type_name("TURN")
        ->check(one_of(cut_out_turn_names()));
    app.add_option("--pitch", pitch_mm_, "from hole to hole when pricked, 1.75 if not given")
        ->type_name("MM")
        ->check(number_between(kLeastPitchMm, kMostPitchMm, "mm"));
    app.add_option("--printer", printer_, "make up for this printer's error; see underdraw printer")
        ->type_name("NAME")
        ->check(some_name());
    also_.declare(app);
    overwrite_.declare(app);
  }

  Outcome run(Console& console) override {
    if (inputs_.size() == 1 && fs::is_directory(inputs_.front())) {
      if (!out_.empty() || paper_ || method_ || margin_mm_ || turn_ || pitch_mm_ || printer_) {
        throw UsageError(
            "sheet: -o, --paper, --margin, --turn, --method, --pitch and --printer are for bare "
            "motifs; of a piece folder, piece.toml says them and out/ takes the sheets");
      }
      return run_piece_command(
          inputs_.front(),
          {.until = MakeStep::sheet, .trace = {}, .prove = {}, .also = also_.value()},
          console);
    }
    if (out_.empty())
      throw UsageError("sheet: -o is missing; name the PDF to write, -o sheets.pdf");
    const PageFiles also = also_.value();
    if (also_.png_dpi && !also.png) {
      throw UsageError("sheet: --png-dpi is for PNG files; ask for them with --also png");
    }
    require_free(out_, overwrite_.value());

    std::vector<Motif> motifs;
    for (const std::string& input : inputs_) motifs.push_back(read_motif_svg(input));
    const SheetPlan plan =
        lay_out_sheets(fs::path(out_).stem().string(), motifs_in_rows(motifs), motifs, options());
    const fs::path pdf(out_);
    OutFiles out(pdf.has_parent_path() ? pdf.parent_path() : ".", overwrite_.value());
    nlohmann::ordered_json files = nlohmann::ordered_json::array();
    std::vector<Fact> made;
    const auto write = [&](const std::string& name, const std::string& content) {
      out.write(name, content);
      const std::string shown = (pdf.parent_path() / name).string();
      files.push_back(shown);
      made.push_back({made.empty() ? "made" : "", shown});
    };
    write(pdf.filename().string(), sheets_pdf(plan));
    write_sheet_files(plan, pdf.stem().string(), also, write);
    out.publish();
    console.warnings(plan.warnings);

    std::vector<Fact> facts = {{"motifs", fmt::format("{}", motifs.size())},
                               {"sheets", sheets_line(plan)}};
    facts.insert(facts.end(), made.begin(), made.end());
    console.facts(facts);
    nlohmann::ordered_json object;
    object["motifs"] = motifs.size();
    object["sheets"] = sheets_object(plan);
    object["warnings"] = plan.warnings;
    object["files"] = files;
    console.object(object);
    return Outcome::done;
  }

 private:
  SheetOptions options() const {
    SheetOptions options;
    options.paper = paper_of(paper_.value_or("A4"));
    if (method_) options.method = transfer_method(*method_);
    if (margin_mm_) options.margin_mm = *margin_mm_;
    if (turn_) options.turn = cut_out_turn(*turn_);
    if (pitch_mm_) options.pitch_mm = *pitch_mm_;
    if (printer_) options.printer = printer_named(printers_file(), *printer_);
    return options;
  }

  std::vector<std::string> inputs_;
  std::string out_;
  std::optional<std::string> paper_;
  std::optional<std::string> method_;
  std::optional<double> margin_mm_;
  std::optional<std::string> turn_;
  std::optional<double> pitch_mm_;
  std::optional<std::string> printer_;
  AlsoOption also_;
  OverwriteOption overwrite_;
};

}  // namespace

std::unique_ptr<Command> make_sheet_command() { return std::make_unique<SheetCommand>(); }

}  // namespace underdraw::cli
