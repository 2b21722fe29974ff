// Small files that claim to be enormous.
//
// Stage:  tests.
// Source: W3C PNG (Second Edition) 11.2.2; TIFF 6.0 section 2; ISO 32000-1, 7.7.3; ITU-T T.81
// B.2.2;
//         ISO/IEC 14496-12 (boxes) and 23008-12 (ispe).
#pragma once

#include <string>

namespace underdraw::test {

void write_png_bomb(const std::string& path);     // 60,000 x 60,000 px, 300 dpi
void write_jpeg_bomb(const std::string& path);    // 65,000 x 65,000 px
void write_heic_bomb(const std::string& path);    // 65,000 x 65,000 px, one tile
void write_tiff_bomb(const std::string& path);    // 100,000 directories of 1 px
void write_tiff_circle(const std::string& path);  // the second directory leads back to the first
void write_pdf_bomb(const std::string& path);     // 100,000 pages
void write_pdf_tree(const std::string& path);     // each branch holds the same ten
void write_pdf_depth(const std::string& path);    // saves its graphics state a million times
void write_pdf_zeros(const std::string& path);    // a page whose contents unpack to 300 MB

}  // namespace underdraw::test
