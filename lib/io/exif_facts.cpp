#include "io/exif_facts.h"

#include <algorithm>
#include <array>
#include <memory>
#include <string_view>
#include <vector>

#include <libexif/exif-data.h>

namespace underdraw {
namespace {

constexpr std::array<std::uint8_t, 6> kPrefix{'E', 'x', 'i', 'f', 0, 0};

struct ExifDataFree {
  void operator()(ExifData* data) const { exif_data_unref(data); }
};

struct Place {
  ExifIfd ifd;
  ExifTag tag;
};

const ExifEntry* entry_of(const ExifData* data, Place place, ExifFormat format, unsigned size) {
  const ExifEntry* entry = exif_content_get_entry(data->ifd[place.ifd], place.tag);
  const bool usable = entry && entry->format == format && entry->data && entry->size >= size;
  return usable ? entry : nullptr;
}

std::optional<int> short_of(ExifData* data, Place place) {
  const ExifEntry* entry = entry_of(data, place, EXIF_FORMAT_SHORT, 2);
  if (!entry) return {};
  return exif_get_short(entry->data, exif_data_get_byte_order(data));
}

std::optional<double> ratio_of(ExifData* data, Place place) {
  const ExifEntry* entry = entry_of(data, place, EXIF_FORMAT_RATIONAL, 8);
  if (!entry) return {};
  const ExifRational ratio = exif_get_rational(entry->data, exif_data_get_byte_order(data));
  if (ratio.denominator == 0) return {};
  return static_cast<double>(ratio.numerator) / ratio.denominator;
}

// Up to the closing NUL, without blanks at its ends; nothing if a letter is not printable ASCII,
// which is all that EXIF allows.
std::optional<std::string> ascii_of(const ExifData* data, Place place) {
  constexpr std::size_t kLongest = 100;
  const ExifEntry* entry = entry_of(data, place, EXIF_FORMAT_ASCII, 1);
  if (!entry) return {};
  std::string text(reinterpret_cast<const char*>(entry->data), entry->size);
  text.resize(std::min(text.find('\0'), text.size()));
  while (!text.empty() && text.back() == ' ') text.pop_back();
  text.erase(0, text.find_first_not_of(' '));
  const bool printable =
      std::all_of(text.begin(), text.end(), [](char c) { return c >= 0x20 && c < 0x7F; });
  if (text.empty() || text.size() > kLongest || !printable) return {};
  return text;
}

// Digits where the pattern has 9, else its own letters.
bool looks_like(std::string_view text, std::string_view pattern) {
  return std::equal(text.begin(), text.end(), pattern.begin(), pattern.end(), [](char c, char p) {
    return p == '9' ? c >= '0' && c <= '9' : c == p;
  });
}

// "2026:05:03 14:15:22" in ISO 8601; cameras with an unset clock write zeros or blanks.
std::optional<std::string> time_of(const ExifData* data) {
  std::optional<std::string> time = ascii_of(data, {EXIF_IFD_EXIF, EXIF_TAG_DATE_TIME_ORIGINAL});
  if (!time || !looks_like(*time, "9999:99:99 99:99:99")) return {};
  const auto two_digits = [&](std::size_t at) { return std::stoi(time->substr(at, 2)); };
  const bool possible = time->substr(0, 4) != "0000" && two_digits(5) >= 1 && two_digits(5) <= 12 &&
                        two_digits(8) >= 1 && two_digits(8) <= 31 && two_digits(11) <= 23 &&
                        two_digits(14) <= 59 && two_digits(17) <= 60;
  if (!possible) return {};
  time->at(4) = time->at(7) = '-';
  time->at(10) = 'T';
  const auto offset = ascii_of(data, {EXIF_IFD_EXIF, EXIF_TAG_OFFSET_TIME_ORIGINAL});
  if (offset && (looks_like(*offset, "+99:99") || looks_like(*offset, "-99:99"))) *time += *offset;
  return time;
}

std::optional<double> if_positive(std::optional<double> value) {
  return value && *value > 0.0 ? value : std::nullopt;
}

}  // namespace

ExifFacts read_exif(std::span<const std::uint8_t> block) {
  std::vector<std::uint8_t> bytes;
  if (block.size() < kPrefix.size() || !std::equal(kPrefix.begin(), kPrefix.end(), block.begin())) {
    bytes.assign(kPrefix.begin(), kPrefix.end());
  }
  bytes.insert(bytes.end(), block.begin(), block.end());

  const std::unique_ptr<ExifData, ExifDataFree> data(exif_data_new());
  if (!data) return {};
  // Otherwise libexif adds the mandatory tags that it misses, with 72 dpi.
  exif_data_unset_option(data.get(), EXIF_DATA_OPTION_FOLLOW_SPECIFICATION);
  exif_data_load_data(data.get(), bytes.data(), static_cast<unsigned>(bytes.size()));

  ExifFacts facts;
  const int orientation = short_of(data.get(), {EXIF_IFD_0, EXIF_TAG_ORIENTATION}).value_or(1);
  if (orientation >= 1 && orientation <= 8) facts.orientation = orientation;
  const auto x = ratio_of(data.get(), {EXIF_IFD_0, EXIF_TAG_X_RESOLUTION});
  const auto y = ratio_of(data.get(), {EXIF_IFD_0, EXIF_TAG_Y_RESOLUTION});
  const int unit = short_of(data.get(), {EXIF_IFD_0, EXIF_TAG_RESOLUTION_UNIT}).value_or(2);
  if (x && y && (unit == 2 || unit == 3)) {
    const double per_inch = unit == 3 ? 2.54 : 1.0;
    facts.resolution = Resolution{*x * per_inch, *y * per_inch};
  }
  facts.taken_at = time_of(data.get());
  facts.camera_make = ascii_of(data.get(), {EXIF_IFD_0, EXIF_TAG_MAKE});
  facts.camera_model = ascii_of(data.get(), {EXIF_IFD_0, EXIF_TAG_MODEL});
  facts.focal_length_mm = if_positive(ratio_of(data.get(), {EXIF_IFD_EXIF, EXIF_TAG_FOCAL_LENGTH}));
  facts.focal_length_35mm =
      if_positive(short_of(data.get(), {EXIF_IFD_EXIF, EXIF_TAG_FOCAL_LENGTH_IN_35MM_FILM}));
  return facts;
}

bool means_unknown(const Resolution& exif) { return exif.x_dpi == 72.0 && exif.y_dpi == 72.0; }

}  // namespace underdraw
