// Numbers that look random and are the same on every machine and in every run.
#pragma once

#include <cstdint>
#include <random>

namespace underdraw::test {

// std::mt19937 is the same everywhere, the standard distributions are not.
class Dice {
 public:
  explicit Dice(unsigned seed) : engine_(seed) {}
  double uniform(double low, double high) {
    return low + (high - low) * (static_cast<double>(engine_()) + 0.5) / 4294967296.0;
  }

 private:
  std::mt19937 engine_;
};

// A number that depends on its arguments alone, so rows can be made in any order.
inline std::uint64_t scrambled(std::uint64_t key) {  // splitmix64's finaliser
  key += 0x9e3779b97f4a7c15ULL;
  key = (key ^ (key >> 30)) * 0xbf58476d1ce4e5b9ULL;
  key = (key ^ (key >> 27)) * 0x94d049bb133111ebULL;
  return key ^ (key >> 31);
}

// Bell-shaped, mean 0, standard deviation 1: four uniform numbers added.
inline float bell(std::uint64_t key) {
  const std::uint64_t bits = scrambled(key);
  const auto sum = static_cast<float>((bits & 0xffff) + ((bits >> 16) & 0xffff) +
                                      ((bits >> 32) & 0xffff) + (bits >> 48));
  return (sum - 131070.0F) / 37837.0F;
}

}  // namespace underdraw::test
