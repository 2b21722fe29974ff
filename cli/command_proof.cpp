#include <CLI/CLI.hpp>
#include <fmt/format.h>

#include "command_makers.h"
#include "io/prove_blank_sheets.h"
#include "io/prove_mat.h"
#include "io/prove_pdf.h"
#include "mat_proof.h"
#include "option_checks.h"
#include "paper_proof.h"
#include "piece_command.h"
#include "piece_object.h"

namespace underdraw::cli {
namespace {

std::string bar_text(const std::optional<double>& measured_mm, double due_mm) {
  if (!measured_mm) return "not found";
  return fmt::format("{:.2f} of {:.0f} mm", *measured_mm, due_mm);
}

class ProofCommand : public Command {
 public:
  std::string name() const override { return "proof"; }
  std::string summary() const override {
    return "read a PDF of sheets back, measure it, say whether it is true";
  }
  std::string example() const override {
    return "underdraw proof samples/harbour-jar/out/sheets.pdf";
  }

  void declare(CLI::App& app) override {
    app.add_option(
           "PDF", pdf_, "transfer sheets, drawing sheets or a photo mat made by this program")
        ->required()
        ->check(some_name());
    app.add_option("--limit", options_.limits.limit_mm, "largest deviation of a line")
        ->type_name("MM")
        ->check(number_between(0.01, 5, "mm"))
        ->capture_default_str();
    app.add_option("--dpi", options_.dpi, "resolution to measure at")
        ->type_name("DPI")
        ->check(number_between(150, 1200, "dpi"))
        ->capture_default_str();
  }

  Outcome run(Console& console) override {
    if (const auto mat = prove_if_mat(pdf_, options_.limits.bar_limit_mm)) {
      console.facts({{"mat", mat->mat}, {"proof", mat_proof_line(*mat)}});
      console.object(mat_proof_object(*mat));
      for (const std::string& reason : mat->reasons) console.message(reason);
      return mat->ok ? Outcome::done : Outcome::refused;
    }
    if (const auto paper = prove_if_blank_sheets(pdf_, options_.limits.bar_limit_mm)) {
      console.facts(paper_facts(paper->file, paper->proof));
      console.object(paper_object(paper->file, paper->proof));
      for (const std::string& reason : paper->proof.reasons) console.message(reason);
      return paper->proof.ok ? Outcome::done : Outcome::refused;
    }
    const ProofReport report = prove_pdf(pdf_, options_, console.progress());
    std::vector<Fact> facts;
    for (const SheetProof& sheet : report.sheets) {
      facts.push_back({fmt::format("sheet {}", sheet.sheet),
                       fmt::format("{}, bars {} across and {} down",
                                   count_text(sheet.placements.size(), "cut-out"),
                                   bar_text(sheet.across_mm, sheet.across_due_mm),
                                   bar_text(sheet.down_mm, sheet.down_due_mm))});
    }
    facts.push_back({"proof", proof_line(report)});
    console.facts(facts);
    console.object(proof_object(report));
    for (const std::string& reason : report.reasons) console.message(reason);
    return report.ok ? Outcome::done : Outcome::refused;
  }

 private:
  std::string pdf_;
  ProveOptions options_;
};

}  // namespace

std::unique_ptr<Command> make_proof_command() { return std::make_unique<ProofCommand>(); }

}  // namespace underdraw::cli
