#include "io/grey_rows.h"

#include <algorithm>
#include <cstddef>

namespace underdraw {
namespace {

constexpr unsigned luma(unsigned r, unsigned g, unsigned b) {
  return (r * 4899U + g * 9617U + b * 1868U + 8192U) >> 14U;  // 0.299, 0.587, 0.114 in 1/16384
}

constexpr unsigned product(unsigned a, unsigned b) { return (a * b + 127U) / 255U; }

// `Value` gives a pixel's luma from its samples; a template so that the loop has no branches.
template <typename Value>
void fill(std::span<const std::uint8_t> samples,
          const RowLayout& layout,
          std::span<std::uint8_t> grey,
          std::size_t alpha_index,
          Value value) {
  const auto step = static_cast<std::size_t>(layout.channels);
  const std::uint8_t* pixel = samples.data();
  if (layout.alpha == RowAlpha::none) {
    for (std::uint8_t& out : grey) {
      out = static_cast<std::uint8_t>(value(pixel));
      pixel += step;
    }
    return;
  }
  const bool premultiplied = layout.alpha == RowAlpha::premultiplied;
  for (std::uint8_t& out : grey) {
    const unsigned alpha = pixel[alpha_index];
    const unsigned ink = premultiplied ? value(pixel) : product(value(pixel), alpha);
    out = static_cast<std::uint8_t>(std::min(255U, ink + 255U - alpha));
    pixel += step;
  }
}

}  // namespace

void fill_grey_row(std::span<const std::uint8_t> samples,
                   const RowLayout& layout,
                   std::span<std::uint8_t> grey) {
  switch (layout.colour) {
    case RowColour::grey: {
      const unsigned flip = layout.inverted ? 255U : 0U;
      fill(samples, layout, grey, 1, [flip](const std::uint8_t* p) { return p[0] ^ flip; });
      return;
    }
    case RowColour::rgb:
      fill(samples, layout, grey, 3, [](const std::uint8_t* p) { return luma(p[0], p[1], p[2]); });
      return;
    case RowColour::cmyk: {
      const unsigned flip = layout.inverted ? 0U : 255U;  // to what the ink leaves of the light
      fill(samples, layout, grey, 4, [flip](const std::uint8_t* p) {
        const unsigned black = p[3] ^ flip;
        return luma(
            product(p[0] ^ flip, black), product(p[1] ^ flip, black), product(p[2] ^ flip, black));
      });
      return;
    }
  }
}

void fill_rgb_row(std::span<const std::uint8_t> samples,
                  const RowLayout& layout,
                  std::span<std::uint8_t> rgb) {
  const auto step = static_cast<std::size_t>(layout.channels);
  const bool inks = layout.colour == RowColour::cmyk;
  const std::size_t colours = layout.colour == RowColour::grey ? 1 : inks ? 4 : 3;
  // To light: of inks, what they leave of it.
  const unsigned flip = inks != layout.inverted ? 255U : 0U;
  const std::uint8_t* pixel = samples.data();
  for (std::size_t i = 0; i + 2 < rgb.size(); i += 3, pixel += step) {
    for (std::size_t c = 0; c < 3; ++c) {
      unsigned value = pixel[colours == 1 ? 0 : c] ^ flip;
      if (inks) value = product(value, pixel[3] ^ flip);
      if (layout.alpha != RowAlpha::none) {
        const unsigned alpha = pixel[colours];
        if (layout.alpha == RowAlpha::plain) value = product(value, alpha);
        value = std::min(255U, value + 255U - alpha);
      }
      rgb[i + c] = static_cast<std::uint8_t>(value);
    }
  }
}

void fill_8_from_16(std::span<const std::uint16_t> samples, std::span<std::uint8_t> narrowed) {
  std::transform(samples.begin(), samples.end(), narrowed.begin(), [](std::uint16_t v) {
    return static_cast<std::uint8_t>((v * 255U + 32895U) >> 16U);  // nearest to v / 257
  });
}

}  // namespace underdraw
