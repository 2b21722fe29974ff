#include "io/trace_files.h"

#include <algorithm>
#include <filesystem>
#include <map>
#include <mutex>
#include <numeric>

#include <fmt/format.h>

#include "core/error.h"
#include "core/listed.h"
#include "core/parallel.h"
#include "io/read_sketch_page.h"
#include "photo/sketches_by_frame.h"

namespace underdraw {
namespace {

// Decoded pages are large: a machine with many cores must not run out of memory.
constexpr unsigned kPagesAtOnce = 4;

PlannedPage planned(const PageRequest& request, const PageFile& file, int page) {
  file.check(page);  // refuses before any work begins
  return {.file = file.path(),
          .open = file,
          .page = page,
          .complaint = {},
          .captions = request.captions};
}

std::vector<PlannedPage> pages_of(const PageRequest& request) {
  const PageFile file = PageFile::open(request.file, {.dpi = request.dpi});
  if (request.page) return {planned(request, file, *request.page)};
  std::vector<PlannedPage> pages;
  for (int page = 1; page <= file.page_count(); ++page) {
    pages.push_back(planned(request, file, page));
  }
  return pages;
}

std::string name_stem(const std::string& file, int page, int page_count) {
  const std::string stem = std::filesystem::path(file).stem().string();
  return page_count > 1 ? fmt::format("{}-p{}", stem, page) : stem;
}

// ", in frames 1, 2, 4 of 6"
std::string frame_words(const TracedFilePage& page) {
  if (!page.sheet) return "";
  std::vector<std::string> numbers;
  for (const int frame : page.sheet->frame_of_sketch) numbers.push_back(fmt::format("{}", frame));
  return fmt::format(
      ", in frame{} {} of {}", numbers.size() == 1 ? "" : "s", listed(numbers), page.sheet->count);
}

// Several pages report at once; the listener hears one at a time, of the whole.
class SharedProgress {
 public:
  SharedProgress(std::size_t count, const Progress& listener)
      : shares_(count, 0.0), listener_(listener) {}

  void page(std::size_t i, const std::string& step, double share) {
    const std::lock_guard lock(mutex_);
    if (share >= 1.0 && shares_[i] < 1.0) ++done_;
    shares_[i] = std::max(shares_[i], share);
    const double sum = std::accumulate(shares_.begin(), shares_.end(), 0.0);
    const std::string text =
        shares_.size() == 1 ? step : fmt::format("{} of {} pages traced", done_, shares_.size());
    report(listener_, text, sum / static_cast<double>(shares_.size()));
  }

