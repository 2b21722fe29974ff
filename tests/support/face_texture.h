// What a face looks like in a rendered photo: a mottled coat with lines drawn on it.
//
// Frame: face points, see piece/face.h; colours are linear, 0 to 1, red green blue.
#pragma once

#include <cstdint>
#include <functional>
#include <vector>

#include "geometry/linework.h"
#include "piece/surface.h"

namespace underdraw::test {

struct Rgb {
  float r = 0.0f, g = 0.0f, b = 0.0f;

  friend constexpr Rgb operator*(Rgb c, float k) { return {c.r * k, c.g * k, c.b * k}; }
  friend constexpr Rgb operator*(Rgb a, Rgb b) { return {a.r * b.r, a.g * b.g, a.b * b.b}; }
  friend constexpr Rgb operator+(Rgb a, Rgb b) { return {a.r + b.r, a.g + b.g, a.b + b.b}; }
};

// Smooth noise in [-1, 1], about 1 apart per unit; the same for the same place and seed.
double smooth_noise(double x, double y, std::uint32_t seed);

struct FaceLine {
  std::vector<FacePoint> points;
  double width_mm = 0.6;
  double strength = 0.75;  // 1: nothing of the coat shows
};

struct Coat {
  Rgb colour{0.55f, 0.32f, 0.2f};  // bisque
  double mottle = 0.12;            // relative, brush marks 3 to 12 mm across
  double grain = 0.04;             // relative, 0.3 mm
  Rgb line{0.04f, 0.04f, 0.045f};  // graphite
  double gloss = 0.0;              // 0 matt, 1 glazed
  std::uint32_t seed = 1;
};

class FaceTexture {
 public:
  FaceTexture(const Surface& surface,
              const std::vector<FaceLine>& lines,
              const Coat& coat,
              double px_per_mm = 10.0);
  // Lays an opaque coat over the places that `where` names: neither lines nor coat show there.
  void cover(const Coat& coat, std::function<bool(FacePoint)> where);
  Rgb colour_at(FacePoint point) const;
  Rgb bare() const { return coat_.colour; }
  double gloss() const { return coat_.gloss; }

 private:
  void draw(const Surface& surface, const FaceLine& line);
  std::size_t index(int column, int row) const;

  Rgb coat_at(const Coat& coat, FacePoint point) const;

  Coat coat_;
  Coat over_;
  std::function<bool(FacePoint)> covered_;
  bool round_;
  double px_per_across_, px_per_along_;
  int columns_, rows_;
  std::vector<std::uint8_t> cover_;  // 255: nothing of the coat shows
};

// A drawing laid on a face with its own origin at a point, as lines on it.
std::vector<FaceLine> lines_on_face(const Surface& surface,
                                    const Linework& drawing,
                                    FacePoint at,
                                    const FaceLine& look = {});

}  // namespace underdraw::test
