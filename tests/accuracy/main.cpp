// Draws the pages of the accuracy suite, traces them, and prints how near the traced lines come to
// the drawn ones. A missed goal does not make it fail: accuracy_test holds what was reached.
#include <algorithm>
#include <cstdio>
#include <exception>
#include <filesystem>
#include <fstream>
#include <optional>
#include <stdexcept>
#include <string>
#include <vector>

#include <CLI/CLI.hpp>
#include <fmt/format.h>

#include "accuracy/accuracy_page.h"
#include "accuracy/figures_in_file.h"
#include "accuracy/lines_of.h"
#include "accuracy/score_page.h"
#include "accuracy/score_table.h"
#include "accuracy/skeleton_route.h"
#include "accuracy/worst_place.h"
#include "trace/trace_page.h"

namespace {

using namespace underdraw;
using namespace underdraw::test;

struct Wanted {
  std::vector<std::string> pages;
  std::string markdown;
  std::string pictures;
  std::vector<double> at;
  bool bounds = false;
  bool reference = false;
};

void write(const std::filesystem::path& file, const std::string& bytes) {
  std::ofstream out(file, std::ios::binary);
  out << bytes;
  if (!out.flush()) throw std::runtime_error("cannot write " + file.string());
}

void measure(const Wanted& wanted) {
  if (wanted.reference && !has_skeleton_route()) {
    throw std::runtime_error(
        "--reference needs cv::ximgproc::thinning: sh tests/install_packages.sh build tests, then "
        "configure and build again");
  }
  if (!wanted.pictures.empty()) std::filesystem::create_directories(wanted.pictures);
  ScoreTable table;
  for (const PageRecipe& recipe : accuracy_pages()) {
    if (!wanted.pages.empty() &&
        std::find(wanted.pages.begin(), wanted.pages.end(), recipe.name) == wanted.pages.end()) {
      continue;
    }
    fmt::print(stderr, "{}\n", recipe.name);
    const AccuracyPage page = recipe.draw();
    const Page read = page_as_read(page);
    const Linework traced = lines_of(trace_page(read));
    const PageScore score = score_page(traced, page.truth);
    std::optional<Vec2> middle = worst_place(score);
    if (!wanted.at.empty()) middle = Vec2{wanted.at[0], wanted.at[1]};
    if (middle && !wanted.pictures.empty()) {
      write(std::filesystem::path(wanted.pictures) / (page.name + ".png"),
            png_of_place(read, page.truth, traced, score, page.name, *middle));
    }
    if (wanted.reference) {
      table.reference.push_back(
          {page.name, page.about, page.faint, score_page(skeleton_route(read), page.truth)});
    }
    table.pages.push_back({page.name, page.about, page.faint, score});
  }
  if (table.pages.empty()) throw std::runtime_error("no page of that name");
  fmt::print("{}", table.text());
  if (wanted.bounds) fmt::print("\n{}", table.bounds());
  if (!wanted.markdown.empty()) {
    put_figures(wanted.markdown, "accuracy --reference --markdown FILE", table.markdown());
  }
}

}  // namespace

int main(int argc, char** argv) {
  Wanted wanted;
  CLI::App app("Measures traced lines against the lines that were drawn.", "accuracy");
  app.add_option("--page", wanted.pages, "only this page; may be given again");
  app.add_option("--markdown", wanted.markdown, "put the tables between this file's marks");
  app.add_option("--pictures", wanted.pictures, "draw each page's worst place into this folder");
  app.add_option("--at", wanted.at, "draw this place instead: X Y in mm")->expected(2);
  app.add_flag("--bounds", wanted.bounds, "print rows for the bounds of accuracy_test.cpp");
  app.add_flag("--reference", wanted.reference, "measure the plain skeleton route too");
  CLI11_PARSE(app, argc, argv);
  try {
    measure(wanted);
  } catch (const std::exception& e) {
    fmt::print(stderr, "accuracy: {}\n", e.what());
    return 1;
  }
  return 0;
}
