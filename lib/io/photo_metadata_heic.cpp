#include <algorithm>
#include <array>
#include <map>
#include <memory>
#include <string_view>

#include <libheif/heif.h>

#include "io/page_reader.h"
#include "io/photo_metadata.h"

namespace underdraw {
namespace {

using namespace std::string_view_literals;

constexpr std::array kFileBoxes{"ftyp"sv, "meta"sv, "mdat"sv};
constexpr std::array kMetaBoxes{
    "hdlr"sv, "pitm"sv, "iloc"sv, "iinf"sv, "iref"sv, "iprp"sv, "idat"sv, "dinf"sv, "grpl"sv};
// Items that are pictures or put pictures together.
constexpr std::array kPictures{
    "hvc1"sv, "hev1"sv, "av01"sv, "jpeg"sv, "j2k1"sv, "grid"sv, "iovl"sv, "iden"sv, "tmap"sv};
// Properties in words; all others may be needed to show the picture.
constexpr std::array kWordyProperties{"uuid"sv, "udes"sv, "altt"sv, "crtt"sv, "mdft"sv};

template <typename List>
bool is_one_of(std::string_view word, const List& list) {
  return std::find(list.begin(), list.end(), word) != list.end();
}

// Bytes from `begin` to before `end` in the file.
struct Range {
  std::size_t begin = 0;
  std::size_t end = 0;
};

struct Box {
  std::string_view type;
  std::size_t type_at = 0;
  Range content;
};

struct Item {
  std::string type;
  bool in_idat = false;
  std::vector<Range> extents;  // in idat or in the file
};

// Rewrites one file in memory, byte for byte in place.
class HeicCleaner {
 public:
  HeicCleaner(BytesView photo, const std::string& path)
      : bytes_(photo.begin(), photo.end()), path_(path) {}

  Bytes clean() {
    std::vector<Range> media;
    for (const Box& box : boxes({0, bytes_.size()})) {
      if (!is_one_of(box.type, kFileBoxes)) empty(box);
      if (box.type == "meta") read_meta({box.content.begin + 4, box.content.end});
      if (box.type == "mdat") media.push_back(box.content);
    }
    if (items_.empty() || media.empty()) refuse();
    if (idat_.end > idat_.begin) media.push_back(idat_);

    std::vector<Range> kept;
    for (const auto& [id, item] : items_) {
      if (!is_one_of(item.type, kPictures)) continue;
      for (const Range& extent : in_file(item)) kept.push_back(extent);
    }
    for (const Range& range : media) zero_all_but(range, kept);
    for (const auto& [id, item] : items_) {
      if (item.type == "Exif") put_empty_exif(item);
    }
    return std::move(bytes_);
  }

 private:
  [[noreturn]] void refuse() const {
    throw damaged_page_file(path_, "HEIC", "its parts cannot be told apart");
  }

  std::uint64_t number(std::size_t at, int count) const {
    if (at > bytes_.size() || bytes_.size() - at < static_cast<std::size_t>(count)) refuse();
    std::uint64_t value = 0;
    for (int i = 0; i < count; ++i) value = value << 8U | bytes_[at + static_cast<std::size_t>(i)];
    return value;
  }

  // Reads on from where it is.
  struct Cursor {
    const HeicCleaner& file;
    std::size_t at;
    std::uint64_t take(int count) {
      const std::uint64_t value = file.number(at, count);
      at += static_cast<std::size_t>(count);
      return value;
    }
  };

  std::vector<Box> boxes(Range range) const {
    std::vector<Box> list;
    while (range.begin < range.end) {
      const std::size_t start = range.begin;
      std::uint64_t size = number(start, 4);
      std::size_t head = 8;
      if (size == 1) {
        size = number(start + 8, 8);
        head = 16;
      } else if (size == 0) {
        size = range.end - start;
      }
      if (size < head || size > range.end - start) refuse();
      const auto* type = reinterpret_cast<const char*>(bytes_.data() + start + 4);
      range.begin = start + static_cast<std::size_t>(size);
      list.push_back({{type, 4}, start + 4, {start + head, range.begin}});
    }
    return list;
  }

  void zero(Range range) {
    std::fill(bytes_.begin() + static_cast<std::ptrdiff_t>(range.begin),
              bytes_.begin() + static_cast<std::ptrdiff_t>(range.end),
              std::uint8_t{0});
  }

  void empty(const Box& box) {
    std::copy_n("free", 4, bytes_.begin() + static_cast<std::ptrdiff_t>(box.type_at));
    zero(box.content);
  }

  void read_meta(Range range) {
    for (const Box& box : boxes(range)) {
      if (box.type == "iinf") read_types(box.content);
      if (box.type == "iloc") read_places(box.content.begin);
      if (box.type == "idat") idat_ = box.content;
      if (box.type == "iprp") clean_properties(box.content);
      if (!is_one_of(box.type, kMetaBoxes)) empty(box);
    }
  }

  void read_types(Range range) {
    const bool wide_count = number(range.begin, 1) > 0;
    for (const Box& box : boxes({range.begin + (wide_count ? 8U : 6U), range.end})) {
      if (box.type != "infe") refuse();
      Cursor cursor{*this, box.content.begin};
      const std::uint64_t version = cursor.take(1);
      if (version < 2) refuse();  // not in HEIC
      cursor.take(3);
      const std::uint64_t id = cursor.take(version == 2 ? 2 : 4);
      cursor.take(2);
      const std::size_t type_at = cursor.at;
      cursor.take(4);
      if (cursor.at > box.content.end) refuse();
      items_[id].type.assign(reinterpret_cast<const char*>(bytes_.data() + type_at), 4);
      zero({cursor.at, box.content.end});  // its name
    }
  }

