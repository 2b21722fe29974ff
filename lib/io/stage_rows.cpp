#include "io/stage_rows.h"

#include <algorithm>
#include <iterator>

#include <fmt/format.h>

#include "core/error.h"
#include "core/listed.h"
#include "io/photo_store.h"

namespace fs = std::filesystem;

namespace underdraw {
namespace {

std::string stages_of(const std::vector<PhotoRow>& rows) {
  std::vector<std::string> stages;
  for (const PhotoRow& row : rows) {
    if (std::find(stages.begin(), stages.end(), row.stage) == stages.end()) {
      stages.push_back(row.stage);
    }
  }
  return listed(stages);
}

}  // namespace

std::vector<PhotoRow> of_stage(const std::vector<PhotoRow>& rows, const std::string& stage) {
  std::vector<PhotoRow> out;
  std::copy_if(rows.begin(), rows.end(), std::back_inserter(out), [&](const PhotoRow& row) {
    return row.stage == stage;
  });
  return out;
}

StageRows choose_stages(const fs::path& folder,
                        const std::string& before,
                        const std::optional<std::string>& after,
                        const Notice& notice) {
  const std::vector<PhotoRow> rows = kept_photos(folder, notice);
  const std::string keep = fmt::format("underdraw keep {} PHOTOS --stage ", folder.string());
  if (rows.empty()) {
    throw InputError({.file = folder.string(),
                      .line = {},
                      .found = "no photos are kept",
                      .expected = {},
                      .remedy = "keep the photos that show the lines: " + keep + before});
  }
  StageRows out;
  out.before = of_stage(rows, before);
  if (out.before.empty()) {
    throw InputError(
        {.file = folder.string(),
         .line = {},
         .found = fmt::format("no photos of stage {} are kept", before),
         .expected = stages_of(rows) + ", which are",
         .remedy = fmt::format(
             "name the stage that shows the lines with --before, or {}{}", keep, before)});
  }
  if (after) {
    out.after = of_stage(rows, *after);
    out.after_stage = after;
    if (out.after.empty()) {
      throw InputError({.file = folder.string(),
                        .line = {},
                        .found = fmt::format("no photos of stage {} are kept", *after),
                        .expected = stages_of(rows) + ", which are",
                        .remedy = "name one of these with --after"});
    }
    return out;
  }
  // Rows come as they were added.
  const auto last = std::find_if(
      rows.rbegin(), rows.rend(), [&](const PhotoRow& row) { return row.stage != before; });
  if (last != rows.rend()) {
    out.after_stage = last->stage;
    out.after = of_stage(rows, last->stage);
  }
  return out;
}

}  // namespace underdraw
