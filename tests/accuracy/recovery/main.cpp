// Renders the scenes of the recovery suite, recovers their lines, and prints how near they come to
// what was drawn. A missed goal does not make it fail: accuracy_levels holds what was reached.
#include <algorithm>
#include <cstdio>
#include <exception>
#include <stdexcept>

#include <CLI/CLI.hpp>
#include <fmt/format.h>

#include "accuracy/figures_in_file.h"
#include "accuracy/recovery/recovery_scenes.h"

namespace {

using namespace underdraw::test;

struct Row {
  RecoveryScene scene;
  RecoveryScore score;
};

std::string text_of(const std::vector<Row>& rows) {
  std::string out =
      fmt::format("{:<15} {:>7} {:>7} {:>8} {:>8} {:>6} {:>9} {:>6} {:>7} {:>7} {:>8}\n",
                  "scene",
                  "median",
                  "95 %",
                  "recall",
                  "precis.",
                  "seen",
                  "found",
                  "false",
                  "foot",
                  "wall",
                  "seconds");
  for (const auto& [scene, s] : rows) {
    out += fmt::format(
        "{:<15} {:>7.3f} {:>7.3f} {:>8.4f} {:>8.4f} {:>5.0f}% {:>9} {:>6} {:>7.2f} {:>7.2f} "
        "{:>8.1f}\n",
        scene.name,
        s.lines.median_mm,
        s.lines.p95_mm,
        s.lines.recall,
        s.lines.precision,
        100.0 * s.seen_share,
        fmt::format("{} / {}", s.found, s.drawn),
        s.invented,
        s.shift_off_mm,
        s.widest_off_mm,
        s.seconds);
  }
  return out;
}

std::string markdown_of(const std::vector<Row>& rows) {
  std::string out =
      "| scene | median mm | 95 % mm | recall | precision | seen | drawings found | false | foot "
      "off mm | wall off mm |\n"
      "| --- | ---: | ---: | ---: | ---: | ---: | ---: | ---: | ---: | ---: |\n";
  for (const auto& [scene, s] : rows) {
    out += fmt::format(
        "| {}: {} | {:.2f} | {:.2f} | {:.4f} | {:.4f} | {:.0f} % | {} of {} | {} | {:.2f} | {:.2f} "
        "|\n",
        scene.name,
        scene.about,
        s.lines.median_mm,
        s.lines.p95_mm,
        s.lines.recall,
        s.lines.precision,
        100.0 * s.seen_share,
        s.found,
        s.drawn,
        s.invented,
        s.shift_off_mm,
        s.widest_off_mm);
  }
  return out;
}

}  // namespace

int main(int argc, char** argv) {
  std::vector<std::string> wanted;
  std::string markdown;
  CLI::App app("Measures recovered lines against the lines that were drawn.", "recovery");
  app.add_option("--scene", wanted, "only this scene; may be given again");
  app.add_option("--markdown", markdown, "put the table between this file's marks");
  CLI11_PARSE(app, argc, argv);
  try {
    std::vector<Row> rows;
    for (const RecoveryScene& scene : recovery_scenes()) {
      if (!wanted.empty() && std::find(wanted.begin(), wanted.end(), scene.name) == wanted.end()) {
        continue;
      }
      fmt::print(stderr, "{}\n", scene.name);
      rows.push_back({scene, recover_scene(scene)});
    }
    if (rows.empty()) throw std::runtime_error("no scene of that name");
    fmt::print("{}", text_of(rows));
    if (!markdown.empty()) {
      put_figures(markdown, "recovery --markdown FILE", markdown_of(rows));
    }
  } catch (const std::exception& e) {
    fmt::print(stderr, "recovery: {}\n", e.what());
    return 1;
  }
  return 0;
}
