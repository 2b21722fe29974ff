#include "cli/bad_inputs/bombs.h"

#include <algorithm>
#include <cstdint>
#include <string_view>
#include <vector>

#include <fmt/format.h>
#include <zlib.h>

#include "io/page_files.h"

namespace underdraw::test {
namespace {

using testing_pages::Bytes;
using testing_pages::bytes_of;
using testing_pages::write_bytes;

void put(Bytes& out, std::string_view text) { out.insert(out.end(), text.begin(), text.end()); }

void put_big_endian(Bytes& out, std::uint32_t value, int bytes = 4) {
  for (int i = bytes - 1; i >= 0; --i) out.push_back(static_cast<std::uint8_t>(value >> (8 * i)));
}

void put_little_endian(Bytes& out, std::uint32_t value, int bytes) {
  for (int i = 0; i < bytes; ++i) out.push_back(static_cast<std::uint8_t>(value >> (8 * i)));
}

Bytes deflated(const Bytes& bytes) {
  Bytes out(::compressBound(bytes.size()));
  uLongf size = out.size();
  ::compress2(out.data(), &size, bytes.data(), bytes.size(), 3);
  out.resize(size);
  return out;
}

void put_chunk(Bytes& png, const char* name, const Bytes& data) {
  put_big_endian(png, static_cast<std::uint32_t>(data.size()));
  Bytes chunk;
  put(chunk, name);
  chunk.insert(chunk.end(), data.begin(), data.end());
  png.insert(png.end(), chunk.begin(), chunk.end());
  put_big_endian(
      png, static_cast<std::uint32_t>(::crc32(0, chunk.data(), static_cast<uInt>(chunk.size()))));
}

// Objects, then the table of where they lie.
class PdfText {
 public:
  void object(const std::string& text) {
    places_.push_back(bytes_.size());
    put(bytes_, fmt::format("{} 0 obj\n{}\nendobj\n", places_.size(), text));
  }
  void stream(const std::string& dict, const Bytes& data) {
    places_.push_back(bytes_.size());
    put(bytes_,
        fmt::format("{} 0 obj\n<< {} /Length {} >>\nstream\n", places_.size(), dict, data.size()));
    bytes_.insert(bytes_.end(), data.begin(), data.end());
    put(bytes_, "\nendstream\nendobj\n");
  }
  const Bytes& whole() {
    const std::size_t table = bytes_.size();
    put(bytes_, fmt::format("xref\n0 {}\n0000000000 65535 f \n", places_.size() + 1));
    for (const std::size_t place : places_) put(bytes_, fmt::format("{:010} 00000 n \n", place));
    put(bytes_,
        fmt::format("trailer\n<< /Size {} /Root 1 0 R >>\nstartxref\n{}\n%%EOF\n",
                    places_.size() + 1,
                    table));
    return bytes_;
  }

