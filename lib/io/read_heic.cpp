#include "io/read_heic.h"

#include <algorithm>
#include <vector>

#include <fmt/format.h>
#include <libheif/heif.h>

#include "io/exif_facts.h"
#include "io/page_planes.h"

namespace underdraw {
namespace {

struct HeifFree {
  void operator()(heif_context* p) const { heif_context_free(p); }
  void operator()(const heif_image_handle* p) const { heif_image_handle_release(p); }
  void operator()(const heif_image* p) const { heif_image_release(p); }
  void operator()(heif_decoding_options* p) const { heif_decoding_options_free(p); }
};

class HeicDecoder {
 public:
  explicit HeicDecoder(const std::string& path) : path_(path), context_(heif_context_alloc()) {
    open_page_file(path);  // libheif would not say why it cannot open it
    check(heif_context_read_from_file(context_.get(), path.c_str(), nullptr));
  }

  struct Image {
    heif_item_id id = 0;
    PageHeader header;
  };
  std::vector<Image> images() {
    const int count = heif_context_get_number_of_top_level_images(context_.get());
    if (count > kMostPagesInFile) throw too_many_pages(path_);
    if (count <= 0) throw damaged_page_file(path_, "HEIC", "it holds no image");
    std::vector<heif_item_id> ids(static_cast<std::size_t>(count));
    heif_context_get_list_of_top_level_image_IDs(context_.get(), ids.data(), count);
    std::vector<Image> images;
    for (const heif_item_id id : ids) images.push_back({.id = id, .header = header(id)});
    return images;
  }

  PageImage image(heif_item_id id, int tint_shrink) {
    const auto handle = handle_of(id);
    const bool alpha = heif_image_handle_has_alpha_channel(handle.get()) != 0;
    const std::unique_ptr<heif_decoding_options, HeifFree> options(heif_decoding_options_alloc());
    options->convert_hdr_to_8bit = 1;
    options->strict_decoding = 1;
    heif_image* decoded = nullptr;
    check(heif_decode_image(handle.get(),
                            &decoded,
                            heif_colorspace_RGB,
                            alpha ? heif_chroma_interleaved_RGBA : heif_chroma_interleaved_RGB,
                            options.get()));
    const std::unique_ptr<heif_image, HeifFree> image(decoded);

    RowLayout layout{.colour = RowColour::rgb, .channels = alpha ? 4 : 3};
    if (alpha) {
      layout.alpha = heif_image_handle_is_premultiplied_alpha(handle.get()) != 0
                         ? RowAlpha::premultiplied
                         : RowAlpha::plain;
    }
    int stride = 0;
    const std::uint8_t* samples =
        heif_image_get_plane_readonly(image.get(), heif_channel_interleaved, &stride);
    const int width = heif_image_get_width(image.get(), heif_channel_interleaved);
    const int height = heif_image_get_height(image.get(), heif_channel_interleaved);
    if (!samples || width != heif_image_handle_get_width(handle.get()) ||
        height != heif_image_handle_get_height(handle.get())) {
      throw damaged_page_file(path_, "HEIC", "its pixels are not as many as it says");
    }
    PagePlanes planes(width, height, tint_shrink, true);
    const auto row_bytes = static_cast<std::size_t>(width * layout.channels);
    for (int y = 0; y < height; ++y) {
      const auto offset = static_cast<std::ptrdiff_t>(y) * stride;
      planes.put_row(y, {samples + offset, row_bytes}, layout);
    }
    return planes.finish();
  }

 private:
  using Handle = std::unique_ptr<heif_image_handle, HeifFree>;

  void check(const heif_error& error) const {
    if (error.code == heif_error_Ok) return;
    if (error.subcode == heif_suberror_Security_limit_exceeded) {
      throw InputError({.file = path_,
                        .line = {},
                        .found = fmt::format("is larger than can be read: {}", error.message),
                        .expected = "a page or photo as phones write them",
                        .remedy = "save it smaller, or as a PNG"});
    }
    throw damaged_page_file(path_, "HEIC", error.message ? error.message : "");
  }

  Handle handle_of(heif_item_id id) const {
    heif_image_handle* handle = nullptr;
    check(heif_context_get_image_handle(context_.get(), id, &handle));
    return Handle(handle);
  }

  PageHeader header(heif_item_id id) const {
    const Handle handle = handle_of(id);
    PageHeader header;
    header.width_px = heif_image_handle_get_width(handle.get());
    header.height_px = heif_image_handle_get_height(handle.get());
    heif_item_id exif_id = 0;
    if (heif_image_handle_get_list_of_metadata_block_IDs(handle.get(), "Exif", &exif_id, 1) != 1) {
      return header;
    }
    std::vector<std::uint8_t> block(heif_image_handle_get_metadata_size(handle.get(), exif_id));
    check(heif_image_handle_get_metadata(handle.get(), exif_id, block.data()));
    if (block.size() < 4) return header;
    // Four bytes say how far behind them the TIFF header of the EXIF begins.
    const std::size_t skip = (std::size_t{block[0]} << 24U) + (std::size_t{block[1]} << 16U) +
                             (std::size_t{block[2]} << 8U) + block[3];
    if (skip > block.size() - 4) return header;
    const auto exif = read_exif(std::span<const std::uint8_t>(block).subspan(4 + skip)).resolution;
    if (exif && means_unknown(*exif)) {
      header.why_no_resolution = "its EXIF 72 dpi stands for unknown";
    } else {
      header.resolution = exif;
    }
    return header;
  }

  std::string path_;
  std::unique_ptr<heif_context, HeifFree> context_;
};

class HeicReader : public PageReader {
 public:
  explicit HeicReader(const std::string& path) : path_(path), images_(HeicDecoder(path).images()) {}
  int page_count() const override { return static_cast<int>(images_.size()); }
  PageHeader header(int number) const override { return stored(number).header; }
  PageImage image(int number, int tint_shrink) const override {
    return HeicDecoder(path_).image(stored(number).id, tint_shrink);
  }

 private:
  const HeicDecoder::Image& stored(int number) const {
    return images_[static_cast<std::size_t>(number - 1)];
  }

  std::string path_;
  std::vector<HeicDecoder::Image> images_;
};

}  // namespace

std::unique_ptr<PageReader> open_heic(const std::string& path) {
  return std::make_unique<HeicReader>(path);
}

}  // namespace underdraw
