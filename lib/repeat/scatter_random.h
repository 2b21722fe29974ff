// Chance that is the same on every machine: std distributions differ between libraries.
//
// Stage:   repeat. Pure.
// Source:  G. L. Steele, D. Lea, C. H. Flood, Fast Splittable Pseudorandom Number Generators,
//          OOPSLA 2014 (SplitMix64).
#pragma once

#include <cstddef>
#include <cstdint>

namespace underdraw {

class ScatterRandom {
 public:
  explicit ScatterRandom(std::uint64_t seed) : state_(seed) {}

  std::uint64_t next() {
    std::uint64_t z = (state_ += 0x9e3779b97f4a7c15ULL);
    z = (z ^ (z >> 30)) * 0xbf58476d1ce4e5b9ULL;
    z = (z ^ (z >> 27)) * 0x94d049bb133111ebULL;
    return z ^ (z >> 31);
  }
  double unit() { return static_cast<double>(next() >> 11) * 0x1p-53; }  // [0, 1)
  double between(double low, double high) { return low + (high - low) * unit(); }
  std::size_t below(std::size_t count) {
    return static_cast<std::size_t>(unit() * static_cast<double>(count));
  }

 private:
  std::uint64_t state_;
};

}  // namespace underdraw
