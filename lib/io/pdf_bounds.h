// Refuses a PDF that would unpack to far more than any page holds, before anything else looks into
// it: two kilobytes of a stream packed twice can hold a gigabyte of nothing.
//
// Stage:   io, internal to it.
// In/out:  a PDF that is open. Everything in it that is not an image is unpacked and counted, and
//          nothing of it kept; of images only their stated size is looked at.
// Refuses: more than kMostUnpackedBytes in all, graphics states nested deeper than
//          kDeepestGraphics, images above kMostImagePx pixels (InputError).
// Source:  ISO 32000-1, 7.3.8 (streams), 8.4.2 (the graphics state's stack), 8.9.5 (images).
#pragma once

#include <cstdint>
#include <string>

#include <qpdf/QPDF.hh>

namespace underdraw {

constexpr std::uint64_t kMostUnpackedBytes = 200'000'000;
constexpr std::uint64_t kMostImagePx = 400'000'000;
constexpr int kDeepestGraphics = 1000;  // ISO 32000-1, annex C asks readers for 28

void refuse_oversized_pdf(QPDF& pdf, const std::string& path);

}  // namespace underdraw
