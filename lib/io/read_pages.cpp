#include "io/read_pages.h"

#include <algorithm>
#include <cmath>
#include <utility>

#include <fmt/format.h>
#include <opencv2/core.hpp>

#include "io/page_kind.h"
#include "io/page_reader.h"
#include "io/read_heic.h"
#include "io/read_jpeg.h"
#include "io/read_pdf_page.h"
#include "io/read_png.h"
#include "io/read_tiff.h"
#include "io/upright.h"

namespace underdraw {
namespace {

constexpr double kLargestDpiRatio = 2.0;
constexpr std::int64_t kSideLimitPx = 60'000;         // exclusive
constexpr std::int64_t kLargestPagePx = 400'000'000;  // inclusive
constexpr double kTintDpi = 150.0;  // colours tell one ink from another, not where its edge is
constexpr double kLongestSideMm = 1300.0;
constexpr double kUsualPageMm = 350.0;  // shown by a photo of one

std::unique_ptr<PageReader> open_reader(PageKind kind,
                                        const std::string& path,
                                        const ReadOptions& options) {
  switch (kind) {
    case PageKind::png:
      return open_png(path);
    case PageKind::jpeg:
      return open_jpeg(path);
    case PageKind::tiff:
      return open_tiff(path);
    case PageKind::pdf:
      return open_pdf(path, options.dpi);
    case PageKind::heic:
      return open_heic(path);
  }
  return nullptr;
}

std::string dpi_text(const Resolution& r) {
  if (r.x_dpi == r.y_dpi) return fmt::format("{:.4g} dpi", r.x_dpi);
  return fmt::format("{:.4g} dpi across and {:.4g} dpi down", r.x_dpi, r.y_dpi);
}

bool is_sane(const Resolution& r) {
  return r.x_dpi >= kLowestDpi && r.x_dpi <= kHighestDpi && r.y_dpi >= kLowestDpi &&
         r.y_dpi <= kHighestDpi;
}

}  // namespace

struct PageFile::Contents {
  std::string path;
  ReadOptions options;
  PageKind kind = PageKind::png;
  std::unique_ptr<PageReader> reader;

  // Names the page where there are several.
  InputError refusal(int number,
                     const std::string& found,
                     const std::string& expected,
                     const std::string& remedy) const {
    const bool several = reader->page_count() > 1;
    return InputError({.file = path,
                       .line = {},
                       .found = several ? fmt::format("page {} {}", number, found) : found,
                       .expected = expected,
                       .remedy = remedy});
  }

  void check_number(int number) const {
    const int count = reader->page_count();
    if (number >= 1 && number <= count) return;
    throw InputError(
        {.file = path,
         .line = {},
         .found =
             fmt::format("has {} page{} (asked for page {})", count, count == 1 ? "" : "s", number),
         .expected = count == 1 ? "page 1" : fmt::format("page 1 to {}", count),
         .remedy = "name a page that exists"});
  }

  void check_pixels(int number, const PageHeader& header) const {
    const std::int64_t width = header.width_px;
    const std::int64_t height = header.height_px;
    const std::string remedy = header.true_size && options.dpi ? "pass a lower --dpi"
                               : header.true_size              ? "pass --dpi 300"
                                                               : "scan it at a lower resolution";
    if (width < 1 || height < 1) {
      throw refusal(number,
                    fmt::format("has {} x {} pixels", width, height),
                    "at least one pixel each way",
                    "scan it again");
    }
    if (std::max(width, height) >= kSideLimitPx || width * height > kLargestPagePx) {
      throw refusal(number,
                    fmt::format("has {} x {} pixels", width, height),
                    fmt::format("sides below {} pixels and at most {} megapixels",
                                kSideLimitPx,
                                kLargestPagePx / 1'000'000),
                    remedy);
    }
  }

