#include "io/disk_refusal.h"

namespace underdraw {

InputError disk_refusal(const std::filesystem::filesystem_error& error) {
  Complaint complaint{.file = error.path1().string(),
                      .line = {},
                      .found = "cannot be looked at, " + error.code().message(),
                      .expected = {},
                      .remedy = "check the name and the disk"};
  if (error.code() == std::errc::filename_too_long) {
    complaint.found = "has a name that is too long for the disk";
    complaint.remedy = "choose a shorter name";
  } else if (error.code() == std::errc::permission_denied) {
    complaint.found = "cannot be looked at, this user has no permission";
    complaint.remedy = "give yourself permission to read the folder, or copy it";
  } else if (error.code() == std::errc::too_many_symbolic_link_levels) {
    complaint.found = "is a link that leads in a circle";
    complaint.remedy = "put the file itself in its place";
  }
  return InputError(complaint);
}

}  // namespace underdraw
