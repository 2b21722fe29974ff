// Which kept photos show a piece before a coat, and which after it.
//
// Stage:   io, internal to it. Reads the record.
// Refuses: an empty store, a stage of which nothing is kept (InputError with the stages that are).
#pragma once

#include <filesystem>
#include <optional>
#include <string>
#include <vector>

#include "io/out_folder.h"
#include "io/record.h"

namespace underdraw {

std::vector<PhotoRow> of_stage(const std::vector<PhotoRow>& rows, const std::string& stage);

struct StageRows {
  std::vector<PhotoRow> before, after;
  std::optional<std::string> after_stage;  // nothing: no other stage is kept
};

// `after`: nothing: of the other stages the one kept last.
StageRows choose_stages(const std::filesystem::path& folder,
                        const std::string& before,
                        const std::optional<std::string>& after,
                        const Notice& notice);

}  // namespace underdraw
