// Turns rows of colour samples into rows of grey, or of red, green and blue.
//
// Stage:   io, internal to it. Pure.
// In/out:  8-bit samples, interleaved -> 8-bit luma with Rec. 601 weights, as OpenCV computes it.
//          Values are taken as they are stored (display values, not linear light). Alpha is laid
//          on white. Inks are mixed as C' = (1 - C)(1 - K), without a printing profile.
#pragma once

#include <cstdint>
#include <span>

namespace underdraw {

enum class RowColour { grey, rgb, cmyk };
enum class RowAlpha { none, plain, premultiplied };

struct RowLayout {
  RowColour colour = RowColour::grey;
  int channels = 1;  // samples a pixel; the alpha follows the colour, what follows it is skipped
  RowAlpha alpha = RowAlpha::none;
  bool inverted = false;  // grey: 0 is white; cmyk: 0 is full ink
};

// Fills `grey`, one value a pixel, from grey.size() x layout.channels samples.
void fill_grey_row(std::span<const std::uint8_t> samples,
                   const RowLayout& layout,
                   std::span<std::uint8_t> grey);

// Fills `rgb`, three values a pixel, in the same way.
void fill_rgb_row(std::span<const std::uint8_t> samples,
                  const RowLayout& layout,
                  std::span<std::uint8_t> rgb);

// The nearest 8-bit value of each 16-bit sample.
void fill_8_from_16(std::span<const std::uint16_t> samples, std::span<std::uint8_t> narrowed);

}  // namespace underdraw
