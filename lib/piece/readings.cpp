#include "piece/readings.h"

#include <algorithm>
#include <cmath>
#include <numbers>

#include <fmt/format.h>

#include "core/error.h"
#include "piece/creasing.h"
#include "piece/surface.h"

namespace underdraw {
namespace {

constexpr double kPi = std::numbers::pi;

[[noreturn]] void refuse(std::string found, std::string expected, std::string remedy) {
  throw GeometryError({.file = {},
                       .line = {},
                       .found = std::move(found),
                       .expected = std::move(expected),
                       .remedy = std::move(remedy)});
}

bool agree(double a, double b) { return std::abs(a - b) <= kReadingsAgree * std::max(a, b); }

std::string where(const std::string& what) { return what.empty() ? what : " " + what; }

void check_round(double circumference, double diameter, const std::string& what) {
  if (agree(circumference, kPi * diameter)) return;
  refuse(fmt::format("a circumference of {:g} mm and a diameter of {:g} mm{} contradict each other",
                     circumference,
                     diameter,
                     where(what)),
         fmt::format("{:.1f} mm round for that diameter, within 2 %", kPi * diameter),
         "measure both again; on an oval give the circumference alone");
}

double slant_of(double wider, double height, double slant, const std::string& height_name) {
  const double expected = std::hypot(wider, height);
  if (agree(slant, expected)) return slant;
  refuse(
      slant < height
          ? fmt::format(
                "a slant of {:g} mm is shorter than the {} of {:g} mm", slant, height_name, height)
          : fmt::format("a slant of {:g} mm and a {} of {:g} mm contradict each other",
                        slant,
                        height_name,
                        height),
      fmt::format("a slant of {:.1f} mm, within 2 %", expected),
      "measure both again, or give one");
}

void check_slant_spans(double slant, double wider) {
  if (slant >= wider) return;
  refuse(fmt::format("a slant of {:g} mm is shorter than the {:.1f} mm by which the radius changes",
                     slant,
                     wider),
         "a slant at least as long",
         "measure again along the wall");
}

// What the curvature may be off by, from what each reading may be off by.
struct Doubt {
  double at = 0.0, low = 0.0, high = 0.0;  // sizes, without sign
};

Doubt patch_doubt(const PatchFace& patch, double tape_mm) {
  // Tape and chord are read on their own, so their difference, which is what the curvature rests
  // on, is off by the root of two.
  const double off = std::numbers::sqrt2 * tape_mm;
  const auto bend = [](double tape, double chord) {
    return bend_per_mm(tape, std::clamp(chord, tape * 2.0 / kPi, tape));
  };
  Doubt out{1.0, 0.0, 0.0};
  double up = 0.0, down = 0.0, most = 1.0;
  bool straight = false;
  for (const auto& [tape, chord] : {std::pair{patch.across_mm, patch.across_chord_mm},
                                    std::pair{patch.up_mm, patch.up_chord_mm}}) {
    const double at = bend(tape, chord);
    const double low = bend(tape, chord + off);
    const double high = bend(tape, chord - off);
    out.at *= at;
    most *= high;
    if (at <= 0.0) {
      straight = true;
      continue;
    }
    up += (high / at - 1.0) * (high / at - 1.0);
    down += (1.0 - low / at) * (1.0 - low / at);
  }
  out.low = straight ? 0.0 : out.at * std::max(0.0, 1.0 - std::sqrt(down));
  out.high = straight ? most : out.at * (1.0 + std::sqrt(up));
  return out;
}

Doubt wall_doubt(const Face& face, const TurnedFace& wall) {
  const Surface surface = surface_of(face);
  const double length = surface.along_mm();
  const double reach = std::max(length / 12.0, std::min(10.0, length / 2.0));
  double worst_share = 0.5, worst = 0.0;
  for (int i = 0; i <= 60; ++i) {
    const double k = std::abs(surface.gaussian_curvature({0.0, length * i / 60.0}, reach));
    if (k > worst) worst = k, worst_share = i / 60.0;
  }
  // Every reading moved a little, its effect taken as far as the tape may be off.
  constexpr double kLittle = 0.05;
  double sum = 0.0;
  const auto effect_of = [&](std::size_t i, bool of_height) {
    for (const double sign : {1.0, -1.0}) {
      Face moved = face;
      ProfileReading& reading = std::get<TurnedFace>(moved.form).readings[i];
      (of_height ? reading.at_mm : reading.circumference_mm) += sign * kLittle * face.tape_mm;
      try {
        const Surface other = surface_of(moved);
        const double s = other.along_mm() * worst_share;
        return (std::abs(other.gaussian_curvature({0.0, s}, reach)) - worst) / kLittle;
      } catch (const GeometryError&) {
        continue;  // as steep as a wall can be; the other way is open
      }
    }
    return 0.0;
  };
  for (std::size_t i = 0; i < wall.readings.size(); ++i) {
    sum += std::pow(effect_of(i, false), 2);
    if (i > 0) sum += std::pow(effect_of(i, true), 2);
  }
  const double doubt = std::sqrt(sum);
  return {worst, std::max(0.0, worst - doubt), worst + doubt};
}

std::string in_words(const DoubtfulSize& size) {
  if (!size.high_mm) return fmt::format("at least {:.0f} mm", size.low_mm);
  return fmt::format("{:.0f} to {:.0f} mm", size.low_mm, *size.high_mm);
}

}  // namespace

double circumference_from(std::optional<double> circumference_mm,
                          std::optional<double> diameter_mm,
                          const std::string& what) {
  if (circumference_mm && diameter_mm) check_round(*circumference_mm, *diameter_mm, what);
  if (circumference_mm) return *circumference_mm;
  if (diameter_mm) return kPi * *diameter_mm;
  refuse(fmt::format("nothing says how far round the face is{}", where(what)),
         "a circumference or a diameter",
         "measure round it with a tape");
}

double diameter_from(std::optional<double> diameter_mm,
                     std::optional<double> circumference_mm,
                     const std::string& what) {
  if (circumference_mm && diameter_mm) check_round(*circumference_mm, *diameter_mm, what);
  if (diameter_mm) return *diameter_mm;
  if (circumference_mm) return *circumference_mm / kPi;
  refuse(fmt::format("nothing says how wide the face is{}", where(what)),
         "a diameter or a circumference",
         "measure across it");
}

double cone_slant_mm(double foot_circumference_mm,
                     double rim_circumference_mm,
                     std::optional<double> height_mm,
                     std::optional<double> slant_mm) {
  const double wider = std::abs(rim_circumference_mm - foot_circumference_mm) / (2.0 * kPi);
  if (slant_mm) check_slant_spans(*slant_mm, wider);
  if (slant_mm && height_mm) return slant_of(wider, *height_mm, *slant_mm, "height");
  if (slant_mm) return *slant_mm;
  if (height_mm) return std::hypot(wider, *height_mm);
  refuse("nothing says how high the cone is", "a height or a slant", "measure along its wall");
}

double ring_slant_mm(double inner_diameter_mm,
                     double outer_diameter_mm,
                     std::optional<double> height_mm,
                     std::optional<double> slant_mm) {
  if (!(outer_diameter_mm > inner_diameter_mm)) {
    refuse(fmt::format("a ring has an outer diameter of {:g} mm and an inner one of {:g} mm",
                       outer_diameter_mm,
                       inner_diameter_mm),
           "an outer diameter above the inner one",
           "measure both again");
  }
  const double wider = (outer_diameter_mm - inner_diameter_mm) / 2.0;
  if (slant_mm) {
    // A flat ring's slant is its width, and a ruler that reads a little less must not matter.
    const double slant = agree(*slant_mm, wider) ? std::max(*slant_mm, wider) : *slant_mm;
    check_slant_spans(slant, wider);
    return height_mm ? slant_of(wider, *height_mm, slant, "height") : slant;
  }
  return std::hypot(wider, height_mm.value_or(0.0));
}

double bend_per_mm(double tape_mm, double chord_mm) {
  // sin(u) / u falls from 1 to 2 / pi as u goes from 0 to a quarter turn.
  const double ratio = chord_mm / tape_mm;
  if (ratio >= 1.0) return 0.0;
  double low = 0.0, high = kPi / 2.0;
  for (int i = 0; i < 60; ++i) {
    const double u = (low + high) / 2.0;
    (std::sin(u) / u > ratio ? low : high) = u;
  }
  return (low + high) / tape_mm;
}

TapeEffect tape_effect(const Face& face, int gaps, double factor, double strain_limit_percent) {
  const Surface surface = surface_of(face, factor);
  TapeEffect out;
  out.tape_mm = face.tape_mm;
  out.text = fmt::format("The tape may be off by {:g} mm.", face.tape_mm);
  if (surface.round()) {
    // A ring is measured across.
    const double per_reading = std::holds_alternative<RingFace>(face.form) ? kPi : 1.0;
    out.seam_mm = per_reading * face.tape_mm * factor;
    out.gap_mm = out.seam_mm / std::max(gaps, 1);
    out.text += fmt::format(
        " Left at the seam that would be {:.1f} mm; spread over {} gap{} it is "
        "{:.2f} mm in each.",
        out.seam_mm,
        std::max(gaps, 1),
        gaps > 1 ? "s" : "",
        out.gap_mm);
  }
  std::optional<Doubt> doubt;
  double sign = 1.0;
  if (const auto* ball = std::get_if<BallFace>(&face.form)) {
    const auto curvature = [&](double circumference) {
      return std::pow(2.0 * kPi / circumference, 2);
    };
    doubt = Doubt{curvature(ball->circumference_mm),
                  curvature(ball->circumference_mm + face.tape_mm),
                  curvature(ball->circumference_mm - face.tape_mm)};
  } else if (const auto* patch = std::get_if<PatchFace>(&face.form)) {
    doubt = patch_doubt(*patch, face.tape_mm);
    sign = patch->saddle ? -1.0 : 1.0;
  } else if (const auto* wall = std::get_if<TurnedFace>(&face.form)) {
    if (!surface.developable()) doubt = wall_doubt(face, *wall);
  }
  if (!doubt || doubt->high <= 0.0) return out;
  const double per_area = 1.0 / (factor * factor);
  out.curvature_per_mm2 = sign * doubt->at * per_area;
  out.curvature_doubt_per_mm2 = (doubt->high - doubt->low) / 2.0 * per_area;
  const auto largest = [&](double curvature) {
    const auto radius = flat_disc_radius_mm(sign * curvature * per_area, strain_limit_percent);
    return radius ? std::optional(2.0 * *radius) : std::nullopt;
  };
  out.largest_flat = {*largest(doubt->high), largest(doubt->low)};
  if (doubt->at > 0.0) {
    out.text += fmt::format(
        " The curvature is known within {:.0f} %: paper lies flat up to {} across, to the best of "
        "the readings {:.0f} mm.",
        100.0 * (doubt->high - doubt->low) / 2.0 / doubt->at,
        in_words(out.largest_flat),
        *largest(doubt->at));
  } else {
    out.text += fmt::format(
        " No curvature was found, but the tape leaves room for some: paper "
        "lies flat up to {} across.",
        in_words(out.largest_flat));
  }
  return out;
}

}  // namespace underdraw
