#include <filesystem>

#include <CLI/CLI.hpp>
#include <fmt/format.h>
#include <nlohmann/json.hpp>

#include "command_makers.h"
#include "core/error.h"
#include "core/listed.h"
#include "io/make_piece.h"
#include "io/out_folder.h"
#include "io/read_pages.h"
#include "io/svg.h"
#include "io/trace_files.h"
#include "option_checks.h"
#include "piece_command.h"
#include "piece_object.h"
#include "trace_options.h"

namespace fs = std::filesystem;

namespace underdraw::cli {
namespace {

// A page file gives as many SVGs as it has sketches; `name` is the file's, `page` its origin.
struct TracedMotif {
  Motif motif;
  std::string file;
  int page = 1;
};

class TraceCommand : public Command {
 public:
  std::string name() const override { return "trace"; }
  std::string summary() const override { return "pages of sketches to linework, one SVG a sketch"; }
  std::string example() const override {
    return "underdraw trace samples/harbour-jar/pages/*.png -o traced";
  }

  void declare(CLI::App& app) override {
    app.add_option("PAGES", inputs_, "scans (PNG, JPEG, TIFF, PDF, HEIC), or one piece folder")
        ->required()
        ->check(some_name());
    app.add_option("-o,--out", out_, "folder for the SVGs; with --whole, the SVG file")
        ->type_name("PATH")
        ->check(some_name());
    app.add_flag("--whole", whole_, "everything on the page in one SVG, in the page's own frame");
    app.add_option("--names", names_, "names of the sketches, left to right, top to bottom")
        ->type_name("A,B,...")
        ->delimiter(',')
        ->check(some_name());
    app.add_option("--page", page_, "only this page of a file of several")
        ->type_name("N")
        ->check(count_from(1));
    app.add_option("--dpi", dpi_, "resolution, when the file states none or a wrong one")
        ->type_name("DPI")
        ->check(number_between(50, 2400, "dpi"));
    declare_trace_options(app, trace_);
    overwrite_.declare(app);
  }

  Outcome run(Console& console) override {
    if (inputs_.size() == 1 && fs::is_directory(inputs_.front())) {
      require_no_bare_options();
      return run_piece_command(
          inputs_.front(), {.until = MakeStep::trace, .trace = trace_, .prove = {}}, console);
    }
    if (out_.empty()) {
      throw UsageError(whole_ ? "trace: -o is missing; name the SVG file to write, -o page.svg"
                              : "trace: -o is missing; name the folder for the SVGs, -o traced");
    }
    if (whole_ || !names_.empty()) require_one_page(whole_ ? "--whole" : "--names");
    if (whole_) require_free(out_, overwrite_.value());
    std::vector<PageRequest> requests;
    for (const std::string& input : inputs_) requests.push_back({input, page_, dpi_});
    const std::vector<TracedFilePage> pages = trace_files(requests, trace_, console.progress());
    for (const TracedFilePage& page : pages) console.warnings(page.traced.warnings);
    whole_ ? write_whole(pages, console) : write_motifs(pages, console);
    return Outcome::done;
  }

 private:
  void require_no_bare_options() const {
    if (out_.empty() && !whole_ && names_.empty() && !page_ && !dpi_) return;
    throw UsageError(
        "trace: -o, --whole, --names, --page and --dpi are for bare pages; of a piece folder, "
        "piece.toml says them and out/ takes the results");
  }

  void require_one_page(const std::string& option) const {
    if (inputs_.size() != 1) {
      throw UsageError(fmt::format("trace: {} takes one page, not {}", option, inputs_.size()));
    }
    const int count = PageFile::open(inputs_.front(), {.dpi = dpi_}).page_count();
    if (page_ || count == 1) return;
    throw InputError({.file = inputs_.front(),
                      .line = {},
                      .found = fmt::format("has {} pages", count),
                      .expected = "one for " + option,
                      .remedy = "pick one with --page"});
  }

