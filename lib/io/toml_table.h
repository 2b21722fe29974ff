// One table of a TOML file, read key by key with complaints that name file, line and key.
//
// Stage:   io. Internal to the piece file's reader.
// Refuses: unknown keys (with the nearest known one), wrong types, numbers out of range, NaN
//          (InputError).
#pragma once

#include <array>
#include <optional>
#include <string>
#include <string_view>
#include <vector>

#include <toml++/toml.h>

#include "core/error.h"

namespace underdraw {

struct TomlRange {
  double low;
  double high;
  std::string unit;  // "mm"
};

class TomlTable {
 public:
  // `where` is how the person knows it: "[clay]". Unknown keys are refused at once.
  TomlTable(const toml::table& table,
            std::string file,
            std::string where,
            std::vector<std::string> keys);

  const std::string& file() const { return file_; }
  int line() const;                    // of the table's head
  int line_of(const char* key) const;  // of the key's value, or of the head
  bool has(const char* key) const { return table_.contains(key); }

  std::optional<std::string> text(const char* key) const;
  std::optional<double> number(const char* key, const TomlRange& range) const;
  std::optional<int> whole(const char* key, int low, int high) const;
  std::optional<std::vector<std::string>> texts(const char* key) const;
  std::optional<std::vector<double>> numbers(const char* key, const TomlRange& range) const;
  std::optional<bool> yes(const char* key) const;
  // [[1, 2], [3, 4]]: two numbers an entry.
  std::optional<std::vector<std::array<double, 2>>> pairs(const char* key,
                                                          const TomlRange& first,
                                                          const TomlRange& second) const;
  // [[1, 2, 3, 4], [5, 6, 7, 8]]: four numbers an entry.
  std::optional<std::vector<std::array<double, 4>>> fours(const char* key,
                                                          const TomlRange& range) const;
  // One number, or a list of them.
  std::optional<std::vector<double>> one_or_more(const char* key, const TomlRange& range) const;
  std::vector<const toml::table*> tables(const char* key) const;  // none: empty
  const toml::node* node(const char* key) const { return table_.get(key); }

  // The same where the key must be there.
  std::string need_text(const char* key, const std::string& expected) const;
  double need_number(const char* key, const TomlRange& range) const;
  // A path as it is written there: not empty, and no byte that would cut it short.
  std::string need_file(const char* key, const std::string& expected) const;

  // Place of the word in the list of known ones. `found` has {} for the word.
  std::size_t choice(const char* key,
                     const std::string& word,
                     const std::vector<std::string>& known,
                     const std::string& found = "is '{}'") const;

  // What the pure stages refuse is told with file and line.
  template <typename Read>
  auto with_place(const char* key, Read read) const;

  [[noreturn]] void refuse(const char* key,
                           std::string found,
                           std::string expected,
                           std::string remedy = {}) const;
  [[noreturn]] void refuse_missing(const char* key, const std::string& expected) const;

 private:
  // The lists in the list under a key that is there, each of so many entries.
  std::vector<const toml::array*> rows(const char* key,
                                       std::size_t length,
                                       const std::string& what) const;
  double checked(const char* key, const toml::node& node, const TomlRange& range) const;
  std::string described(const char* key) const;  // "height in [[arrange]]"

  const toml::table& table_;
  std::string file_;
  std::string where_;
};

// "A, B or C".
std::string words_or(const std::vector<std::string>& words);

// "text 'tall'", "a list": what a value is, for complaints.
std::string toml_kind(const toml::node& node);

[[noreturn]] void refuse_toml(const std::string& file,
                              std::optional<int> line,
                              std::string found,
                              std::string expected,
                              std::string remedy = {});

constexpr std::size_t kLongestName = 100;  // bytes

bool has_control_character(std::string_view text);

// The name as it is, when it can be a file name; refused otherwise.
std::string name_for_a_file(const TomlTable& table, const char* key, const std::string& name);

template <typename Read>
auto TomlTable::with_place(const char* key, Read read) const {
  const auto tell = [&](const Complaint& c) {
    refuse_toml(file_, line_of(key), c.found, c.expected, c.remedy);
  };
  try {
    return read();
  } catch (const OptionError& error) {
    tell(error.complaint());
  } catch (const GeometryError& error) {
    tell(error.complaint());
  }
  throw;  // not reached: tell() throws
}

}  // namespace underdraw
