#include "support/face_texture.h"

#include <algorithm>
#include <cmath>

namespace underdraw::test {
namespace {

double lattice(std::int32_t x, std::int32_t y, std::uint32_t seed) {
  std::uint32_t h = static_cast<std::uint32_t>(x) * 0x9E3779B1u ^
                    static_cast<std::uint32_t>(y) * 0x85EBCA77u ^ seed * 0xC2B2AE3Du;
  h ^= h >> 15;
  h *= 0x2C1B3C6Du;
  h ^= h >> 12;
  h *= 0x297A2D39u;
  h ^= h >> 15;
  return h / 2147483647.5 - 1.0;
}

}  // namespace

double smooth_noise(double x, double y, std::uint32_t seed) {
  const double fx = std::floor(x);
  const double fy = std::floor(y);
  const auto ix = static_cast<std::int32_t>(fx);
  const auto iy = static_cast<std::int32_t>(fy);
  const auto ease = [](double t) { return t * t * (3.0 - 2.0 * t); };
  const double u = ease(x - fx);
  const double v = ease(y - fy);
  const double low = std::lerp(lattice(ix, iy, seed), lattice(ix + 1, iy, seed), u);
  const double high = std::lerp(lattice(ix, iy + 1, seed), lattice(ix + 1, iy + 1, seed), u);
  return std::lerp(low, high, v);
}

FaceTexture::FaceTexture(const Surface& surface,
                         const std::vector<FaceLine>& lines,
                         const Coat& coat,
                         double px_per_mm)
    : coat_(coat), round_(surface.round()) {
  const double width = surface.widest_mm();
  columns_ = static_cast<int>(std::ceil(width * px_per_mm));
  rows_ = static_cast<int>(std::ceil(surface.along_mm() * px_per_mm)) + 1;
  px_per_across_ = columns_ / (round_ ? 360.0 : width);
  px_per_along_ = px_per_mm;
  cover_.assign(static_cast<std::size_t>(columns_) * static_cast<std::size_t>(rows_), 0);
  for (const FaceLine& line : lines) draw(surface, line);
}

std::size_t FaceTexture::index(int column, int row) const {
  column = round_ ? (column % columns_ + columns_) % columns_ : std::clamp(column, 0, columns_ - 1);
  row = std::clamp(row, 0, rows_ - 1);
  return static_cast<std::size_t>(row) * static_cast<std::size_t>(columns_) +
         static_cast<std::size_t>(column);
}

void FaceTexture::draw(const Surface& surface, const FaceLine& line) {
  for (std::size_t i = 0; i + 1 < line.points.size(); ++i) {
    const FacePoint a = line.points[i];
    FacePoint b = line.points[i + 1];
    if (round_) b.across = a.across + std::remainder(b.across - a.across, 360.0);
    const double k = surface.mm_per_across((a.along + b.along) / 2.0);  // mm per unit of across
    const Vec2 span{(b.across - a.across) * k, b.along - a.along};
    const double reach = line.width_mm / 2.0 + 0.2;
    const int c0 =
        static_cast<int>(std::floor((std::min(a.across, b.across) - reach / k) * px_per_across_));
    const int c1 =
        static_cast<int>(std::ceil((std::max(a.across, b.across) + reach / k) * px_per_across_));
    const int r0 =
        static_cast<int>(std::floor((std::min(a.along, b.along) - reach) * px_per_along_));
    const int r1 =
        static_cast<int>(std::ceil((std::max(a.along, b.along) + reach) * px_per_along_));
    for (int r = std::max(0, r0); r <= std::min(r1, rows_ - 1); ++r) {
      for (int c = c0; c <= c1; ++c) {
        if (!round_ && (c < 0 || c >= columns_)) continue;
        const Vec2 p{((c + 0.5) / px_per_across_ - a.across) * k,
                     (r + 0.5) / px_per_along_ - a.along};
        const double t = std::clamp(dot(p, span) / std::max(1e-12, dot(span, span)), 0.0, 1.0);
        const double off = length(p - span * t);
        const double inside =
            std::clamp((line.width_mm / 2.0 - off) * px_per_along_ + 0.5, 0.0, 1.0);
        if (inside <= 0.0) continue;
        std::uint8_t& cover = cover_[index(c, r)];
        cover =
            std::max(cover, static_cast<std::uint8_t>(std::lround(255.0 * inside * line.strength)));
      }
    }
  }
}

void FaceTexture::cover(const Coat& coat, std::function<bool(FacePoint)> where) {
  over_ = coat;
  covered_ = std::move(where);
}

Rgb FaceTexture::coat_at(const Coat& coat, FacePoint point) const {
  const double mx = point.across * px_per_across_ / px_per_along_;
  const double my = point.along;
  const double brush = 0.6 * smooth_noise(mx / 9.0, my / 4.0, coat.seed) +
                       0.4 * smooth_noise(mx / 3.0, my / 2.0, coat.seed + 1);
  const double grain = smooth_noise(mx / 0.3, my / 0.3, coat.seed + 2);
  return coat.colour *
         static_cast<float>(std::max(0.05, 1.0 + coat.mottle * brush + coat.grain * grain));
}

Rgb FaceTexture::colour_at(FacePoint point) const {
  if (covered_ && covered_(point)) return coat_at(over_, point);
  const double x = point.across * px_per_across_ - 0.5;
  const double y = point.along * px_per_along_ - 0.5;
  const int c = static_cast<int>(std::floor(x));
  const int r = static_cast<int>(std::floor(y));
  const double u = x - c;
  const double v = y - r;
  const double low = std::lerp(double(cover_[index(c, r)]), double(cover_[index(c + 1, r)]), u);
  const double high =
      std::lerp(double(cover_[index(c, r + 1)]), double(cover_[index(c + 1, r + 1)]), u);
  const auto cover = static_cast<float>(std::lerp(low, high, v) / 255.0);

  return coat_at(coat_, point) * (1.0f - cover) + coat_.line * cover;
}

std::vector<FaceLine> lines_on_face(const Surface& surface,
                                    const Linework& drawing,
                                    FacePoint at,
                                    const FaceLine& look) {
  std::vector<FaceLine> lines;
  for (const Stroke& stroke : drawing.strokes) {
    FaceLine line = look;
    line.points.clear();
    for (const Vec2 p : flatten(stroke.path, 0.02)) line.points.push_back(surface.laid(at, p));
    lines.push_back(line);
  }
  return lines;
}

}  // namespace underdraw::test
