// Files of pages to traced pages, several at once, and traced pages to named motifs.
//
// Stage:   io. Reads files; writes nothing.
// Memory:  as many pages are decoded at once as there are cores, four at most; what stays of a
//          page is its linework.
// Refuses: what reading and tracing refuse; a count of names that is not the count of sketches, two
//          sketches of one name (InputError).
#pragma once

#include <functional>
#include <optional>
#include <string>
#include <vector>

#include "core/progress.h"
#include "io/read_pages.h"
#include "motif/motif.h"
#include "scan/page.h"
#include "trace/trace_page.h"

namespace underdraw {

struct PageRequest {
  std::string file;
  std::optional<int> page;                // 1-based; nothing: every page of the file
  std::optional<double> dpi;              // overrides what the file says
  std::optional<Captions> captions = {};  // overrides the options
};

// Of a drawing sheet.
struct SheetFrames {
  int page = 1;                      // its number, from its marks
  std::size_t count = 0;             // of its frames, empty ones included
  std::vector<int> frame_of_sketch;  // numbers from 1, growing
};

struct TracedFilePage {
  std::string file;
  int page = 1;        // 1-based
  int page_count = 1;  // of the file
  double dpi = 0.0;
  TracedPage traced;
  std::optional<SheetFrames> sheet = {};  // nothing: any other page
};

// In the order asked for, or the first complaint: sizes and page numbers are checked for all before
// the first is decoded.
std::vector<TracedFilePage> trace_files(const std::vector<PageRequest>& requests,
                                        const TraceOptions& options = {},
                                        const Progress& progress = {});

// A page that is there to be traced, or why it is not.
struct PlannedPage {
  std::string file;
  std::optional<PageFile> open;  // nothing: `complaint` says why
  int page = 1;                  // 1-based
  std::string complaint;
  std::optional<Captions> captions = {};  // overrides the options
};

// Every page of every request, in the order asked for. Nothing is decoded.
std::vector<PlannedPage> plan_pages(const std::vector<PageRequest>& requests);

// Of one planned page: what was traced, or why it was not.
struct PageOutcome {
  std::optional<TracedFilePage> traced;
  std::string complaint;
};

// Hears of each traced page while its pixels are still there; `i` is its place in the plan. Called
// from several threads at once. What it throws ends the whole call.
using PageSeen = std::function<void(std::size_t i, const Page& page, const TracedFilePage& traced)>;

// As the plan is ordered. A page that cannot be read or traced does not keep the others from it.
std::vector<PageOutcome> trace_planned(const std::vector<PlannedPage>& plan,
                                       const TraceOptions& options = {},
                                       const Progress& progress = {},
                                       const PageSeen& seen = {});

// The first pages of the plan that would give SVGs of the same names, refused (InputError).
void require_own_names(const std::vector<PlannedPage>& plan);

// "sketches-1", "sketches-2"… after the file's stem; "sketches-p3-1" when it has several pages. Of
// a drawing sheet "page-2-frame-1", "page-2-frame-3", after what its marks say.
std::vector<std::string> names_by_position(const TracedFilePage& page);

// Two photos of one drawing sheet, or of two that have the same number, refused (InputError): their
// sketches would have the same names.
void require_own_sheets(const std::vector<TracedFilePage>& pages);

// Of the sketches: where there is a name for every frame of a drawing sheet, those of the empty
// ones are left out; else as they are.
std::vector<std::string> names_in_frames(const TracedFilePage& page,
                                         const std::vector<std::string>& names);

// One motif a sketch, its names as names_in_frames() gives them. `remedy` is what to do when the
// counts differ.
std::vector<Motif> motifs_of_page(const TracedFilePage& page,
                                  const std::vector<std::string>& names,
                                  const std::string& remedy);

}  // namespace underdraw
