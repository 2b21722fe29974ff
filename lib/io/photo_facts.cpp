#include "io/photo_facts.h"

#include <memory>

#include <fmt/format.h>

#include "core/error.h"
#include "io/exif_facts.h"
#include "io/page_reader.h"
#include "io/photo_metadata.h"
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

PhotoFacts facts_of(const std::string& path) {
  PhotoFacts facts;
  facts.kind = kind_of_photo(path);
  const std::unique_ptr<PageReader> reader = opened(facts.kind, path);
  const PageHeader header = reader->header(1);
  const auto [width, height] = std::pair(header.width_px, header.height_px);
  if (width < 1 || height < 1 || width >= kSideLimitPx || height >= kSideLimitPx ||
      width * height > kMostPx) {
    throw InputError({.file = path,
                      .line = {},
                      .found = fmt::format("says {} x {} px", width, height),
                      .expected = "sides below 60,000 px and 400 megapixels at most",
                      .remedy = "take the photo at a lower resolution"});
  }
  // A photo that was cut short on its way from the camera shows it now, while it can be copied
  // again, and not when the lines are covered. The coarsest tint keeps this small.
  constexpr int kTintShrink = 16;
  reader->image(1, kTintShrink);

  facts.width_px = width;
  facts.height_px = height;
  const ExifFacts exif = read_exif(exif_of_photo(facts.kind, path));
  if (facts.kind != PageKind::heic) facts.orientation = exif.orientation;
  facts.taken_at = exif.taken_at;
  facts.camera_make = exif.camera_make;
  facts.camera_model = exif.camera_model;
  facts.focal_length_mm = exif.focal_length_mm;
  facts.focal_length_35mm = exif.focal_length_35mm;
  return facts;
}

}  // namespace

PhotoFacts read_photo_facts(const std::string& path) {
  try {
    return facts_of(path);
  } catch (const InputError& error) {
    Complaint complaint = error.complaint();
    if (complaint.found.starts_with("is damaged")) {
      complaint.expected = kExpected;
      complaint.remedy = "copy it again from the camera, or take it again";
    }
    throw InputError(complaint);
  }
}

}  // namespace underdraw