 private:
  std::mutex mutex_;
  std::vector<double> shares_;
  std::size_t done_ = 0;
  const Progress& listener_;
};

constexpr double kRead = 0.25;    // of a page's work
constexpr double kTraced = 0.95;  // the rest is what `seen` does

// Page i of the plan, which could be opened.
TracedFilePage trace_one(const std::vector<PlannedPage>& plan,
                         std::size_t i,
                         TraceOptions options,
                         SharedProgress& progress,
                         const PageSeen& seen) {
  const PlannedPage& job = plan[i];
  options.captions = job.captions.value_or(options.captions);
  const std::string name = std::filesystem::path(job.file).filename().string();
  progress.page(i, "reading " + name, 0.0);
  const SketchPage read = read_sketch_page(*job.open, job.page);
  const Page& page = read.page;
  TracedFilePage traced{
      .file = job.file,
      .page = job.page,
      .page_count = job.open->page_count(),
      .dpi = page.dpi(),
      .traced = trace_page(page,
                           options,
                           [&](const std::string&, double share) {
                             progress.page(i, "tracing " + name, kRead + (kTraced - kRead) * share);
                           }),
      .sheet = {}};
  std::vector<std::string>& warnings = traced.traced.warnings;
  warnings.insert(warnings.begin(), read.warnings.begin(), read.warnings.end());
  if (read.sheet) {
    FramedPage framed = sketches_by_frame(std::move(traced.traced), *read.sheet);
    traced.traced = std::move(framed.traced);
    traced.sheet =
        SheetFrames{read.sheet->kind.page, read.sheet->frames.size(), std::move(framed.frames)};
  }
  if (seen) seen(i, page, traced);
  progress.page(i, "tracing " + name, 1.0);
  return traced;
}

}  // namespace

std::vector<TracedFilePage> trace_files(const std::vector<PageRequest>& requests,
                                        const TraceOptions& options,
                                        const Progress& progress) {
  options.validate();
  std::vector<PlannedPage> plan;
  for (const PageRequest& request : requests) {
    for (PlannedPage& page : pages_of(request)) plan.push_back(std::move(page));
  }
  for (const PlannedPage& page : plan) require_resolution(*page.open, page.page);
  std::vector<TracedFilePage> pages(plan.size());
  SharedProgress shared(plan.size(), progress);
  parallel_for(
      plan.size(),
      [&](std::size_t i) { pages[i] = trace_one(plan, i, options, shared, {}); },
      kPagesAtOnce);
  return pages;
}

std::vector<PlannedPage> plan_pages(const std::vector<PageRequest>& requests) {
  std::vector<PlannedPage> plan;
  for (const PageRequest& request : requests) {
    try {
      for (PlannedPage& page : pages_of(request)) plan.push_back(std::move(page));
    } catch (const InputError& error) {
      plan.push_back({.file = request.file,
                      .open = {},
                      .page = request.page.value_or(1),
                      .complaint = error.what()});
    }
  }
  return plan;
}

std::vector<PageOutcome> trace_planned(const std::vector<PlannedPage>& plan,
                                       const TraceOptions& options,
                                       const Progress& progress,
                                       const PageSeen& seen) {
  options.validate();
  std::vector<PageOutcome> outcomes(plan.size());
  SharedProgress shared(plan.size(), progress);
  parallel_for(
      plan.size(),
      [&](std::size_t i) {
        outcomes[i].complaint = plan[i].complaint;
        try {
          if (plan[i].open) outcomes[i].traced = trace_one(plan, i, options, shared, seen);
        } catch (const InputError& error) {
          outcomes[i].complaint = error.what();
        }
        shared.page(i, {}, 1.0);
      },
      kPagesAtOnce);
  return outcomes;
}

void require_own_names(const std::vector<PlannedPage>& plan) {
  std::map<std::string, std::string> file_of;
  for (const PlannedPage& page : plan) {
    if (!page.open) continue;
    const std::string stem = name_stem(page.file, page.page, page.open->page_count());
    const auto [other, is_new] = file_of.try_emplace(stem, page.file);
    if (is_new) continue;
    throw InputError({.file = page.file,
                      .line = {},
                      .found = fmt::format("gives {}-1.svg, and so does {}", stem, other->second),
                      .expected = {},
                      .remedy = "trace them one after the other, into two folders"});
  }
}

std::vector<std::string> names_by_position(const TracedFilePage& page) {
  std::vector<std::string> names;
  if (page.sheet) {
    for (const int frame : page.sheet->frame_of_sketch) {
      names.push_back(fmt::format("page-{}-frame-{}", page.sheet->page, frame));
    }
    return names;
  }
  const std::string stem = name_stem(page.file, page.page, page.page_count);
  for (std::size_t i = 0; i < page.traced.sketches.size(); ++i) {
    names.push_back(fmt::format("{}-{}", stem, i + 1));
  }
  return names;
}

void require_own_sheets(const std::vector<TracedFilePage>& pages) {
  std::map<int, std::string> file_of;
  for (const TracedFilePage& page : pages) {
    if (!page.sheet) continue;
    const auto [other, is_new] = file_of.try_emplace(page.sheet->page, page.file);
    if (is_new) continue;
    throw InputError(
        {.file = page.file,
         .line = {},
         .found =
             fmt::format("shows drawing sheet {}, and so does {}", page.sheet->page, other->second),
         .expected = "sheets with numbers of their own",
         .remedy = "trace them one after the other into two folders, and print the next ones with "
                   "underdraw paper --page"});
  }
}

std::vector<std::string> names_in_frames(const TracedFilePage& page,
                                         const std::vector<std::string>& names) {
  if (!page.sheet || names.size() != page.sheet->count) return names;
  std::vector<std::string> own;
  for (const int frame : page.sheet->frame_of_sketch) {
    own.push_back(names[static_cast<std::size_t>(frame) - 1]);
  }
  return own;
}

std::vector<Motif> motifs_of_page(const TracedFilePage& page,
                                  const std::vector<std::string>& given,
                                  const std::string& remedy) {
  const std::vector<std::string> names = names_in_frames(page, given);
  const std::vector<TracedSketch>& sketches = page.traced.sketches;
  if (names.size() != sketches.size()) {
    throw InputError({.file = page.file,
                      .line = {},
                      .found = fmt::format("{} {} found{}",
                                           sketches.size(),
                                           sketches.size() == 1 ? "sketch" : "sketches",
                                           frame_words(page)),
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
