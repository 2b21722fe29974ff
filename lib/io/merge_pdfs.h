// Several PDFs one after the other, as one.
//
// Stage:   io. Pure: bytes in, bytes out.
// Keeps:   pages as they are, and the first file's viewer preferences (no scaling). Attachments of
//          the others stay behind.
// Refuses: bytes that are no PDF (OutputError).
#pragma once

#include <string>
#include <vector>

namespace underdraw {

struct PdfToMerge {
  std::string bytes;
  std::string bookmark;  // in the outline, to its first page; empty: none
};

std::string merged_pdf(const std::vector<PdfToMerge>& files);

int pdf_page_count(const std::string& bytes);

}  // namespace underdraw
