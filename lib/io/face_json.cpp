#include "io/face_json.h"

#include <algorithm>
#include <cmath>

#include <fmt/format.h>
#include <fmt/ranges.h>

#include "core/error.h"

namespace underdraw {
namespace {

constexpr double kLargestMm = 10000.0;

double mm(double value) { return rounded_for_json(value, 1e4); }
double deg(double value) { return rounded_for_json(value, 1e5); }
double ratio(double value) { return rounded_for_json(value, 1e9); }

// The lengths of each form by name, for writing and for reading.
template <typename Visit>
void each_length(FlatFace& f, Visit visit) {
  visit("width_mm", f.width_mm);
  visit("height_mm", f.height_mm);
  visit("joint_mm", f.joint_mm);
}
template <typename Visit>
void each_length(CylinderFace& f, Visit visit) {
  visit("circumference_mm", f.circumference_mm);
  visit("height_mm", f.height_mm);
}
template <typename Visit>
void each_length(ConeFace& f, Visit visit) {
  visit("foot_mm", f.foot_mm);
  visit("rim_mm", f.rim_mm);
  visit("slant_mm", f.slant_mm);
}
template <typename Visit>
void each_length(TurnedFace&, Visit) {}
template <typename Visit>
void each_length(RingFace& f, Visit visit) {
  visit("inner_mm", f.inner_mm);
  visit("outer_mm", f.outer_mm);
  visit("slant_mm", f.slant_mm);
}
template <typename Visit>
void each_length(BallFace& f, Visit visit) {
  visit("circumference_mm", f.circumference_mm);
}
template <typename Visit>
void each_length(PatchFace& f, Visit visit) {
  visit("across_mm", f.across_mm);
  visit("up_mm", f.up_mm);
  visit("across_chord_mm", f.across_chord_mm);
  visit("up_chord_mm", f.up_chord_mm);
}

Json measured_json(FaceForm form) {
  Json out = Json::object();
  std::visit([&](auto& f) { each_length(f, [&](const char* key, double v) { out[key] = v; }); },
             form);
  if (const auto* flat = std::get_if<FlatFace>(&form); flat && !flat->outline.empty()) {
    Json rings = Json::array();
    for (const auto& ring : flat->outline) {
      Json points = Json::array();
      for (const Vec2 p : ring) points.push_back(json_of(p));
      rings.push_back(std::move(points));
    }
    out["outline"] = std::move(rings);
  }
  if (const auto* wall = std::get_if<TurnedFace>(&form)) {
    Json readings = Json::array();
    for (const ProfileReading& r : wall->readings) {
      readings.push_back(Json::array({r.at_mm, r.circumference_mm}));
    }
    out["readings"] = std::move(readings);
    out["along_wall"] = wall->along_wall;
    out["straight"] = wall->straight;
  }
  if (const auto* patch = std::get_if<PatchFace>(&form)) out["saddle"] = patch->saddle;
  return out;
}

FaceForm form_named(const std::string& name, const JsonValue& at) {
  static const std::vector<FaceForm> kForms = {
      FlatFace{}, CylinderFace{}, ConeFace{}, TurnedFace{}, RingFace{}, BallFace{}, PatchFace{}};
  for (const FaceForm& form : kForms) {
    if (name_of(form) == name) return form;
  }
  at.refuse(fmt::format("is '{}'", name), fmt::format("{}", fmt::join(form_names(), ", ")));
}

FaceForm form_of(const JsonValue& face) {
  FaceForm form = form_named(face.at("form").name(), face.at("form"));
  const JsonValue measured = face.at("measured");
  std::visit(
      [&](auto& f) {
        each_length(
            f, [&](const char* key, double& v) { v = measured.at(key).number(0.0, kLargestMm); });
      },
      form);
  if (auto* flat = std::get_if<FlatFace>(&form); flat && measured.has("outline")) {
    flat->outline = measured.at("outline").list([](const JsonValue& ring) {
      return ring.list([](const JsonValue& p) { return p.point(); });
    });
  }
  if (auto* wall = std::get_if<TurnedFace>(&form)) {
    wall->readings = measured.at("readings").list([](const JsonValue& v) {
      const Vec2 pair = v.point();
      return ProfileReading{pair.x, pair.y};
    });
    wall->along_wall = measured.at("along_wall").yes();
    wall->straight = measured.at("straight").yes();
  }
  if (auto* patch = std::get_if<PatchFace>(&form)) patch->saddle = measured.at("saddle").yes();
  return form;
}

Json json_of_placement(const Placement& p, const Surface& surface) {
  // An angle that rounds up to a whole turn is the tick itself.
  const double across = deg(p.at.across) >= 360.0 ? 0.0 : deg(p.at.across);
  const Json centre = surface.round() ? Json{{"a_deg", across}, {"s_mm", mm(p.at.along)}}
                                      : Json{{"x_mm", mm(p.at.across)}, {"y_mm", mm(p.at.along)}};
  Json darts = Json::array();
  for (const Path& dart : p.darts) darts.push_back(json_of(dart));
  return {{"id", p.id},
          {"variant", p.variant},
          {"motif", p.motif},
          {"mirrored", p.change.mirrored},
          {"turn_deg", deg(p.change.turn_deg)},
          {"scale", ratio(p.change.scale)},
          {"centre", centre},
          {"strain_percent", rounded_for_json(p.strain_percent, 1e4)},
          {"too_fine", p.too_fine},
          {"darts", std::move(darts)}};
}

Placement placement_of(const JsonValue& v, const Surface& surface) {
  Placement p;
  p.id = v.at("id").whole(1, 1'000'000);
  p.variant = v.at("variant").name();
  p.motif = v.at("motif").name();
  p.change.mirrored = v.at("mirrored").yes();
  p.change.turn_deg = v.at("turn_deg").number(-360.0, 360.0);
  p.change.scale = v.at("scale").number(1e-3, 1e3);
  const JsonValue centre = v.at("centre");
  const double along = surface.along_mm();
  p.at = surface.round() ? FacePoint{centre.at("a_deg").number(0.0, 360.0),
                                     centre.at("s_mm").number(0.0, along)}
                         : FacePoint{centre.at("x_mm").number(0.0, surface.widest_mm()),
                                     centre.at("y_mm").number(0.0, along)};
  p.strain_percent = v.at("strain_percent").number(-1000.0, 1000.0);
  p.too_fine = v.at("too_fine").yes();
  p.darts = v.at("darts").list([](const JsonValue& dart) { return dart.path(); });
  return p;
}

}  // namespace

Json json_of_face(const PlacedFace& face) {
  Json placements = Json::array();
  for (const Placement& p : face.placements) {
    placements.push_back(json_of_placement(p, face.surface));
  }
  return {
      {"name", face.face.name},
      {"form", name_of(face.face.form)},
      {"measured", measured_json(face.face.form)},
      {"transfer_from_measured", face.transfer_from_measured},
      {"template",
       {{"width_mm", mm(face.surface.widest_mm())}, {"height_mm", mm(face.surface.along_mm())}}},
      {"placements", std::move(placements)}};
}

PlacedFace face_of_json(const JsonValue& value) {
  PlacedFace out;
  out.face.name = value.at("name").name();
  out.face.form = form_of(value);
  out.transfer_from_measured = value.at("transfer_from_measured").number(0.5, 2.0);
  try {
    out.surface = surface_of(out.face, out.transfer_from_measured);
  } catch (const GeometryError& error) {
    value.at("measured").refuse(error.complaint().found, error.complaint().expected);
  }
  out.placements = value.at("placements").list([&](const JsonValue& item) {
    return placement_of(item, out.surface);
  });
  return out;
}

}  // namespace underdraw
