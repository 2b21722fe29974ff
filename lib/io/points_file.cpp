#include "io/points_file.h"

#include <algorithm>

#include <fmt/format.h>

#include "io/piece_table.h"
#include "io/text_file.h"
#include "io/toml_table.h"

namespace underdraw {
namespace {

constexpr std::size_t kLeastPoints = 4;
constexpr std::size_t kMostPoints = 500;
const TomlRange kPx{0.0, 100000.0, "px"};

std::string name_of(const TomlTable& table, const char* key) {
  std::string name = table.need_text(key, "the name of a kept photo");
  if (const std::string folder = "photos/"; name.starts_with(folder)) name.erase(0, folder.size());
  return name_for_a_file(table, key, name);
}

TappedPair read_pair(const TomlTable& table) {
  TappedPair out;
  out.line = table.line();
  out.before = name_of(table, "before");
  out.after = name_of(table, "after");
  if (out.before == out.after) {
    table.refuse("after", fmt::format("is '{}' too", out.after), "another photo than before");
  }
  const auto points = table.fours("points", kPx);
  if (!points)
    table.refuse_missing("points", "4 or more of [x before, y before, x after, y after]");
  if (points->size() < kLeastPoints || points->size() > kMostPoints) {
    table.refuse("points",
                 fmt::format("holds {} points", points->size()),
                 fmt::format("{} to {}", kLeastPoints, kMostPoints),
                 "tap more spots that both photos show (out/points.html)");
  }
  for (const auto& [x1, y1, x2, y2] : *points) out.points.push_back({{x1, y1}, {x2, y2}});
  return out;
}

}  // namespace

std::vector<TappedPair> read_points(const std::filesystem::path& path) {
  return points_of_text(read_text_file(path,
                                       {.expected = "the text of out/points.html",
                                        .most_bytes = 1'000'000,
                                        .when_large = "is this the right file?"}),
                        path.string());
}

std::vector<TappedPair> points_of_text(std::string_view text, const std::string& file) {
  if (text.find_first_not_of(" \t\r\n") == text.npos) return {};
  const toml::table root = parsed_toml(text, file);
  const TomlTable top(root, file, "", {"pair"});
  std::vector<TappedPair> out;
  for (const toml::table* raw : top.tables("pair")) {
    const TomlTable table(*raw, file, "[[pair]]", {"before", "after", "points"});
    TappedPair pair = read_pair(table);
    const auto same = std::find_if(out.begin(), out.end(), [&](const TappedPair& other) {
      return other.before == pair.before && other.after == pair.after;
    });
    if (same != out.end()) {
      table.refuse("after",
                   fmt::format("names the same two photos as the pair on line {}", same->line),
                   "each pair once",
                   "put all their points into one [[pair]]");
    }
    out.push_back(std::move(pair));
  }
  return out;
}

}  // namespace underdraw
