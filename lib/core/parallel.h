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

// This thread's share of the cores while it works inside a parallel_for; 0 outside of all.
inline thread_local std::size_t cores_of_this_thread = 0;

// Calls job(i) for i in [0, count), each once, on the cores there are, `most` of them at most.
// Which thread takes which job varies, so jobs write only to their own place. The first exception
// is rethrown after all threads have stopped. A parallel_for inside a job shares the cores that the
// outer one left it: many pages are traced one a core, one page on all of them.
template <typename Job>
void parallel_for(std::size_t count,
                  Job job,
                  unsigned most = std::numeric_limits<unsigned>::max()) {
  const std::size_t cores = cores_of_this_thread != 0
                                ? cores_of_this_thread
                                : std::max(1U, std::thread::hardware_concurrency());
  const std::size_t threads = std::min({cores, count, static_cast<std::size_t>(most)});
  if (threads == 0) return;
  std::atomic<std::size_t> next{0};
  std::exception_ptr failure;
  std::mutex failure_mutex;
  const auto work = [&] {
    const std::size_t share_before = cores_of_this_thread;
    cores_of_this_thread = cores / threads;
    for (std::size_t i = next++; i < count; i = next++) {
      try {
        job(i);
      } catch (...) {
        const std::lock_guard lock(failure_mutex);
        if (!failure) failure = std::current_exception();
        next = count;
      }
    }
    cores_of_this_thread = share_before;
  };
  std::vector<std::jthread> pool;
  for (std::size_t t = 1; t < threads; ++t) pool.emplace_back(work);
  work();
  pool.clear();  // joins
  if (failure) std::rethrow_exception(failure);
}

}  // namespace underdraw
