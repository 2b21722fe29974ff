// Texts that go into the record: lines that a person wrote, names of files, the time.
//
// Stage: io, internal to it. Reads the clock.
#pragma once

#include <string>

namespace underdraw {

// UTF-8 without control characters, 500 bytes at most.
bool is_one_line(const std::string& text);

// A file name may hold any bytes; the record holds UTF-8.
std::string utf8_of_name(std::string name);

std::string now_in_utc();  // "2026-05-03T14:15:22Z"

}  // namespace underdraw
