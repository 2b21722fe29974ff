#include "core/parallel.h"

#include <algorithm>
#include <atomic>
#include <chrono>
#include <stdexcept>
#include <thread>
#include <vector>

#include <gtest/gtest.h>

namespace underdraw {
namespace {

// The most jobs that were under way at once.
class Crowd {
 public:
  void enter() {
    const int now = ++inside_;
    for (int most = most_; now > most && !most_.compare_exchange_weak(most, now);) {
    }
  }
  void leave() { --inside_; }
  int most() const { return most_; }

 private:
  std::atomic<int> inside_{0};
  std::atomic<int> most_{0};
};

TEST(ParallelFor, DoesEveryJobOnce) {
  std::vector<int> times(1000, 0);
  parallel_for(times.size(), [&](std::size_t i) { ++times[i]; });
  EXPECT_EQ(times, std::vector<int>(1000, 1));
  parallel_for(0, [](std::size_t) { FAIL() << "there is no job"; });
}

TEST(ParallelFor, NeverRunsMoreAtOnceThanAllowed) {
  Crowd crowd;
  parallel_for(
      50,
      [&](std::size_t) {
        crowd.enter();
        std::this_thread::sleep_for(std::chrono::microseconds(200));
        crowd.leave();
      },
      1);
  EXPECT_EQ(crowd.most(), 1);
}

TEST(ParallelFor, JobsInsideJobsShareTheCoresThereAre) {
  Crowd crowd;
  parallel_for(20, [&](std::size_t) {
    parallel_for(20, [&](std::size_t) {
      crowd.enter();
      std::this_thread::sleep_for(std::chrono::microseconds(200));
      crowd.leave();
    });
  });
  EXPECT_LE(crowd.most(), static_cast<int>(std::max(1U, std::thread::hardware_concurrency())));
  // Outside again, all cores are there again.
  EXPECT_EQ(cores_of_this_thread, 0U);
}

TEST(ParallelFor, PassesOnTheFirstFailureAndGivesTheCoresBack) {
  const auto job = [](std::size_t i) {
    if (i == 3) throw std::runtime_error("three");
  };
  EXPECT_THROW(parallel_for(10, job), std::runtime_error);
  EXPECT_EQ(cores_of_this_thread, 0U);
}

}  // namespace
}  // namespace underdraw
