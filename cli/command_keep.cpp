#include <algorithm>
#include <cmath>
#include <filesystem>

#include <CLI/CLI.hpp>
#include <fmt/format.h>
#include <nlohmann/json.hpp>

#include "command_makers.h"
#include "core/error.h"
#include "core/listed.h"
#include "io/check_photos.h"
#include "io/photo_store.h"
#include "io/piece_file.h"
#include "option_checks.h"
#include "piece_command.h"

namespace fs = std::filesystem;

namespace underdraw::cli {
namespace {

using Object = nlohmann::ordered_json;

constexpr const char* kShowsLines = "drawn";  // the stage before lines are covered

template <typename T>
Object or_null(const std::optional<T>& value) {
  return value ? Object(*value) : Object(nullptr);
}

Object photo_object(const PhotoRow& row) {
  return {{"name", row.name},
          {"stage", row.stage},
          {"face", or_null(row.face)},
          {"note", row.note},
          {"original", row.original_name},
          {"checksum", row.checksum},
          {"bytes", row.bytes},
          {"kind", name_of(row.facts.kind)},
          {"width_px", row.facts.width_px},
          {"height_px", row.facts.height_px},
          {"orientation", row.facts.orientation},
          {"taken_at", or_null(row.facts.taken_at)},
          {"camera_make", or_null(row.facts.camera_make)},
          {"camera_model", or_null(row.facts.camera_model)},
          {"focal_length_mm", or_null(row.facts.focal_length_mm)},
          {"focal_length_35mm", or_null(row.facts.focal_length_35mm)},
          {"added_at", row.added_at}};
}

std::string size_text(std::int64_t bytes) {
  return bytes < 1'000'000 ? fmt::format("{:.0f} kB", static_cast<double>(bytes) / 1e3)
                           : fmt::format("{:.1f} MB", static_cast<double>(bytes) / 1e6);
}

std::string stage_text(const PhotoRow& row) {
  return row.face ? row.stage + ", " + *row.face : row.stage;
}

std::string camera_text(const PhotoFacts& facts) {
  const std::string make = facts.camera_make.value_or("");
  const std::string model = facts.camera_model.value_or("");
  if (make.empty() && model.empty()) return "not stated";
  // Many makers repeat their name in the model's.
  if (make.empty() || model.starts_with(make)) return model;
  return model.empty() ? make : make + " " + model;
}

std::string how_text(Keeping how) {
  switch (how) {
    case Keeping::kept:
      return "kept";
    case Keeping::already:
      return "kept already";
    case Keeping::returned:
      return "put back";
    case Keeping::taken_in:
      return "taken in";
  }
  return {};
}

class KeepCommand : public Command {
 public:
  std::string name() const override { return "keep"; }
  std::string summary() const override {
    return "store reference photos of a piece, byte for byte, before lines are covered";
  }
  std::string example() const override {
    return "underdraw keep samples/harbour-jar samples/harbour-jar/photos-drawn/*.jpg --stage "
           "drawn "
           "--face wall";
  }

  void declare(CLI::App& app) override {
    app.add_option("DIR", folder_, "the piece folder")->required()->check(some_name());
    app.add_option("PHOTOS", photos_, "JPEG, PNG or HEIC files as the camera made them")
        ->check(some_name());
    app.add_option("--stage", keep_.stage, "what they show: drawn, covered, fired or another word")
        ->type_name("NAME")
        ->check(stage_name());
    app.add_option("--face", keep_.face, "the face they show, as in piece.toml")
        ->type_name("NAME")
        ->check(some_name());
    app.add_option("--note", keep_.note, "a line of your own")->type_name("TEXT");
    app.add_flag("--check",
                 check_,
                 "say which lines the photos of stage drawn show well enough to bring them back; "
                 "done by itself when such photos are kept");
    app.add_flag("--list", list_, "show what is kept");
    app.add_option("--show", show_, "show all about one photo")
        ->type_name("NAME")
        ->check(some_name());
    app.add_flag("--verify", verify_, "read every kept photo again and compare checksums");
    app.add_option("--export", export_, "copies without location and serial numbers")
        ->type_name("FOLDER")
        ->check(some_name());
    overwrite_.declare(app);
  }

  Outcome run(Console& console) override {
    check_use();
    require_piece();
    if (check_) return check(console, Object::object());
    if (list_) return list(console);
    if (!show_.empty()) return show(console);
    if (verify_) return verify(console);
    if (!export_.empty()) return hand_on(console);
    return keep(console);
  }

