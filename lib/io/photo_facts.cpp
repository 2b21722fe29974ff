#include "io/photo_facts.h"

#include "io/exif_facts.h"
#include "io/photo_metadata.h"
#include "io/photo_reader.h"

namespace underdraw {
namespace {

PhotoFacts facts_of(const std::string& path) {
  PhotoFacts facts;
  const OpenPhoto photo = open_photo(path);
  facts.kind = photo.kind;
  // A photo that was cut short on its way from the camera shows it now, while it can be copied
  // again, and not when the lines are covered. The coarsest tint keeps this small.
  constexpr int kTintShrink = 16;
  photo.reader->image(1, kTintShrink);

  facts.width_px = photo.header.width_px;
  facts.height_px = photo.header.height_px;
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
  return speaking_of_photos([&] { return facts_of(path); });
}

}  // namespace underdraw
