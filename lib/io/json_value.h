// A value of a JSON file that knows where it stands, so that whoever made the file is told what is
// wrong with it: "faces[0].placements[3].centre is missing".
//
// Stage:   io.
// Refuses: whatever is not of the kind or in the range that the caller asks for (InputError).
// Source:  JSON, RFC 8259.
#pragma once

#include <string>
#include <string_view>
#include <vector>

#include <nlohmann/json.hpp>

#include "geometry/path.h"

namespace underdraw {

using Json = nlohmann::ordered_json;

// What a whole file is called when it is damaged, and what to do about it.
struct JsonSource {
  std::string file;
  std::string content;  // "placements"
  std::string remedy;   // "run 'underdraw place' again"
};

// The text as JSON; refused with the line where it stops being so.
Json parsed_json(std::string_view text, const JsonSource& source);

class JsonValue {
 public:
  // Both outlive the value and all that come from it.
  JsonValue(const Json& json, const JsonSource& source, std::string path = {})
      : json_(&json), source_(&source), path_(std::move(path)) {}

  // `remedy`: other than the source's own.
  [[noreturn]] void refuse(const std::string& found,
                           const std::string& expected,
                           const std::string& remedy = {}) const;

  bool has(const char* key) const { return json_->is_object() && json_->contains(key); }
  bool null() const { return json_->is_null(); }
  JsonValue at(const char* key) const;
  std::vector<JsonValue> items() const;

  // The list with each item read.
  template <typename Read>
  auto list(Read read) const {
    std::vector<decltype(read(*this))> out;
    for (const JsonValue& item : items()) out.push_back(read(item));
    return out;
  }

  double number(double low, double high) const;
  int whole(int low, int high) const;
  bool yes() const;
  std::string text() const;
  std::string name() const;  // not empty
  std::vector<std::string> texts() const;

  double mm() const { return number(-1e5, 1e5); }
  std::vector<double> lengths(std::size_t count) const;  // that many, mm
  Vec2 point() const;                                    // [x, y]
  Box box() const;                                       // [left, top, right, bottom]
  Affine affine() const;                                 // [xx, xy, tx, yx, yy, ty]
  Path path() const;                                     // {"closed", "points": [x, y, x, y, …]}

 private:
  std::string kind() const;

  const Json* json_;
  const JsonSource* source_;
  std::string path_;
};

Json json_of(Vec2 point);
Json json_of(const Box& box);
Json json_of(const Affine& transform);
Json json_of(const Path& path);

// Files of a newer schema than `most` are refused.
void check_json_schema(const JsonValue& top, int most);

// Rounded for a file, without -0; numbers that are not finite are refused (OutputError).
double rounded_for_json(double value, double per_unit);

}  // namespace underdraw