  void read_places(std::size_t at) {
    Cursor cursor{*this, at};
    const std::uint64_t version = cursor.take(1);
    if (version > 2) refuse();
    cursor.take(3);
    const std::uint64_t sizes = cursor.take(2);
    const auto nibble = [&](unsigned shift) { return static_cast<int>(sizes >> shift & 15U); };
    const int offset_size = nibble(12);
    const int length_size = nibble(8);
    const int base_size = nibble(4);
    const int index_size = version == 0 ? 0 : nibble(0);
    const std::uint64_t count = cursor.take(version < 2 ? 2 : 4);
    for (std::uint64_t i = 0; i < count; ++i) {
      Item& item = items_[cursor.take(version < 2 ? 2 : 4)];
      const std::uint64_t method = version == 0 ? 0 : cursor.take(2) & 15U;
      if (method > 1 || cursor.take(2) != 0) refuse();  // in another item or in another file
      item.in_idat = method == 1;
      const std::uint64_t base = cursor.take(base_size);
      const std::uint64_t extents = cursor.take(2);
      for (std::uint64_t e = 0; e < extents; ++e) {
        cursor.take(index_size);
        const std::uint64_t begin = base + cursor.take(offset_size);
        const std::uint64_t length = cursor.take(length_size);
        if (length == 0 || begin > bytes_.size() || length > bytes_.size() - begin) refuse();
        item.extents.push_back({begin, begin + length});
      }
    }
  }

  void clean_properties(Range range) {
    for (const Box& box : boxes(range)) {
      if (box.type != "ipco") continue;
      for (const Box& property : boxes(box.content)) {
        if (is_one_of(property.type, kWordyProperties)) empty(property);
      }
    }
  }

  std::vector<Range> in_file(const Item& item) const {
    if (!item.in_idat) return item.extents;
    std::vector<Range> ranges;
    for (const Range& extent : item.extents) {
      if (extent.end > idat_.end - idat_.begin) refuse();
      ranges.push_back({idat_.begin + extent.begin, idat_.begin + extent.end});
    }
    return ranges;
  }

  void zero_all_but(Range range, std::vector<Range> kept) {
    std::sort(kept.begin(), kept.end(), [](Range a, Range b) { return a.begin < b.begin; });
    std::size_t at = range.begin;
    for (const Range& keep : kept) {
      if (keep.end <= at || keep.begin >= range.end) continue;
      if (keep.begin > at) zero({at, keep.begin});
      at = std::min(keep.end, range.end);
    }
    zero({at, range.end});
  }

  // Readers that look for EXIF find a directory of no entries.
  void put_empty_exif(const Item& item) {
    constexpr std::array<std::uint8_t, 18> kEmpty{
        0, 0, 0, 0, 'I', 'I', 42, 0, 8, 0, 0, 0, 0, 0, 0, 0, 0, 0};
    const std::vector<Range> ranges = in_file(item);
    if (ranges.empty() || ranges.front().end - ranges.front().begin < kEmpty.size()) return;
    const Range& place = ranges.front();
    const auto begin = bytes_.begin() + static_cast<std::ptrdiff_t>(place.begin);
    // A file that lets EXIF and a picture overlap keeps its picture.
    if (std::all_of(begin, begin + kEmpty.size(), [](std::uint8_t b) { return b == 0; })) {
      std::copy(kEmpty.begin(), kEmpty.end(), begin);
    }
  }

  Bytes bytes_;
  const std::string& path_;
  std::map<std::uint64_t, Item> items_;
  Range idat_;
};

struct HeifFree {
  void operator()(heif_context* p) const { heif_context_free(p); }
  void operator()(const heif_image_handle* p) const { heif_image_handle_release(p); }
};

}  // namespace

Bytes exif_of_heic(const std::string& path) {
  const std::unique_ptr<heif_context, HeifFree> context(heif_context_alloc());
  heif_image_handle* primary = nullptr;
  const bool open =
      heif_context_read_from_file(context.get(), path.c_str(), nullptr).code == heif_error_Ok &&
      heif_context_get_primary_image_handle(context.get(), &primary).code == heif_error_Ok;
  if (!open) throw damaged_page_file(path, "HEIC", "it holds no image");
  const std::unique_ptr<const heif_image_handle, HeifFree> handle(primary);
  heif_item_id id = 0;
  if (heif_image_handle_get_list_of_metadata_block_IDs(primary, "Exif", &id, 1) != 1) return {};
  Bytes block(heif_image_handle_get_metadata_size(primary, id));
  if (block.size() < 4) return {};
  if (heif_image_handle_get_metadata(primary, id, block.data()).code != heif_error_Ok) return {};
  // Four bytes say how far behind them the TIFF header of the EXIF begins.
  const std::size_t skip = (std::size_t{block[0]} << 24U) + (std::size_t{block[1]} << 16U) +
                           (std::size_t{block[2]} << 8U) + block[3];
  if (skip > block.size() - 4) return {};
  return {block.begin() + static_cast<std::ptrdiff_t>(4 + skip), block.end()};
}

Bytes heic_for_export(BytesView photo, const std::string& path) {
  return HeicCleaner(photo, path).clean();
}

}  // namespace underdraw
