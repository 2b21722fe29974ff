#include "fuzz/fuzz_targets.h"

#include <algorithm>
#include <cstdio>
#include <cstdlib>
#include <fstream>
#include <string>

#include "core/error.h"
#include "support/own_folder.h"

namespace underdraw::fuzz {
namespace {

constexpr std::size_t kLongestComplaint = 4000;

void check_words(const std::string& words) {
  const auto control = [](char c) {
    return static_cast<unsigned char>(c) < 0x20 || static_cast<unsigned char>(c) == 0x7f;
  };
  if (words.empty()) report_finding("an empty complaint");
  if (words.size() > kLongestComplaint) report_finding("a complaint that nobody reads");
  if (std::any_of(words.begin(), words.end(), control)) {
    report_finding("a complaint with control characters: " + words);
  }
}

}  // namespace

void report_finding(std::string_view what) {
  std::fprintf(stderr, "finding: %.*s\n", static_cast<int>(what.size()), what.data());
  std::abort();
}

void read_or_refuse(void (*reader)(BytesView), BytesView bytes) {
  try {
    reader(bytes);
  } catch (const Error& error) {
    check_words(error.what());
  } catch (const std::exception& error) {
    report_finding(std::string("not a complaint of ours: ") + error.what());
  }
}

std::string file_of(BytesView bytes) {
  static const test::OwnFolder folder;
  const std::string path = (folder.path() / "input").string();
  std::ofstream(path, std::ios::binary)
      .write(reinterpret_cast<const char*>(bytes.data()),
             static_cast<std::streamsize>(bytes.size()));
  return path;
}

std::string_view text_of(BytesView bytes) {
  return {reinterpret_cast<const char*>(bytes.data()), bytes.size()};
}

std::vector<Target> all_targets() {
  std::vector<Target> all = text_targets();
  for (const Target& target : picture_targets()) all.push_back(target);
  std::sort(
      all.begin(), all.end(), [](const Target& a, const Target& b) { return a.name < b.name; });
  return all;
}

}  // namespace underdraw::fuzz
