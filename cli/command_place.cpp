#include <CLI/CLI.hpp>

#include "command_makers.h"
#include "io/make_piece.h"
#include "option_checks.h"
#include "piece_command.h"

namespace underdraw::cli {
namespace {

class PlaceCommand : public Command {
 public:
  std::string name() const override { return "place"; }
  std::string summary() const override {
    return "variants onto the faces: placements, map and fit report";
  }
  std::string example() const override { return "underdraw place samples/harbour-jar"; }

  void declare(CLI::App& app) override {
    app.add_option("DIR", folder_, "the piece folder; its out/ is made anew")
        ->required()
        ->check(some_name());
  }

  Outcome run(Console& console) override {
    return run_piece_command(
        folder_, {.until = MakeStep::place, .trace = {}, .prove = {}}, console);
  }

 private:
  std::string folder_;
};

}  // namespace

std::unique_ptr<Command> make_place_command() { return std::make_unique<PlaceCommand>(); }

}  // namespace underdraw::cli
