#include "io/page_kind.h"

#include <algorithm>
#include <array>
#include <filesystem>
#include <string_view>

#include "io/page_reader.h"

namespace underdraw {
namespace {

using namespace std::string_view_literals;

struct Signature {
  std::size_t offset;
  std::string_view bytes;
  std::string_view name;
};

// What people pass by mistake; read only to name it.
constexpr std::array kOtherKinds{
    Signature{0, "PK\3\4"sv, "a ZIP archive or office document"},
    Signature{0, "GIF8"sv, "a GIF image"},
    Signature{0, "BM"sv, "a BMP image"},
    Signature{8, "WEBP"sv, "a WebP image"},
    Signature{0, "8BPS"sv, "a layered image of a paint program"},
    Signature{0, "\0\0\0\x0CjP  "sv, "a JPEG 2000 image"},
    Signature{0, "\xFF\x0A"sv, "a JPEG XL image"},
    Signature{0, "\0\0\0\x0CJXL "sv, "a JPEG XL image"},
    Signature{0, "AT&TFORM"sv, "a DjVu document"},
    Signature{0, "%!PS"sv, "a PostScript document"},
    Signature{0, "{\\rtf"sv, "a text document (RTF)"},
    Signature{0, "\xD0\xCF\x11\xE0"sv, "an old office document"},
    Signature{0, "\x1F\x8B"sv, "a gzip archive"},
    Signature{0, "7z\xBC\xAF"sv, "a 7z archive"},
    Signature{0, "SQLite format 3"sv, "a database"},
    Signature{0,
              "\x7F"
              "ELF"sv,
              "a program"},
};

bool has(std::string_view head, std::size_t offset, std::string_view bytes) {
  return head.size() >= offset + bytes.size() && head.substr(offset, bytes.size()) == bytes;
}

bool is_heic_brand(std::string_view brand) {
  constexpr std::array kBrands{
      "heic"sv, "heix"sv, "heim"sv, "heis"sv, "hevc"sv, "hevx"sv, "mif1"sv, "msf1"sv};
  return std::find(kBrands.begin(), kBrands.end(), brand) != kBrands.end();
}

bool is_text(std::string_view head) {
  return std::none_of(head.begin(), head.end(), [](char c) {
    const auto byte = static_cast<unsigned char>(c);
    return byte < 0x20 && c != '\n' && c != '\r' && c != '\t' && c != '\f';
  });
}

std::string describe(std::string_view head) {
  for (const Signature& other : kOtherKinds) {
    if (has(head, other.offset, other.bytes)) return "is " + std::string(other.name);
  }
  if (has(head, 4, "ftypavif")) return "is an AVIF image";
  if (has(head, 4, "ftyp")) return "is a video or another media file";
  if (is_text(head)) {
    return head.find("<svg") != std::string_view::npos ? "is an SVG drawing" : "is text";
  }
  return "is of an unknown kind";
}

InputError not_a_file(const std::string& path, const std::string& found) {
  return InputError({.file = path,
                     .line = {},
                     .found = found,
                     .expected = "a scanned page",
                     .remedy = "name the file itself"});
}

}  // namespace

std::string name_of(PageKind kind) {
  switch (kind) {
    case PageKind::png:
      return "PNG";
    case PageKind::jpeg:
      return "JPEG";
    case PageKind::tiff:
      return "TIFF";
    case PageKind::pdf:
      return "PDF";
    case PageKind::heic:
      return "HEIC";
  }
  return {};
}

PageKind sniff_page_kind(const std::string& path) {
  std::error_code
      ignored;  // what cannot be looked at is refused by the open below, with its reason
  const auto status = std::filesystem::status(path, ignored);
  if (std::filesystem::is_directory(status)) throw not_a_file(path, "is a folder");
  if (std::filesystem::is_other(status)) throw not_a_file(path, "is a device, not a file");

  const FileHandle file = open_page_file(path);
  std::array<char, 1024> buffer{};
  const std::size_t size = std::fread(buffer.data(), 1, buffer.size(), file.get());
  if (std::ferror(file.get()) != 0) throw damaged_page_file(path, "image", "it cannot be read");
  const std::string_view head(buffer.data(), size);
  if (head.empty()) {
    throw InputError({.file = path,
                      .line = {},
                      .found = "is empty (0 bytes)",
                      .expected = "a scanned page",
                      .remedy = "copy it again from where it came, or scan it again"});
  }

  if (has(head, 0, "\x89PNG\r\n\x1A\n")) return PageKind::png;
  if (has(head, 0, "\xFF\xD8\xFF")) return PageKind::jpeg;
  // Little and big endian; 42 is TIFF, 43 BigTIFF.
  if (has(head, 0, "II*\0"sv) || has(head, 0, "MM\0*"sv) || has(head, 0, "II+\0"sv) ||
      has(head, 0, "MM\0+"sv)) {
    return PageKind::tiff;
  }
  if (has(head, 4, "ftyp") && head.size() >= 12 && is_heic_brand(head.substr(8, 4))) {
    return PageKind::heic;
  }
  // Readers look for the header within the first 1024 bytes (ISO 32000-1, annex H, note 13).
  if (head.find("%PDF-") != std::string_view::npos) return PageKind::pdf;
  throw InputError({.file = path,
                    .line = {},
                    .found = describe(head),
                    .expected = "a PNG, JPEG, TIFF, PDF or HEIC page",
                    .remedy = "save or scan the page as one of these"});
}

}  // namespace underdraw
