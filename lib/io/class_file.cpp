#include "io/class_file.h"

#include <algorithm>
#include <map>
#include <set>

#include <fmt/format.h>

#include "core/error.h"
#include "core/listed.h"
#include "core/nearest_word.h"
#include "io/piece_table.h"
#include "io/text_file.h"
#include "io/toml_table.h"

namespace fs = std::filesystem;

namespace underdraw {
namespace {

constexpr std::size_t kMostPersons = 500;
constexpr const char* kScans = "pages";

// Of one person: the scan, and any part of the shared settings.
const std::vector<std::string> kPageKeys = {"file", "page", "dpi", "captions"};
const std::vector<std::string> kSettings = {
    "clay", "measure", "paper", "transfer", "line", "motif", "face", "arrange"};

std::vector<std::string> joined(std::vector<std::string> a, const std::vector<std::string>& b) {
  a.insert(a.end(), b.begin(), b.end());
  return a;
}

std::string lower(std::string text) {
  for (char& c : text) {
    if (c >= 'A' && c <= 'Z') c = static_cast<char>(c - 'A' + 'a');
  }
  return text;
}

// The scans of a folder by their name without ending, capitals or not.
using Scans = std::map<std::string, std::vector<std::string>>;

Scans scans_in(const fs::path& folder, const std::string& shown) {
  Scans scans;
  std::error_code problem;
  for (fs::directory_iterator entry(folder, problem), end; !problem && entry != end;
       entry.increment(problem)) {
    const fs::path name = entry->path().filename();
    std::error_code unknown;
    if (name.string().front() == '.' || !entry->is_regular_file(unknown)) continue;
    scans[lower(name.stem().string())].push_back((fs::path(shown) / name).string());
  }
  if (problem) {
    throw InputError({.file = folder.string(),
                      .line = {},
                      .found = problem.message(),
                      .expected = "a folder of scans named by person",
                      .remedy = {}});
  }
  for (auto& [stem, files] : scans) std::sort(files.begin(), files.end());
  return scans;
}

class ClassReader {
 public:
  ClassReader(const toml::table& root, const fs::path& path)
      : root_(root),
        path_(path),
        top_(root, path.string(), "", joined(piece_keys(), {"scans", "sketches", "person"})) {}

  ClassFile read() {
    read_shared();
    find_scans();
    const std::vector<const toml::table*> listed = top_.tables("person");
    if (listed.size() > kMostPersons) {
      top_.refuse("person",
                  fmt::format("{} persons", listed.size()),
                  fmt::format("at most {}", kMostPersons));
    }
    std::vector<toml::table> named;  // without a list, everybody who handed in a scan
    if (listed.empty()) {
      for (const auto& [stem, files] : scans_) {
        const std::string name = fs::path(files.front()).stem().string();
        named.push_back(toml::table{{"name", first_bad_utf8(name) ? std::string("?") : name},
                                    {"file", files.front()}});
      }
    }
    std::vector<const toml::table*> persons = listed;
    for (const toml::table& table : named) persons.push_back(&table);
    if (persons.empty()) {
      throw InputError({.file = path_.string(),
                        .line = {},
                        .found = "there is nobody in this class",
                        .expected = "a [[person]] for each, or scans named by person",
                        .remedy = fmt::format("put scans into {}", scans_name_)});
    }
    for (std::size_t i = 0; i < persons.size(); ++i) {
      class_.persons.push_back(read_person(*persons[i], i, persons.size()));
    }
    for (const auto& [stem, files] : scans_) {
      for (const std::string& file : files) {
        if (used_.count(file) == 0) {
          class_.warnings.push_back((path_.parent_path() / file).string() +
                                    ": belongs to nobody on the list");
        }
      }
    }
    return std::move(class_);
  }

 private:
  // A mistake in what all share is told once, not once a person.
  void read_shared() {
    class_.name = top_.need_text("name", "a name for the class's work");
    if (const toml::node* node = root_.get("sketches")) {
      top_.texts("sketches");
      sketches_ = *node->as_array();
    }
    shared_ = root_;
    for (const char* key : {"scans", "sketches", "person"}) shared_.erase(key);
    toml::table all = shared_;
    // Arrangements can be judged when faces and names are known.
    if (!all.contains("face") || sketches_.empty()) all.erase("arrange");
    if (!all.contains("page") && !sketches_.empty()) {
      all.insert("page", toml::array{toml::table{{"file", kScans}, {"names", sketches_}}});
    }
    const PieceFile piece = piece_of_table(all, path_.string());
    class_.paper = piece.sheets.paper;
    class_.margin_mm = std::max(piece.sheets.margin_mm, 10.0);
  }

  void find_scans() {
    scans_name_ = top_.text("scans").value_or(kScans);
    const fs::path place = path_.parent_path() / scans_name_;
    if (fs::is_directory(place)) {
      scans_ = scans_in(place, scans_name_);
    } else if (fs::exists(place)) {
      scans_are_pages_ = true;
    } else if (root_.contains("scans")) {
      top_.refuse("scans",
                  fmt::format("'{}' does not exist", scans_name_),
                  "a folder of scans named by person, or one file with a page for each");
    }
  }

