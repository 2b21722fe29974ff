// The fuzz targets without a fuzzer: whole files are read, and so is everything that was found.
#include <filesystem>

#include <gtest/gtest.h>

#include "core/error.h"
#include "fuzz/fuzz_targets.h"
#include "fuzz/seeds.h"
#include "io/page_files.h"

namespace fs = std::filesystem;

namespace underdraw::fuzz {

void PrintTo(const Target& target, std::ostream* out) { *out << target.name; }

namespace {

class FuzzReplay : public testing::TestWithParam<Target> {};

INSTANTIATE_TEST_SUITE_P(Targets,
                         FuzzReplay,
                         testing::ValuesIn(all_targets()),
                         [](const auto& target) { return std::string(target.param.name); });

// Else the fuzzer would begin with files that are refused at their first byte.
TEST_P(FuzzReplay, ReadsItsSeedsWithoutComplaint) {
  const std::vector<Seed> seeds = seeds_of(GetParam().name);
  if (seeds.empty()) GTEST_SKIP() << "no encoder for it on this machine";
  for (const Seed& seed : seeds) {
    try {
      GetParam().read(seed.bytes);
    } catch (const Error& error) {
      ADD_FAILURE() << seed.name << ": " << error.what();
    }
  }
}

// A finding aborts, which is a failed test too.
TEST_P(FuzzReplay, SurvivesSeedsCutShortAndBroken) {
  for (const Seed& seed : seeds_of(GetParam().name)) {
    for (const std::size_t share : {1U, 2U, 3U}) {
      const std::size_t at = seed.bytes.size() * share / 4;
      read_or_refuse(GetParam().read, BytesView(seed.bytes).first(at));
      std::vector<std::uint8_t> broken = seed.bytes;
      broken[at] ^= 0xff;
      read_or_refuse(GetParam().read, broken);
    }
  }
}

TEST_P(FuzzReplay, SurvivesWhatWasFoundEarlier) {
  const fs::path folder = fs::path(UNDERDRAW_SOURCE_DIR) / "tests/fuzz/found" / GetParam().name;
  if (!fs::exists(folder)) GTEST_SKIP() << "nothing was found";
  for (const auto& entry : fs::directory_iterator(folder)) {
    read_or_refuse(GetParam().read, testing_pages::bytes_of(entry.path().string()));
  }
}

}  // namespace
}  // namespace underdraw::fuzz