 private:
  Bytes bytes_{'%', 'P', 'D', 'F', '-', '1', '.', '5', '\n'};
  std::vector<std::size_t> places_;
};

constexpr const char* kPage = "<< /Type /Page /Parent 2 0 R /MediaBox [0 0 60 40] >>";

std::string kids(std::size_t first, std::size_t count) {
  std::string text;
  for (std::size_t i = 0; i < count; ++i) text += fmt::format("{} 0 R ", first + i);
  return text;
}

// One grey pixel in a strip behind the directory.
void put_directory(Bytes& tiff, std::uint32_t next) {
  struct Entry {
    std::uint32_t tag, type, value;
  };
  const std::vector<Entry> entries{
      {256, 4, 1}, {257, 4, 1}, {258, 3, 8}, {262, 3, 1}, {273, 4, 8}, {278, 4, 1}, {279, 4, 1}};
  put_little_endian(tiff, static_cast<std::uint32_t>(entries.size()), 2);
  for (const Entry& entry : entries) {
    put_little_endian(tiff, entry.tag, 2);
    put_little_endian(tiff, entry.type, 2);
    put_little_endian(tiff, 1, 4);
    put_little_endian(tiff, entry.value, 4);
  }
  put_little_endian(tiff, next, 4);
}

constexpr std::uint32_t kDirectoryBytes = 2 + 7 * 12 + 4;

Bytes tiff_head() { return {'I', 'I', 42, 0, 12, 0, 0, 0, 128, 0, 0, 0}; }

}  // namespace

void write_png_bomb(const std::string& path) {
  Bytes png{0x89, 'P', 'N', 'G', '\r', '\n', 0x1A, '\n'};
  Bytes head;
  put_big_endian(head, 60'000);
  put_big_endian(head, 60'000);
  head.insert(head.end(), {8, 0, 0, 0, 0});
  put_chunk(png, "IHDR", head);
  Bytes size;
  put_big_endian(size, 11'811);  // 300 dpi
  put_big_endian(size, 11'811);
  size.push_back(1);
  put_chunk(png, "pHYs", size);
  put_chunk(png, "IDAT", deflated(Bytes(2'000'000, 0)));
  put_chunk(png, "IEND", {});
  write_bytes(path, png);
}

void write_jpeg_bomb(const std::string& path) {
  Bytes jpeg = testing_pages::jpeg_bytes(testing_pages::grey_sketch(16, 16));
  for (std::size_t i = 0; i + 8 < jpeg.size(); ++i) {
    if (jpeg[i] != 0xFF || jpeg[i + 1] != 0xC0) continue;
    for (std::size_t side : {i + 5, i + 7}) {
      jpeg[side] = 65'000 >> 8;
      jpeg[side + 1] = 65'000 & 0xFF;
    }
    break;
  }
  write_bytes(path, jpeg);
}

void write_heic_bomb(const std::string& path) {
  // Without an encoder: the box that says what it is, and nothing in it.
  Bytes heic;
  put_big_endian(heic, 24);
  put(heic, "ftypheic");
  heic.insert(heic.end(), 12, 0);
  if (testing_pages::write_heic(path, testing_pages::grey_sketch(64, 64))) heic = bytes_of(path);
  const std::string_view name = "ispe";
  const auto box = std::search(heic.begin(), heic.end(), name.begin(), name.end());
  if (box != heic.end()) {
    Bytes side;
    put_big_endian(side, 65'000);
    std::copy(side.begin(), side.end(), box + 8);
    std::copy(side.begin(), side.end(), box + 12);
  }
  write_bytes(path, heic);
}

void write_tiff_bomb(const std::string& path) {
  constexpr std::uint32_t kCount = 100'000;
  Bytes tiff = tiff_head();
  tiff.reserve(tiff.size() + std::size_t{kCount} * kDirectoryBytes);
  for (std::uint32_t i = 1; i <= kCount; ++i) {
    const auto here = static_cast<std::uint32_t>(tiff.size());
    put_directory(tiff, i == kCount ? 0 : here + kDirectoryBytes);
  }
  write_bytes(path, tiff);
}

void write_tiff_circle(const std::string& path) {
  Bytes tiff = tiff_head();
  put_directory(tiff, 12 + kDirectoryBytes);
  put_directory(tiff, 12);
  write_bytes(path, tiff);
}

void write_pdf_bomb(const std::string& path) {
  constexpr std::size_t kCount = 100'000;
  PdfText pdf;
  pdf.object("<< /Type /Catalog /Pages 2 0 R >>");
  pdf.object(fmt::format("<< /Type /Pages /Count {} /Kids [{}] >>", kCount, kids(3, kCount)));
  for (std::size_t i = 0; i < kCount; ++i) pdf.object(kPage);
  write_bytes(path, pdf.whole());
}

void write_pdf_tree(const std::string& path) {
  constexpr std::size_t kLevels = 12;
  PdfText pdf;
  pdf.object("<< /Type /Catalog /Pages 2 0 R >>");
  for (std::size_t level = 0; level < kLevels; ++level) {
    std::string same;
    for (int i = 0; i < 10; ++i) same += fmt::format("{} 0 R ", level + 3);
    pdf.object(fmt::format("<< /Type /Pages /Count 1 /Kids [{}] >>", same));
  }
  pdf.object(kPage);
  write_bytes(path, pdf.whole());
}

void write_pdf_depth(const std::string& path) {
  Bytes contents;
  for (int i = 0; i < 1'000'000; ++i) put(contents, "q\n");
  PdfText pdf;
  pdf.object("<< /Type /Catalog /Pages 2 0 R >>");
  pdf.object("<< /Type /Pages /Count 1 /Kids [3 0 R] >>");
  pdf.object("<< /Type /Page /Parent 2 0 R /MediaBox [0 0 60 40] /Contents 4 0 R >>");
  pdf.stream("/Filter /FlateDecode", deflated(contents));
  write_bytes(path, pdf.whole());
}

void write_pdf_zeros(const std::string& path) {
  // Zeros of zeros: each step packs a thousandfold.
  const Bytes once = deflated(Bytes(300'000'000, 0));
  PdfText pdf;
  pdf.object("<< /Type /Catalog /Pages 2 0 R >>");
  pdf.object("<< /Type /Pages /Count 1 /Kids [3 0 R] >>");
  pdf.object("<< /Type /Page /Parent 2 0 R /MediaBox [0 0 60 40] /Contents 4 0 R >>");
  pdf.stream("/Filter [/FlateDecode /FlateDecode]", deflated(once));
  write_bytes(path, pdf.whole());
}

}  // namespace underdraw::test