  void write_whole(const std::vector<TracedFilePage>& pages, Console& console) const {
    const TracedFilePage& page = pages.front();
    const std::vector<std::string> names =
        names_.empty() ? names_by_position(page) : checked_names(page);
    std::vector<SvgGroup> groups;
    for (std::size_t i = 0; i < names.size(); ++i) {
      groups.push_back({names[i], page.traced.sketches[i].lines});
    }
    SvgGroup loose{"loose marks", {}};
    for (const TracedSketch& mark : page.traced.loose) loose.lines.append(mark.lines);
    if (!loose.lines.empty()) groups.push_back(std::move(loose));
    const std::string title = fs::path(page.file).filename().string();
    write_file(out_,
               svg_of_page(page.traced.width_mm, page.traced.height_mm, groups, title),
               overwrite_.value());
    console.facts({{"page", fmt::format("{}, {}", page.file, size_text(page))},
                   {"sketches", fmt::format("{}: {}", names.size(), listed(names))},
                   {"made", out_}});
    nlohmann::ordered_json sketches = nlohmann::ordered_json::array();
    for (const SvgGroup& group : groups) {
      const Box box = group.lines.ink_box();
      sketches.push_back({{"name", group.name},
                          {"x_mm", box.min.x},
                          {"y_mm", box.min.y},
                          {"width_mm", box.width()},
                          {"height_mm", box.height()},
                          {"strokes", group.lines.strokes.size()},
                          {"areas", group.lines.areas.size()}});
    }
    console.object({{"page", page.file},
                    {"width_mm", page.traced.width_mm},
                    {"height_mm", page.traced.height_mm},
                    {"dpi", page.dpi},
                    {"sketches", sketches},
                    {"files", {out_}}});
  }

  void write_motifs(const std::vector<TracedFilePage>& pages, Console& console) const {
    std::vector<TracedMotif> motifs;
    for (const TracedFilePage& page : pages) {
      const std::vector<std::string> names =
          names_.empty() ? names_by_position(page) : checked_names(page);
      for (Motif& motif : motifs_of_page(page, names, "correct --names")) {
        for (const TracedMotif& other : motifs) require_different(other, motif, page);
        motifs.push_back({std::move(motif), page.file, page.page});
      }
    }
    OutFiles files(out_, overwrite_.value(), console.notice());
    for (const TracedMotif& traced : motifs) {
      files.write(traced.motif.name + ".svg", svg_of_motif(traced.motif));
    }
    files.publish();

    std::vector<Fact> facts;
    nlohmann::ordered_json list = nlohmann::ordered_json::array();
    nlohmann::ordered_json made = nlohmann::ordered_json::array();
    for (const auto& [motif, file, page] : motifs) {
      const std::string path = (fs::path(out_) / (motif.name + ".svg")).string();
      facts.push_back({path, motif_text(motif)});
      made.push_back(path);
      nlohmann::ordered_json entry = motif_object(motif);
      entry["page_file"] = file;
      entry["page"] = page;
      list.push_back(entry);
    }
    console.facts(facts);
    console.object({{"motifs", list}, {"files", made}});
  }

  std::vector<std::string> checked_names(const TracedFilePage& page) const {
    motifs_of_page(page, names_, "correct --names");
    for (const std::string& name : names_) require_file_name(name);
    return names_;
  }

  static void require_different(const TracedMotif& other,
                                const Motif& motif,
                                const TracedFilePage& page) {
    if (other.motif.name != motif.name) return;
    throw InputError({.file = page.file,
                      .line = {},
                      .found = fmt::format("gives {}.svg, and so does {}", motif.name, other.file),
                      .expected = {},
                      .remedy = "trace them one after the other, into two folders"});
  }

  static std::string size_text(const TracedFilePage& page) {
    return fmt::format(
        "{:.1f} x {:.1f} mm at {:.0f} dpi", page.traced.width_mm, page.traced.height_mm, page.dpi);
  }

  std::vector<std::string> inputs_;
  std::string out_;
  bool whole_ = false;
  std::vector<std::string> names_;
  std::optional<int> page_;
  std::optional<double> dpi_;
  TraceOptions trace_;
  OverwriteOption overwrite_;
};

}  // namespace

std::unique_ptr<Command> make_trace_command() { return std::make_unique<TraceCommand>(); }

}  // namespace underdraw::cli
