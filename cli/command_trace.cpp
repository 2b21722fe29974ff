#include <filesystem>
#include <system_error>

#include <CLI/CLI.hpp>
#include <fmt/format.h>
#include <nlohmann/json.hpp>

#include "command_makers.h"
#include "core/error.h"
#include "core/listed.h"
#include "io/make_piece.h"
#include "io/out_places.h"
#include "io/read_pages.h"
#include "io/show_trace.h"
#include "io/svg.h"
#include "io/trace_files.h"
#include "option_checks.h"
#include "piece_command.h"
#include "piece_object.h"
#include "trace_options.h"

namespace fs = std::filesystem;

namespace underdraw::cli {
namespace {

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
    app.add_option("--show", show_, "a picture of the lines over the scan, to judge them by")
        ->type_name("FILE.png")
        ->check(name_that_ends_in(".png"));
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
    require_outputs();
    std::vector<PageRequest> requests;
    for (const std::string& input : inputs_) requests.push_back({input, page_, dpi_});
    const std::vector<PlannedPage> plan = plan_pages(requests);
    if (whole_ || !names_.empty()) require_one_page(plan, whole_ ? "--whole" : "--names");
    if (!whole_ && !out_.empty()) require_own_names(plan);
    if (whole_ && !out_.empty()) require_free(out_, overwrite_.value());
    require_free_pictures(plan);

    OutPlaces files(overwrite_.value(), console.notice());
    const auto draw = [&](std::size_t i, const Page& page, const TracedFilePage& traced) {
      files.write(
          picture_name(i, plan.size()),
          png_of_trace(
              page, traced.traced, {.names = shown_names(traced), .title = title_of(traced)}));
    };
    const std::vector<PageOutcome> outcomes =
        trace_planned(plan, trace_, console.progress(), show_.empty() ? PageSeen() : draw);
    return report(outcomes, files, console);
  }

 private:
  void require_no_bare_options() const {
    if (out_.empty() && show_.empty() && !whole_ && names_.empty() && !page_ && !dpi_) return;
    throw UsageError(
        "trace: -o, --show, --whole, --names, --page and --dpi are for bare pages; of a piece "
        "folder, piece.toml says them and out/ takes the results");
  }

  void require_outputs() const {
    if (!out_.empty() || (!show_.empty() && !whole_)) return;
    throw UsageError(whole_ ? "trace: -o is missing; name the SVG file to write, -o page.svg"
                            : "trace: -o is missing; name the folder for the SVGs, -o traced");
  }

  void require_one_page(const std::vector<PlannedPage>& plan, const std::string& option) const {
    if (inputs_.size() != 1) {
      throw UsageError(fmt::format("trace: {} takes one page, not {}", option, inputs_.size()));
    }
    if (plan.size() == 1) return;
    throw InputError({.file = inputs_.front(),
                      .line = {},
                      .found = fmt::format("has {} pages", plan.size()),
                      .expected = "one for " + option,
                      .remedy = "pick one with --page"});
  }

  // "look.png"; of several pages "look-1.png", "look-2.png"…
  std::string picture_name(std::size_t i, std::size_t count) const {
    if (count == 1) return show_;
    const fs::path path(show_);
    return (path.parent_path() /
            fmt::format("{}-{}{}", path.stem().string(), i + 1, path.extension().string()))
        .string();
  }

  void require_free_pictures(const std::vector<PlannedPage>& plan) const {
    if (show_.empty()) return;
    for (std::size_t i = 0; i < plan.size(); ++i) {
      const std::string name = picture_name(i, plan.size());
      require_free(name, overwrite_.value());
      for (const PlannedPage& page : plan) {
        std::error_code missing;
        if (!fs::equivalent(name, page.file, missing)) continue;
        throw InputError({.file = name,
                          .line = {},
                          .found = "is the page itself",
                          .expected = "another name for --show",
                          .remedy = "keep the scan and choose another name"});
      }
    }
  }

