#include "sheet/strain_picture.h"

#include <algorithm>
#include <cmath>

#include <fmt/format.h>

#include "sheet/shapes.h"
#include "sheet/template_part.h"
#include "sheet/text_width.h"

namespace underdraw {
namespace {

constexpr int kColumns = 60;
constexpr int kRows = 40;
constexpr int kLevels = 9;         // the middle one is true to length
constexpr double kDarkest = 0.45;  // paper too long
constexpr double kPartGap = 2.5;
constexpr double kLegendMm = 12.0;
constexpr double kTitleSize = 2.9;
constexpr double kSmallSize = 2.4;
constexpr double kLeastPercent = 0.05;  // shown as nothing below
constexpr Grey kQuiet{0.35};

double largest_percent(const FaceTemplate& shape) {
  return std::max({std::abs(shape.largest.across), std::abs(shape.largest.along), kLeastPercent});
}

Grey grey_of(int level) { return {std::lerp(1.0, kDarkest, level / (kLevels - 1.0))}; }

// 0: far too short, light; kLevels - 1: far too long, dark.
int level_of(double percent, double most) {
  const double share = std::clamp((1.0 - percent / most) / 2.0, 0.0, 1.0);
  return std::min(kLevels - 1, static_cast<int>(share * kLevels));
}

// Each step lies on the one before, so that no gap shows between them.
std::vector<Mark> fields(const TemplatePart& part,
                         StrainWay way,
                         double most,
                         const Affine& page_from_part) {
  const FaceSpan& span = part.covers;
  const auto at = [&](int i, int j) {
    return FacePoint{std::lerp(span.across_from, span.across_to, i * 1.0 / kColumns),
                     std::lerp(span.along_from, span.along_to, j * 1.0 / kRows)};
  };
  std::vector<std::vector<int>> levels(kRows, std::vector<int>(kColumns, -1));
  for (int j = 0; j < kRows; ++j) {
    for (int i = 0; i < kColumns; ++i) {
      const FacePoint a = at(i, j), b = at(i + 1, j + 1);
      const FacePoint middle{(a.across + b.across) / 2.0, (a.along + b.along) / 2.0};
      if (!part.map->on_paper(middle)) continue;
      const Strain strain = part.strain_at(middle);
      levels[static_cast<std::size_t>(j)][static_cast<std::size_t>(i)] =
          level_of(way == StrainWay::across ? strain.across : strain.along, most);
    }
  }
  std::vector<Mark> out;
  for (int level = 1; level < kLevels; ++level) {
    PathMark mark;
    mark.line_width_mm = 0.0;
    mark.filled = true;
    mark.fill = grey_of(level);
    for (int j = 0; j < kRows; ++j) {
      for (int i = 0; i < kColumns; ++i) {
        if (levels[static_cast<std::size_t>(j)][static_cast<std::size_t>(i)] < level) continue;
        std::vector<Vec2> ring;
        // A cell's own paper: towards its middle a little, so that no corner falls over a cut.
        const FacePoint a = at(i, j), b = at(i + 1, j + 1);
        const double dx = 1e-4 * (b.across - a.across);
        for (const FacePoint p : {FacePoint{a.across + dx, a.along},
                                  FacePoint{b.across - dx, a.along},
                                  FacePoint{b.across - dx, b.along},
                                  FacePoint{a.across + dx, b.along}}) {
          ring.push_back(page_from_part * part.part_from_face(p));
        }
        // A cell over a cut would span it.
        const double longest = std::max(distance(ring[0], ring[1]), distance(ring[3], ring[2]));
        const double wide =
            page_from_part.length_factor() * (b.across - a.across) *
            std::max(part.surface.mm_per_across(a.along), part.surface.mm_per_across(b.along));
        if (longest > 1.4 * wide + 0.1) continue;
        mark.paths.push_back(Path::polyline(ring, true));
      }
    }
    if (!mark.paths.empty()) out.emplace_back(std::move(mark));
  }
  return out;
}

// The most that the paper is too short (above 0) and too long (below), percent.
struct Extremes {
  double low = 0.0, high = 0.0;
};
Extremes extremes(const FaceTemplate& shape, StrainWay way) {
  Extremes out;
  const std::size_t count = shape.kind == TemplateKind::gores ? 1 : shape.parts.size();
  constexpr int kSteps = 24;
  for (std::size_t p = 0; p < count; ++p) {
    const FaceSpan& span = shape.parts[p].covers;
    for (int i = 0; i <= kSteps; ++i) {
      for (int j = 0; j <= kSteps; ++j) {
        const Strain strain =
            shape.parts[p].strain_at({std::lerp(span.across_from, span.across_to, i * 1.0 / kSteps),
                                      std::lerp(span.along_from, span.along_to, j * 1.0 / kSteps)});
        const double here = way == StrainWay::across ? strain.across : strain.along;
        out.low = std::min(out.low, here);
        out.high = std::max(out.high, here);
      }
    }
  }
  return out;
}

std::string way_words(const Extremes& most, const char* way) {
  const bool is_long = most.low <= -kLeastPercent, is_short = most.high >= kLeastPercent;
  if (is_long && is_short) {
    return fmt::format(
        "at most {:.1f} % too long and {:.1f} % too short {}", -most.low, most.high, way);
  }
  if (is_long) return fmt::format("at most {:.1f} % too long {}", -most.low, way);
  if (is_short) return fmt::format("at most {:.1f} % too short {}", most.high, way);
  return fmt::format("true {}", way);
}

}  // namespace

PartsPicture parts_picture(const FaceTemplate& shape, const Box& box) {
  PartsPicture out;
  const std::size_t count = shape.kind == TemplateKind::gores ? 1 : shape.parts.size();
  double widest = 0.0, tall = 0.0;
  for (std::size_t i = 0; i < count; ++i) {
    out.parts.push_back(count - 1 - i);  // the foot's part lies lowest
    widest = std::max(widest, shape.parts[i].width_mm);
    tall += shape.parts[i].height_mm;
  }
  const double gaps = kPartGap * static_cast<double>(count - 1);
  out.scale = std::min({1.0, box.width() / widest, (box.height() - gaps) / tall});
  double y = box.min.y;
  for (const std::size_t i : out.parts) {
    const TemplatePart& part = shape.parts[i];
    const double x = box.centre().x - out.scale * part.width_mm / 2.0;
    out.page_from_part.push_back(Affine::translate({x, y}) * Affine::scale(out.scale));
    y += out.scale * part.height_mm + kPartGap;
  }
  out.height_mm = y - kPartGap - box.min.y;
  return out;
}

StrainPicture strain_picture(const FaceTemplate& shape, StrainWay way, const Box& box) {
  StrainPicture out;
  const double most = largest_percent(shape);
  out.marks.emplace_back(TextMark{way == StrainWay::across ? "Across" : "Along, up the wall",
                                  {box.centre().x, box.min.y + kTitleSize},
                                  kTitleSize,
                                  Align::centre,
                                  true,
                                  0.0,
                                  {}});
  const Box room{{box.min.x, box.min.y + 6.0}, {box.max.x, box.max.y - kLegendMm}};
  const PartsPicture picture = parts_picture(shape, room);
  for (std::size_t i = 0; i < picture.parts.size(); ++i) {
    const TemplatePart& part = shape.parts[picture.parts[i]];
    const Affine& page_from_part = picture.page_from_part[i];
    for (Mark& mark : fields(part, way, most, page_from_part)) out.marks.push_back(std::move(mark));
    out.marks.push_back(moved(outline_mark(part, 0.25), page_from_part));
  }
  // From too short to too long.
  const double y = room.min.y + picture.height_mm + 4.0;
  const double wide = std::min(5.0, box.width() / (kLevels + 2.0));
  const double left = box.centre().x - wide * kLevels / 2.0;
  for (int level = 0; level < kLevels; ++level) {
    PathMark cell;
    cell.filled = true;
    cell.fill = grey_of(level);
    cell.line_width_mm = 0.1;
    cell.line = {0.4};
    cell.paths = {rectangle({{left + wide * level, y}, {left + wide * (level + 1), y + 3.0}})};
    out.marks.emplace_back(std::move(cell));
  }
  const auto label = [&](const std::string& words, double x) {
    out.marks.emplace_back(
        TextMark{words, {x, y + 6.2}, kSmallSize, Align::centre, false, 0.0, kQuiet});
  };
  label(fmt::format("{:.1f} % short", most), left + wide / 2.0);
  label("true", left + wide * kLevels / 2.0);
  label(fmt::format("{:.1f} % long", most), left + wide * (kLevels - 0.5));
  out.height_mm = y + 8.0 - box.min.y;
  return out;
}

std::string strain_words(const FaceTemplate& shape) {
  if (shape.exact) return "the paper lies on the face without strain";
  return fmt::format("the paper is {}, and {}",
                     way_words(extremes(shape, StrainWay::across), "across"),
                     way_words(extremes(shape, StrainWay::along), "along, up the wall"));
}

}  // namespace underdraw
