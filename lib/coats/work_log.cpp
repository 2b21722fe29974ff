#include "coats/work_log.h"

#include <algorithm>
#include <charconv>
#include <tuple>

#include <fmt/format.h>

#include "core/error.h"

namespace underdraw {
namespace {

constexpr int kMostPlacement = 99'999;
constexpr std::size_t kMostSpans = 500;
constexpr const char* kGround = "ground";

[[noreturn]] void refuse_areas(const std::string& item) {
  throw OptionError({.file = "areas",
                     .line = {},
                     .found = item.empty() ? "nothing between two commas" : "\"" + item + "\"",
                     .expected = "numbers as on the paint map, like 4,7-9,12b or ground",
                     .remedy = {}});
}

std::string without_blanks(const std::string& text) {
  std::string out;
  for (const char c : text) {
    if (c != ' ') out += c;
  }
  return out;
}

// The number that `rest` begins with, taken off it.
std::optional<int> number_off(std::string_view& rest) {
  int number = 0;
  const auto [end, error] = std::from_chars(rest.data(), rest.data() + rest.size(), number);
  if (error != std::errc{} || number < 1 || number > kMostPlacement) return std::nullopt;
  rest.remove_prefix(static_cast<std::size_t>(end - rest.data()));
  return number;
}

AreaSpan span_of(const std::string& item) {
  if (item == kGround) return {};
  std::string_view rest = item;
  AreaSpan span;
  span.first = number_off(rest).value_or(0);
  if (span.first == 0) refuse_areas(item);
  span.last = span.first;
  if (rest.starts_with('-')) {
    rest.remove_prefix(1);
    span.last = number_off(rest).value_or(0);
    if (span.last < span.first || !rest.empty()) refuse_areas(item);
  }
  const bool letters =
      std::all_of(rest.begin(), rest.end(), [](char c) { return c >= 'a' && c <= 'z'; });
  if (!letters || rest.size() > 2) refuse_areas(item);
  span.letters = std::string(rest);
  return span;
}

}  // namespace

std::vector<AreaSpan> areas_of_text(const std::string& text) {
  std::vector<AreaSpan> spans;
  const std::string items = without_blanks(text);
  for (std::size_t from = 0; from <= items.size();) {
    const std::size_t to = std::min(items.find(',', from), items.size());
    spans.push_back(span_of(items.substr(from, to - from)));
    from = to + 1;
  }
  if (spans.size() > kMostSpans) refuse_areas(fmt::format("{} of them", spans.size()));
  const auto key = [](const AreaSpan& s) {
    return std::tuple(s.first == 0, s.first, s.last, s.letters.size(), s.letters);
  };
  std::sort(spans.begin(), spans.end(), [&](const AreaSpan& a, const AreaSpan& b) {
    return key(a) < key(b);
  });
  spans.erase(std::unique(spans.begin(), spans.end()), spans.end());
  return spans;
}

std::string text_of_areas(const std::vector<AreaSpan>& areas) {
  std::string text;
  for (const AreaSpan& span : areas) {
    if (!text.empty()) text += ',';
    if (span.first == 0) {
      text += kGround;
    } else if (span.last > span.first) {
      text += fmt::format("{}-{}", span.first, span.last);
    } else {
      text += fmt::format("{}{}", span.first, span.letters);
    }
  }
  return text;
}

bool Place::covers(const std::string& on_face, int placement, const std::string& of_area) const {
  if (face && *face != on_face) return false;
  if (areas.empty()) return true;
  return std::any_of(areas.begin(), areas.end(), [&](const AreaSpan& span) {
    return placement >= span.first && placement <= span.last &&
           (span.letters.empty() || span.letters == of_area);
  });
}

std::string Place::text() const {
  std::string text = face.value_or("");
  if (face && !areas.empty()) text += ' ';
  for (const char c : text_of_areas(areas)) {
    text += c;
    if (c == ',') text += ' ';
  }
  return text;
}

const std::vector<std::string>& tile_state_names() {
  static const std::vector<std::string> names = {"wet", "dry", "bisque", "glazed"};
  return names;
}

std::string name_of(TileState state) { return tile_state_names()[static_cast<std::size_t>(state)]; }

}  // namespace underdraw
