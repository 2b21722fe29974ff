#include <algorithm>
#include <cmath>

#include <CLI/CLI.hpp>
#include <fmt/format.h>
#include <nlohmann/json.hpp>

#include "command_makers.h"
#include "core/listed.h"
#include "io/recover_piece.h"
#include "option_checks.h"
#include "piece_command.h"
#include "piece_object.h"

namespace underdraw::cli {
namespace {

using Object = nlohmann::ordered_json;

const char* finding_name(Finding finding) {
  switch (finding) {
    case Finding::found:
      return "found";
    case Finding::mirrored:
      return "found mirrored";
    case Finding::no_match:
      return "no match";
    case Finding::not_seen:
      return "not seen";
    case Finding::no_photos:
      return "no photos";
  }
  return "";
}

const char* now_name(Now now) {
  switch (now) {
    case Now::shows:
      return "shows";
    case Now::covered:
      return "covered";
    case Now::not_seen:
      return "not seen";
  }
  return "";
}

double rounded(double value, double step) { return std::round(value / step) * step; }

Object face_object(const RecoveredOfFace& face) {
  Object placements = Object::array();
  for (const FoundPlacement& p : face.lines.placements) {
    Object entry = {{"id", p.id},
                    {"finding", finding_name(p.finding)},
                    {"seen", rounded(p.seen, 0.001)},
                    {"in_view", rounded(p.in_view, 0.001)}};
    if (is_found(p.finding)) {
      entry["off_mm"] = {rounded(p.shift.x, 0.01), rounded(p.shift.y, 0.01)};
      entry["turned_deg"] = rounded(p.turn_deg, 0.01);
      entry["scale"] = rounded(p.scale, 0.0001);
    }
    for (const PlacementChange& change : face.changes) {
      if (change.id != p.id) continue;
      entry["now"] = now_name(change.now);
      if (change.now == Now::shows) {
        entry["now_off_mm"] = {rounded(change.off.x, 0.01), rounded(change.off.y, 0.01)};
      }
    }
    placements.push_back(std::move(entry));
  }
  return {{"name", face.lines.face.name},
          {"strokes", face.lines.face.strokes.size()},
          {"placements", std::move(placements)}};
}

// "12, 13 and 17".
std::string numbers_that(const RecoverResult& made, bool (*wanted)(const FoundPlacement&)) {
  std::vector<std::string> numbers;
  for (const RecoveredOfFace& face : made.faces) {
    for (const FoundPlacement& p : face.lines.placements) {
      if (wanted(p)) numbers.push_back(std::to_string(p.id));
    }
  }
  return listed(numbers);
}

class RecoverCommand : public Command {
 public:
  std::string name() const override { return "recover"; }
  std::string summary() const override {
    return "covered lines back from kept photos: redraw sheets, overlays and a page for the bench";
  }
  std::string example() const override { return "underdraw recover samples/harbour-jar"; }

  void declare(CLI::App& app) override {
    app.add_option("DIR", folder_, "the piece folder; its out/ is added to")
        ->required()
        ->check(some_name());
    app.add_option("--before", recover_.before, "the stage whose photos show the lines")
        ->type_name("NAME")
        ->capture_default_str()
        ->check(stage_name());
    app.add_option("--after",
                   recover_.after,
                   "the stage to draw over and compare with; the one kept last unless named")
        ->type_name("NAME")
        ->check(stage_name());
    app.add_flag("--all", recover_.redraw_all, "redraw sheets for lines that still show as well");
  }

  Outcome run(Console& console) override {
    if (recover_.after == recover_.before) {
      throw UsageError(
          "recover: --before and --after name the same stage; name the later one with --after");
    }
    const RecoverResult made =
        recover_piece(folder_, recover_, console.progress(), console.notice());
    console.facts(facts(made));
    for (const std::string& line : redraws_off(made)) console.line(line);
    console.warnings(made.warnings);
    for (const PhotoLeftOut& photo : made.left_out) console.message(photo.why);
    console.object(object(made));
    if (!made.published) {
      for (const std::string& reason : made.proof.reasons) console.message(reason);
    }
    return made.published ? Outcome::done : Outcome::refused;
  }

