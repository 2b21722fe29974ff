// The fuzzer: underdraw_fuzz --target=NAME CORPUS… with libFuzzer's own options behind.
//
// Stage:  tests. All targets are one program, so that the library is linked once.
// Source: LLVM 16, libFuzzer documentation: options that begin with two dashes are the target's.
#include <cstdint>
#include <cstdio>
#include <cstdlib>
#include <string_view>

#include "fuzz/fuzz_targets.h"

namespace {

underdraw::fuzz::Target chosen;

}  // namespace

extern "C" int LLVMFuzzerInitialize(int* count, char*** words) {
  constexpr std::string_view kOption = "--target=";
  for (int i = 1; i < *count; ++i) {
    const std::string_view word = (*words)[i];
    if (!word.starts_with(kOption)) continue;
    for (const auto& target : underdraw::fuzz::all_targets()) {
      if (target.name == word.substr(kOption.size())) chosen = target;
    }
  }
  if (chosen.read != nullptr) return 0;
  std::fputs("pass --target=NAME, one of:", stderr);
  for (const auto& target : underdraw::fuzz::all_targets()) {
    std::fprintf(stderr, " %s", target.name.data());
  }
  std::fputs("\n", stderr);
  std::exit(2);
}

extern "C" int LLVMFuzzerTestOneInput(const std::uint8_t* data, std::size_t size) {
  underdraw::fuzz::read_or_refuse(chosen.read, {data, size});
  return 0;
}
