#include "io/exif_facts.h"

#include <algorithm>
#include <array>
#include <memory>
#include <vector>

#include <libexif/exif-data.h>

namespace underdraw {
namespace {

constexpr std::array<std::uint8_t, 6> kPrefix{'E', 'x', 'i', 'f', 0, 0};

struct ExifDataFree {
  void operator()(ExifData* data) const { exif_data_unref(data); }
};

const ExifEntry* entry_of(const ExifData* data, ExifTag tag, ExifFormat format, unsigned size) {
  const ExifEntry* entry = exif_content_get_entry(data->ifd[EXIF_IFD_0], tag);
  const bool usable = entry && entry->format == format && entry->data && entry->size >= size;
  return usable ? entry : nullptr;
}

std::optional<int> short_of(ExifData* data, ExifTag tag) {
  const ExifEntry* entry = entry_of(data, tag, EXIF_FORMAT_SHORT, 2);
  if (!entry) return {};
  return exif_get_short(entry->data, exif_data_get_byte_order(data));
}

std::optional<double> ratio_of(ExifData* data, ExifTag tag) {
  const ExifEntry* entry = entry_of(data, tag, EXIF_FORMAT_RATIONAL, 8);
  if (!entry) return {};
  const ExifRational ratio = exif_get_rational(entry->data, exif_data_get_byte_order(data));
  if (ratio.denominator == 0) return {};
  return static_cast<double>(ratio.numerator) / ratio.denominator;
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
  const int orientation = short_of(data.get(), EXIF_TAG_ORIENTATION).value_or(1);
  if (orientation >= 1 && orientation <= 8) facts.orientation = orientation;
  const auto x = ratio_of(data.get(), EXIF_TAG_X_RESOLUTION);
  const auto y = ratio_of(data.get(), EXIF_TAG_Y_RESOLUTION);
  const int unit = short_of(data.get(), EXIF_TAG_RESOLUTION_UNIT).value_or(2);
  if (x && y && (unit == 2 || unit == 3)) {
    const double per_inch = unit == 3 ? 2.54 : 1.0;
    facts.resolution = Resolution{*x * per_inch, *y * per_inch};
  }
  return facts;
}

bool means_unknown(const Resolution& exif) { return exif.x_dpi == 72.0 && exif.y_dpi == 72.0; }

}  // namespace underdraw
