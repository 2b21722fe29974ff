#include "io/photo_files.h"

#include <algorithm>
#include <cmath>
#include <cstdlib>
#include <cstring>

#include <libexif/exif-data.h>
#include <zlib.h>

namespace underdraw::testing_pages {

const std::vector<std::string> kSecrets{"SN-QUAY-4711",
                                        "Owner of the boathouse",
                                        "maker-note-lighthouse",
                                        "xmp-slipway",
                                        "iptc-pier-seven",
                                        "comment-mooring",
                                        "text-breakwater",
                                        "Exif-behind"};

const Bytes kLatitude{54, 0, 0, 0, 1,    0, 0, 0, 35,  0, 0, 0,
                      1,  0, 0, 0, 0xCF, 6, 0, 0, 100, 0, 0, 0};

namespace {

ExifEntry* entry(ExifData* data, ExifIfd ifd, int tag, ExifFormat format, std::size_t count) {
  ExifEntry* made = exif_entry_new();
  const std::size_t size = count * exif_format_get_size(format);
  made->tag = static_cast<ExifTag>(tag);
  made->format = format;
  made->components = count;
  made->size = static_cast<unsigned>(size);
  made->data = static_cast<unsigned char*>(std::calloc(1, size));
  exif_content_add_entry(data->ifd[ifd], made);
  exif_entry_unref(made);
  return made;
}

void put_text(ExifData* data, ExifIfd ifd, int tag, const std::string& text) {
  if (text.empty()) return;
  ExifEntry* made = entry(data, ifd, tag, EXIF_FORMAT_ASCII, text.size() + 1);
  std::memcpy(made->data, text.c_str(), text.size() + 1);
}

void put_short(ExifData* data, ExifIfd ifd, int tag, int value) {
  ExifEntry* made = entry(data, ifd, tag, EXIF_FORMAT_SHORT, 1);
  exif_set_short(made->data, EXIF_BYTE_ORDER_INTEL, static_cast<ExifShort>(value));
}

void append(Bytes& out, const Bytes& part) { out.insert(out.end(), part.begin(), part.end()); }

void append(Bytes& out, const std::string& text) {
  out.insert(out.end(), text.begin(), text.end());
}

// After the SOI and JFIF segment that libjpeg writes first.
Bytes segment(std::uint8_t marker, const std::string& content) {
  const std::size_t length = content.size() + 2;
  Bytes out{
      0xFF, marker, static_cast<std::uint8_t>(length / 256), static_cast<std::uint8_t>(length)};
  append(out, content);
  return out;
}

Bytes png_chunk(const std::string& name, const std::string& content) {
  Bytes out;
  const auto number = [&out](std::uint32_t value) {
    for (int shift = 24; shift >= 0; shift -= 8) {
      out.push_back(static_cast<std::uint8_t>(value >> static_cast<unsigned>(shift)));
    }
  };
  number(static_cast<std::uint32_t>(content.size()));
  append(out, name + content);
  number(static_cast<std::uint32_t>(
      ::crc32(0, out.data() + 4, static_cast<unsigned>(out.size() - 4))));
  return out;
}

}  // namespace

Bytes camera_exif(const CameraLook& look) {
  ExifData* data = exif_data_new();
  exif_data_unset_option(data, EXIF_DATA_OPTION_FOLLOW_SPECIFICATION);
  exif_data_set_byte_order(data, EXIF_BYTE_ORDER_INTEL);
  put_short(data, EXIF_IFD_0, EXIF_TAG_ORIENTATION, look.orientation);
  put_text(data, EXIF_IFD_0, EXIF_TAG_MAKE, look.make);
  put_text(data, EXIF_IFD_0, EXIF_TAG_MODEL, look.model);
  put_text(data, EXIF_IFD_0, EXIF_TAG_ARTIST, kSecrets[1]);
  put_text(data, EXIF_IFD_EXIF, EXIF_TAG_DATE_TIME_ORIGINAL, look.taken);
  put_text(data, EXIF_IFD_EXIF, EXIF_TAG_OFFSET_TIME_ORIGINAL, look.offset);
  constexpr int kBodySerialNumber = 0xA431;
  put_text(data, EXIF_IFD_EXIF, kBodySerialNumber, kSecrets[0]);
  put_short(data, EXIF_IFD_EXIF, EXIF_TAG_FOCAL_LENGTH_IN_35MM_FILM, look.focal_length_35mm);
  ExifEntry* focal = entry(data, EXIF_IFD_EXIF, EXIF_TAG_FOCAL_LENGTH, EXIF_FORMAT_RATIONAL, 1);
  exif_set_rational(focal->data,
                    EXIF_BYTE_ORDER_INTEL,
                    {static_cast<ExifLong>(std::lround(look.focal_length_mm * 100)), 100});
  const std::string note = kSecrets[2];
  ExifEntry* maker =
      entry(data, EXIF_IFD_EXIF, EXIF_TAG_MAKER_NOTE, EXIF_FORMAT_UNDEFINED, note.size());
  std::memcpy(maker->data, note.data(), note.size());
  put_text(data, EXIF_IFD_GPS, EXIF_TAG_GPS_LATITUDE_REF, "N");
  ExifEntry* latitude = entry(data, EXIF_IFD_GPS, EXIF_TAG_GPS_LATITUDE, EXIF_FORMAT_RATIONAL, 3);
  std::memcpy(latitude->data, kLatitude.data(), kLatitude.size());

  unsigned char* saved = nullptr;
  unsigned size = 0;
  exif_data_save_data(data, &saved, &size);
  constexpr std::size_t kPrefix = 6;
  Bytes bytes(saved + kPrefix, saved + size);
  std::free(saved);
  exif_data_unref(data);
  return bytes;
}

cv::Mat small_picture(int number) {
  constexpr int kBits = 10;
  cv::Mat picture = colour_sketch(4 * kBits, 30);
  for (int bit = 0; bit < kBits; ++bit) {
    picture(cv::Rect(4 * bit, 0, 4, 8)) = cv::Scalar::all((number >> bit & 1) != 0 ? 230 : 30);
  }
  return picture;
}

Bytes small_jpeg(int number, const CameraLook& look) {
  return jpeg_bytes(small_picture(number), {.exif = camera_exif(look)});
}

Bytes talkative_jpeg(int number, const CameraLook& look) {
  const Bytes plain = jpeg_bytes(small_picture(number), {.exif = camera_exif(look)});
  constexpr std::size_t kStart = 2 + 2 + 16;  // SOI and JFIF
  Bytes out(plain.begin(), plain.begin() + kStart);
  append(out, segment(0xE0, std::string("JFXX\0\x13 text-breakwater", 21)));
  append(out, segment(0xE1, std::string("http://ns.adobe.com/xap/1.0/\0", 29) + "xmp-slipway"));
  append(out, segment(0xED, std::string("Photoshop 3.0\0", 14) + "iptc-pier-seven"));
  append(out, segment(0xE2, std::string("MPF\0", 4) + "text-breakwater"));
  append(out, segment(0xFE, "comment-mooring"));
  out.insert(out.end(), plain.begin() + kStart, plain.end());
  append(out, std::string("Exif-behind"));
  append(out, plain);
  return out;
}

Bytes talkative_png(int number, const CameraLook& look) {
  const TempFolder folder;
  const std::string path = folder.file("picture.png");
  write_png(path, small_picture(number), {.exif = camera_exif(look)});
  const Bytes plain = bytes_of(path);
  constexpr std::size_t kStart = 8 + 12 + 13;  // signature and IHDR
  Bytes out(plain.begin(), plain.begin() + kStart);
  append(out, png_chunk("tEXt", std::string("Comment\0", 8) + "text-breakwater"));
  append(out, png_chunk("iTXt", std::string("XML:com.adobe.xmp\0\0\0\0\0", 22) + "xmp-slipway"));
  append(out, png_chunk("tIME", std::string("\x07\xEA\5\3\x0E\x0F\x16", 7)));
  append(out, png_chunk("prVt", "comment-mooring"));
  out.insert(out.end(), plain.begin() + kStart, plain.end());
  append(out, std::string("Exif-behind"));
  return out;
}

bool holds(const Bytes& bytes, const Bytes& part) {
  return std::search(bytes.begin(), bytes.end(), part.begin(), part.end()) != bytes.end();
}

bool holds(const Bytes& bytes, const std::string& part) {
  return holds(bytes, Bytes(part.begin(), part.end()));
}

}  // namespace underdraw::testing_pages
