#include "io/as_printed.h"

#include <fmt/format.h>
#include <qpdf/Buffer.hh>
#include <qpdf/QPDF.hh>
#include <qpdf/QPDFObjectHandle.hh>
#include <qpdf/QPDFPageDocumentHelper.hh>
#include <qpdf/QPDFWriter.hh>

#include "core/error.h"

namespace underdraw {
namespace {

// ISO 32000-1, 8.3.4 and 8.4.4: y grows upward there, which a scale about the middle does not mind.
std::string scale_about_middle(const QPDFObjectHandle::Rectangle& page,
                               const PrinterCorrection& printer) {
  const Vec2 size{page.urx - page.llx, page.ury - page.lly};
  const Affine scale = printed_from_sent(printer, size);
  const Vec2 from{page.llx, page.lly};
  const Affine all = Affine::translate(from) * scale * Affine::translate(-from);
  return fmt::format("q {:.9f} 0 0 {:.9f} {:.9f} {:.9f} cm\n", all.xx, all.yy, all.tx, all.ty);
}

}  // namespace

std::string as_printed(std::string_view pdf,
                       const PrinterCorrection& printer,
                       const std::string& file) {
  try {
    QPDF document;
    document.setSuppressWarnings(true);
    document.processMemoryFile("sheets", pdf.data(), pdf.size());
    for (QPDFPageObjectHelper& page : QPDFPageDocumentHelper(document).getAllPages()) {
      const QPDFObjectHandle::Rectangle box =
          page.getAttribute("/MediaBox", false).getArrayAsRectangle();
      page.addPageContents(document.newStream(scale_about_middle(box, printer)), true);
      page.addPageContents(document.newStream("\nQ\n"), false);
    }
    QPDFWriter writer(document);
    writer.setOutputMemory();
    writer.setDeterministicID(true);
    writer.write();
    const auto buffer = writer.getBufferSharedPointer();
    return {reinterpret_cast<const char*>(buffer->getBuffer()), buffer->getSize()};
  } catch (const std::exception& e) {
    throw InputError({.file = file,
                      .line = {},
                      .found = fmt::format("cannot be read as a PDF: {}", e.what()),
                      .expected = {},
                      .remedy = "make the sheets again"});
  }
}

}  // namespace underdraw
