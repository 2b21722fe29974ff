#include "io/photo_metadata.h"

#include "io/page_reader.h"

namespace underdraw {

Bytes read_photo_bytes(const std::string& path) {
  const FileHandle file = open_page_file(path);
  Bytes bytes;
  constexpr std::size_t kStep = std::size_t{1} << 20U;
  for (;;) {
    const std::size_t before = bytes.size();
    bytes.resize(before + kStep);
    const std::size_t got = std::fread(bytes.data() + before, 1, kStep, file.get());
    bytes.resize(before + got);
    if (got < kStep) break;
  }
  if (std::ferror(file.get()) != 0) throw damaged_page_file(path, "photo", "it cannot be read");
  return bytes;
}

Bytes exif_of_photo(PageKind kind, const std::string& path) {
  if (kind == PageKind::jpeg) return exif_of_jpeg(read_photo_bytes(path), path);
  if (kind == PageKind::png) return exif_of_png(read_photo_bytes(path), path);
  if (kind == PageKind::heic) return exif_of_heic(path);
  return {};
}

Bytes photo_for_export(PageKind kind, BytesView photo, int orientation, const std::string& path) {
  if (kind == PageKind::jpeg) return jpeg_for_export(photo, orientation, path);
  if (kind == PageKind::png) return png_for_export(photo, orientation, path);
  if (kind == PageKind::heic) return heic_for_export(photo, path);
  throw InputError({.file = path,
                    .line = {},
                    .found = "is a " + name_of(kind),
                    .expected = "a JPEG, PNG or HEIC photo",
                    .remedy = {}});
}

Bytes exif_of_orientation(int orientation) {
  return {'I',
          'I',
          42,
          0,
          8,
          0,
          0,
          0,  // directory at 8
          1,
          0,  // one entry
          0x12,
          0x01,
          3,
          0,
          1,
          0,
          0,
          0,  // tag, SHORT, one
          static_cast<std::uint8_t>(orientation),
          0,
          0,
          0,  // its value
          0,
          0,
          0,
          0};  // no next directory
}

}  // namespace underdraw
