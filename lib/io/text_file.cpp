#include "io/text_file.h"

#include <fstream>
#include <system_error>

#include <fmt/format.h>

#include "core/error.h"

namespace underdraw {

std::string read_text_file(const std::filesystem::path& path, const TextFileOptions& options) {
  const auto refusal = [&](std::string found, std::string expected, std::string remedy) {
    return InputError({.file = path.string(),
                       .line = {},
                       .found = std::move(found),
                       .expected = std::move(expected),
                       .remedy = std::move(remedy)});
  };
  std::error_code problem;
  const auto status = std::filesystem::status(path, problem);
  if (!std::filesystem::exists(status)) {
    throw refusal("not found", options.expected, "check the name and the folder");
  }
  if (!std::filesystem::is_regular_file(status)) {
    throw refusal("is not a file", options.expected, "name the file itself");
  }
  const std::uintmax_t size = std::filesystem::file_size(path, problem);
  if (problem) throw refusal("cannot be read: " + problem.message(), options.expected, {});
  if (size == 0) throw refusal("is empty", options.expected, "save it again or restore a copy");
  if (size > options.most_bytes) {
    throw refusal(fmt::format("is {:.1f} MB", static_cast<double>(size) / 1e6),
                  fmt::format("at most {} MB", options.most_bytes / 1'000'000),
                  options.when_large);
  }
  std::ifstream in(path, std::ios::binary);
  std::string text(size, '\0');
  in.read(text.data(), static_cast<std::streamsize>(size));
  if (!in) throw refusal("cannot be read", options.expected, "check its permissions");
  return text;
}

std::size_t utf8_character_bytes(std::string_view text) {
  if (text.empty()) return 0;
  const auto byte = [&](std::size_t i) { return static_cast<unsigned char>(text[i]); };
  if (byte(0) < 0x80) return 1;
  const std::size_t n = byte(0) >= 0xF0 ? 4 : byte(0) >= 0xE0 ? 3 : byte(0) >= 0xC2 ? 2 : 0;
  if (n == 0 || n > text.size() || byte(0) > 0xF4) return 0;
  for (std::size_t i = 1; i < n; ++i) {
    if ((byte(i) & 0xC0) != 0x80) return 0;
  }
  // Longer than need be, surrogates, beyond U+10FFFF.
  if (byte(0) == 0xE0 && byte(1) < 0xA0) return 0;
  if (byte(0) == 0xED && byte(1) > 0x9F) return 0;
  if (byte(0) == 0xF0 && byte(1) < 0x90) return 0;
  if (byte(0) == 0xF4 && byte(1) > 0x8F) return 0;
  return n;
}

std::optional<std::size_t> first_bad_utf8(std::string_view text) {
  for (std::size_t at = 0; at < text.size();) {
    const std::size_t n = utf8_character_bytes(text.substr(at));
    if (n == 0) return at;
    at += n;
  }
  return {};
}

}  // namespace underdraw
