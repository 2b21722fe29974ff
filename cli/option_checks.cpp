#include "option_checks.h"

#include <algorithm>
#include <charconv>
#include <cmath>

#include <fmt/format.h>

#include "core/listed.h"
#include "core/nearest_word.h"
#include "io/photo_store.h"
#include "io/write_drawing.h"

namespace underdraw::cli {

std::optional<double> number_of(const std::string& text) {
  double value = 0.0;
  const char* const end = text.data() + text.size();
  const auto [stop, error] = std::from_chars(text.data(), end, value);
  if (error != std::errc() || stop != end || !std::isfinite(value)) return std::nullopt;
  return value;
}

CLI::Validator number_between(double low, double high, const std::string& unit) {
  const std::string range = fmt::format("{} to {} {}", low, high, unit);
  return CLI::Validator(
      [low, high, range](std::string& text) -> std::string {
        const std::optional<double> value = number_of(text);
        if (!value) {
          const char* const hint =
              text.find(',') != std::string::npos ? "; write decimals with a point" : "";
          return fmt::format("\"{}\" is not a number (expected {}){}", text, range, hint);
        }
        if (*value < low || *value > high) return fmt::format("{} (expected {})", text, range);
        return {};
      },
      range);
}

CLI::Validator count_from(int low) {
  return CLI::Validator(
      [low](std::string& text) -> std::string {
        int value = 0;
        const char* const end = text.data() + text.size();
        const auto [stop, error] = std::from_chars(text.data(), end, value);
        if (error == std::errc() && stop == end && value >= low) return {};
        return fmt::format("\"{}\" (expected a whole number from {} up)", text, low);
      },
      fmt::format("from {} up", low));
}

CLI::Validator one_of(const std::vector<std::string>& words) {
  const std::string list = listed(words);
  return CLI::Validator(
      [words, list](std::string& text) -> std::string {
        for (const std::string& word : words) {
          if (word == text) return {};
        }
        const std::optional<std::string> meant = nearest_word(text, words);
        return fmt::format("\"{}\" (expected {}){}",
                           text,
                           list,
                           meant ? "; did you mean " + *meant + "?" : std::string());
      },
      list);
}

CLI::Validator name_that_ends_in(const std::string& ending) {
  return CLI::Validator(
      [ending](std::string& text) -> std::string {
        std::string last =
            text.size() > ending.size() ? text.substr(text.size() - ending.size()) : std::string();
        for (char& c : last) {
          if (c >= 'A' && c <= 'Z') c = static_cast<char>(c - 'A' + 'a');
        }
        if (last == ending) return {};
        return fmt::format("\"{}\" (expected a file name that ends in {})", text, ending);
      },
      "");
}

CLI::Validator some_name() {
  return CLI::Validator(
      [](std::string& text) -> std::string {
        return text.empty() ? "is empty (expected a name)" : "";
      },
      "");
}

void OverwriteOption::declare(CLI::App& app) {
  app.add_flag("--overwrite", given, "replace files that exist");
}

void AlsoOption::declare(CLI::App& app) {
  app.add_option("--also",
                 kinds,
                 "each page once more in a file of its own, for cutters and screens: svg, png, or "
                 "both with a comma between")
      ->type_name("KIND,...")
      ->delimiter(',')
      ->check(one_of({"svg", "png"}));
  app.add_option("--png-dpi", png_dpi, "resolution of PNG files, 150 if not given")
      ->type_name("DPI")
      ->check(number_between(kLeastPngDpi, kMostPngDpi, "dpi"));
}

PageFiles AlsoOption::value() const {
  const auto has = [&](const char* kind) {
    return std::find(kinds.begin(), kinds.end(), kind) != kinds.end();
  };
  PageFiles files{.svg = has("svg"), .png = has("png")};
  if (png_dpi) files.png_dpi = *png_dpi;
  return files;
}

CLI::Validator stage_name() {
  return {[](const std::string& word) -> std::string {
            if (is_stage(word)) return {};
            return fmt::format(
                "{} (expected drawn, covered, fired or another word in lower-case letters, digits "
                "and hyphens)",
                word.empty() ? "\"\"" : word);
          },
          ""};
}

}  // namespace underdraw::cli
