// Files of pages to traced pages, several at once, and traced pages to named motifs.
//
// Stage:   io. Reads files; writes nothing.
// Refuses: what reading and tracing refuse; a count of names that is not the count of sketches, two
//          sketches of one name (InputError).
#pragma once

#include <optional>
#include <string>
#include <vector>

#include "core/progress.h"
#include "motif/motif.h"
#include "trace/trace_page.h"

namespace underdraw {

struct PageRequest {
  std::string file;
  std::optional<int> page;    // 1-based; nothing: every page of the file
  std::optional<double> dpi;  // overrides what the file says
};

struct TracedFilePage {
  std::string file;
  int page = 1;        // 1-based
  int page_count = 1;  // of the file
  double dpi = 0.0;
  TracedPage traced;
};

// In the order asked for. Sizes and page numbers are checked for all before the first is decoded.
std::vector<TracedFilePage> trace_files(const std::vector<PageRequest>& requests,
                                        const TraceOptions& options = {},
                                        const Progress& progress = {});

// "sketches-1", "sketches-2"… after the file's stem; "sketches-p3-1" when it has several pages.
std::vector<std::string> names_by_position(const TracedFilePage& page);

// One motif a sketch. `remedy` is what to do when the counts differ.
std::vector<Motif> motifs_of_page(const TracedFilePage& page,
                                  const std::vector<std::string>& names,
                                  const std::string& remedy);

}  // namespace underdraw
