#include "support/hand_drawn.h"

#include <algorithm>

#include "sheet/sheet_plan.h"
#include "support/seeded.h"

namespace underdraw::test {

HandDrawn draw_by_hand(const PlacedFace& face,
                       const std::vector<Motif>& motifs,
                       const Hand& hand,
                       const std::function<bool(const Placement&)>& wanted) {
  constexpr double kStepMm = 0.15;
  constexpr double kWobbleOver = 9.0;  // mm from one sway to the next
  HandDrawn out;
  out.truth.name = face.face.name;
  for (const Placement& placement : face.placements) {
    if (wanted && !wanted(placement)) continue;
    Dice dice(hand.seed * 1000 + static_cast<unsigned>(placement.id));
    const Vec2 shift{dice.uniform(-1.0, 1.0) * hand.shift_mm,
                     dice.uniform(-1.0, 1.0) * hand.shift_mm};
    const Affine hand_from_copy =
        Affine::translate(shift) * Affine::turn_deg(dice.uniform(-1.0, 1.0) * hand.turn_deg);
    const Motif& motif = motif_named(motifs, placement.motif);
    const Affine copy_from_motif = placement.copy_from_motif(motif);
    const auto seed =
        static_cast<std::uint32_t>(hand.seed * 7919 + 2U * static_cast<unsigned>(placement.id));
    for (const Stroke& stroke : motif.lines.strokes) {
      FaceLine line = hand.look;
      line.points.clear();
      RecoveredStroke truth{placement.id, 1.0, {}, {}};
      for (const Vec2 at : sample(stroke.path, kStepMm / placement.change.scale)) {
        const Vec2 p = copy_from_motif * at;
        const Vec2 sway{smooth_noise(p.x / kWobbleOver, p.y / kWobbleOver, seed),
                        smooth_noise(p.x / kWobbleOver, p.y / kWobbleOver, seed + 1)};
        const FacePoint on =
            face.surface.laid(placement.at, hand_from_copy * (p + sway * hand.wobble_mm));
        line.points.push_back(on);
        truth.points.push_back({on.across, on.along});
      }
      if (face.surface.round()) truth.points = run_on_through_seam(truth.points);
      out.lines.push_back(std::move(line));
      out.truth.strokes.push_back(std::move(truth));
    }
  }
  return out;
}

}  // namespace underdraw::test