 private:
  void check_use() const {
    const int others = (check_ ? 1 : 0) + (list_ ? 1 : 0) + (show_.empty() ? 0 : 1) +
                       (verify_ ? 1 : 0) + (export_.empty() ? 0 : 1);
    const bool keeping = !photos_.empty();
    if (others + (keeping ? 1 : 0) > 1) {
      throw UsageError(
          "keep: photos, --check, --list, --show, --verify and --export go one at a time; leave "
          "out all but one");
    }
    if (others == 0 && !keeping) {
      throw UsageError(
          "keep: no photos named; name some with --stage, or ask for --check, --list, --verify or "
          "--export");
    }
    if (keeping && keep_.stage.empty()) {
      throw UsageError("keep: --stage is missing; say what the photos show, --stage drawn");
    }
    if (!keeping && (!keep_.stage.empty() || !keep_.note.empty() || (keep_.face && !check_))) {
      throw UsageError(
          "keep: --stage, --face and --note go with photos; name the photos too, or leave these "
          "out");
    }
    if (overwrite_.given && export_.empty()) {
      throw UsageError("keep: --overwrite goes with --export; kept photos are never overwritten");
    }
  }

  // Photos are kept even while piece.toml has a mistake in it: lines may be about to be covered.
  void require_piece() const {
    const fs::path file = fs::path(folder_) / "piece.toml";
    if (!fs::is_regular_file(file)) {
      throw InputError({.file = folder_,
                        .line = {},
                        .found = fs::is_directory(folder_) ? "holds no piece.toml" : "not found",
                        .expected = "a piece folder",
                        .remedy = "check the name, or make one with underdraw new"});
    }
    if (!keep_.face) return;
    std::vector<std::string> names;
    for (const Face& face : read_piece_file(file).faces) names.push_back(face.name);
    if (std::find(names.begin(), names.end(), *keep_.face) != names.end()) return;
    throw InputError({.file = file.string(),
                      .line = {},
                      .found = "has no face " + *keep_.face,
                      .expected = listed(names),
                      .remedy = "name one of these with --face"});
  }

  Outcome keep(Console& console) const {
    const KeepReport report =
        keep_photos(folder_, photos_, keep_, console.progress(), console.notice());
    std::vector<Fact> facts;
    Object list = Object::array();
    std::size_t fresh = 0;
    for (const KeptPhoto& photo : report.photos) {
      if (photo.how != Keeping::already) ++fresh;
      facts.push_back(
          {how_text(photo.how), fmt::format("{}  as photos/{}", photo.given, photo.row.name)});
      Object entry = photo_object(photo.row);
      entry["file"] = photo.given;
      entry["how"] = how_text(photo.how);
      list.push_back(entry);
    }
    console.facts(facts);
    console.line("");
    console.line(fmt::format("{} kept for stage {}{}",
                             count_text(fresh, "photo"),
                             keep_.stage,
                             fresh < report.photos.size()
                                 ? fmt::format(", {} kept before", report.photos.size() - fresh)
                                 : ""));
    console.warnings(report.warnings);
    Object result = {{"photos", list}, {"warnings", report.warnings}};
    if (keep_.stage == kShowsLines) return check(console, std::move(result));
    console.object(result);
    return Outcome::done;
  }

  // Lines may be about to be covered: whatever keeps this from being known is said, and is no
  // success.
  Outcome check(Console& console, Object result) const {
    try {
      const PhotosCheck found =
          check_photos(folder_, kShowsLines, keep_.face, console.progress(), console.notice());
      console.line(fmt::format("{} of {} drawings can be brought back from {} of stage {}",
                               found.recoverable(),
                               found.needs.size(),
                               count_text(found.photos, "photo"),
                               kShowsLines));
      for (const PhotoNeed& need : found.needs) {
        if (!need.recoverable) console.line(need.text);
      }
      console.warnings(found.warnings);
      for (const PhotoLeftOut& photo : found.left_out) console.message(photo.why);
      result["check"] = check_object(found);
      console.object(result);
      return found.ok() ? Outcome::done : Outcome::refused;
    } catch (const Error& error) {
      if (photos_.empty()) throw;
      result["check"] = nullptr;
      console.object(result);
      console.message(
          fmt::format("the photos are kept, but whether lines can be brought back from "
                      "them is not known: {}",
                      error.what()));
      return Outcome::refused;
    }
  }

  static Object check_object(const PhotosCheck& found) {
    Object needs = Object::array();
    for (const PhotoNeed& need : found.needs) {
      needs.push_back({{"placement", need.placement},
                       {"recoverable", need.recoverable},
                       {"lack", lack_name(need.lack)},
                       {"seen", std::round(need.seen * 1000.0) / 1000.0},
                       {"steep_deg", std::round(need.steep_deg * 10.0) / 10.0},
                       {"from_deg", or_null(need.from_deg)},
                       {"text", need.text}});
    }
    Object left_out = Object::array();
    for (const PhotoLeftOut& photo : found.left_out) {
      left_out.push_back({{"photo", photo.row.name}, {"why", photo.why}});
    }
    return {{"ok", found.ok()},
            {"photos", found.photos},
            {"placements", std::move(needs)},
            {"left_out", std::move(left_out)},
            {"warnings", found.warnings}};
  }

