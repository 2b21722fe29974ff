// Writes the seeds of every fuzz target into a folder each: make_fuzz_seeds DIR.
#include <cstdio>
#include <filesystem>
#include <fstream>

#include "fuzz/fuzz_targets.h"
#include "fuzz/seeds.h"

int main(int count, char** words) {
  namespace fs = std::filesystem;
  if (count != 2) {
    std::fputs("usage: make_fuzz_seeds DIR\n", stderr);
    return 2;
  }
  std::size_t bytes = 0;
  for (const auto& target : underdraw::fuzz::all_targets()) {
    const fs::path folder = fs::path(words[1]) / target.name;
    fs::create_directories(folder);
    for (const auto& seed : underdraw::fuzz::seeds_of(target.name)) {
      std::ofstream(folder / seed.name, std::ios::binary)
          .write(reinterpret_cast<const char*>(seed.bytes.data()),
                 static_cast<std::streamsize>(seed.bytes.size()));
      bytes += seed.bytes.size();
    }
  }
  std::printf("%zu bytes of seeds\n", bytes);
  return 0;
}