  Outcome report(const std::vector<PageOutcome>& outcomes, OutPlaces& files, Console& console) {
    std::vector<TracedFilePage> pages;
    std::vector<std::string> pictures;
    std::vector<std::string> complaints;
    for (std::size_t i = 0; i < outcomes.size(); ++i) {
      if (!outcomes[i].traced) {
        complaints.push_back(outcomes[i].complaint);
        continue;
      }
      pages.push_back(*outcomes[i].traced);
      console.warnings(pages.back().traced.warnings);
      if (!show_.empty()) pictures.push_back(picture_name(i, outcomes.size()));
    }
    if (names_.empty() && !whole_) require_own_sheets(pages);
    if (!pages.empty()) {
      Results results = whole_ ? whole_page(pages.front(), files) : motifs(pages, files);
      for (std::size_t i = 0; i < pictures.size(); ++i) {
        const TracedFilePage& page = pages[i];
        results.facts.push_back({pictures[i], trace_summary(page.traced)});
        results.object["files"].push_back(pictures[i]);
      }
      if (!complaints.empty()) {
        results.facts.push_back(
            {"not traced", fmt::format("{} of {} pages", complaints.size(), outcomes.size())});
      }
      results.object["not_traced"] = complaints;
      files.publish();
      console.facts(results.facts);
      console.object(results.object);
    }
    console.warnings(complaints);
    return complaints.empty() ? Outcome::done : Outcome::refused;
  }

  struct Results {
    std::vector<Fact> facts;
    nlohmann::ordered_json object;
  };

  Results whole_page(const TracedFilePage& page, OutPlaces& files) const {
    const std::vector<std::string> names = checked_names(page);
    std::vector<SvgGroup> groups;
    for (std::size_t i = 0; i < names.size(); ++i) {
      groups.push_back({names[i], page.traced.sketches[i].lines});
    }
    SvgGroup loose{"loose marks", {}};
    for (const TracedSketch& mark : page.traced.loose) loose.lines.append(mark.lines);
    if (!loose.lines.empty()) groups.push_back(std::move(loose));
    files.write(out_,
                svg_of_page(page.traced.width_mm, page.traced.height_mm, groups, title_of(page)));

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
    return {{{"page", fmt::format("{}, {}", page.file, size_text(page))},
             {"sketches", fmt::format("{}: {}", names.size(), listed(names))},
             {"made", out_}},
            {{"page", page.file},
             {"width_mm", page.traced.width_mm},
             {"height_mm", page.traced.height_mm},
             {"dpi", page.dpi},
             {"sketches", sketches},
             {"files", {out_}}}};
  }

  Results motifs(const std::vector<TracedFilePage>& pages, OutPlaces& files) const {
    Results results;
    nlohmann::ordered_json list = nlohmann::ordered_json::array();
    nlohmann::ordered_json made = nlohmann::ordered_json::array();
    for (const TracedFilePage& page : pages) {
      std::size_t at = 0;
      for (const Motif& motif : motifs_of_page(page, checked_names(page), "correct --names")) {
        nlohmann::ordered_json entry = motif_object(motif);
        entry["page_file"] = page.file;
        entry["page"] = page.page;
        if (page.sheet) {
          entry["sheet"] = page.sheet->page;
          entry["frame"] = page.sheet->frame_of_sketch[at++];
        }
        list.push_back(entry);
        if (out_.empty()) continue;
        const std::string path = (fs::path(out_) / (motif.name + ".svg")).string();
        files.write(path, svg_of_motif(motif));
        results.facts.push_back({path, motif_text(motif)});
        made.push_back(path);
      }
    }
    results.object = {{"motifs", list}, {"files", made}};
    return results;
  }

  std::vector<std::string> checked_names(const TracedFilePage& page) const {
    if (names_.empty()) return names_by_position(page);
    motifs_of_page(page, names_, "correct --names");
    for (const std::string& name : names_) require_file_name(name);
    return names_in_frames(page, names_);
  }

  // Before anything is checked: a picture is to show what is wrong.
  std::vector<std::string> shown_names(const TracedFilePage& page) const {
    if (page.sheet && names_.empty()) return names_by_position(page);
    return names_in_frames(page, names_);
  }

  static std::string title_of(const TracedFilePage& page) {
    const std::string name = fs::path(page.file).filename().string();
    return page.page_count > 1 ? fmt::format("{}, page {}", name, page.page) : name;
  }

  static std::string size_text(const TracedFilePage& page) {
    return fmt::format(
        "{:.1f} x {:.1f} mm at {:.0f} dpi", page.traced.width_mm, page.traced.height_mm, page.dpi);
  }

  std::vector<std::string> inputs_;
  std::string out_;
  std::string show_;
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
