#include "io/read_pdf_page.h"

#include <algorithm>
#include <cmath>
#include <vector>

#include <fmt/format.h>
#include <opencv2/core.hpp>
#include <poppler-document.h>
#include <poppler-image.h>
#include <poppler-page-renderer.h>
#include <poppler-page.h>
#include <qpdf/Buffer.hh>
#include <qpdf/QPDF.hh>
#include <qpdf/QPDFExc.hh>
#include <qpdf/QPDFPageDocumentHelper.hh>
#include <qpdf/QPDFWriter.hh>

#include "io/pdf_bounds.h"
#include "io/pdf_sole_image.h"
#include "io/poppler_complaints.h"
#include "io/read_jpeg.h"

namespace underdraw {
namespace {

constexpr double kRenderDpi = 600.0;

struct PagePlan {
  PageHeader header;
  double x_dpi = 0.0;  // of the page as it is rendered, before it is turned for an image
  double y_dpi = 0.0;
  double unit = 1.0;      // UserUnit
  bool is_image = false;  // its pixels are taken from its sole image
};

PdfBox box_of(QPDFObjectHandle array) {
  const QPDFObjectHandle::Rectangle r = array.getArrayAsRectangle();
  return {.left = std::min(r.llx, r.urx),
          .bottom = std::min(r.lly, r.ury),
          .right = std::max(r.llx, r.urx),
          .top = std::max(r.lly, r.ury)};
}

PdfBox visible_box(QPDFPageObjectHelper page) {
  QPDFObjectHandle media_array = page.getMediaBox();
  QPDFObjectHandle crop_array = page.getCropBox();
  if (!media_array.isRectangle()) return {};
  const PdfBox media = box_of(media_array);
  if (!crop_array.isRectangle()) return media;
  const PdfBox crop = box_of(crop_array);
  const PdfBox both{.left = std::max(media.left, crop.left),
                    .bottom = std::max(media.bottom, crop.bottom),
                    .right = std::min(media.right, crop.right),
                    .top = std::min(media.top, crop.top)};
  return both.width() > 0.0 && both.height() > 0.0 ? both : media;
}

// As EXIF numbers the turns: what has to be done to the stored pixels.
int orientation_of(QPDFPageObjectHelper page) {
  QPDFObjectHandle rotate = page.getAttribute("/Rotate", false);
  if (!rotate.isInteger()) return 1;
  switch (((rotate.getIntValueAsInt() % 360) + 360) % 360) {
    case 90:
      return 6;
    case 180:
      return 3;
    case 270:
      return 8;
    default:
      return 1;
  }
}

double user_unit_of(QPDFPageObjectHelper page) {
  QPDFObjectHandle unit = page.getObjectHandle().getKey("/UserUnit");
  const double value = unit.isNumber() ? unit.getNumericValue() : 1.0;
  return value > 0.0 && std::isfinite(value) ? value : 1.0;
}

std::int64_t pixels(double points, double dpi) {
  const double px = points / 72.0 * dpi;
  return px > 0.0 && px < 1e9 ? std::llround(px) : (px > 0.0 ? 1'000'000'000 : 0);
}

PagePlan plan_page(QPDFPageObjectHelper page, std::optional<double> dpi) {
  PagePlan plan;
  plan.header.true_size = true;
  plan.unit = user_unit_of(page);
  const PdfBox visible = visible_box(page);
  // Looked for even when it will not be used, as that reads the page's contents, damaged or not.
  if (const std::optional<SoleImage> sole = find_sole_image(page, visible)) {
    if (!dpi) {
      const double x_dpi = sole->width_px * 72.0 / (sole->box.width() * plan.unit);
      const double y_dpi = sole->height_px * 72.0 / (sole->box.height() * plan.unit);
      if (std::min(x_dpi, y_dpi) >= kLowestDpi && std::max(x_dpi, y_dpi) <= kHighestDpi) {
        plan.is_image = true;
        plan.header.orientation = orientation_of(page);
        plan.header.width_px = sole->width_px;
        plan.header.height_px = sole->height_px;
        plan.header.resolution = Resolution{x_dpi, y_dpi};
        return plan;
      }
    }
  }
  // poppler turns what it renders, so the size is that of the turned page.
  const double render_dpi = dpi.value_or(kRenderDpi);
  const bool sideways = orientation_of(page) > 4;
  const double width = (sideways ? visible.height() : visible.width()) * plan.unit;
  const double height = (sideways ? visible.width() : visible.height()) * plan.unit;
  plan.header.width_px = pixels(width, render_dpi);
  plan.header.height_px = pixels(height, render_dpi);
  plan.header.resolution = Resolution{render_dpi, render_dpi};
  return plan;
}

// What poppler draws a page into.
struct Frame {
  double x_dpi = 72.0;
  double y_dpi = 72.0;
  int width_px = 0;
  int height_px = 0;
  bool smooth = false;

  Frame shrunk(int times) const {
    return {.x_dpi = x_dpi / times,
            .y_dpi = y_dpi / times,
            .width_px = (width_px + times - 1) / times,
            .height_px = (height_px + times - 1) / times,
            .smooth = smooth};
  }
};

class PdfReader : public PageReader {
 public:
  PdfReader(const std::string& path, std::optional<double> dpi) : path_(path) {
    quiet_poppler();
    with_pages([this, dpi](const std::vector<QPDFPageObjectHelper>& pages) {
      for (const QPDFPageObjectHelper& page : pages) plans_.push_back(plan_page(page, dpi));
    });
  }
  int page_count() const override { return static_cast<int>(plans_.size()); }
  PageHeader header(int number) const override { return plan(number).header; }
  PageImage image(int number, int tint_shrink) const override {
    if (!plan(number).is_image) return render(number, tint_shrink);
    PageImage image;
    with_pages([&](const std::vector<QPDFPageObjectHelper>& pages) {
      const QPDFPageObjectHelper& page = pages.at(static_cast<std::size_t>(number - 1));
      const auto sole = find_sole_image(page, visible_box(page));
      if (!sole) throw damaged("it changed while it was read");
      image = image_pixels(*sole, tint_shrink);
    });
    return image;
  }

 private:
  const PagePlan& plan(int number) const { return plans_[static_cast<std::size_t>(number - 1)]; }

  InputError damaged(const std::string& details) const {
    return damaged_page_file(path_, "PDF", details);
  }

  template <typename Use>
  void with_pages(const Use& use) const;
  PageImage render(int number, int tint_shrink) const;
  PageImage image_pixels(SoleImage sole, int tint_shrink) const;
  PageImage render_alone(SoleImage sole, int tint_shrink) const;
  cv::Mat drawn(const poppler::page* page, const Frame& frame, bool colour) const;

  std::string path_;
  std::vector<PagePlan> plans_;
};

// qpdf's objects are opened anew for each use, as they belong to one thread.
template <typename Use>
void PdfReader::with_pages(const Use& use) const {
  open_page_file(path_);  // says better why it cannot be opened
  try {
    QPDF pdf;
    pdf.setSuppressWarnings(true);
    pdf.setAttemptRecovery(false);
    pdf.processFile(path_.c_str());
    // Said before all of them are looked for.
    QPDFObjectHandle count = pdf.getRoot().getKey("/Pages").getKey("/Count");
    if (count.isInteger() && count.getIntValue() > kMostPagesInFile) throw too_many_pages(path_);
    const std::vector<QPDFPageObjectHelper> pages = QPDFPageDocumentHelper(pdf).getAllPages();
    if (pages.size() > kMostPagesInFile) throw too_many_pages(path_);
    if (plans_.empty()) refuse_oversized_pdf(pdf, path_);
    if (pages.empty()) {
      throw InputError({.file = path_,
                        .line = {},
                        .found = "has no pages",
                        .expected = "at least one",
                        .remedy = "print or scan it to PDF again"});
    }
    use(pages);
    const std::vector<QPDFExc> warnings = pdf.getWarnings();
    if (!warnings.empty()) throw damaged(warnings.front().getMessageDetail());
  } catch (const QPDFExc& error) {
    if (error.getErrorCode() == qpdf_e_password) {
      throw InputError({.file = path_,
                        .line = {},
                        .found = "is protected by a password",
                        .expected = "a PDF that opens without one",
                        .remedy = "save a copy without the password"});
    }
    throw damaged(error.getMessageDetail());
  } catch (const Error&) {
    throw;
  } catch (const std::runtime_error& error) {
    throw damaged(error.what());
  } catch (const std::logic_error& error) {  // qpdf's answer to objects of the wrong type
    throw damaged(error.what());
  }
}

// Grey, or red, green and blue. Of what poppler complains about, the first is thrown.
cv::Mat PdfReader::drawn(const poppler::page* page, const Frame& frame, bool colour) const {
  poppler::page_renderer renderer;
  renderer.set_image_format(colour ? poppler::image::format_rgb24 : poppler::image::format_gray8);
  renderer.set_render_hint(poppler::page_renderer::antialiasing, frame.smooth);
  renderer.set_render_hint(poppler::page_renderer::text_antialiasing, frame.smooth);
  const PopplerComplaints complaints;
  const poppler::image image =
      renderer.render_page(page, frame.x_dpi, frame.y_dpi, 0, 0, frame.width_px, frame.height_px);
  // An image alone on its page is the whole of it: a complaint means that a part is missing.
  if (!image.is_valid() || (!frame.smooth && !complaints.first().empty())) {
    throw damaged(complaints.first().empty() ? "a page cannot be drawn" : complaints.first());
  }
  // Wrapped without a copy; the clone outlives poppler's image.
  return cv::Mat(image.height(),
                 image.width(),
                 colour ? CV_8UC3 : CV_8UC1,
                 const_cast<char*>(image.const_data()),
                 static_cast<std::size_t>(image.bytes_per_row()))
      .clone();
}

PageImage PdfReader::render(int number, int tint_shrink) const {
  const std::unique_ptr<poppler::document> document(poppler::document::load_from_file(path_));
  if (!document || document->is_locked()) throw damaged("it cannot be opened for drawing");
  const std::unique_ptr<poppler::page> page(document->create_page(number - 1));
  if (!page) throw damaged(fmt::format("page {} is missing", number));
  const PagePlan& how = plan(number);
  const Frame frame{.x_dpi = how.header.resolution->x_dpi * how.unit,
                    .y_dpi = how.header.resolution->y_dpi * how.unit,
                    .width_px = static_cast<int>(how.header.width_px),
                    .height_px = static_cast<int>(how.header.height_px),
                    .smooth = true};
  PageImage out;
  out.grey = drawn(page.get(), frame, false);
  out.tint = drawn(page.get(), frame.shrunk(tint_shrink), true);
  return out;
}

// A JPEG whose samples are the colours themselves, with nothing laid over or under it.
bool is_plain_jpeg(QPDFObjectHandle dict) {
  QPDFObjectHandle filter = dict.getKey("/Filter");
  if (filter.isArray() && filter.getArrayNItems() == 1) filter = filter.getArrayItem(0);
  if (!filter.isNameAndEquals("/DCTDecode")) return false;
  for (const char* key : {"/Decode", "/Mask", "/SMask"}) {
    if (!dict.getKey(key).isNull()) return false;
  }
  QPDFObjectHandle parameters = dict.getKey("/DecodeParms");
  if (parameters.isArray() && parameters.getArrayNItems() == 1) {
    parameters = parameters.getArrayItem(0);
  }
  if (!parameters.isNull()) return false;
  QPDFObjectHandle space = dict.getKey("/ColorSpace");
  if (space.isNameAndEquals("/DeviceGray") || space.isNameAndEquals("/DeviceRGB")) return true;
  if (!space.isArray() || space.getArrayNItems() < 2) return false;
  QPDFObjectHandle family = space.getArrayItem(0);
  if (family.isNameAndEquals("/CalGray") || family.isNameAndEquals("/CalRGB")) return true;
  if (!family.isNameAndEquals("/ICCBased") || !space.getArrayItem(1).isStream()) return false;
  QPDFObjectHandle channels = space.getArrayItem(1).getDict().getKey("/N");
  return channels.isInteger() &&
         (channels.getIntValueAsInt() == 1 || channels.getIntValueAsInt() == 3);
}

// Whether the image's samples are grey, as far as that can be seen without decoding it.
bool is_grey(QPDFObjectHandle dict) {
  QPDFObjectHandle mask = dict.getKey("/ImageMask");
  if (mask.isBool() && mask.getBoolValue()) return true;
  QPDFObjectHandle space = dict.getKey("/ColorSpace");
  if (space.isNameAndEquals("/DeviceGray")) return true;
  if (!space.isArray() || space.getArrayNItems() < 2) return false;
  QPDFObjectHandle family = space.getArrayItem(0);
  if (family.isNameAndEquals("/CalGray")) return true;
  if (!family.isNameAndEquals("/ICCBased") || !space.getArrayItem(1).isStream()) return false;
  QPDFObjectHandle channels = space.getArrayItem(1).getDict().getKey("/N");
  return channels.isInteger() && channels.getIntValueAsInt() == 1;
}

PageImage PdfReader::image_pixels(SoleImage sole, int tint_shrink) const {
  // Read here because poppler would fill up a truncated JPEG with grey.
  if (!is_plain_jpeg(sole.image.getDict())) return render_alone(sole, tint_shrink);
  const auto jpeg = sole.image.getRawStreamData();
  PageImage image =
      image_from_jpeg({jpeg->getBuffer(), jpeg->getSize()}, tint_shrink, path_, "PDF");
  if (image.grey.cols != sole.width_px || image.grey.rows != sole.height_px) {
    throw damaged("an image in it is not as large as the PDF says");
  }
  return image;
}

// Draws the image on a page of its own, of one point a pixel, so that poppler copies its pixels
// instead of resampling them. poppler rounds an image's edges outward to whole pixels and one
// more if they are whole already, so the edges are put just inside the page's.
PageImage PdfReader::render_alone(SoleImage sole, int tint_shrink) const {
  constexpr double kInset = 0.005;
  const int width = sole.width_px;
  const int height = sole.height_px;
  QPDF alone;
  alone.emptyPDF();
  const QPDFObjectHandle image = alone.copyForeignObject(sole.image);
  const QPDFObjectHandle contents = QPDFObjectHandle::newStream(
      &alone,
      fmt::format(
          "{} 0 0 {} {} {} cm /Page Do", width - 2 * kInset, height - 2 * kInset, kInset, kInset));
  QPDFObjectHandle page = QPDFObjectHandle::parse(fmt::format(
      "<< /Type /Page /MediaBox [0 0 {} {}] /Resources << /XObject << >> >> >>", width, height));
  page.getKey("/Resources").getKey("/XObject").replaceKey("/Page", image);
  page.replaceKey("/Contents", contents);
  alone.addPage(alone.makeIndirectObject(page), true);
  QPDFWriter writer(alone);
  writer.setOutputMemory();
  writer.setStreamDataMode(qpdf_s_preserve);
  writer.write();
  const std::shared_ptr<Buffer> bytes = writer.getBufferSharedPointer();

  std::unique_ptr<poppler::document> document;
  std::unique_ptr<poppler::page> only_page;
  {
    // The page is made above, so any complaint is about the image: part of it would be missing.
    const PopplerComplaints complaints;
    document.reset(poppler::document::load_from_raw_data(
        reinterpret_cast<const char*>(bytes->getBuffer()), static_cast<int>(bytes->getSize())));
    if (document) only_page.reset(document->create_page(0));
    if (!complaints.first().empty()) throw damaged(complaints.first());
    if (!only_page) throw damaged("a page cannot be drawn");
  }
  const Frame frame{.x_dpi = 72.0, .y_dpi = 72.0, .width_px = width, .height_px = height};
  PageImage out;
  out.grey = drawn(only_page.get(), frame, false);
  if (!is_grey(sole.image.getDict())) {
    out.tint = drawn(only_page.get(), frame.shrunk(tint_shrink), true);
  }
  return out;
}

}  // namespace

std::unique_ptr<PageReader> open_pdf(const std::string& path, std::optional<double> dpi) {
  return std::make_unique<PdfReader>(path, dpi);
}

}  // namespace underdraw
