#include <cstdio>

#include <libheif/heif.h>
#include <qpdf/Pl_Buffer.hh>
#include <qpdf/Pl_Flate.hh>
#include <qpdf/QPDF.hh>
#include <qpdf/QPDFPageDocumentHelper.hh>
#include <qpdf/QPDFWriter.hh>

#include "io/page_files.h"

namespace underdraw::testing_pages {

void write_pdf(const std::string& path, const std::vector<PdfPage>& pages, const PdfLook& look) {
  QPDF pdf;
  pdf.emptyPDF();
  for (const PdfPage& page : pages) {
    QPDFObjectHandle dict =
        QPDFObjectHandle::parse("<< /Type /Page /MediaBox " + page.media_box +
                                " /Resources << /XObject << >> /Font << /F << /Type /Font "
                                "/Subtype /Type1 /BaseFont /Helvetica >> >> >> " +
                                page.extra + " >>");
    if (page.image) {
      const auto& data = page.image->data;
      QPDFObjectHandle image =
          QPDFObjectHandle::newStream(&pdf, std::string(data.begin(), data.end()));
      QPDFObjectHandle entries = QPDFObjectHandle::parse("<< " + page.image->dict + " >>");
      entries.replaceKey("/Type", QPDFObjectHandle::newName("/XObject"));
      entries.replaceKey("/Subtype", QPDFObjectHandle::newName("/Image"));
      entries.replaceKey("/Width", QPDFObjectHandle::newInteger(page.image->width));
      entries.replaceKey("/Height", QPDFObjectHandle::newInteger(page.image->height));
      image.replaceDict(entries);
      dict.getKey("/Resources").getKey("/XObject").replaceKey("/Scan", image);
    }
    dict.replaceKey("/Contents", QPDFObjectHandle::newStream(&pdf, page.contents));
    pdf.addPage(pdf.makeIndirectObject(dict), false);
  }
  QPDFWriter writer(pdf, path.c_str());
  writer.setStreamDataMode(qpdf_s_preserve);
  if (!look.user_password.empty() || !look.owner_password.empty()) {
    writer.setR6EncryptionParameters(look.user_password.c_str(),
                                     look.owner_password.c_str(),
                                     true,
                                     true,
                                     true,
                                     true,
                                     true,
                                     true,
                                     qpdf_r3p_full,
                                     true);
  }
  writer.write();
}

PdfImage pdf_jpeg(const cv::Mat& image) {
  return {.data = jpeg_bytes(image),
          .dict = std::string("/Filter /DCTDecode /BitsPerComponent 8 /ColorSpace ") +
                  (image.channels() == 1 ? "/DeviceGray" : "/DeviceRGB"),
          .width = image.cols,
          .height = image.rows};
}

PdfImage pdf_flate(const cv::Mat& image) {
  Pl_Buffer collected("collected");
  Pl_Flate deflate("deflate", &collected, Pl_Flate::a_deflate);
  const cv::Mat whole = image.clone();
  deflate.write(whole.data, whole.total() * whole.elemSize());
  deflate.finish();
  const auto buffer = collected.getBufferSharedPointer();
  return {.data = Bytes(buffer->getBuffer(), buffer->getBuffer() + buffer->getSize()),
          .dict = std::string("/Filter /FlateDecode /BitsPerComponent 8 /ColorSpace ") +
                  (image.channels() == 1 ? "/DeviceGray" : "/DeviceRGB"),
          .width = image.cols,
          .height = image.rows};
}

bool write_heic(const std::string& path, const cv::Mat& image, const Bytes& exif) {
  heif_context* context = heif_context_alloc();
  heif_encoder* encoder = nullptr;
  const heif_error found =
      heif_context_get_encoder_for_format(context, heif_compression_HEVC, &encoder);
  if (found.code != heif_error_Ok) {
    heif_context_free(context);
    return false;
  }
  heif_encoder_set_lossless(encoder, 1);
  heif_encoder_set_parameter(encoder, "chroma", "444");
  const bool alpha = image.channels() == 4;
  heif_image* pixels = nullptr;
  heif_image_create(image.cols,
                    image.rows,
                    heif_colorspace_RGB,
                    alpha ? heif_chroma_interleaved_RGBA : heif_chroma_interleaved_RGB,
                    &pixels);
  heif_image_add_plane(pixels, heif_channel_interleaved, image.cols, image.rows, 8);
  int stride = 0;
  std::uint8_t* plane = heif_image_get_plane(pixels, heif_channel_interleaved, &stride);
  for (int y = 0; y < image.rows; ++y) {
    const auto* row = image.ptr(y);
    std::copy(
        row, row + image.cols * image.channels(), plane + static_cast<std::ptrdiff_t>(y) * stride);
  }
  heif_image_handle* handle = nullptr;
  const heif_error encoded = heif_context_encode_image(context, pixels, encoder, nullptr, &handle);
  if (encoded.code == heif_error_Ok && !exif.empty()) {
    heif_context_add_exif_metadata(context, handle, exif.data(), static_cast<int>(exif.size()));
  }
  const heif_error written = heif_context_write_to_file(context, path.c_str());
  heif_image_handle_release(handle);
  heif_image_release(pixels);
  heif_encoder_release(encoder);
  heif_context_free(context);
  return encoded.code == heif_error_Ok && written.code == heif_error_Ok;
}

}  // namespace underdraw::testing_pages
