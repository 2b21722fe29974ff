#include <algorithm>
#include <string_view>

#include "io/page_reader.h"
#include "io/photo_metadata.h"

namespace underdraw {
namespace {

using namespace std::string_view_literals;

enum Marker : std::uint8_t {
  kRst0 = 0xD0,
  kRst7 = 0xD7,
  kSoi = 0xD8,
  kEoi = 0xD9,
  kSos = 0xDA,
  kApp0 = 0xE0,
  kApp1 = 0xE1,
  kApp2 = 0xE2,
  kApp14 = 0xEE,
  kApp15 = 0xEF,
  kJpg0 = 0xF0,
  kJpg13 = 0xFD,
  kCom = 0xFE,
};

constexpr std::string_view kExif = "Exif\0\0"sv;

struct Segment {
  std::uint8_t marker = 0;
  BytesView whole;    // with marker and length
  BytesView content;  // behind the length
};

bool begins(BytesView content, std::string_view text) {
  return content.size() >= text.size() &&
         std::equal(text.begin(), text.end(), content.begin(), [](char c, std::uint8_t byte) {
           return static_cast<std::uint8_t>(c) == byte;
         });
}

// Walks the marker segments; coded pixels lie between them.
class Segments {
 public:
  Segments(BytesView photo, const std::string& path) : photo_(photo), path_(path) {
    if (photo.size() < 4 || photo[0] != 0xFF || photo[1] != kSoi) refuse();
  }

  Segment next() {
    while (at_ < photo_.size() && photo_[at_] == 0xFF && byte(at_ + 1) == 0xFF) ++at_;  // filling
    if (byte(at_) != 0xFF) refuse();
    const std::uint8_t marker = byte(at_ + 1);
    const std::size_t start = at_;
    if (marker == kEoi) {
      at_ += 2;
      return {marker, photo_.subspan(start, 2), {}};
    }
    const std::size_t length = std::size_t{byte(at_ + 2)} * 256 + byte(at_ + 3);
    if (length < 2 || start + 2 + length > photo_.size()) refuse();
    at_ += 2 + length;
    return {marker, photo_.subspan(start, 2 + length), photo_.subspan(start + 4, length - 2)};
  }

  // What follows a start of scan, up to the next marker that is none of the coded data's own.
  BytesView coded() {
    const std::size_t start = at_;
    while (at_ < photo_.size()) {
      if (photo_[at_] != 0xFF) {
        ++at_;
        continue;
      }
      const std::uint8_t marker = byte(at_ + 1);
      if (marker == 0xFF) {
        ++at_;
      } else if (marker == 0 || (marker >= kRst0 && marker <= kRst7)) {
        at_ += 2;
      } else {
        break;
      }
    }
    return photo_.subspan(start, at_ - start);
  }

 private:
  std::uint8_t byte(std::size_t at) const {
    if (at >= photo_.size()) refuse();
    return photo_[at];
  }
  [[noreturn]] void refuse() const {
    throw damaged_page_file(path_, "JPEG", "its parts cannot be told apart");
  }

  BytesView photo_;
  const std::string& path_;
  std::size_t at_ = 2;
};

constexpr std::size_t kJfifWithoutPreview = 14;

bool is_jfif(BytesView content) {
  return begins(content, "JFIF\0"sv) && content.size() >= kJfifWithoutPreview;
}

// JFIF gives the shape of pixels, Adobe's marker and the profile the colours.
bool harmless(const Segment& segment) {
  constexpr std::size_t kAdobe = 12;
  switch (segment.marker) {
    case kApp0:
      return is_jfif(segment.content);
    case kApp2:
      return begins(segment.content, "ICC_PROFILE\0"sv);
    case kApp14:
      return begins(segment.content, "Adobe"sv) && segment.content.size() == kAdobe;
    default:
      return !(segment.marker >= kApp0 && segment.marker <= kApp15) &&
             !(segment.marker >= kJpg0 && segment.marker <= kCom);
  }
}

void append(Bytes& out, BytesView bytes) { out.insert(out.end(), bytes.begin(), bytes.end()); }

void append_jfif(Bytes& out, BytesView content) {
  append(out, Bytes{0xFF, kApp0, 0, 2 + kJfifWithoutPreview});
  append(out, content.subspan(0, kJfifWithoutPreview - 2));
  append(out, Bytes{0, 0});  // a preview of 0 x 0
}

void append_orientation(Bytes& out, int orientation) {
  const Bytes exif = exif_of_orientation(orientation);
  const std::size_t length = 2 + kExif.size() + exif.size();
  append(out, Bytes{0xFF, kApp1, 0, static_cast<std::uint8_t>(length)});
  out.insert(out.end(), kExif.begin(), kExif.end());
  append(out, exif);
}

}  // namespace

Bytes exif_of_jpeg(BytesView photo, const std::string& path) {
  Segments segments(photo, path);
  for (Segment segment = segments.next(); segment.marker != kSos && segment.marker != kEoi;
       segment = segments.next()) {
    if (segment.marker != kApp1 || !begins(segment.content, kExif)) continue;
    const BytesView exif = segment.content.subspan(kExif.size());
    return {exif.begin(), exif.end()};
  }
  return {};
}

Bytes jpeg_for_export(BytesView photo, int orientation, const std::string& path) {
  Bytes out{0xFF, kSoi};
  Segments segments(photo, path);
  bool orientation_due = orientation != 1;
  for (;;) {
    const Segment segment = segments.next();
    // JFIF wants to be first, EXIF before all else.
    if (orientation_due && segment.marker != kApp0) {
      append_orientation(out, orientation);
      orientation_due = false;
    }
    if (segment.marker == kApp0 && harmless(segment)) {
      append_jfif(out, segment.content);
    } else if (harmless(segment)) {
      append(out, segment.whole);
    }
    if (segment.marker == kEoi) return out;  // what lies behind is no part of the photo
    if (segment.marker == kSos) append(out, segments.coded());
  }
}

}  // namespace underdraw
