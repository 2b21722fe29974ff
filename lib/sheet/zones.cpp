#include "sheet/zones.h"

#include <algorithm>
#include <cmath>
#include <numbers>

#include "repeat/on_face.h"

namespace underdraw {
namespace {

constexpr double kTurn = 360.0;

}  // namespace

std::vector<ZonePiece> zone_pieces(const PlacedFace& face) {
  const Surface& surface = face.surface;
  const double widest = surface.round() ? kTurn : surface.widest_mm();
  std::vector<ZonePiece> out;
  for (const KeepOut& zone : face.face.keep_out) {
    const Box box = box_of(zone_on_face(surface, zone));
    std::vector<ZonePiece> pieces;
    for (const double turns : {0.0, kTurn}) {
      if (turns > 0.0 && !surface.round()) break;
      const ZonePiece piece{std::clamp(box.min.x - turns, 0.0, widest),
                            std::clamp(box.max.x - turns, 0.0, widest),
                            std::clamp(box.min.y, 0.0, surface.along_mm()),
                            std::clamp(box.max.y, 0.0, surface.along_mm()),
                            {}};
      if (piece.across_to > piece.across_from && piece.along_to > piece.along_from) {
        pieces.push_back(piece);
      }
    }
    if (pieces.empty()) continue;
    const auto wider = [](const ZonePiece& a, const ZonePiece& b) {
      return a.across_to - a.across_from < b.across_to - b.across_from;
    };
    std::max_element(pieces.begin(), pieces.end(), wider)->why = zone.why;
    out.insert(out.end(), pieces.begin(), pieces.end());
  }
  return out;
}

std::vector<FaceLine> hatching(const Surface& surface,
                               const ZonePiece& zone,
                               double pitch_mm,
                               double mm_per_across) {
  const double width = (zone.across_to - zone.across_from) * mm_per_across;
  const double height = zone.along_to - zone.along_from;
  std::vector<FaceLine> out;
  if (mm_per_across <= 0.0) return out;
  const bool up = surface.up_per_along() > 0.0;
  const auto point = [&](double right, double down) {
    return FacePoint{zone.across_from + right / mm_per_across,
                     up ? zone.along_to - down : zone.along_from + down};
  };
  const double step = pitch_mm * std::numbers::sqrt2;
  // Lines right - down = k * step.
  for (double k = std::ceil(-height / step + 0.5) - 0.5; k * step < width; k += 1.0) {
    const double from = std::max(0.0, k * step);
    const double to = std::min(width, height + k * step);
    if (to > from) out.push_back({point(from, from - k * step), point(to, to - k * step)});
  }
  return out;
}

}  // namespace underdraw
