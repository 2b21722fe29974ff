// Small whole files of every kind that the fuzz targets read, made by the libraries and the
// project's own writers.
//
// Stage: tests.
#pragma once

#include <cstdint>
#include <string>
#include <string_view>
#include <vector>

namespace underdraw::fuzz {

struct Seed {
  std::string name;
  std::vector<std::uint8_t> bytes;
};

// None for a format that cannot be written on this machine (HEIC without an encoder).
std::vector<Seed> seeds_of(std::string_view target);

}  // namespace underdraw::fuzz
