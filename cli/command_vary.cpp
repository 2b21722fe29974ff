#include <algorithm>
#include <filesystem>

#include <CLI/CLI.hpp>
#include <fmt/format.h>
#include <nlohmann/json.hpp>

#include "command_makers.h"
#include "io/make_piece.h"
#include "io/out_folder.h"
#include "io/svg.h"
#include "motif/vary.h"
#include "option_checks.h"
#include "piece_command.h"
#include "piece_object.h"

namespace fs = std::filesystem;

namespace underdraw::cli {
namespace {

class VaryCommand : public Command {
 public:
  std::string name() const override { return "vary"; }
  std::string summary() const override {
    return "mirrored, turned and scaled copies; six motifs give twelve";
  }
  std::string example() const override {
    return "underdraw vary samples/harbour-jar/out/motifs/*.svg -o varied --scale 75,100";
  }

  void declare(CLI::App& app) override {
    app.add_option("MOTIFS", inputs_, "SVG files, one motif each, or one piece folder")
        ->required()
        ->check(some_name());
    app.add_option("-o,--out", out_, "folder for the copies")->type_name("DIR")->check(some_name());
    app.add_option("--mirror", mirror_, "each as drawn and mirrored, only as drawn, only mirrored")
        ->type_name("WHICH")
        ->check(one_of({"both", "none", "only"}))
        ->capture_default_str();
    app.add_option("--scale", percents_, "sizes in percent of the drawing")
        ->type_name("PERCENT,...")
        ->delimiter(',')
        ->check(number_between(5, 2000, "percent"));
    app.add_option("--turn", turns_, "turns, clockwise")
        ->type_name("DEGREES,...")
        ->delimiter(',')
        ->check(number_between(-360, 360, "degrees"));
    overwrite_.declare(app);
  }

  Outcome run(Console& console) override {
    if (inputs_.size() == 1 && fs::is_directory(inputs_.front())) {
      if (!out_.empty() || !percents_.empty() || !turns_.empty() || mirror_ != "both") {
        throw UsageError(
            "vary: -o, --mirror, --scale and --turn are for bare motifs; of a piece folder, "
            "out/ takes each motif as drawn and mirrored");
      }
      return run_piece_command(
          inputs_.front(), {.until = MakeStep::vary, .trace = {}, .prove = {}}, console);
    }
    if (out_.empty()) {
      throw UsageError("vary: -o is missing; name the folder for the copies, -o varied");
    }
    std::vector<Motif> motifs;
    for (const std::string& input : inputs_) motifs.push_back(read_motif_svg(input));
    const VaryResult result = vary(motifs, options());

    OutFiles files(out_, overwrite_.value(), console.notice());
    for (const Variant& variant : result.variants) {
      files.write(variant.motif.name + ".svg", svg_of_motif(variant.motif));
    }
    files.publish();
    show(result, motifs.size(), console);
    return Outcome::done;
  }

 private:
  VaryOptions options() const {
    VaryOptions options;
    options.mirrors = mirror_ == "both"   ? Mirrors::both
                      : mirror_ == "none" ? Mirrors::as_drawn
                                          : Mirrors::mirrored;
    if (!percents_.empty()) {
      options.scales.clear();
      for (const double percent : percents_) options.scales.push_back(percent / 100.0);
    }
    if (!turns_.empty()) options.turns_deg = turns_;
    return options;
  }

  void show(const VaryResult& result, std::size_t motif_count, Console& console) const {
    std::vector<Fact> facts;
    nlohmann::ordered_json list = nlohmann::ordered_json::array();
    nlohmann::ordered_json made = nlohmann::ordered_json::array();
    for (const Variant& variant : result.variants) {
      const std::string path = (fs::path(out_) / (variant.motif.name + ".svg")).string();
      facts.push_back({path, motif_text(variant.motif)});
      made.push_back(path);
      nlohmann::ordered_json entry = motif_object(variant.motif);
      entry["motif"] = variant.source;
      entry["mirrored"] = variant.change.mirrored;
      entry["turn_deg"] = variant.change.turn_deg;
      entry["scale"] = variant.change.scale;
      list.push_back(entry);
    }
    console.facts(facts);
    console.line("");
    console.line(fmt::format("{} from {}",
                             count_text(result.variants.size(), "variant"),
                             count_text(motif_count, "motif")));
    for (const std::string& name : result.own_mirrors) {
      console.line(name + " is its own mirror image: its mirrored copy looks the same");
    }
    console.object({{"variants", list}, {"own_mirrors", result.own_mirrors}, {"files", made}});
  }

  std::vector<std::string> inputs_;
  std::string out_;
  std::string mirror_ = "both";
  std::vector<double> percents_;
  std::vector<double> turns_;
  OverwriteOption overwrite_;
};

}  // namespace

std::unique_ptr<Command> make_vary_command() { return std::make_unique<VaryCommand>(); }

}  // namespace underdraw::cli
