// Runs independent jobs on the machine's cores.
//
// Stage: core. Pure.
#pragma once

#include <algorithm>
#include <atomic>
#include <cstddef>
#include <exception>
#include <mutex>
#include <thread>
#include <vector>

namespace underdraw {

// Calls job(i) for i in [0, count), each once, on up to `threads` threads (0: all cores). Which
// thread takes which job varies, so jobs write only to their own place. The first exception is
// rethrown after all threads have stopped.
template <typename Job>
void parallel_for(std::size_t count, Job job, unsigned threads = 0) {
  if (threads == 0) threads = std::max(1U, std::thread::hardware_concurrency());
  threads = static_cast<unsigned>(std::min<std::size_t>(threads, count));
  std::atomic<std::size_t> next{0};
  std::exception_ptr failure;
  std::mutex failure_mutex;
  const auto work = [&] {
    for (std::size_t i = next++; i < count; i = next++) {
      try {
        job(i);
      } catch (...) {
        const std::lock_guard lock(failure_mutex);
        if (!failure) failure = std::current_exception();
        next = count;
      }
    }
  };
  std::vector<std::jthread> pool;
  for (unsigned t = 1; t < threads; ++t) pool.emplace_back(work);
  work();
  pool.clear();  // joins
  if (failure) std::rethrow_exception(failure);
}

}  // namespace underdraw
