#include "piece/face_template.h"

#include <algorithm>
#include <array>
#include <cmath>
#include <functional>
#include <numbers>

#include <fmt/format.h>

#include "core/error.h"
#include "piece/template_fit.h"

namespace underdraw {
namespace {

constexpr double kSmoothMm = 0.004;  // outlines stay this near to the true curve
constexpr double kStraightMm = 1e-7;
constexpr double kProbeMm = 0.02;  // over which strain is measured
constexpr double kProbeDeg = 0.2;  // at most, near a pole
constexpr int kStrainRows = 48;
constexpr int kStrainColumns = 16;
constexpr double kFewestTurns = 1e-4;  // rad: a net that bends less is a rectangle
constexpr std::array<const char*, 6> kKindNames = {
    "rectangle", "outline", "sector", "bands", "gores", "darted"};

double off_chord(Vec2 p, Vec2 a, Vec2 b) {
  const Vec2 ab = b - a;
  const double square = dot(ab, ab);
  const double t = square > 0.0 ? std::clamp(dot(p - a, ab) / square, 0.0, 1.0) : 0.0;
  return distance(p, a + ab * t);
}

// The curve as few enough straight pieces.
Polyline traced(const std::function<Vec2(double)>& curve, double from, double to) {
  const auto points = [&](int n) {
    Polyline out;
    for (int i = 0; i <= n; ++i) out.push_back(curve(from + (to - from) * i / n));
    return out;
  };
  Polyline fine = points(8);
  double bend = 0.0;
  for (const Vec2 p : fine) bend = std::max(bend, off_chord(p, fine.front(), fine.back()));
  if (bend < kStraightMm) return {fine.front(), fine.back()};
  for (int n = 16; n <= 4096; n *= 2) {
    fine = points(n);
    bend = 0.0;
    for (std::size_t i = 1; i + 1 < fine.size(); i += 2) {
      bend = std::max(bend, off_chord(fine[i], fine[i - 1], fine[i + 1]));
    }
    if (bend < 4.0 * kSmoothMm) break;  // between two points it is a quarter of that
  }
  return fine;
}

void append(std::vector<Vec2>& ring, const Polyline& line) {
  for (const Vec2 p : line) {
    if (ring.empty() || distance(ring.back(), p) > 1e-9) ring.push_back(p);
  }
}

Polyline backward(Polyline line) {
  std::reverse(line.begin(), line.end());
  return line;
}

// What is common to all parts once their edges lie on the map's paper: the move to the top left.
void settle(TemplatePart& part) {
  Box box;
  for (auto& ring : part.outline) {
    if (ring.size() > 1 && distance(ring.front(), ring.back()) < 1e-9) ring.pop_back();
    for (const Vec2 p : ring) box.add(p);
  }
  part.corner = box.min;
  part.width_mm = box.width();
  part.height_mm = box.height();
  for (auto& ring : part.outline) {
    for (Vec2& p : ring) p = p - box.min;
  }
  for (auto* edges : {&part.foot_edges, &part.rim_edges, &part.seam_edges, &part.cuts}) {
    for (Polyline& edge : *edges) {
      for (Vec2& p : edge) p = p - box.min;
    }
  }
}

void orient(std::vector<Vec2>& ring) {
  if (signed_area(ring) < 0.0) std::reverse(ring.begin(), ring.end());
}

// A part between two levels and two lines up the wall.
TemplatePart part_of_span(const Surface& surface,
                          std::string name,
                          const FaceSpan& span,
                          std::shared_ptr<const PartMap> map) {
  TemplatePart part{.name = std::move(name), .covers = span, .surface = surface, .map = map};
  const auto level = [&](double along) {
    return traced(
        [&](double across) {
          return map->paper_from_face({across, along});
        },
        span.across_from,
        span.across_to);
  };
  const auto side = [&](double across) {
    return traced(
        [&](double along) {
          return map->paper_from_face({across, along});
        },
        span.along_from,
        span.along_to);
  };
  const bool upward = surface.round();
  const Polyline from = level(span.along_from), to = level(span.along_to);
  const Polyline left = side(span.across_from), right = side(span.across_to);
  part.foot_edges = {upward ? from : to};
  part.rim_edges = {upward ? to : from};
  part.seam_edges = {left, right};
  std::vector<Vec2> ring;
  append(ring, from);
  append(ring, right);
  append(ring, backward(to));
  append(ring, backward(left));
  orient(ring);
  part.outline = {ring};
  settle(part);
  return part;
}

TemplatePart flat_part(const Surface& surface, const std::string& name) {
  const FaceSpan span{0.0, surface.width_mm(0.0), 0.0, surface.along_mm()};
  auto map = std::make_shared<PlainMap>(surface);
  if (surface.outline().empty()) return part_of_span(surface, name, span, std::move(map));
  TemplatePart part{
      .name = name, .covers = span, .outline = surface.outline(), .surface = surface, .map = map};
  settle(part);
  return part;
}

TemplatePart ribbed_part(const Surface& surface, const std::string& name, const Ribs& ribs) {
  auto map = std::make_shared<RibsMap>(ribs);
  TemplatePart part{.name = name,
                    .covers = {0.0, surface.width_mm(0.0), 0.0, surface.along_mm()},
                    .surface = surface,
                    .map = map};
  const double half = ribs.rib_width_mm() / 2.0;
  const double middle = ribs.length_mm / 2.0;
  const bool cut = ribs.count > 1 && ribs.whole_mm < middle;
  const auto end = [&](int rib, double s) {
    return traced([&](double lateral) { return map->paper_of(rib, lateral, s); }, -half, half);
  };
  const auto edge = [&](int rib, double lateral, double from, double to) {
    return traced([&](double s) { return map->paper_of(rib, lateral, s); }, from, to);
  };
  std::vector<Vec2> ring;
  std::vector<Polyline> low, high;
  for (int rib = 0; rib < ribs.count; ++rib) {
    high.push_back(end(rib, ribs.length_mm));
    append(ring, high.back());
    if (!cut || rib + 1 == ribs.count) continue;
    const Polyline in = edge(rib, half, ribs.length_mm, middle + ribs.whole_mm);
    const Polyline out = edge(rib + 1, -half, middle + ribs.whole_mm, ribs.length_mm);
    append(ring, in);
    append(ring, out);
    part.cuts.push_back({mix(in.front(), out.back(), 0.5), in.back()});
  }
  const Polyline last = edge(ribs.count - 1, half, ribs.length_mm, 0.0);
  append(ring, last);
  for (int rib = ribs.count - 1; rib >= 0; --rib) {
    low.push_back(end(rib, 0.0));
    append(ring, backward(low.back()));
    if (!cut || rib == 0) continue;
    const Polyline in = edge(rib, -half, 0.0, middle - ribs.whole_mm);
    const Polyline out = edge(rib - 1, half, middle - ribs.whole_mm, 0.0);
    append(ring, in);
    append(ring, out);
    part.cuts.push_back({mix(in.front(), out.back(), 0.5), in.back()});
  }
  const Polyline first = edge(0, -half, 0.0, ribs.length_mm);
  append(ring, first);
  orient(ring);
  part.outline = {ring};
  if (ribs.axis_across) {
    part.rim_edges = {first};
    part.foot_edges = {last};
    part.seam_edges = low;
    part.seam_edges.insert(part.seam_edges.end(), high.begin(), high.end());
  } else {
    part.foot_edges = low;
    part.rim_edges = high;
    part.seam_edges = {first, last};
  }
  settle(part);
  return part;
}

double larger(double a, double b) { return std::abs(b) > std::abs(a) ? b : a; }

Strain largest_strain(const TemplatePart& part) {
  Strain out;
  const FaceSpan& span = part.covers;
  for (int i = 0; i <= kStrainRows; ++i) {
    for (int j = 0; j <= kStrainColumns; ++j) {
      const FacePoint at{std::lerp(span.across_from, span.across_to, j * 1.0 / kStrainColumns),
                         std::lerp(span.along_from, span.along_to, i * 1.0 / kStrainRows)};
      const Strain here = part.strain_at(at);
      out.across = larger(out.across, here.across);
      out.along = larger(out.along, here.along);
      out.largest = larger(out.largest, here.largest);
    }
  }
  return out;
}

void add_largest(FaceTemplate& out) {
  // Gores are all alike.
  const std::size_t count = out.kind == TemplateKind::gores ? 1 : out.parts.size();
  for (std::size_t i = 0; i < count; ++i) {
    const Strain part = largest_strain(out.parts[i]);
    out.largest.across = larger(out.largest.across, part.across);
    out.largest.along = larger(out.largest.along, part.along);
    out.largest.largest = larger(out.largest.largest, part.largest);
  }
}

std::string counted(std::size_t count, const char* one) {
  return fmt::format("{} {}{}", count, one, count == 1 ? "" : "s");
}

FaceTemplate banded(const Surface& surface, const std::vector<Band>& bands) {
  FaceTemplate out{.kind = TemplateKind::bands, .exact = false};
  double worst = 0.0;
  for (std::size_t i = 0; i < bands.size(); ++i) {
    const FaceSpan span{0.0, 360.0, bands[i].from_mm, bands[i].to_mm};
    out.parts.push_back(part_of_span(surface,
                                     fmt::format("band {} of {}", i + 1, bands.size()),
                                     span,
                                     std::make_shared<SectorMap>(span, bands[i].net)));
    worst = std::max(worst, bands[i].strain);
  }
  out.strain_percent = 100.0 * worst;
  return out;
}

FaceTemplate gored(const Surface& surface, const Gores& gores) {
  FaceTemplate out{.kind = TemplateKind::gores, .exact = false};
  for (int i = 0; i < gores.count; ++i) {
    const FaceSpan span{
        360.0 * i / gores.count, 360.0 * (i + 1) / gores.count, 0.0, surface.along_mm()};
    if (i == 0) {
      out.parts.push_back(
          part_of_span(surface, {}, span, std::make_shared<StripMap>(span, gores.levels)));
    } else {
      TemplatePart part = out.parts.front();
      part.covers = span;
      part.map = std::make_shared<StripMap>(span, gores.levels);
      out.parts.push_back(std::move(part));
    }
    out.parts.back().name = fmt::format("gore {} of {}", i + 1, gores.count);
  }
  out.strain_percent = 100.0 * gores.strain;
  return out;
}

// Bands or gores: as asked, or whichever takes fewer pieces.
FaceTemplate pieced(const Surface& surface, const TemplateOptions& options) {
  const double limit = options.strain_limit_percent / 100.0;
  const Profile& wall = *surface.profile();
  if (options.kind == TemplateKind::gores) {
    FaceTemplate out = gored(surface, fit_gores(wall, limit, options.count));
    out.reason = fmt::format("{}, as asked", counted(out.parts.size(), "gore"));
    return out;
  }
  if (options.kind == TemplateKind::bands || options.count) {
    FaceTemplate out = banded(surface, fit_bands(wall, limit, options.count));
    out.reason = fmt::format("{}, as asked", counted(out.parts.size(), "band"));
    return out;
  }
  const auto within = [](auto fit) -> decltype(std::optional(fit())) {
    try {
      return fit();
    } catch (const GeometryError&) {
      return std::nullopt;  // too many pieces; the other kind may do
    }
  };
  const auto bands = within([&] { return fit_bands(wall, limit, {}); });
  if (bands && bands->size() <= kMostParts) {
    const auto gores = within([&] { return fit_gores(wall, limit, {}); });
    if (!gores || bands->size() <= static_cast<std::size_t>(gores->count)) {
      FaceTemplate out = banded(surface, *bands);
      out.reason = fmt::format(
          "{}, because gores would take {} pieces for the same strain and bands keep rows whole",
          counted(bands->size(), "band"),
          gores ? std::to_string(gores->count) : fmt::format("more than {}", kMostParts));
      return out;
    }
    FaceTemplate out = gored(surface, *gores);
    out.reason = fmt::format("{}, because bands would take {} pieces for the same strain",
                             counted(out.parts.size(), "gore"),
                             bands->size());
    return out;
  }
  FaceTemplate out = gored(surface, fit_gores(wall, limit, {}));
  out.reason =
      fmt::format("{}, because no number of bands is enough", counted(out.parts.size(), "gore"));
  return out;
}

FaceTemplate unrolled(const Surface& surface, const std::string& name) {
  const Profile& wall = *surface.profile();
  const FaceSpan span{0.0, 360.0, 0.0, surface.along_mm()};
  const double foot = wall.radius_mm(0.0);
  const double opening = (wall.radius_mm(span.along_to) - foot) / span.along_to;
  FaceTemplate out;
  const bool straight = 2.0 * std::numbers::pi * std::abs(opening) < kFewestTurns;
  out.kind = straight ? TemplateKind::rectangle : TemplateKind::sector;
  out.parts.push_back(part_of_span(
      surface, name, span, std::make_shared<SectorMap>(span, ConeNet{foot, 0.0, opening})));
  out.reason = "the wall unrolls without strain";
  return out;
}

FaceTemplate patched(const Surface& surface,
                     const std::string& name,
                     const TemplateOptions& options) {
  const FittedRibs fitted = fit_ribs(surface, options.strain_limit_percent / 100.0, options.count);
  FaceTemplate out{.kind = TemplateKind::darted, .exact = false};
  out.parts.push_back(ribbed_part(surface, name, fitted.ribs));
  out.strain_percent = 100.0 * fitted.strain;
  out.darts = static_cast<int>(out.parts.front().cuts.size());
  out.reason = out.darts == 0
                   ? "the patch lies flat within the limit without a cut"
                   : fmt::format("{} in from two edges, which {}, part it into {}",
                                 counted(static_cast<std::size_t>(out.darts), "cut"),
                                 fitted.ribs.slits ? "open on the piece" : "close on the piece",
                                 counted(static_cast<std::size_t>(fitted.ribs.count), "strip"));
  return out;
}

void check_kind(const std::optional<TemplateKind>& asked, std::vector<TemplateKind> possible) {
  if (!asked || std::find(possible.begin(), possible.end(), *asked) != possible.end()) return;
  std::string names;
  for (const TemplateKind kind : possible) names += (names.empty() ? "" : " or ") + name_of(kind);
  throw OptionError(
      {.file = {},
       .line = {},
       .found = fmt::format("the template of this face cannot be {}", name_of(*asked)),
       .expected = names,
       .remedy = {}});
}

bool holds(const FaceSpan& span, bool round, FacePoint point) {
  if (point.along < span.along_from || point.along > span.along_to) return false;
  const double half = (span.across_to - span.across_from) / 2.0;
  const double off = round ? from_middle_deg(span, point.across)
                           : point.across - (span.across_from + span.across_to) / 2.0;
  return std::abs(off) <= half * (1.0 + 1e-12);
}

}  // namespace

std::string name_of(TemplateKind kind) { return kKindNames[static_cast<std::size_t>(kind)]; }

std::optional<TemplateKind> template_kind_named(const std::string& name) {
  for (std::size_t i = 0; i < kKindNames.size(); ++i) {
    if (name == kKindNames[i]) return static_cast<TemplateKind>(i);
  }
  return std::nullopt;
}

void TemplateOptions::validate() const {
  require_between(strain_limit_percent, 0.05, 20.0, "strain_limit_percent", "%");
  if (count) require_between(*count, 1, kMostParts, "count", "pieces");
}

Vec2 TemplatePart::part_from_face(FacePoint point) const {
  return map->paper_from_face(point) - corner;
}

FacePoint TemplatePart::face_from_part(Vec2 point) const {
  return map->face_from_paper(point + corner);
}

bool TemplatePart::covers_point(FacePoint point) const {
  return holds(covers, surface.round(), point) && map->on_paper(point);
}

Strain TemplatePart::strain_at(FacePoint point) const {
  // Kept off the edges of what is smooth, and off a pole.
  const FaceSpan span = map->smooth_around(point);
  const double tall = std::min(kProbeMm, (span.along_to - span.along_from) / 8.0);
  const double along =
      std::clamp(point.along, span.along_from + 2.0 * tall, span.along_to - 2.0 * tall);
  double wide =
      std::min(kProbeMm / surface.mm_per_across(along), (span.across_to - span.across_from) / 8.0);
  if (surface.round()) wide = std::min(wide, kProbeDeg);
  double across = point.across;
  if (surface.round()) {
    across = (span.across_from + span.across_to) / 2.0 + from_middle_deg(span, across);
  }
  across = std::clamp(across, span.across_from + wide, span.across_to - wide);
  const FacePoint left{across - wide, along}, right{across + wide, along};
  const FacePoint below{across, along - tall}, above{across, along + tall};
  for (const FacePoint probe : {left, right, below, above}) {
    if (!map->on_paper(probe)) return {};  // an open slit strains nothing
  }
  // What a mm of the face is on paper, to the right and up.
  const Vec2 per_right =
      (map->paper_from_face(right) - map->paper_from_face(left)) / length(surface.way(left, right));
  const Vec2 per_up = (map->paper_from_face(above) - map->paper_from_face(below)) /
                      length(surface.way(below, above));
  const double a = dot(per_right, per_right), b = dot(per_right, per_up), c = dot(per_up, per_up);
  const double middle = (a + c) / 2.0, spread = std::hypot((a - c) / 2.0, b);
  const auto stretch = [](double square) { return 100.0 * (1.0 / std::sqrt(square) - 1.0); };
  return {stretch(a), stretch(c), larger(stretch(middle + spread), stretch(middle - spread))};
}

const TemplatePart& FaceTemplate::part_of(FacePoint point) const {
  for (const TemplatePart& part : parts) {
    if (holds(part.covers, part.surface.round(), point)) return part;
  }
  return parts.front();
}

FaceTemplate face_template(const Face& face, double factor, const TemplateOptions& options) {
  options.validate();
  const Surface surface = surface_of(face, factor);
  FaceTemplate out;
  if (!surface.round() && surface.developable()) {
    out.kind = surface.outline().empty() ? TemplateKind::rectangle : TemplateKind::outline;
    check_kind(options.kind, {out.kind});
    out.parts.push_back(flat_part(surface, face.name));
    out.reason = "the face is flat or bends one way only";
  } else if (!surface.round()) {
    check_kind(options.kind, {TemplateKind::darted});
    out = patched(surface, face.name, options);
  } else if (surface.developable()) {
    out = unrolled(surface, face.name);
    check_kind(options.kind, {out.kind});
  } else {
    check_kind(options.kind, {TemplateKind::bands, TemplateKind::gores});
    out = pieced(surface, options);
  }
  add_largest(out);
  return out;
}

}  // namespace underdraw
