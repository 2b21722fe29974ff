// What is fuzzed: each target takes any bytes as one kind of file and reads them as the program
// would. It returns when they were read, or refused in one clean line; all else is a finding.
//
// Stage: tests.
#pragma once

#include <cstdint>
#include <span>
#include <string_view>
#include <vector>

namespace underdraw::fuzz {

using BytesView = std::span<const std::uint8_t>;

struct Target {
  std::string_view name;  // of its folder of seeds too
  void (*read)(BytesView);
};

// In alphabetical order.
std::vector<Target> all_targets();

// A finding ends the process with abort(), so that every driver notices it.
[[noreturn]] void report_finding(std::string_view what);

// Runs the reader; what is refused must be refused as the house promises: an Error whose text is
// one line without control characters, of a length that a person reads.
void read_or_refuse(void (*reader)(BytesView), BytesView bytes);

// The bytes as a file, the same one each time.
std::string file_of(BytesView bytes);
std::string_view text_of(BytesView bytes);

std::vector<Target> text_targets();
std::vector<Target> picture_targets();

}  // namespace underdraw::fuzz