  Resolution settled_resolution(int number, const PageHeader& header) const {
    const std::string remedy = "pass --dpi 300 or scan again with the resolution stored";
    if (options.dpi && !header.true_size) return {*options.dpi, *options.dpi};
    if (!header.resolution) {
      const std::string why =
          header.why_no_resolution.empty() ? "" : fmt::format(" ({})", header.why_no_resolution);
      throw refusal(number, "states no resolution" + why, "", remedy);
    }
    const Resolution& r = *header.resolution;
    if (!is_sane(r)) {
      throw refusal(number,
                    "says " + dpi_text(r),
                    fmt::format("{} to {} dpi", kLowestDpi, kHighestDpi),
                    remedy);
    }
    if (std::max(r.x_dpi, r.y_dpi) > kLargestDpiRatio * std::min(r.x_dpi, r.y_dpi)) {
      throw refusal(
          number, "says " + dpi_text(r), "at most twice as many one way as the other", remedy);
    }
    return r;
  }

  void check_length(int number, const PageSize& size, bool true_size) const {
    if (std::max(size.width_mm(), size.height_mm()) <= kLongestSideMm) return;
    const std::string millimetres =
        fmt::format("{:.0f} x {:.0f} mm", size.width_mm(), size.height_mm());
    const std::string expected = fmt::format("at most {} mm", kLongestSideMm);
    if (true_size) {
      throw refusal(number, "is " + millimetres, expected, "print it to the size of the sketches");
    }
    throw refusal(number,
                  fmt::format("would be {} at {:.4g} dpi", millimetres, size.px_per_mm_x * 25.4),
                  expected,
                  options.dpi ? "pass the --dpi that it was scanned at"
                              : "pass --dpi 300 or scan again with the resolution stored");
  }

  PageSize size(int number, const PageHeader& header) const {
    check_pixels(number, header);
    const Resolution r = settled_resolution(number, header);
    PageSize size{.width_px = static_cast<int>(header.width_px),
                  .height_px = static_cast<int>(header.height_px),
                  .px_per_mm_x = r.x_dpi / 25.4,
                  .px_per_mm_y = r.y_dpi / 25.4};
    if (header.orientation > 4) {  // lies on its side
      std::swap(size.width_px, size.height_px);
      std::swap(size.px_per_mm_x, size.px_per_mm_y);
    }
    check_length(number, size, header.true_size);
    return size;
  }
};

void ReadOptions::validate() const {
  if (dpi) require_between(*dpi, kLowestDpi, kHighestDpi, "dpi", "dpi");
}

PageFile::PageFile(std::shared_ptr<const Contents> contents) : contents_(std::move(contents)) {}

PageFile PageFile::open(const std::string& path, const ReadOptions& options) {
  options.validate();
  auto contents = std::make_shared<Contents>();
  contents->path = path;
  contents->options = options;
  contents->kind = sniff_page_kind(path);
  contents->reader = open_reader(contents->kind, path, options);
  return PageFile(std::move(contents));
}

const std::string& PageFile::path() const { return contents_->path; }
std::string PageFile::kind() const { return name_of(contents_->kind); }
int PageFile::page_count() const { return contents_->reader->page_count(); }

PageSize PageFile::size(int number) const {
  contents_->check_number(number);
  return contents_->size(number, contents_->reader->header(number));
}

Page PageFile::read(int number) const {
  size(number);  // refuses
  return read_pixels(number);
}

void PageFile::check(int number) const {
  contents_->check_number(number);
  contents_->check_pixels(number, contents_->reader->header(number));
}

Page PageFile::read_pixels(int number) const {
  check(number);
  const PageHeader header = contents_->reader->header(number);
  PageSize size;
  try {
    size = contents_->size(number, header);
  } catch (const InputError&) {
    // Left at 0.
  }
  Page page;
  const auto longer_px = static_cast<double>(std::max(header.width_px, header.height_px));
  const double px_per_mm = size.px_per_mm_x > 0.0 ? std::sqrt(size.px_per_mm_x * size.px_per_mm_y)
                                                  : longer_px / kUsualPageMm;
  const int tint_shrink =
      std::clamp(static_cast<int>(std::lround(px_per_mm * 25.4 / kTintDpi)), 1, 16);
  PageImage image = contents_->reader->image(number, tint_shrink);
  page.grey = upright(image.grey, header.orientation);
  image.grey.release();
  if (!image.tint.empty()) page.tint = upright(image.tint, header.orientation);
  page.tint_shrink = tint_shrink;
  page.px_per_mm_x = size.px_per_mm_x;
  page.px_per_mm_y = size.px_per_mm_y;
  page.file = contents_->path;
  page.number = number;
  return page;
}

}  // namespace underdraw
