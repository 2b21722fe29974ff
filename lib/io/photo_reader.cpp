#include "io/photo_reader.h"

#include <fmt/format.h>

#include "io/read_heic.h"
#include "io/read_jpeg.h"
#include "io/read_png.h"

namespace underdraw {
namespace {

constexpr std::int64_t kSideLimitPx = 60'000;  // as for pages, see read_pages.h
constexpr std::int64_t kMostPx = 400'000'000;

constexpr const char* kExpected = "a JPEG, PNG or HEIC photo";

std::unique_ptr<PageReader> opened(PageKind kind, const std::string& path) {
  switch (kind) {
    case PageKind::jpeg:
      return open_jpeg(path);
    case PageKind::png:
      return open_png(path);
    case PageKind::heic:
      return open_heic(path);
    case PageKind::tiff:
    case PageKind::pdf:
      break;
  }
  throw InputError({.file = path,
                    .line = {},
                    .found = "is a " + name_of(kind),
                    .expected = kExpected,
                    .remedy = "take the photo as the camera made it"});
}

// Its words are about pages.
PageKind kind_of_photo(const std::string& path) {
  try {
    return sniff_page_kind(path);
  } catch (const InputError& error) {
    Complaint complaint = error.complaint();
    if (!complaint.expected.empty()) complaint.expected = kExpected;
    if (complaint.remedy.find("scan") != std::string::npos) {
      complaint.remedy = complaint.found.starts_with("is empty")
                             ? "copy it again from the camera"
                             : "name the photo as the camera made it";
    }
    throw InputError(complaint);
  }
}

}  // namespace

OpenPhoto open_photo(const std::string& path) {
  OpenPhoto photo;
  photo.kind = kind_of_photo(path);
  photo.reader = opened(photo.kind, path);
  photo.header = photo.reader->header(1);
  const std::int64_t width = photo.header.width_px;
  const std::int64_t height = photo.header.height_px;
  if (width < 1 || height < 1 || width >= kSideLimitPx || height >= kSideLimitPx ||
      width * height > kMostPx) {
    throw InputError({.file = path,
                      .line = {},
                      .found = fmt::format("says {} x {} px", width, height),
                      .expected = "sides below 60,000 px and 400 megapixels at most",
                      .remedy = "take the photo at a lower resolution"});
  }
  return photo;
}

Complaint photo_complaint(Complaint complaint) {
  if (complaint.found.starts_with("is damaged")) {
    complaint.expected = kExpected;
    complaint.remedy = "copy it again from the camera, or take it again";
  }
  return complaint;
}

}  // namespace underdraw
