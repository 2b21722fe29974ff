#include "io/make_class.h"

#include <algorithm>
#include <mutex>
#include <numeric>

#include <fmt/format.h>
#include <nlohmann/json.hpp>

#include "core/error.h"
#include "core/parallel.h"
#include "io/class_file.h"
#include "io/merge_pdfs.h"
#include "io/write_drawing.h"
#include "sheet/draw_contents.h"

namespace fs = std::filesystem;

namespace underdraw {
namespace {

constexpr int kClassSchema = 1;

// One bar for all who are worked on at the same time.
class SharedProgress {
 public:
  SharedProgress(const Progress& progress, std::size_t count)
      : progress_(progress), shares_(count, 0.0) {}

  Progress of(std::size_t i, const std::string& name) {
    return [this, i, name](const std::string& step, double share) {
      const std::lock_guard lock(mutex_);
      shares_[i] = share;
      const double sum = std::accumulate(shares_.begin(), shares_.end(), 0.0);
      report(progress_, name + ": " + step, sum / static_cast<double>(shares_.size()));
    };
  }

 private:
  const Progress& progress_;
  std::mutex mutex_;
  std::vector<double> shares_;
};

std::string sheets_words(const PersonResult& person) {
  return fmt::format("{} sheet{} of {}, {}",
                     person.sheets,
                     person.sheets == 1 ? "" : "s",
                     person.paper,
                     person.method);
}

std::vector<Drawing> contents_of(const ClassFile& file, const ClassResult& result) {
  std::vector<ContentsRow> rows;
  for (const PersonResult& person : result.persons) {
    rows.push_back({.name = person.name,
                    .sheets = sheets_words(person),
                    .first_page = person.first_page,
                    .last_page = person.last_page,
                    .missing = person.problem});
  }
  SheetOptions options;
  options.paper = file.paper;
  options.margin_mm = file.margin_mm;
  return draw_contents(file.name, rows, options);
}

// Page numbers do not move the rows, so the contents can be counted before they are known.
std::string printer_pdf(const ClassFile& file,
                        const std::vector<std::string>& pdfs,
                        ClassResult& result) {
  int page = static_cast<int>(contents_of(file, result).size());
  std::vector<PdfToMerge> parts(1);
  for (std::size_t i = 0; i < pdfs.size(); ++i) {
    PersonResult& person = result.persons[i];
    if (!person.problem.empty()) continue;
    person.first_page = page + 1;
    page += pdf_page_count(pdfs[i]);
    person.last_page = page;
    parts.push_back({pdfs[i], person.name});
  }
  result.pages = page;
  parts.front().bytes =
      pdf_of_drawings(contents_of(file, result),
                      {.title = file.name + " – sheets", .created = {}, .attachments = {}});
  return merged_pdf(parts);
}

}  // namespace

bool ClassResult::complete() const {
  return std::all_of(
      persons.begin(), persons.end(), [](const auto& person) { return person.problem.empty(); });
}

ClassResult make_class(const fs::path& folder,
                       const MakeOptions& options,
                       const Progress& progress,
                       const Notice& notice) {
  const fs::path class_file = folder / kClassFile;
  ClassFile file = read_class_file(class_file);
  OutFolder out(folder, notice);
  ClassResult result;
  result.name = file.name;
  result.warnings = file.warnings;
  result.persons.resize(file.persons.size());
  std::vector<std::string> pdfs(file.persons.size());
  SharedProgress shared(progress, file.persons.size());
  std::mutex disk;
  std::exception_ptr disk_trouble;  // that is nobody's page, and stops all

  parallel_for(file.persons.size(), [&](std::size_t i) {
    ClassPerson& from = file.persons[i];
    PersonResult& person = result.persons[i];
    person.name = from.name;
    person.file_name = from.file_name;
    person.problem = from.complaint;
    const Progress own = shared.of(i, from.name);
    // Kept back until the proof is through: an untrue sheet must not be printed.
    std::vector<std::pair<std::string, std::string>> made_files;
    if (from.piece) {
      try {
        MakeOptions named = options;
        named.until = MakeStep::proof;
        named.sheets_name = fmt::format("sheets/{}.pdf", from.file_name);
        const PieceResult made = make_piece_files(
            std::move(*from.piece),
            class_file,
            named,
            [&](const std::string& name, const std::string& content) {
              made_files.emplace_back(name, content);
            },
            own);
        person.warnings = made.warnings;
        person.placements = made.proof.placements;
        person.sheets = made.sheets.sheets.size();
        person.paper = made.sheets.options.paper.name;
        person.method = transfer_name(made.sheets.options.method);
        person.largest_mm = made.proof.largest_mm;
        if (!made.proof.ok) {
          person.problem =
              made.proof.reasons.empty() ? "the sheets are not true" : made.proof.reasons.front();
        }
      } catch (const std::exception& error) {
        person.problem = error.what();
      }
    }
    if (person.problem.empty()) {
      try {
        for (auto& [name, content] : made_files) {
          if (name == "sheets.pdf") {
            out.write(fmt::format("sheets/{}.pdf", from.file_name), content);
            pdfs[i] = std::move(content);
          } else {
            out.write(fmt::format("persons/{}/{}", from.file_name, name), content);
          }
        }
      } catch (...) {
        const std::lock_guard lock(disk);
        disk_trouble = std::current_exception();
        throw;
      }
    }
    report(own, "done", 1.0);
  });
  if (disk_trouble) std::rethrow_exception(disk_trouble);

  const bool any = std::any_of(result.persons.begin(), result.persons.end(), [](const auto& p) {
    return p.problem.empty();
  });
  if (!any) return result;
  out.write("printer.pdf", printer_pdf(file, pdfs, result));
  const fs::path shown = folder / "out";
  result.files = {(shown / "printer.pdf").string(), (shown / "class.json").string()};
  for (const PersonResult& person : result.persons) {
    if (!person.problem.empty()) continue;
    result.files.push_back((shown / "sheets" / (person.file_name + ".pdf")).string());
  }
  out.write("class.json", class_text(result));
  out.publish();
  result.published = true;
  return result;
}

std::string class_text(const ClassResult& result) {
  nlohmann::ordered_json persons = nlohmann::ordered_json::array();
  for (const PersonResult& person : result.persons) {
    nlohmann::ordered_json object = {{"name", person.name}, {"ok", person.problem.empty()}};
    if (person.problem.empty()) {
      object["file"] = fmt::format("sheets/{}.pdf", person.file_name);
      object["placements"] = person.placements;
      object["sheets"] = person.sheets;
      object["paper"] = person.paper;
      object["transfer"] = person.method;
      object["largest_mm"] = person.largest_mm;
      object["pages"] = {person.first_page, person.last_page};
    } else {
      object["problem"] = person.problem;
    }
    object["warnings"] = person.warnings;
    persons.push_back(std::move(object));
  }
  const nlohmann::ordered_json all = {{"schema", kClassSchema},
                                      {"class", result.name},
                                      {"pages", result.pages},
                                      {"persons", persons},
                                      {"warnings", result.warnings},
                                      {"files", result.files}};
  return all.dump(2, ' ', false, nlohmann::ordered_json::error_handler_t::replace) + "\n";
}

}  // namespace underdraw