  ClassPerson read_person(const toml::table& raw, std::size_t place, std::size_t count) {
    ClassPerson person;
    person.name = fmt::format("person {}", place + 1);
    try {
      const std::string where = fmt::format("[[person]] {}", place + 1);
      const TomlTable table(
          raw, path_.string(), where, joined(joined({"name", "sketches"}, kPageKeys), kSettings));
      const std::string name = table.need_text("name", "a first name");
      if (name.find_first_not_of(' ') == name.npos || has_control_character(name) ||
          name.size() > kLongestName) {
        table.refuse(
            "name", "is empty, very long or has a control character in it", "a first name");
      }
      const int same = ++names_[name];
      person.name = same == 1 ? name : fmt::format("{} ({})", name, same);
      person.piece = piece_of(raw, table, name, place, person.name);
    } catch (const Error& error) {
      person.complaint = error.what();
    }
    person.file_name = person_file_name(place, count, person.name);
    return person;
  }

  PieceFile piece_of(const toml::table& raw,
                     const TomlTable& table,
                     const std::string& name,
                     std::size_t place,
                     const std::string& shown) {
    toml::table piece = shared_;
    piece.insert_or_assign("name", fmt::format("{} · {}", shown, class_.name));
    for (const std::string& key : kSettings) {
      const toml::node* own = raw.get(key);
      if (own == nullptr) continue;
      toml::table* shared = piece.get_as<toml::table>(key);
      if (own->is_table() && shared != nullptr) {
        for (const auto& [k, value] : *own->as_table()) shared->insert_or_assign(k, value);
      } else {
        piece.insert_or_assign(key, *own);
      }
    }
    toml::table page;
    for (const std::string& key : kPageKeys) {
      if (const toml::node* node = raw.get(key)) page.insert(key, *node);
    }
    if (!page.contains("file")) {
      page.insert("file", scan_of(table, name));
      if (scans_are_pages_ && !page.contains("page")) {
        page.insert("page", static_cast<std::int64_t>(place + 1));
      }
    }
    if (const auto file = page["file"].value<std::string>()) claim(table, *file, page);
    const toml::node* own_sketches = raw.get("sketches");
    if (own_sketches != nullptr) table.texts("sketches");
    const toml::array& sketches = own_sketches ? *own_sketches->as_array() : sketches_;
    if (sketches.empty()) {
      table.refuse_missing("sketches", "a name for each sketch, left to right, top to bottom");
    }
    page.insert("names", sketches);
    toml::array* pages = piece.get_as<toml::array>("page");
    if (pages == nullptr) {
      piece.insert_or_assign("page", toml::array{page});
    } else {
      pages->push_back(page);
    }
    return piece_of_table(piece, path_.string());
  }

  std::string scan_of(const TomlTable& table, const std::string& name) const {
    if (scans_are_pages_) return scans_name_;
    const auto found = scans_.find(lower(name));
    if (found == scans_.end()) {
      std::vector<std::string> stems;
      for (const auto& [stem, files] : scans_) stems.push_back(fs::path(files.front()).filename());
      const auto near = nearest_word(name + ".png", stems);
      table.refuse(
          "name",
          fmt::format("finds no scan in {} that is named '{}'", scans_name_, name),
          {},
          near ? fmt::format("did you mean {}?", *near) : "scan the page, or name its `file`");
    }
    if (found->second.size() > 1) {
      table.refuse("name",
                   fmt::format("has {} scans: {}", found->second.size(), listed(found->second)),
                   {},
                   "say which with `file`");
    }
    return found->second.front();
  }

  // Two persons on one page would get each other's drawings.
  void claim(const TomlTable& table, const std::string& file, const toml::table& page) {
    const std::string plain = fs::path(file).lexically_normal().string();
    used_.insert(plain);
    const auto number = page["page"].value<std::int64_t>().value_or(1);
    if (!taken_.insert({plain, number}).second) {
      table.refuse(
          "name",
          fmt::format("leads to page {} of {}, which is somebody else's already", number, file),
          {},
          "give each a page, with `file` or `page`");
    }
  }

  const toml::table& root_;
  fs::path path_;
  TomlTable top_;
  ClassFile class_;
  toml::table shared_;
  toml::array sketches_;
  std::string scans_name_;
  bool scans_are_pages_ = false;
  Scans scans_;
  std::map<std::string, int> names_;
  std::set<std::string> used_;
  std::set<std::pair<std::string, std::int64_t>> taken_;
};

}  // namespace

std::string person_file_name(std::size_t place, std::size_t count, const std::string& name) {
  std::string safe;
  std::string_view rest = name;
  while (!rest.empty() && safe.size() < 60) {
    const std::size_t bytes = utf8_character_bytes(rest);
    const char c = rest.front();
    const bool plain = (c >= 'a' && c <= 'z') || (c >= 'A' && c <= 'Z') || (c >= '0' && c <= '9');
    if (bytes > 1 || plain) {
      safe += rest.substr(0, bytes);
    } else if (!safe.empty() && safe.back() != '-') {
      safe += '-';
    }
    rest.remove_prefix(std::max<std::size_t>(bytes, 1));
  }
  while (!safe.empty() && safe.back() == '-') safe.pop_back();
  const std::size_t digits = std::max<std::size_t>(2, std::to_string(count).size());
  const std::string number = fmt::format("{:0{}}", place + 1, digits);
  return safe.empty() ? number : number + "-" + safe;
}

ClassFile read_class_file(const fs::path& path) {
  const toml::table root =
      parsed_toml(read_text_file(path, {.expected = "a class file"}), path.string());
  return ClassReader(root, path).read();
}

}  // namespace underdraw
