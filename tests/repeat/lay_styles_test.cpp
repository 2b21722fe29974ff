// Styles in rows and rings on straight, tapered and bellied walls.
#include <cmath>
#include <numbers>
#include <set>

#include <gtest/gtest.h>

#include "core/error.h"
#include "repeat/arrange.h"
#include "repeat/on_face.h"
#include "repeat/touching.h"

namespace underdraw {
namespace {

// A frame of w x h mm, pen included.
Motif frame(const std::string& name, double w, double h) {
  Linework lines;
  lines.strokes.push_back(
      {Path::polyline({{0.5, 0.5}, {w - 0.5, 0.5}, {w - 0.5, h - 0.5}, {0.5, h - 0.5}, {0.5, 0.5}},
                      true),
       1.0});
  return make_motif(name, lines);
}

Clay unfired() { return {{0.0, 0.0, 0.0}, ClayStage::bisque, ClayStage::bisque}; }

Arrangement styled(Style style, std::vector<std::string> motifs, double gap) {
  Arrangement asked;
  asked.face = "wall";
  asked.style = style;
  asked.motifs = std::move(motifs);
  asked.gap_mm = gap;
  return asked;
}

PlacedFace placed(const FaceForm& form,
                  const Arrangement& asked,
                  const std::vector<Motif>& motifs) {
  return arrange(
             {{"wall", form, {}}}, {asked}, motifs, unfired(), {.least_gap_mm = 0.0, .tool = {}})
      .faces.at(0);
}

std::string complaint(const FaceForm& form,
                      const Arrangement& asked,
                      const std::vector<Motif>& motifs) {
  try {
    placed(form, asked, motifs);
  } catch (const GeometryError& error) {
    return error.what();
  }
  return "accepted";
}

// No two of the copies touch when each is grown by half the distance.
void expect_apart(const PlacedFace& face, const Motif& motif, double apart_mm) {
  const Rings paper = {
      {{0, 0}, {motif.width_mm, 0}, {motif.width_mm, motif.height_mm}, {0, motif.height_mm}}};
  TakenSpots taken(face.surface);
  for (std::size_t i = 0; i < face.placements.size(); ++i) {
    const Placement& p = face.placements[i];
    const Rings grown = outlines_grown(transformed(paper, p.copy_from_motif(motif)), apart_mm / 2);
    const Rings outline = on_face(face.surface, p.at, grown);
    EXPECT_FALSE(taken.touched(outline).has_value()) << "number " << p.id;
    taken.add(outline, i);
  }
}

constexpr double kPi = std::numbers::pi;

TEST(LayBand, OnAConeTheGapIsKeptWhereTheRowIsNarrowest) {
  // Circumferences 220 and 264 over a slant of 98.5: copies fan out with the wall.
  const ConeFace cone{220.0, 264.0, 98.5};
  const Motif shell = frame("shell", 20, 30);
  Arrangement asked = styled(Style::band, {"shell"}, 5.0);
  const PlacedFace face = placed(cone, asked, {shell});
  const double middle = (220.0 + 264.0) / 2.0;
  EXPECT_GE(face.reports[0].gap_mm, 5.0);
  EXPECT_LT(face.reports[0].seam_error_mm, 1e-4);
  const auto n = face.placements.size();
  EXPECT_EQ(n, 9U);  // floor(242 / (20 + 5 and a little))
  for (std::size_t i = 0; i < n; ++i) {
    const double due = 360.0 * (static_cast<double>(i) + 0.5) / static_cast<double>(n);
    EXPECT_NEAR(face.placements[i].at.across, due, 1e-5);  // i C / n, never by adding
  }
  expect_apart(face, shell, 5.0 - 0.02);
  EXPECT_GT(middle / 9 - 20.0, face.reports[0].gap_mm);  // straight sides stand off the meridians
}

TEST(LayRows, OnABellyEachRowTakesItsOwnCount) {
  TurnedFace belly{{{0, 250}, {60, 372}, {120, 250}}};
  const Motif shell = frame("shell", 30, 22);
  for (const Style style : {Style::rows, Style::brick}) {
    const PlacedFace face = placed(belly, styled(style, {"shell"}, 4.0), {shell});
    std::map<double, int> counts;
    for (const Placement& p : face.placements) ++counts[p.at.along];
    ASSERT_GE(counts.size(), 4U);
    std::set<int> different;
    for (const auto& [along, count] : counts) {
      // Where the wall is steep, straight sides need a little more than their width.
      const int flat = static_cast<int>(face.surface.width_mm(along) / 34.0);
      EXPECT_LE(count, flat);
      EXPECT_GE(count, flat - 1);
      different.insert(count);
    }
    EXPECT_GT(different.size(), 1U);
    EXPECT_LT(face.reports[0].seam_error_mm, 0.1);
    EXPECT_GE(face.reports[0].notes.size(), 3U + counts.size());  // each row is told
    expect_apart(face, shell, 3.9);
  }
}

TEST(LayRows, WithOneCountForAllNarrowerRowsAreSmaller) {
  TurnedFace belly{{{0, 250}, {60, 372}, {120, 250}}};
  Arrangement asked = styled(Style::rows, {"shell"}, 4.0);
  asked.same_count = true;
  const PlacedFace face = placed(belly, asked, {frame("shell", 30, 22)});
  std::map<double, std::vector<double>> scales;
  for (const Placement& p : face.placements) scales[p.at.along].push_back(p.change.scale);
  double largest = 0.0;
  for (const auto& [along, list] : scales) {
    EXPECT_EQ(list.size(), scales.begin()->second.size());
    largest = std::max(largest, list.front());
  }
  EXPECT_NEAR(largest, 1.0, 1e-9);
  for (const auto& [along, list] : scales) {
    for (const auto& [other, others] : scales) {
      EXPECT_NEAR(list.front() / others.front(),
                  face.surface.width_mm(along) / face.surface.width_mm(other),
                  1e-6);
    }
  }
}

TEST(LayBrick, EverySecondRowStandsHalfACopyAside) {
  const PlacedFace face = placed(
      CylinderFace{300, 100}, styled(Style::brick, {"shell"}, 5.0), {frame("shell", 25, 20)});
  ASSERT_EQ(face.placements.size(), 40U);  // 4 rows of 10
  for (std::size_t i = 0; i < 10; ++i) {
    const double aside = face.placements[10 + i].at.across - face.placements[i].at.across;
    EXPECT_NEAR(std::remainder(aside, 360.0), 18.0, 1e-4);
    EXPECT_NEAR(face.placements[20 + i].at.across, face.placements[i].at.across, 1e-9);
  }
}

TEST(LayHalfDrop, ColumnsHangHalfARowLowerAndCloseOnEvenCountsOnly) {
  const Motif shell = frame("shell", 25, 20);
  // 251.3274 round holds 8 of 25 + 6; 230 would hold 7, so six stand there.
  for (const auto& [around, due] : {std::pair{251.3274, 8}, {230.0, 6}}) {
    const PlacedFace face =
        placed(CylinderFace{around, 100}, styled(Style::half_drop, {"shell"}, 6.0), {shell});
    const int rows = face.reports[0].rows;
    ASSERT_EQ(face.placements.size(), static_cast<std::size_t>(rows * due));
    const double pitch =
        face.placements[0].at.along - face.placements[static_cast<std::size_t>(due)].at.along;
    EXPECT_NEAR(face.placements[0].at.along - face.placements[1].at.along, pitch / 2.0, 2e-4);
    expect_apart(face, shell, 5.9);
  }
  Arrangement odd = styled(Style::half_drop, {"shell"}, 6.0);
  odd.count = 7;
  const std::string text = complaint(CylinderFace{251.3274, 100}, odd, {shell});
  EXPECT_NE(text.find("7 copies do not close"), std::string::npos) << text;
  EXPECT_NE(text.find("ask for 6 or 8"), std::string::npos) << text;
}

TEST(LayBand, AnAskedCountThatCannotCloseIsRefusedWithTheNearest) {
  Arrangement asked = styled(Style::band, {"shell"}, 5.0);
  asked.mirror = Mirroring::alternate;
  asked.count = 7;
  const Motif shell = frame("shell", 30, 20);
  EXPECT_NE(complaint(CylinderFace{400, 100}, asked, {shell}).find("ask for 6 or 8"),
            std::string::npos);
  asked.count = 8;
  EXPECT_EQ(placed(CylinderFace{400, 100}, asked, {shell}).placements.size(), 8U);
  asked.count = 20;
  const std::string text = complaint(CylinderFace{400, 100}, asked, {shell});
  EXPECT_NE(text.find("20 copies need 700.0 mm"), std::string::npos) << text;
}

TEST(LayBand, SizesGiveWaySoThatTheGapStaysAsAsked) {
  // Scale at n and n + 1 for an exact gap, the one nearest 1 taken: C 314.1593, w 28, gap 4 gives
  // 1.1038067 at 9 and 0.9791404 at 10 (worked by hand from (C / n - g) / w).
  Arrangement asked = styled(Style::band, {"shell"}, 4.0);
  asked.size_give_percent = 5.0;
  const PlacedFace face = placed(CylinderFace{314.1593, 100}, asked, {frame("shell", 28, 20)});
  EXPECT_EQ(face.placements.size(), 10U);
  EXPECT_NEAR(face.placements[0].change.scale, 0.9791404, 1e-6);
  EXPECT_NEAR(face.reports[0].gap_mm, 4.0, 1e-6);
  asked.size_give_percent = 1.0;  // not enough: the gap gives way instead
  EXPECT_EQ(placed(CylinderFace{314.1593, 100}, asked, {frame("shell", 28, 20)}).placements.size(),
            9U);
}

// The seven frieze groups: applying a generator to the band gives the same band. Images of a motif
// that has no symmetry of its own are told apart by mirroring and turn.
struct Sign {
  double x, y;
  bool mirrored;
  double turn;
};

std::vector<Sign> signs(Frieze frieze) {
  Arrangement asked = styled(Style::band, {"kelp", "tern"}, 5.0);
  asked.frieze = frieze;
  const PlacedFace face =
      placed(CylinderFace{720, 100}, asked, {frame("kelp", 20, 25), frame("tern", 30, 25)});
  std::vector<Sign> out;
  for (const Placement& p : face.placements) {
    out.push_back({p.at.across, p.at.along - 50.0, p.change.mirrored, p.change.turn_deg});
  }
  return out;
}

bool same_band(const std::vector<Sign>& band, const std::vector<Sign>& image) {
  for (const Sign& i : image) {
    bool found = false;
    for (const Sign& s : band) {
      const double dx = std::remainder(s.x - i.x, 360.0);
      const double turn = std::remainder(s.turn - i.turn, 360.0);
      found |= std::abs(dx) < 1e-3 && std::abs(s.y - i.y) < 1e-3 && s.mirrored == i.mirrored &&
               std::abs(turn) < 1e-6;
    }
    if (!found) return false;
  }
  return true;
}

std::vector<Sign> mapped(std::vector<Sign> band, double flip_x, double flip_y, double shift) {
  for (Sign& s : band) {
    s.x = flip_x * s.x + shift;
    s.y = flip_y * s.y;
    // Mirroring left to right turns the other way; upside down is that and half a turn.
    if (flip_x * flip_y < 0.0) {
      s.mirrored = !s.mirrored;
      s.turn = -s.turn;
    }
    if (flip_y < 0.0) s.turn += 180.0;
  }
  return band;
}

TEST(LayBand, TheSevenFriezesHaveTheSymmetriesOfTheirGroups) {
  // Source: International Tables for Crystallography, vol. E, frieze groups (from memory).
  struct Group {
    Frieze frieze;
    bool upright, glide, half_turn, lengthways;
  };
  for (const Group& g : {Group{Frieze::plain, false, false, false, false},
                         {Frieze::glide, false, true, false, false},
                         {Frieze::mirror, true, false, false, false},
                         {Frieze::half_turn, false, false, true, false},
                         {Frieze::mirror_turn, true, true, true, false},
                         {Frieze::reflect, false, true, false, true},
                         {Frieze::reflect_both, true, true, true, true}}) {
    const std::vector<Sign> band = signs(g.frieze);
    ASSERT_GE(band.size(), 4U) << name_of(g.frieze);
    bool upright = false, glide = false, half_turn = false;
    // Mirror lines and turning points stand at whole and half steps between copies.
    std::set<double> shifts;
    for (const Sign& a : band) {
      for (const Sign& b : band) {
        shifts.insert(std::round((a.x + b.x) * 1e4) / 1e4);
        if (shifts.size() > 400) break;
      }
    }
    for (const double shift : shifts) {
      upright |= same_band(band, mapped(band, -1, 1, shift));
      half_turn |= same_band(band, mapped(band, -1, -1, shift));
    }
    for (const Sign& b : band) {
      glide |= same_band(band, mapped(band, 1, -1, b.x - band[0].x));
    }
    EXPECT_EQ(upright, g.upright) << name_of(g.frieze);
    EXPECT_EQ(half_turn, g.half_turn) << name_of(g.frieze);
    EXPECT_EQ(glide, g.glide) << name_of(g.frieze);
    EXPECT_EQ(same_band(band, mapped(band, 1, -1, 0)), g.lengthways) << name_of(g.frieze);
  }
}

TEST(LayRing, CopiesStandOutwardAtEqualAngles) {
  Arrangement asked = styled(Style::ring, {"shell"}, 4.0);
  asked.radius_mm = 60.0;
  asked.count = 8;
  const Motif shell = frame("shell", 25, 30);
  const PlacedFace face = placed(FlatFace{220, 220}, asked, {shell});
  ASSERT_EQ(face.placements.size(), 8U);
  for (std::size_t i = 0; i < 8; ++i) {
    const double turn = 2.0 * kPi * static_cast<double>(i) / 8.0;
    EXPECT_NEAR(face.placements[i].at.across, 110.0 + 60.0 * std::sin(turn), 1e-3);
    EXPECT_NEAR(face.placements[i].at.along, 110.0 - 60.0 * std::cos(turn), 1e-3);
  }
  expect_apart(face, shell, 4.0 - 1e-6);
  asked.count = 12;
  EXPECT_NE(complaint(FlatFace{220, 220}, asked, {shell}).find("at most 9"), std::string::npos)
      << complaint(FlatFace{220, 220}, asked, {shell});
}

TEST(LayRows, ARunOfTilesGoesOnOverItsJoints) {
  // Tiles of 150 mm with joints of 3 mm: the gap over the joint is the gap within the tile.
  const PlacedFace face = placed(
      FlatFace{150, 150, {}, 3.0}, styled(Style::band, {"shell"}, 6.0), {frame("shell", 40, 20)});
  ASSERT_EQ(face.placements.size(), 3U);
  const double gap = face.placements[1].at.across - face.placements[0].at.across - 40.0;
  const double to_edge = face.placements[0].at.across - 20.0;
  EXPECT_NEAR(2.0 * to_edge + 3.0, gap, 1e-3);
}

TEST(LayScatter, MoreCopiesThanAnybodyPlacesAreRefusedBeforeTheyAreSought) {
  const Motif speck = frame("speck", 1.5, 1.5);
  for (const std::optional<double> percent : {std::optional<double>(), {20.0}}) {
    Arrangement asked = styled(Style::scatter, {"speck"}, 1.0);
    asked.coverage_percent = percent;
    const std::string text = complaint(FlatFace{2000, 3000, {}, 0.0}, asked, {speck});
    EXPECT_NE(text.find("there is room for about "), std::string::npos) << text;
    EXPECT_NE(text.find("at most 5000"), std::string::npos) << text;
  }
}

TEST(LayRows, ShapedFacesKeepCopiesInsideTheirOutline) {
  std::vector<Vec2> disc;
  for (int i = 0; i < 90; ++i) {
    const double turn = kPi * i / 45.0;
    disc.push_back({100.0 + 100.0 * std::cos(turn), 100.0 + 100.0 * std::sin(turn)});
  }
  const Motif shell = frame("shell", 20, 20);
  const PlacedFace face =
      placed(FlatFace{200, 200, {disc}}, styled(Style::rows, {"shell"}, 5.0), {shell});
  EXPECT_GT(face.placements.size(), 30U);
  EXPECT_GT(face.reports[0].left_out, 8);
  for (const Placement& p : face.placements) {
    for (const double dx : {-9.5, 9.5}) {
      for (const double dy : {-9.5, 9.5}) {
        EXPECT_LT(std::hypot(p.at.across + dx - 100.0, p.at.along + dy - 100.0), 100.0);
      }
    }
  }
}

}  // namespace
}  // namespace underdraw
