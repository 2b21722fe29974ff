#include "io/out_places.h"

#include <system_error>
#include <utility>

namespace underdraw {

void OutPlaces::write(const std::filesystem::path& path, std::string_view content) {
  const std::lock_guard lock(mutex_);
  const std::filesystem::path folder = path.has_parent_path() ? path.parent_path() : ".";
  std::error_code unknown;
  // Absolute first: of a folder that is still to be made, nothing else is told apart.
  std::filesystem::path place =
      std::filesystem::weakly_canonical(std::filesystem::absolute(folder), unknown);
  if (unknown) place = folder;
  auto found = places_.find(place);
  if (found == places_.end()) {
    found = places_
                .emplace(std::piecewise_construct,
                         std::forward_as_tuple(place),
                         std::forward_as_tuple(folder, overwrite_, notice_))
                .first;
  }
  found->second.write(path.filename(), content);
}

void OutPlaces::publish() {
  const std::lock_guard lock(mutex_);
  for (auto& [place, files] : places_) files.publish();
}

}  // namespace underdraw
