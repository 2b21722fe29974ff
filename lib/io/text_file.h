// Whole text files, and what UTF-8 they hold.
//
// Stage:   io. Reading opens one file; the rest is pure.
// Refuses: what is missing, no file, empty, too large or unreadable (InputError).
// Source:  UTF-8: RFC 3629.
#pragma once

#include <cstddef>
#include <cstdint>
#include <filesystem>
#include <optional>
#include <string>
#include <string_view>

namespace underdraw {

struct TextFileOptions {
  std::string expected = "a text file";  // what the file should be, for complaints
  std::uintmax_t most_bytes = 10'000'000;
  std::string when_large = "is this the right file?";  // what to do about one that is larger
};

std::string read_text_file(const std::filesystem::path& path, const TextFileOptions& options = {});

// Bytes of the UTF-8 character that `text` begins with; 0 when it begins with none.
std::size_t utf8_character_bytes(std::string_view text);

// Place of the first byte that is not UTF-8.
std::optional<std::size_t> first_bad_utf8(std::string_view text);

}  // namespace underdraw
