// Whether every line of a piece can be brought back from the kept photos of one stage: asked before
// a coat covers them.
//
// Stage:   io. Reads piece.toml, pages, record and photos; writes nothing.
// In/out:  all kept photos of the stage -> a verdict a placement, with a remedy in words.
// Refuses: what the stages refuse; no photos of that stage (InputError).
#pragma once

#include <filesystem>
#include <optional>
#include <string>
#include <vector>

#include "core/progress.h"
#include "io/out_folder.h"
#include "io/pose_stage.h"
#include "recover/photo_needs.h"

namespace underdraw {

struct PhotosCheck {
  std::size_t photos = 0;        // that were used
  std::vector<PhotoNeed> needs;  // of all faces, by number
  std::vector<PhotoLeftOut> left_out;
  std::vector<std::string> warnings;

  std::size_t recoverable() const;
  bool ok() const { return recoverable() == needs.size(); }
};

// `face`: only this one is asked about; nothing: all.
PhotosCheck check_photos(const std::filesystem::path& folder,
                         const std::string& stage,
                         const std::optional<std::string>& face = {},
                         const Progress& progress = {},
                         const Notice& notice = {});

}  // namespace underdraw
