#include <filesystem>

#include <CLI/CLI.hpp>
#include <nlohmann/json.hpp>

#include "command_makers.h"
#include "core/error.h"
#include "io/out_folder.h"
#include "io/piece_file.h"
#include "option_checks.h"
#include "piece/face.h"

namespace fs = std::filesystem;

namespace underdraw::cli {
namespace {

class NewCommand : public Command {
 public:
  std::string name() const override { return "new"; }
  std::string summary() const override {
    return "make a piece folder with a commented piece.toml to fill in";
  }
  std::string example() const override { return "underdraw new blue-jar --form cylinder"; }

  void declare(CLI::App& app) override {
    app.add_option("DIR", folder_, "the folder to make")->required()->check(some_name());
    app.add_option("--form", form_, "what is decorated")
        ->type_name("FORM")
        ->check(one_of(form_names()))
        ->capture_default_str();
    app.add_option("--name", piece_name_, "of the piece; the folder's name if not given")
        ->type_name("NAME")
        ->check(some_name());
  }

  Outcome run(Console& console) override {
    const fs::path folder(folder_);
    const fs::path file = folder / "piece.toml";
    // Measurements are typed in by hand: there is no --overwrite for them.
    if (fs::exists(fs::symlink_status(file))) {
      throw OutputError({.file = file.string(),
                         .line = {},
                         .found = "exists already",
                         .expected = {},
                         .remedy = "name another folder; measurements are never overwritten"});
    }
    const fs::path stem = fs::absolute(folder).lexically_normal();
    const fs::path last = stem.has_filename() ? stem.filename() : stem.parent_path().filename();
    const std::string text =
        piece_template(form_, piece_name_.empty() ? last.string() : piece_name_);
    write_file(file, text, Overwrite::no);
    std::error_code error;
    fs::create_directory(folder / "pages", error);
    if (error) {
      throw OutputError({.file = (folder / "pages").string(),
                         .line = {},
                         .found = "cannot be made, " + error.message(),
                         .expected = {},
                         .remedy = "make it by hand"});
    }
    console.facts({{"made", file.string()}, {"", (folder / "pages").string()}});
    console.line("");
    console.line("Next: put the scan of your sketches into pages/, fill in piece.toml, then");
    console.line("  underdraw run \"" + folder.string() + "\"");
    console.object({{"folder", folder.string()}, {"files", {file.string()}}, {"form", form_}});
    return Outcome::done;
  }

 private:
  std::string folder_;
  std::string form_ = "cylinder";
  std::string piece_name_;
};

}  // namespace

std::unique_ptr<Command> make_new_command() { return std::make_unique<NewCommand>(); }

}  // namespace underdraw::cli
