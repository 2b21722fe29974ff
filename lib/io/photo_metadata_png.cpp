#include <algorithm>
#include <array>
#include <string_view>

#include <zlib.h>

#include "io/page_reader.h"
#include "io/photo_metadata.h"

namespace underdraw {
namespace {

using namespace std::string_view_literals;

constexpr std::size_t kSignature = 8;
constexpr std::size_t kFrame = 12;  // length, name, checksum

struct Chunk {
  std::string_view name;
  BytesView whole;
  BytesView content;
};

class Chunks {
 public:
  Chunks(BytesView photo, const std::string& path) : photo_(photo), path_(path) {}

  Chunk next() {
    if (photo_.size() < at_ + kFrame) refuse();
    const std::size_t length = (std::size_t{photo_[at_]} << 24U) +
                               (std::size_t{photo_[at_ + 1]} << 16U) +
                               (std::size_t{photo_[at_ + 2]} << 8U) + photo_[at_ + 3];
    if (photo_.size() - at_ - kFrame < length) refuse();
    const auto* name = reinterpret_cast<const char*>(photo_.data() + at_ + 4);
    const Chunk chunk{
        {name, 4}, photo_.subspan(at_, kFrame + length), photo_.subspan(at_ + 8, length)};
    at_ += kFrame + length;
    return chunk;
  }

 private:
  [[noreturn]] void refuse() const {
    throw damaged_page_file(path_, "PNG", "its parts cannot be told apart");
  }

  BytesView photo_;
  const std::string& path_;
  std::size_t at_ = kSignature;
};

// Those without which it would look different.
bool harmless(std::string_view name) {
  constexpr std::array kKept{"IHDR"sv,
                             "PLTE"sv,
                             "IDAT"sv,
                             "IEND"sv,
                             "tRNS"sv,
                             "cHRM"sv,
                             "gAMA"sv,
                             "iCCP"sv,
                             "sBIT"sv,
                             "sRGB"sv,
                             "cICP"sv,
                             "bKGD"sv,
                             "pHYs"sv};
  return std::find(kKept.begin(), kKept.end(), name) != kKept.end();
}

void append(Bytes& out, BytesView bytes) { out.insert(out.end(), bytes.begin(), bytes.end()); }

void append_number(Bytes& out, std::uint32_t number) {
  for (int shift = 24; shift >= 0; shift -= 8) {
    out.push_back(static_cast<std::uint8_t>(number >> static_cast<unsigned>(shift)));
  }
}

void append_chunk(Bytes& out, std::string_view name, BytesView content) {
  append_number(out, static_cast<std::uint32_t>(content.size()));
  const std::size_t start = out.size();
  out.insert(out.end(), name.begin(), name.end());
  append(out, content);
  const auto sum =
      ::crc32(::crc32(0, nullptr, 0), out.data() + start, static_cast<uInt>(out.size() - start));
  append_number(out, static_cast<std::uint32_t>(sum));
}

}  // namespace

Bytes exif_of_png(BytesView photo, const std::string& path) {
  Chunks chunks(photo, path);
  for (Chunk chunk = chunks.next(); chunk.name != "IEND"; chunk = chunks.next()) {
    if (chunk.name == "eXIf") return {chunk.content.begin(), chunk.content.end()};
  }
  return {};
}

Bytes png_for_export(BytesView photo, int orientation, const std::string& path) {
  Bytes out(photo.begin(), photo.begin() + std::min(kSignature, photo.size()));
  Chunks chunks(photo, path);
  for (;;) {
    const Chunk chunk = chunks.next();
    if (harmless(chunk.name)) append(out, chunk.whole);
    if (chunk.name == "IHDR" && orientation != 1) {
      append_chunk(out, "eXIf", exif_of_orientation(orientation));
    }
    if (chunk.name == "IEND") return out;  // what lies behind is no part of the photo
  }
}

}  // namespace underdraw
