// Scans and photos, what they say of themselves, and their copies without whereabouts.
#include <string>

#include <opencv2/core.hpp>

#include "core/error.h"
#include "fuzz/fuzz_targets.h"
#include "io/exif_facts.h"
#include "io/page_kind.h"
#include "io/photo_facts.h"
#include "io/photo_metadata.h"
#include "io/prove_mat.h"
#include "io/prove_pdf.h"
#include "io/read_pages.h"
#include "io/read_photo.h"

namespace underdraw::fuzz {
namespace {

// Larger ones are read in the tests of read_pages: here they would only take time.
constexpr double kMostPixels = 1e6;
constexpr int kMostPages = 4;

void read_pages(const std::string& path, const ReadOptions& options) {
  const PageFile file = PageFile::open(path, options);
  for (int number = 1; number <= std::min(file.page_count(), kMostPages); ++number) {
    const PageSize size = file.size(number);
    if (static_cast<double>(size.width_px) * size.height_px > kMostPixels) continue;
    const Page page = file.read(number);
    if (page.grey.cols != size.width_px || page.grey.rows != size.height_px) {
      report_finding("a page of another size than was said");
    }
  }
}

template <typename Work>
void or_refused(Work work) {
  try {
    work();
  } catch (const InputError&) {
  }
}

template <PageKind kind>
void read_page_file(BytesView bytes) {
  const std::string path = file_of(bytes);
  if (sniff_page_kind(path) != kind) return;
  or_refused([&] { read_pages(path, {.dpi = 72.0}); });
  read_pages(path, {});
}

// libjpeg-turbo reports broken codes only near the end of what it is given: with more bytes behind
// them, a photo and its copy are looked at alike.
Bytes with_room_behind(BytesView photo) {
  Bytes bytes(photo.begin(), photo.end());
  bytes.resize(bytes.size() + 8192, 0);
  return bytes;
}

// A copy for export shows the same picture, and says nothing more than its orientation.
template <PageKind kind>
void export_photo(BytesView bytes) {
  const std::string path =
      file_of(kind == PageKind::jpeg ? with_room_behind(bytes) : Bytes(bytes.begin(), bytes.end()));
  if (sniff_page_kind(path) != kind) return;
  or_refused([&] { exif_of_photo(kind, path); });
  const Bytes copy = photo_for_export(kind, bytes, 1, path);
  const PhotoFacts facts = read_photo_facts(path);
  if (static_cast<double>(facts.width_px) * static_cast<double>(facts.height_px) > kMostPixels) {
    return;
  }
  const cv::Mat before = read_photo(path).bgr;
  const std::string copied = file_of(kind == PageKind::jpeg ? with_room_behind(copy) : copy);
  try {
    const cv::Mat after = read_photo(copied).bgr;
    if (before.size() != after.size() || cv::norm(before, after, cv::NORM_INF) != 0.0) {
      report_finding("a copy that shows something else");
    }
  } catch (const InputError& error) {
    report_finding(std::string("a copy that cannot be read: ") + error.what());
  }
  const PhotoFacts told = read_photo_facts(copied);
  if (told.taken_at || told.camera_make || told.camera_model || told.focal_length_mm) {
    report_finding("a copy that tells of its owner");
  }
}

void read_exif_block(BytesView bytes) { read_exif(bytes); }

void prove(BytesView bytes) {
  const std::string path = file_of(bytes);
  if (prove_if_mat(path)) return;
  prove_pdf(path, {.dpi = 150.0, .sheets_at_once = 1, .limits = {}});
}

}  // namespace

std::vector<Target> picture_targets() {
  return {{"exif", read_exif_block},
          {"export_heic", export_photo<PageKind::heic>},
          {"export_jpeg", export_photo<PageKind::jpeg>},
          {"export_png", export_photo<PageKind::png>},
          {"heic", read_page_file<PageKind::heic>},
          {"jpeg", read_page_file<PageKind::jpeg>},
          {"pdf", read_page_file<PageKind::pdf>},
          {"png", read_page_file<PageKind::png>},
          {"proof", prove},
          {"tiff", read_page_file<PageKind::tiff>}};
}

}  // namespace underdraw::fuzz
