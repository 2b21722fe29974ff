#include "class_command.h"

#include <algorithm>

#include <fmt/format.h>
#include <nlohmann/json.hpp>

#include "io/make_class.h"
#include "piece_command.h"

namespace underdraw::cli {
namespace {

std::vector<Fact> facts_of(const ClassResult& made) {
  std::vector<Fact> facts;
  for (const PersonResult& person : made.persons) {
    facts.push_back({person.name,
                     person.problem.empty()
                         ? fmt::format("{} of {}, {}, pages {} to {}, true to {:.3f} mm",
                                       count_text(person.sheets, "sheet"),
                                       person.paper,
                                       person.method,
                                       person.first_page,
                                       person.last_page,
                                       person.largest_mm)
                         : "not made"});
  }
  facts.push_back({"printer",
                   fmt::format("{}, {}",
                               made.files.front(),
                               count_text(static_cast<std::size_t>(made.pages), "page"))});
  facts.push_back(
      {"each", std::filesystem::path(made.files.front()).parent_path().string() + "/sheets/*.pdf"});
  return facts;
}

}  // namespace

Outcome run_class_command(const std::string& folder, const MakeOptions& options, Console& console) {
  const ClassResult made = make_class(folder, options, console.progress(), console.notice());
  console.warnings(made.warnings);
  for (const PersonResult& person : made.persons) {
    std::vector<std::string> lines;
    for (const std::string& warning : person.warnings)
      lines.push_back(person.name + ": " + warning);
    console.warnings(lines);
  }
  console.object(nlohmann::ordered_json::parse(class_text(made)));
  if (made.published) console.facts(facts_of(made));
  if (made.complete()) return Outcome::done;
  std::size_t missing = 0;
  for (const PersonResult& person : made.persons) {
    if (person.problem.empty()) continue;
    ++missing;
    console.message(fmt::format("{}: {}", person.name, person.problem));
  }
  console.message(made.published
                      ? fmt::format("{} of {} not made, the others are",
                                    missing,
                                    count_text(made.persons.size(), "person"))
                      : folder + "/out: left as it was, because nobody's sheets could be made");
  return Outcome::refused;
}

}  // namespace underdraw::cli
