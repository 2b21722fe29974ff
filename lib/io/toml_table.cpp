#include "io/toml_table.h"

#include <algorithm>

#include <fmt/format.h>
#include <fmt/ranges.h>

#include "core/error.h"
#include "core/nearest_word.h"

namespace underdraw {

void refuse_toml(const std::string& file,
                 std::optional<int> line,
                 std::string found,
                 std::string expected,
                 std::string remedy) {
  throw InputError({.file = file,
                    .line = line,
                    .found = std::move(found),
                    .expected = std::move(expected),
                    .remedy = remedy.empty() ? "correct this entry" : std::move(remedy)});
}

std::string words_or(const std::vector<std::string>& words) {
  if (words.size() < 2) return words.empty() ? "" : words.front();
  return fmt::format("{} or {}", fmt::join(words.begin(), words.end() - 1, ", "), words.back());
}

std::string toml_kind(const toml::node& node) {
  switch (node.type()) {
    case toml::node_type::string:
      return fmt::format("text '{}'", *node.value<std::string>());
    case toml::node_type::integer:
      return fmt::format("{}", *node.value<std::int64_t>());
    case toml::node_type::floating_point:
      return fmt::format("{}", *node.value<double>());
    case toml::node_type::boolean:
      return *node.value<bool>() ? "true" : "false";
    case toml::node_type::array:
      return "a list";
    case toml::node_type::table:
      return "a table";
    default:
      return "a date or time";
  }
}

TomlTable::TomlTable(const toml::table& table,
                     std::string file,
                     std::string where,
                     std::vector<std::string> keys)
    : table_(table), file_(std::move(file)), where_(std::move(where)) {
  for (const auto& [key, value] : table_) {
    const std::string name(key.str());
    if (std::find(keys.begin(), keys.end(), name) != keys.end()) continue;
    const auto near = nearest_word(name, keys);
    refuse_toml(file_,
                static_cast<int>(key.source().begin.line),
                fmt::format("unknown key '{}'{}", name, where_.empty() ? "" : " in " + where_),
                fmt::format("{}", fmt::join(keys, ", ")),
                near ? fmt::format("did you mean '{}'?", *near) : "remove it or correct it");
  }
}

int TomlTable::line() const { return std::max(1, static_cast<int>(table_.source().begin.line)); }

int TomlTable::line_of(const char* key) const {
  const toml::node* node = table_.get(key);
  return node ? static_cast<int>(node->source().begin.line) : line();
}

std::string TomlTable::described(const char* key) const {
  return where_.empty() ? key : fmt::format("{} in {}", key, where_);
}

void TomlTable::refuse(const char* key,
                       std::string found,
                       std::string expected,
                       std::string remedy) const {
  refuse_toml(file_,
              line_of(key),
              fmt::format("{} {}", described(key), found),
              std::move(expected),
              std::move(remedy));
}

void TomlTable::refuse_missing(const char* key, const std::string& expected) const {
  refuse_toml(
      file_, line(), described(key) + " is missing", expected, fmt::format("add {} = …", key));
}

std::optional<std::string> TomlTable::text(const char* key) const {
  const toml::node* node = table_.get(key);
  if (!node) return {};
  if (!node->is_string()) refuse(key, "is " + toml_kind(*node), "text in quotes");
  return node->value<std::string>();
}

double TomlTable::checked(const char* key, const toml::node& node, const TomlRange& range) const {
  const std::string expected = fmt::format("{} to {} {}", range.low, range.high, range.unit);
  if (!node.is_number())
    refuse(key, "is " + toml_kind(node), expected, "write a number without quotes");
  const double value = *node.value<double>();
  if (!(value >= range.low && value <= range.high))
    refuse(key, fmt::format("is {}", value), expected, "write a number in this range");
  return value;
}

std::optional<double> TomlTable::number(const char* key, const TomlRange& range) const {
  const toml::node* node = table_.get(key);
  if (!node) return {};
  return checked(key, *node, range);
}

std::optional<int> TomlTable::whole(const char* key, int low, int high) const {
  const toml::node* node = table_.get(key);
  if (!node) return {};
  const std::string expected = fmt::format("a whole number from {} to {}", low, high);
  if (!node->is_integer()) refuse(key, "is " + toml_kind(*node), expected, "write a whole number");
  const std::int64_t value = *node->value<std::int64_t>();
  if (value < low || value > high)
    refuse(key, fmt::format("is {}", value), expected, "write a number in this range");
  return static_cast<int>(value);
}

std::optional<std::vector<std::string>> TomlTable::texts(const char* key) const {
  const toml::node* node = table_.get(key);
  if (!node) return {};
  const toml::array* list = node->as_array();
  if (!list) refuse(key, "is " + toml_kind(*node), "a list: [\"kelp\", \"thistle\"]");
  std::vector<std::string> out;
  for (const toml::node& item : *list) {
    if (!item.is_string()) refuse(key, "holds " + toml_kind(item), "text in quotes");
    out.push_back(*item.value<std::string>());
  }
  return out;
}

std::optional<std::vector<double>> TomlTable::numbers(const char* key,
                                                      const TomlRange& range) const {
  const toml::node* node = table_.get(key);
  if (!node) return {};
  const toml::array* list = node->as_array();
  if (!list) refuse(key, "is " + toml_kind(*node), "a list: [10, 20]");
  std::vector<double> out;
  for (const toml::node& item : *list) out.push_back(checked(key, item, range));
  return out;
}

std::optional<std::vector<double>> TomlTable::one_or_more(const char* key,
                                                          const TomlRange& range) const {
  const toml::node* node = table_.get(key);
  if (!node) return {};
  if (node->is_array()) return numbers(key, range);
  return std::vector<double>{checked(key, *node, range)};
}

std::optional<bool> TomlTable::yes(const char* key) const {
  const toml::node* node = table_.get(key);
  if (!node) return {};
  if (!node->is_boolean()) refuse(key, "is " + toml_kind(*node), "true or false");
  return node->value<bool>();
}

std::vector<const toml::array*> TomlTable::rows(const char* key,
                                                std::size_t length,
                                                const std::string& what) const {
  const toml::array* list = table_.get(key)->as_array();
  if (!list) refuse(key, "is " + toml_kind(*table_.get(key)), "a list of " + what);
  std::vector<const toml::array*> out;
  for (const toml::node& item : *list) {
    const toml::array* row = item.as_array();
    if (!row || row->size() != length) {
      refuse(key,
             row ? fmt::format("holds an entry of {} numbers", row->size())
                 : "holds " + toml_kind(item),
             what);
    }
    out.push_back(row);
  }
  return out;
}

std::optional<std::vector<std::array<double, 2>>> TomlTable::pairs(const char* key,
                                                                   const TomlRange& first,
                                                                   const TomlRange& second) const {
  if (!has(key)) return {};
  std::vector<std::array<double, 2>> out;
  for (const toml::array* row : rows(key, 2, "pairs: [[0, 310], [40, 372]]")) {
    out.push_back({checked(key, *row->get(0), first), checked(key, *row->get(1), second)});
  }
  return out;
}

std::optional<std::vector<std::array<double, 4>>> TomlTable::fours(const char* key,
                                                                   const TomlRange& range) const {
  if (!has(key)) return {};
  std::vector<std::array<double, 4>> out;
  for (const toml::array* row :
       rows(key,
            4,
            "fours, x and y before and after: [[410, 300, 418, 290], [930, 305, 940, 300]]")) {
    std::array<double, 4>& four = out.emplace_back();
    for (std::size_t i = 0; i < 4; ++i) four[i] = checked(key, *row->get(i), range);
  }
  return out;
}

std::size_t TomlTable::choice(const char* key,
                              const std::string& word,
                              const std::vector<std::string>& known,
                              const std::string& found) const {
  const auto at = std::find(known.begin(), known.end(), word);
  if (at == known.end()) {
    const auto near = nearest_word(word, known);
    refuse(key,
           fmt::format(fmt::runtime(found), word),
           words_or(known),
           near ? fmt::format("did you mean '{}'?", *near) : "");
  }
  return static_cast<std::size_t>(at - known.begin());
}

std::vector<const toml::table*> TomlTable::tables(const char* key) const {
  const toml::node* node = table_.get(key);
  if (!node) return {};
  const toml::array* list = node->as_array();
  if (!list) {
    refuse(key, "is " + toml_kind(*node), "a list of tables", fmt::format("write [[{}]]", key));
  }
  std::vector<const toml::table*> out;
  for (const toml::node& item : *list) {
    if (!item.is_table()) refuse(key, "holds " + toml_kind(item), "tables");
    out.push_back(item.as_table());
  }
  return out;
}

std::string TomlTable::need_text(const char* key, const std::string& expected) const {
  if (auto value = text(key)) return *value;
  refuse_missing(key, expected);
}

std::string TomlTable::need_file(const char* key, const std::string& expected) const {
  std::string name = need_text(key, expected);
  if (name.empty() || name.find('\0') != name.npos) refuse(key, "is no file name", expected);
  return name;
}

double TomlTable::need_number(const char* key, const TomlRange& range) const {
  if (const auto value = number(key, range)) return *value;
  refuse_missing(key, fmt::format("{} to {} {}", range.low, range.high, range.unit));
}

bool has_control_character(std::string_view text) {
  return std::any_of(text.begin(), text.end(), [](char c) {
    return static_cast<unsigned char>(c) < 0x20 || c == 0x7F;
  });
}

std::string name_for_a_file(const TomlTable& table, const char* key, const std::string& name) {
  const auto refuse = [&](const std::string& why) {
    table.refuse(key, why, "a name that can be a file name", "name it otherwise");
  };
  if (name.empty()) refuse("is empty");
  if (has_control_character(name)) refuse("has a control character in it");
  if (name.find('/') != name.npos) refuse(fmt::format("is '{}', with a slash in it", name));
  if (name.front() == '.') refuse(fmt::format("is '{}', which begins with a dot", name));
  if (name.find("..") != name.npos) refuse(fmt::format("is '{}', with two dots in it", name));
  if (name.size() > kLongestName) {
    refuse(fmt::format("is {} bytes long, more than {}", name.size(), kLongestName));
  }
  return name;
}

}  // namespace underdraw