 private:
  static std::vector<Fact> facts(const RecoverResult& made) {
    std::vector<Fact> out;
    out.push_back({"photos",
                   count_text(made.photos_before, "photo") + " of stage " + made.before +
                       (made.after ? fmt::format(", {} of {}", made.photos_after, *made.after)
                                   : std::string())});
    if (!made.pairs.empty()) {
      std::size_t lines = 0;
      for (const PairedPhoto& pair : made.pairs) lines += pair.lines.size();
      out.push_back({"without a mat",
                     fmt::format("{} drawn over {}",
                                 count_text(lines, "line"),
                                 count_text(made.pairs.size(), "later photo"))});
    }
    const std::size_t found = made.count(Finding::found) + made.count(Finding::mirrored);
    out.push_back({"drawings", fmt::format("{} of {} found", found, made.placements())});
    const auto add_numbers = [&](const char* label, bool (*wanted)(const FoundPlacement&)) {
      const std::string numbers = numbers_that(made, wanted);
      if (!numbers.empty()) out.push_back({label, "number " + numbers});
    };
    add_numbers("mirrored", [](const FoundPlacement& p) { return p.finding == Finding::mirrored; });
    add_numbers("not there",
                [](const FoundPlacement& p) { return p.finding == Finding::no_match; });
    add_numbers("no photos",
                [](const FoundPlacement& p) { return p.finding == Finding::no_photos; });
    add_numbers("not seen", [](const FoundPlacement& p) { return p.finding == Finding::not_seen; });
    if (made.after) out.push_back({"now", now_text(made)});
    if (!made.sheets.sheets.empty()) {
      out.push_back({"redraw", sheets_line(made.sheets)});
      out.push_back({"proof", proof_line(made.proof)});
    } else {
      out.push_back({"redraw", "nothing to draw again"});
    }
    for (const std::string& file : made.files) {
      if (file.ends_with(".html") || file.ends_with(".pdf") || file.ends_with(".json")) {
        out.push_back({"made", file});
      }
    }
    return out;
  }

  static std::string now_text(const RecoverResult& made) {
    std::size_t shows = 0;
    std::size_t covered = 0;
    std::size_t not_seen = 0;
    for (const RecoveredOfFace& face : made.faces) {
      for (const PlacementChange& change : face.changes) {
        (change.now == Now::shows ? shows : change.now == Now::covered ? covered : not_seen) += 1;
      }
    }
    return fmt::format("{} covered, {} show, {} not seen", covered, shows, not_seen);
  }

  static std::vector<std::string> redraws_off(const RecoverResult& made) {
    std::vector<std::string> out;
    for (const RecoveredOfFace& face : made.faces) {
      for (const PlacementChange& change : face.changes) {
        if (std::string words = words_for(change); !words.empty()) out.push_back(std::move(words));
      }
    }
    return out;
  }

  static Object object(const RecoverResult& made) {
    Object faces = Object::array();
    for (const RecoveredOfFace& face : made.faces) faces.push_back(face_object(face));
    Object left_out = Object::array();
    for (const PhotoLeftOut& photo : made.left_out) {
      left_out.push_back({{"photo", photo.row.name}, {"why", photo.why}});
    }
    Object pairs = Object::array();
    for (const PairedPhoto& pair : made.pairs) {
      pairs.push_back({{"before", pair.before.name},
                       {"after", pair.after.name},
                       {"by", pair.by_points ? "points" : "likeness"},
                       {"off_px", rounded(pair.left_out_px, 0.01)},
                       {"lines", pair.lines.size()}});
    }
    Object out = {{"before", made.before},
                  {"after", made.after ? Object(*made.after) : Object(nullptr)},
                  {"photos_before", made.photos_before},
                  {"photos_after", made.photos_after},
                  {"faces", std::move(faces)},
                  {"pairs", std::move(pairs)},
                  {"left_out", std::move(left_out)}};
    if (!made.sheets.sheets.empty()) {
      out["sheets"] = sheets_object(made.sheets);
      out["proof"] = proof_object(made.proof);
    }
    out["warnings"] = made.warnings;
    out["files"] = made.files;
    out["published"] = made.published;
    return out;
  }

  std::string folder_;
  RecoverOptions recover_;
};

}  // namespace

std::unique_ptr<Command> make_recover_command() { return std::make_unique<RecoverCommand>(); }

}  // namespace underdraw::cli
