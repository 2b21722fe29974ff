#include <filesystem>

#include <CLI/CLI.hpp>

#include "class_command.h"
#include "command_makers.h"
#include "core/error.h"
#include "io/make_class.h"
#include "option_checks.h"
#include "piece_command.h"

namespace underdraw::cli {
namespace {

class RunCommand : public Command {
 public:
  std::string name() const override { return "run"; }
  std::string summary() const override {
    return "the whole chain: pages to proved transfer sheets";
  }
  std::string example() const override { return "underdraw run samples/harbour-jar"; }

  void declare(CLI::App& app) override {
    app.add_option("DIR",
                   folder_,
                   "a piece folder, or a class folder with class.toml; its out/ is made anew")
        ->required()
        ->check(some_name());
    also_.declare(app);
  }

  Outcome run(Console& console) override {
    const std::filesystem::path class_file = std::filesystem::path(folder_) / kClassFile;
    if (std::filesystem::exists(class_file) &&
        std::filesystem::exists(class_file.parent_path() / "piece.toml")) {
      throw InputError({.file = folder_,
                        .line = {},
                        .found = "holds piece.toml and class.toml",
                        .expected = "one of them",
                        .remedy = "give the class a folder of its own"});
    }
    const MakeOptions options = {
        .until = MakeStep::proof, .trace = {}, .prove = {}, .also = also_.value()};
    return std::filesystem::exists(class_file) ? run_class_command(folder_, options, console)
                                               : run_piece_command(folder_, options, console);
  }

 private:
  std::string folder_;
  AlsoOption also_;
};

}  // namespace

std::unique_ptr<Command> make_run_command() { return std::make_unique<RunCommand>(); }

}  // namespace underdraw::cli
