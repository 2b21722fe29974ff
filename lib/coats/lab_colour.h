// Colours as the eye tells them apart: from a camera's sRGB to CIE L*a*b*, and how far two are
// apart.
//
// Stage:   coats. Pure.
// In/out:  sRGB 0 to 1 as in a file, linear light 0 to 1, XYZ with white at Y = 1, L*a*b* under
//          D65 and the 2° observer. Light above 1 or below 0 is taken as it is.
// Source:  tone curve and primaries: IEC 61966-2-1. L*a*b*: CIE 15:2004, with its exact fractions.
//          Difference: G. Sharma, W. Wu, E. N. Dalal, The CIEDE2000 color-difference formula:
//          implementation notes, supplementary test data, and mathematical observations, Color
//          Res. Appl. 30 (2005).
#pragma once

#include <array>
#include <vector>

namespace underdraw {

struct LinearRgb {
  double r = 0.0, g = 0.0, b = 0.0;

  double luminance() const;  // Y
};

struct Xyz {
  double x = 0.0, y = 0.0, z = 0.0;
};

struct LabColour {
  double l = 0.0;  // lightness: 0 black, 100 white
  double a = 0.0;  // green to red
  double b = 0.0;  // blue to yellow

  double chroma() const;
};

double linear_from_srgb(double tone);
// The light of each of the 256 tones of a file.
const std::array<double, 256>& light_of_tones();

Xyz xyz_from_linear(LinearRgb light);
LabColour lab_from_xyz(Xyz xyz);
LabColour lab_from_linear(LinearRgb light);

// About 1: just to be told apart side by side (common practice, no source).
double ciede2000(LabColour one, LabColour other);

// Each coordinate's median: strays, like the glint on a wet coat, do not move it. None: a
// GeometryError.
LabColour median_colour(const std::vector<LabColour>& colours);

// How far two thirds of the colours are from `middle` at most, CIEDE2000: as a standard deviation,
// without being moved by strays.
double colour_spread(const std::vector<LabColour>& colours, LabColour middle);

}  // namespace underdraw
