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
                    .remedy = std::move(remedy)});
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

double TomlTable::need_number(const char* key, const TomlRange& range) const {
  if (const auto value = number(key, range)) return *value;
  refuse_missing(key, fmt::format("{} to {} {}", range.low, range.high, range.unit));
}

}  // namespace underdraw
