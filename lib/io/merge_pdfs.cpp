#include "io/merge_pdfs.h"

#include <memory>

#include <fmt/format.h>
#include <qpdf/Buffer.hh>
#include <qpdf/QPDF.hh>
#include <qpdf/QPDFObjectHandle.hh>
#include <qpdf/QPDFPageDocumentHelper.hh>
#include <qpdf/QPDFWriter.hh>

#include "core/error.h"

namespace underdraw {
namespace {

using Object = QPDFObjectHandle;

template <typename Work>
auto naming_trouble(Work work) {
  try {
    return work();
  } catch (const Error&) {
    throw;
  } catch (const std::exception& e) {
    throw OutputError({.file = {},
                       .line = {},
                       .found = fmt::format("the PDFs could not be put together: {}", e.what()),
                       .expected = {},
                       .remedy = {}});
  }
}

struct Bookmark {
  std::string title;
  Object page;
};

// ISO 32000-1, 12.3.3: a chain of items under one root.
void add_outline(QPDF& pdf, const std::vector<Bookmark>& bookmarks) {
  if (bookmarks.empty()) return;
  Object root = pdf.makeIndirectObject(Object::newDictionary());
  root.replaceKey("/Type", Object::newName("/Outlines"));
  root.replaceKey("/Count", Object::newInteger(static_cast<long long>(bookmarks.size())));
  Object before;
  for (const Bookmark& bookmark : bookmarks) {
    Object item = pdf.makeIndirectObject(Object::newDictionary());
    item.replaceKey("/Title", Object::newUnicodeString(bookmark.title));
    item.replaceKey("/Parent", root);
    item.replaceKey("/Dest", Object::newArray(std::vector{bookmark.page, Object::newName("/Fit")}));
    if (before.isInitialized()) {
      before.replaceKey("/Next", item);
      item.replaceKey("/Prev", before);
    } else {
      root.replaceKey("/First", item);
    }
    root.replaceKey("/Last", item);
    before = item;
  }
  pdf.getRoot().replaceKey("/Outlines", root);
}

}  // namespace

std::string merged_pdf(const std::vector<PdfToMerge>& files) {
  return naming_trouble([&]() -> std::string {
    // The sources are read from while the whole is written.
    std::vector<std::unique_ptr<QPDF>> sources;
    for (const PdfToMerge& file : files) {
      sources.push_back(std::make_unique<QPDF>());
      sources.back()->processMemoryFile("part", file.bytes.data(), file.bytes.size());
    }
    QPDF& whole = *sources.front();
    QPDFPageDocumentHelper pages(whole);
    std::vector<Bookmark> bookmarks;
    for (std::size_t i = 0; i < files.size(); ++i) {
      const std::size_t before = i == 0 ? 0 : pages.getAllPages().size();
      if (i > 0) {
        for (const auto& page : QPDFPageDocumentHelper(*sources[i]).getAllPages()) {
          pages.addPage(page, false);
        }
      }
      if (!files[i].bookmark.empty()) {
        bookmarks.push_back({files[i].bookmark, pages.getAllPages().at(before).getObjectHandle()});
      }
    }
    add_outline(whole, bookmarks);
    QPDFWriter writer(whole);
    writer.setOutputMemory();
    writer.setMinimumPDFVersion("1.7");
    writer.setObjectStreamMode(qpdf_o_generate);
    writer.setDeterministicID(true);
    writer.write();
    const auto buffer = writer.getBufferSharedPointer();
    return {reinterpret_cast<const char*>(buffer->getBuffer()), buffer->getSize()};
  });
}

int pdf_page_count(const std::string& bytes) {
  return naming_trouble([&] {
    QPDF pdf;
    pdf.processMemoryFile("part", bytes.data(), bytes.size());
    return static_cast<int>(QPDFPageDocumentHelper(pdf).getAllPages().size());
  });
}

}  // namespace underdraw
