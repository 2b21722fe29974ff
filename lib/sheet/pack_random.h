// Numbers that look random and are the same on every machine for a seed.
//
// Stage:   sheet. Pure.
// Source:  SplitMix64: G. L. Steele, D. Lea, C. H. Flood, "Fast splittable pseudorandom number
//          generators", OOPSLA 2014. Constants from memory.
#pragma once

#include <cstddef>
#include <cstdint>

namespace underdraw {

class PackRandom {
 public:
  explicit PackRandom(std::uint64_t seed) : state_(seed) {}

  std::uint64_t next() {
    state_ += 0x9e3779b97f4a7c15ULL;
    std::uint64_t z = state_;
    z = (z ^ (z >> 30)) * 0xbf58476d1ce4e5b9ULL;
    z = (z ^ (z >> 27)) * 0x94d049bb133111ebULL;
    return z ^ (z >> 31);
  }
  double uniform() { return static_cast<double>(next() >> 11) * 0x1.0p-53; }  // [0, 1)
  double uniform(double low, double high) { return low + (high - low) * uniform(); }
  std::size_t below(std::size_t count) { return static_cast<std::size_t>(next() % count); }

 private:
  std::uint64_t state_;
};

}  // namespace underdraw
