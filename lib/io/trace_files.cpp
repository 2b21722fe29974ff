#include "io/trace_files.h"

#include <algorithm>
#include <filesystem>
#include <mutex>
#include <numeric>

#include <fmt/format.h>

#include "core/error.h"
#include "core/listed.h"
#include "core/parallel.h"
#include "io/read_pages.h"

namespace underdraw {
namespace {

// Decoded pages are large: a machine with many cores must not run out of memory.
constexpr unsigned kPagesAtOnce = 4;

struct Job {
  PageFile file;
  int page = 1;
};

std::vector<Job> jobs_of(const std::vector<PageRequest>& requests) {
  std::vector<Job> jobs;
  for (const PageRequest& request : requests) {
    const PageFile file = PageFile::open(request.file, {.dpi = request.dpi});
    const int first = request.page.value_or(1);
    const int last = request.page.value_or(file.page_count());
    for (int page = first; page <= last; ++page) {
      file.size(page);  // refuses before any work begins
      jobs.push_back({file, page});
    }
  }
  return jobs;
}

// Several pages report at once; the listener hears one at a time, of the whole.
class SharedProgress {
 public:
  SharedProgress(std::size_t count, const Progress& listener)
      : shares_(count, 0.0), listener_(listener) {}

  Progress of(std::size_t i) {
    return [this, i](const std::string& step, double share) {
      const std::lock_guard lock(mutex_);
      shares_[i] = share;
      const double sum = std::accumulate(shares_.begin(), shares_.end(), 0.0);
      report(listener_, step, sum / static_cast<double>(shares_.size()));
    };
  }

 private:
  std::mutex mutex_;
  std::vector<double> shares_;
  const Progress& listener_;
};

}  // namespace

std::vector<TracedFilePage> trace_files(const std::vector<PageRequest>& requests,
                                        const TraceOptions& options,
                                        const Progress& progress) {
  options.validate();
  const std::vector<Job> jobs = jobs_of(requests);
  std::vector<TracedFilePage> pages(jobs.size());
  SharedProgress shared(jobs.size(), progress);
  const auto trace = [&](std::size_t i) {
    const Job& job = jobs[i];
    const std::string name = std::filesystem::path(job.file.path()).filename().string();
    const Progress listener = shared.of(i);
    report(listener, "reading " + name, 0.0);
    const Page page = job.file.read(job.page);
    pages[i] = {.file = job.file.path(),
                .page = job.page,
                .page_count = job.file.page_count(),
                .dpi = page.dpi(),
                .traced = trace_page(page, options, [&](const std::string&, double share) {
                  report(listener, "tracing " + name, share);
                })};
  };
  parallel_for(jobs.size(), trace, kPagesAtOnce);
  return pages;
}

std::vector<std::string> names_by_position(const TracedFilePage& page) {
  std::string stem = std::filesystem::path(page.file).stem().string();
  if (page.page_count > 1) stem += fmt::format("-p{}", page.page);
  std::vector<std::string> names;
  for (std::size_t i = 0; i < page.traced.sketches.size(); ++i) {
    names.push_back(fmt::format("{}-{}", stem, i + 1));
  }
  return names;
}

std::vector<Motif> motifs_of_page(const TracedFilePage& page,
                                  const std::vector<std::string>& names,
                                  const std::string& remedy) {
  const std::vector<TracedSketch>& sketches = page.traced.sketches;
  if (names.size() != sketches.size()) {
    throw InputError(
        {.file = page.file,
         .line = {},
         .found = fmt::format(
             "{} {} found", sketches.size(), sketches.size() == 1 ? "sketch" : "sketches"),
         .expected = fmt::format("{}: {}", names.size(), listed(names)),
         .remedy = remedy});
  }
  std::vector<Motif> motifs;
  for (std::size_t i = 0; i < sketches.size(); ++i) {
    if (std::find(names.begin(), names.begin() + static_cast<std::ptrdiff_t>(i), names[i]) !=
        names.begin() + static_cast<std::ptrdiff_t>(i)) {
      throw InputError({.file = page.file,
                        .line = {},
                        .found = "two sketches are named " + names[i],
                        .expected = {},
                        .remedy = "give each a name of its own"});
    }
    motifs.push_back(make_motif(names[i], sketches[i].lines));
  }
  return motifs;
}

}  // namespace underdraw
