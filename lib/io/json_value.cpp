#include "io/json_value.h"

#include <algorithm>
#include <cmath>

#include <fmt/format.h>

#include "core/error.h"

namespace underdraw {

Json parsed_json(std::string_view text, const JsonSource& source) {
  const auto refuse = [&](std::optional<int> line) {
    throw InputError({.file = source.file,
                      .line = line,
                      .found = "is damaged: not readable as JSON",
                      .expected = source.content,
                      .remedy = source.remedy});
  };
  try {
    return Json::parse(text.begin(), text.end());
  } catch (const Json::parse_error& error) {
    const auto at = static_cast<std::ptrdiff_t>(std::min<std::size_t>(error.byte, text.size()));
    refuse(1 + static_cast<int>(std::count(text.begin(), text.begin() + at, '\n')));
  } catch (const Json::exception&) {  // a number too large to hold, among others
    refuse({});
  }
  return {};
}

void JsonValue::refuse(const std::string& found,
                       const std::string& expected,
                       const std::string& remedy) const {
  throw InputError({.file = source_->file,
                    .line = {},
                    .found = fmt::format("{} {}", path_.empty() ? "the whole" : path_, found),
                    .expected = expected,
                    .remedy = remedy.empty() ? source_->remedy : remedy});
}

JsonValue JsonValue::at(const char* key) const {
  if (!json_->is_object()) refuse("is " + kind(), "an object");
  const std::string path = path_.empty() ? key : path_ + "." + key;
  if (!json_->contains(key)) JsonValue(*json_, *source_, path).refuse("is missing", "a value");
  return {json_->at(key), *source_, path};
}

std::vector<JsonValue> JsonValue::items() const {
  if (!json_->is_array()) refuse("is " + kind(), "a list");
  std::vector<JsonValue> out;
  out.reserve(json_->size());
  for (std::size_t i = 0; i < json_->size(); ++i) {
    out.emplace_back(json_->at(i), *source_, fmt::format("{}[{}]", path_, i));
  }
  return out;
}

double JsonValue::number(double low, double high) const {
  if (!json_->is_number()) refuse("is " + kind(), "a number");
  const double value = json_->get<double>();
  if (!(value >= low && value <= high)) {
    refuse(fmt::format("is {}", value), fmt::format("{} to {}", low, high));
  }
  return value;
}

int JsonValue::whole(int low, int high) const {
  const double value = number(low, high);
  if (value != std::floor(value)) refuse(fmt::format("is {}", value), "a whole number");
  return static_cast<int>(value);
}

bool JsonValue::yes() const {
  if (!json_->is_boolean()) refuse("is " + kind(), "true or false");
  return json_->get<bool>();
}

std::string JsonValue::text() const {
  if (!json_->is_string()) refuse("is " + kind(), "text");
  return json_->get<std::string>();
}

std::string JsonValue::name() const {
  const std::string value = text();
  if (value.empty()) refuse("is empty", "a name");
  return value;
}

std::vector<std::string> JsonValue::texts() const {
  return list([](const JsonValue& item) { return item.text(); });
}

std::vector<double> JsonValue::lengths(std::size_t count) const {
  std::vector<double> out = list([](const JsonValue& v) { return v.mm(); });
  if (out.size() != count)
    refuse(fmt::format("holds {} numbers", out.size()), std::to_string(count));
  return out;
}

Vec2 JsonValue::point() const {
  const auto n = lengths(2);
  return {n[0], n[1]};
}

Box JsonValue::box() const {
  const auto n = lengths(4);
  if (n[0] > n[2] || n[1] > n[3]) refuse("is not a box", "left, top, right, bottom");
  return {{n[0], n[1]}, {n[2], n[3]}};
}

Affine JsonValue::affine() const {
  const auto n = lengths(6);
  const Affine a{n[0], n[1], n[2], n[3], n[4], n[5]};
  if (std::abs(a.determinant()) < 1e-9) refuse("cannot be undone", "a transform that can");
  return a;
}

Path JsonValue::path() const {
  const JsonValue points = at("points");
  const std::vector<double> n = points.list([](const JsonValue& v) { return v.mm(); });
  if (n.size() % 2 != 0 || (n.size() / 2) % 3 != 1) {
    points.refuse(fmt::format("holds {} numbers", n.size()), "two a point, and 3 n + 1 points");
  }
  Path out;
  out.closed = at("closed").yes();
  for (std::size_t i = 0; i < n.size(); i += 2) out.points.push_back({n[i], n[i + 1]});
  return out;
}

std::string JsonValue::kind() const {
  return json_->is_null() ? "nothing" : fmt::format("of the kind {}", json_->type_name());
}

Json json_of(Vec2 p) { return Json::array({p.x, p.y}); }
Json json_of(const Box& b) { return Json::array({b.min.x, b.min.y, b.max.x, b.max.y}); }
Json json_of(const Affine& a) { return Json::array({a.xx, a.xy, a.tx, a.yx, a.yy, a.ty}); }

Json json_of(const Path& path) {
  Json points = Json::array();
  for (const Vec2 p : path.points) {
    points.push_back(p.x);
    points.push_back(p.y);
  }
  return {{"closed", path.closed}, {"points", std::move(points)}};
}

void check_json_schema(const JsonValue& top, int most) {
  const int schema = top.at("schema").whole(1, 1'000'000);
  if (schema > most) {
    top.at("schema").refuse(
        fmt::format("is {}", schema), fmt::format("at most {}", most), "use a newer underdraw");
  }
}

double rounded_for_json(double value, double per_unit) {
  if (!std::isfinite(value)) {
    throw OutputError({.file = {},
                       .line = {},
                       .found = "a number to be written is not usable",
                       .expected = "finite numbers",
                       .remedy = {}});
  }
  const double out = std::round(value * per_unit) / per_unit;
  return out == 0.0 ? 0.0 : out;
}

}  // namespace underdraw