  static std::string lack_name(PhotoLack lack) {
    switch (lack) {
      case PhotoLack::none:
        return "none";
      case PhotoLack::not_in_view:
        return "not in view";
      case PhotoLack::too_steep:
        return "too steep";
      case PhotoLack::blurred:
        return "blurred";
      case PhotoLack::glare:
        return "glare";
    }
    return {};
  }

  Outcome list(Console& console) const {
    std::vector<Fact> facts;
    Object list = Object::array();
    const std::vector<PhotoRow> rows = kept_photos(folder_, console.notice());
    for (const PhotoRow& row : rows) {
      std::string text = stage_text(row);
      text += fmt::format(", {} x {} px", row.facts.width_px, row.facts.height_px);
      if (row.facts.camera_model) text += ", " + *row.facts.camera_model;
      if (!row.note.empty()) text += ": " + row.note;
      facts.push_back({row.name, text});
      list.push_back(photo_object(row));
    }
    console.facts(facts);
    if (!rows.empty()) console.line("");
    console.line(rows.empty() ? "no photos kept yet" : count_text(rows.size(), "photo") + " kept");
    console.object({{"photos", list}});
    return Outcome::done;
  }

  Outcome show(Console& console) const {
    const PhotoRow row = kept_photo(folder_, show_, console.notice());
    const auto number = [](const std::optional<double>& value) {
      return value ? fmt::format("{:g} mm", *value) : "not stated";
    };
    console.facts({{"file", (fs::path(folder_) / "photos" / row.name).string()},
                   {"stage", stage_text(row)},
                   {"note", row.note},
                   {"original", row.original_name},
                   {"kept", row.added_at},
                   {"taken", row.facts.taken_at.value_or("not stated")},
                   {"camera", camera_text(row.facts)},
                   {"focal length",
                    fmt::format("{}, as on 35 mm film {}",
                                number(row.facts.focal_length_mm),
                                number(row.facts.focal_length_35mm))},
                   {"picture",
                    fmt::format("{}, {} x {} px, orientation {}, {}",
                                name_of(row.facts.kind),
                                row.facts.width_px,
                                row.facts.height_px,
                                row.facts.orientation,
                                size_text(row.bytes))},
                   {"SHA-256", row.checksum}});
    console.object(photo_object(row));
    return Outcome::done;
  }

  Outcome verify(Console& console) const {
    const VerifyReport report = verify_photos(folder_, console.progress(), console.notice());
    Object list = Object::array();
    for (const PhotoFinding& finding : report.findings) {
      list.push_back({{"file", finding.file}, {"problem", problem_name(finding.problem)}});
      console.message(finding.text);
    }
    console.line(report.ok() ? fmt::format("{} as kept, {}",
                                           count_text(report.photos, "photo"),
                                           size_text(report.bytes))
                             : count_text(report.findings.size(), "problem"));
    console.object({{"ok", report.ok()}, {"photos", report.photos}, {"problems", list}});
    return report.ok() ? Outcome::done : Outcome::refused;
  }

  static std::string problem_name(PhotoProblem problem) {
    switch (problem) {
      case PhotoProblem::missing:
        return "missing";
      case PhotoProblem::changed:
        return "changed";
      case PhotoProblem::unreadable:
        return "unreadable";
      case PhotoProblem::without_row:
        return "not in the record";
      case PhotoProblem::record_damaged:
        return "record damaged";
    }
    return {};
  }

  Outcome hand_on(Console& console) const {
    const ExportReport report =
        export_photos(folder_, export_, overwrite_.value(), console.progress(), console.notice());
    std::vector<Fact> facts;
    for (const std::string& file : report.files) facts.push_back({"made", file});
    console.facts(facts);
    console.line("");
    console.line(count_text(report.files.size(), "copy") +
                 " without location, times, camera and serial numbers");
    for (const std::string& line : report.left_out) console.message(line);
    console.object({{"files", report.files}, {"left_out", report.left_out}});
    return report.left_out.empty() ? Outcome::done : Outcome::refused;
  }

  std::string folder_;
  std::vector<std::string> photos_;
  KeepOptions keep_;
  bool check_ = false;
  bool list_ = false;
  std::string show_;
  bool verify_ = false;
  std::string export_;
  OverwriteOption overwrite_;
};

}  // namespace

std::unique_ptr<Command> make_keep_command() { return std::make_unique<KeepCommand>(); }

}  // namespace underdraw::cli
