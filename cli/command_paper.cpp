#include <cmath>

#include <CLI/CLI.hpp>
#include <fmt/format.h>
#include <nlohmann/json.hpp>

#include "command_makers.h"
#include "core/listed.h"
#include "io/out_folder.h"
#include "io/printer_file.h"
#include "io/prove_blank_sheets.h"
#include "option_checks.h"
#include "paper_proof.h"

namespace underdraw::cli {
namespace {

// "2x3": across, down.
std::optional<FrameGrid> grid_in(const std::string& text) {
  const std::size_t x = text.find('x');
  if (x == std::string::npos) return {};
  const std::optional<double> columns = number_of(text.substr(0, x));
  const std::optional<double> rows = number_of(text.substr(x + 1));
  const auto small = [](const std::optional<double>& n) {
    return n && *n >= 1.0 && *n <= 100.0 && *n == std::floor(*n);
  };
  if (!small(columns) || !small(rows)) return {};
  return FrameGrid{static_cast<int>(*columns), static_cast<int>(*rows)};
}

CLI::Validator some_grid() {
  return CLI::Validator(
      [](std::string& text) -> std::string {
        if (grid_in(text)) return {};
        return fmt::format("\"{}\" (expected frames across and down, such as 2x3)", text);
      },
      "");
}

class PaperCommand : public Command {
 public:
  std::string name() const override { return "paper"; }
  std::string summary() const override {
    return "blank drawing sheets whose phone photos are laid flat and to size";
  }
  std::string example() const override { return "underdraw paper -o paper.pdf --frames 6"; }

  void declare(CLI::App& app) override {
    app.add_option("-o,--out", out_, "the PDF to write")
        ->type_name("FILE.pdf")
        ->required()
        ->check(some_name());
    app.add_option("--size", size_, listed(paper_names()))
        ->type_name("SIZE")
        ->check(one_of(paper_names()))
        ->capture_default_str();
    auto* frames = app.add_option("--frames", frames_, "frames on a sheet, 6 if not given")
                       ->type_name("N")
                       ->check(count_from(1));
    app.add_option("--grid", grid_, "the same as frames across and down")
        ->type_name("ACROSSxDOWN")
        ->check(some_grid())
        ->excludes(frames);
    app.add_option("--names", names_, "to print over the frames, left to right, top to bottom")
        ->type_name("A,B,...")
        ->delimiter(',')
        ->check(some_name());
    app.add_option("--page", page_, "number of the first sheet, for its photos to be told apart")
        ->type_name("N")
        ->check(count_from(1))
        ->capture_default_str();
    app.add_option("--pages", pages_, "how many sheets, their numbers counting on")
        ->type_name("N")
        ->check(count_from(1))
        ->capture_default_str();
    app.add_option("--printer", printer_, "make up for this printer's error; see underdraw printer")
        ->type_name("NAME")
        ->check(some_name());
    overwrite_.declare(app);
  }

  Outcome run(Console& console) override {
    BlankSheetsFile file;
    BlankSheets& sheets = file.sheets;
    sheets.first.paper = paper_size(size_).name;
    sheets.first.grid = grid_.empty() ? grid_of(frames_, size_) : *grid_in(grid_);
    sheets.first.page = page_;
    sheets.pages = pages_;
    sheets.names = names_;
    sheets.validate();
    if (printer_) file.printer = printer_named(printers_file(), *printer_);
    require_free(out_, overwrite_.value());
    const std::string pdf = blank_sheets_pdf(file);
    const PagesProof proof = prove_blank_sheets(pdf, out_, file);
    if (proof.ok) write_file(out_, pdf, overwrite_.value());

    std::vector<Fact> facts = paper_facts(file, proof);
    if (proof.ok) facts.push_back({"made", out_});
    console.facts(facts);
    nlohmann::ordered_json object = paper_object(file, proof);
    object["files"] = proof.ok ? nlohmann::ordered_json{out_} : nlohmann::ordered_json::array();
    console.object(object);
    for (const std::string& reason : proof.reasons) console.message(reason);
    return proof.ok ? Outcome::done : Outcome::refused;
  }

 private:
  std::string out_;
  std::string size_ = "A4";
  int frames_ = 6;
  std::string grid_;
  std::vector<std::string> names_;
  int page_ = 1;
  int pages_ = 1;
  std::optional<std::string> printer_;
  OverwriteOption overwrite_;
};

}  // namespace

std::unique_ptr<Command> make_paper_command() { return std::make_unique<PaperCommand>(); }

}  // namespace underdraw::cli
