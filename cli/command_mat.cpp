#include <CLI/CLI.hpp>
#include <fmt/format.h>
#include <nlohmann/json.hpp>

#include "command_makers.h"
#include "core/listed.h"
#include "io/out_folder.h"
#include "io/prove_mat.h"
#include "mat_proof.h"
#include "option_checks.h"
#include "photo/mat.h"

namespace underdraw::cli {
namespace {

// "150x150", in mm.
std::optional<Vec2> tile_of(const std::string& text) {
  const std::size_t x = text.find('x');
  if (x == std::string::npos) return {};
  const std::optional<double> width = number_of(text.substr(0, x));
  const std::optional<double> height = number_of(text.substr(x + 1));
  if (!width || !height) return {};
  return Vec2{*width, *height};
}

CLI::Validator some_tile() {
  return CLI::Validator(
      [](std::string& text) -> std::string {
        if (tile_of(text)) return {};
        return fmt::format("\"{}\" (expected WIDTHxHEIGHT in mm, such as 150x150)", text);
      },
      "");
}

class MatCommand : public Command {
 public:
  std::string name() const override { return "mat"; }
  std::string summary() const override {
    return "the printed page that a piece stands on to be photographed";
  }
  std::string example() const override { return "underdraw mat -o mat.pdf --paper A4 --foot 90"; }

  void declare(CLI::App& app) override {
    app.add_option("-o,--out", out_, "the PDF to write")
        ->type_name("FILE.pdf")
        ->required()
        ->check(some_name());
    app.add_option("--paper", options_.paper, listed(mat_papers()))
        ->type_name("SIZE")
        ->check(one_of(mat_papers()))
        ->capture_default_str();
    auto* foot = app.add_option("--foot", foot_mm_, "diameter of the foot, for the circles")
                     ->type_name("MM")
                     ->check(number_between(10, 1000, "mm"));
    app.add_option("--tile", tile_, "for a tile of this size instead of a round foot")
        ->type_name("WIDTHxHEIGHT")
        ->check(some_tile())
        ->excludes(foot);
    overwrite_.declare(app);
  }

  Outcome run(Console& console) override {
    if (!foot_mm_ && tile_.empty()) {
      throw UsageError(
          "mat: --foot or --tile is missing; measure the foot's diameter, --foot 90, or a tile's "
          "sides, --tile 150x150");
    }
    MatOptions options = options_;
    if (foot_mm_) options.foot_mm = *foot_mm_;
    options.tile_mm = tile_of(tile_);
    options.validate();
    require_free(out_, overwrite_.value());
    const std::string pdf = mat_pdf(options);
    const MatLayout& mat = mat_layout(options.paper, options.form());
    const MatProof proof = prove_mat(pdf, out_, mat);
    write_file(out_, pdf, overwrite_.value());

    console.facts(
        {{"mat", mat.name},
         {"marks", fmt::format("{}", mat.marks.size())},
         {"free inside", fmt::format("{:.0f} × {:.0f} mm", mat.opening_mm.x, mat.opening_mm.y)},
         {"proof", mat_proof_line(proof)},
         {"made", out_}});
    nlohmann::ordered_json object;
    object["mat"] = mat.name;
    object["marks"] = mat.marks.size();
    object["opening_mm"] = {mat.opening_mm.x, mat.opening_mm.y};
    object["proof"] = mat_proof_object(proof);
    object["files"] = {out_};
    console.object(object);
    for (const std::string& reason : proof.reasons) console.message(reason);
    return proof.ok ? Outcome::done : Outcome::refused;
  }

 private:
  std::string out_;
  MatOptions options_;
  std::optional<double> foot_mm_;
  std::string tile_;
  OverwriteOption overwrite_;
};

}  // namespace

std::unique_ptr<Command> make_mat_command() { return std::make_unique<MatCommand>(); }

}  // namespace underdraw::cli
