// Runs independent jobs on the machine's cores.
//
// Stage: core. Pure.
#pragma once

#include <algorithm>
#include <atomic>
#include <cstddef>
#include <exception>
#include <limits>
#include <mutex>
#include <thread>
#include <vector>

namespace underdraw {

// Calls job(i) for i in [0, count), each once, on the cores there are, `most` of them at most.
// Which thread takes which job varies, so jobs write only to their own place. The first exception
// is rethrown after all threads have stopped.
template <typename Job>
void parallel_for(std::size_t count,
                  Job job,
                  unsigned most = std::numeric_limits<unsigned>::max()) {
  const std::size_t cores = std::max(1U, std::thread::hardware_concurrency());
  const std::size_t threads = std::min({cores, count, static_cast<std::size_t>(most)});
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
  for (std::size_t t = 1; t < threads; ++t) pool.emplace_back(work);
  work();
  pool.clear();  // joins
  if (failure) std::rethrow_exception(failure);
}

}  // namespace underdraw
