#include <algorithm>
#include <charconv>
#include <cmath>

#include <CLI/CLI.hpp>
#include <fmt/format.h>
#include <nlohmann/json.hpp>

#include "coats/draw_coat_card.h"
#include "coats_text.h"
#include "command_makers.h"
#include "io/coats_log.h"
#include "io/make_coats.h"
#include "io/read_tile_photo.h"
#include "option_checks.h"
#include "piece_command.h"

namespace underdraw::cli {
namespace {

using Object = nlohmann::ordered_json;

// "12,-8".
std::optional<Vec2> spot_of(const std::string& text) {
  const std::size_t comma = text.find(',');
  if (comma == std::string::npos) return std::nullopt;
  const auto x = number_of(text.substr(0, comma));
  const auto y = number_of(text.substr(comma + 1));
  if (!x || !y) return std::nullopt;
  return Vec2{*x, *y};
}

CLI::Validator some_spot() {
  return CLI::Validator(
      [](std::string& text) -> std::string {
        if (spot_of(text)) return {};
        return fmt::format("\"{}\" (expected millimetres right and up of the mat's middle, 12,-8)",
                           text);
      },
      "");
}

class CoatsCommand : public Command {
 public:
  std::string name() const override { return "coats"; }
  std::string summary() const override {
    return "coat card and paint map; the log of coats laid and missing, firings, test tiles";
  }
  std::string example() const override {
    return "underdraw coats samples/harbour-jar --laid 3 teal --new-colour";
  }

  void declare(CLI::App& app) override {
    app.add_option("DIR", folder_, "the piece folder")->required()->check(some_name());
    app.add_option("WHAT", what_, "the colour of --laid and --used, the photo of --tile")
        ->check(some_name());
    declare_coats(app);
    declare_tiles(app);
    app.add_option("--fired", fired_, "the piece was fired: bisque, glaze or another word")
        ->type_name("STAGE")
        ->check(some_name());
    app.add_option("--undo", undo_, "take the last entry back, or the one of this number")
        ->type_name("[NUMBER]")
        ->expected(0, 1);
    app.add_flag("--card", card_, "make the coat card and the paint map; out/ is added to");
    app.add_flag("--history", history_, "every entry with its number, also those taken back");
    app.add_option("--note", log_.note, "with an entry: a line of your own")->type_name("TEXT");
  }

  Outcome run(Console& console) override {
    check_use();
    if (laid_) return write(console, laid());
    if (used_ml_) return write(console, used());
    if (!fired_.empty()) return fired(console);
    if (!tile_.empty()) return tile(console);
    if (undo_) return undo(console);
    if (card_) return card(console);
    const LogOfPiece piece = log_of_piece(folder_);
    if (history_) {
      show_history(console, piece.log);
      Object entries = Object::array();
      for (const LogEntry& entry : piece.log) entries.push_back(entry_object(entry));
      console.object({{"entries", std::move(entries)}});
      return Outcome::done;
    }
    show_summary(console, piece, folder_);
    console.object(summary_object(piece));
    return Outcome::done;
  }

 private:
  void declare_coats(CLI::App& app) {
    app.add_option("--laid", laid_, "so many coats of the colour were laid")
        ->type_name("COUNT")
        ->check(count_from(1));
    app.add_option("--areas", areas_, "on these only, numbered as on the map: 4,7-9,12b,ground")
        ->type_name("LIST");
    app.add_option("--face", face_, "on this face only, as in piece.toml")
        ->type_name("NAME")
        ->check(some_name());
    app.add_option("--used", used_ml_, "so much of the colour was used up")
        ->type_name("ML")
        ->check(number_between(0.01, 100'000, "ml"));
    app.add_option("--area", area_cm2_, "with --used: for an area of this size")
        ->type_name("CM2")
        ->check(number_between(0.1, 1'000'000, "cm²"));
    app.add_option("--coats", used_coats_, "with --used: in so many coats, 1 if not given")
        ->type_name("COUNT")
        ->check(count_from(1));
    app.add_flag("--new-colour", log_.new_colour, "the colour is not in piece.toml, take it");
  }

  void declare_tiles(CLI::App& app) {
    app.add_option("--tile", tile_, "a photo of this test tile on the mat: read its colour")
        ->type_name("NAME")
        ->check(some_name());
    app.add_option("--state", state_, "with --tile: what it is in the photo")
        ->type_name("STATE")
        ->check(one_of(tile_state_names()));
    app.add_option("--of", of_, "with --tile: its colour, or the mix in words; as before, or NAME")
        ->type_name("TEXT")
        ->check(some_name());
    app.add_option(
           "--spot", spot_, "with --tile: where to read, mm right and up of the mat's middle")
        ->type_name("X,Y")
        ->check(some_spot());
    app.add_option("--spot-size", tile_options_.spot_diameter_mm, "with --tile: diameter read")
        ->type_name("MM")
        ->capture_default_str()
        ->check(number_between(4, 60, "mm"));
    app.add_option("--thick", tile_options_.thick_mm, "with --tile: how thick it is")
        ->type_name("MM")
        ->capture_default_str()
        ->check(number_between(0, 40, "mm"));
  }

  void check_use() const {
    const int actions = (laid_ ? 1 : 0) + (used_ml_ ? 1 : 0) + (fired_.empty() ? 0 : 1) +
                        (tile_.empty() ? 0 : 1) + (undo_ ? 1 : 0) + (history_ ? 1 : 0) +
                        (card_ ? 1 : 0);
    if (actions > 1) {
      throw UsageError(
          "coats: --laid, --used, --fired, --tile, --undo, --card and --history go one at a "
          "time");
    }
    const bool colour = laid_ || used_ml_;
    if (colour && what_.empty()) {
      throw UsageError("coats: the colour is missing; name it, --laid 3 teal");
    }
    if (!tile_.empty() && what_.empty()) {
      throw UsageError("coats: the photo of the tile is missing; name it");
    }
    if (!what_.empty() && !colour && tile_.empty()) {
      throw UsageError(fmt::format("coats: what about {}? Say --laid, --used or --tile", what_));
    }
    if (!tile_.empty() && state_.empty()) {
      throw UsageError("coats: --state is missing; say what the tile is, --state dry");
    }
    if (tile_.empty() && (!state_.empty() || !of_.empty() || !spot_.empty())) {
      throw UsageError("coats: --state, --of and --spot go with --tile");
    }
    if (used_ml_.has_value() != area_cm2_.has_value()) {
      throw UsageError("coats: --used and --area belong together");
    }
    if (used_coats_ && !used_ml_) throw UsageError("coats: --coats goes with --used");
    if (!laid_ && (!areas_.empty() || face_)) {
      throw UsageError("coats: --areas and --face go with --laid");
    }
    if (log_.new_colour && !colour) {
      throw UsageError("coats: --new-colour goes with --laid and --used");
    }
    if (!log_.note.empty() && !colour && fired_.empty() && tile_.empty()) {
      throw UsageError("coats: --note goes with an entry");
    }
  }

  CoatsLaid laid() const {
    CoatsLaid laid{.colour = what_, .count = *laid_, .place = {face_, {}}};
    if (!areas_.empty()) laid.place.areas = areas_of_text(areas_);
    return laid;
  }

  ColourUsed used() const {
    return {
        .colour = what_, .ml = *used_ml_, .area_cm2 = *area_cm2_, .coats = used_coats_.value_or(1)};
  }

  void show_entry(Console& console, const Logged& logged) const {
    console.line(fmt::format("{}  (entry {})", text_of(logged.entry), logged.entry.id));
    console.warnings(logged.warnings);
  }

  // And what that makes of the colour.
  Outcome write(Console& console, LogContent content) const {
    const Logged logged = write_log(folder_, std::move(content), log_);
    show_entry(console, logged);
    const WorkSummary now = log_of_piece(folder_).summary;
    if (laid_) {
      for (const ColourCoats& colour : now.coats) {
        if (colour.name == what_) console.line(what_ + ": " + text_of(colour));
      }
    } else {
      for (const ColourNeed& need : now.needs) {
        if (need.name == what_) console.line(what_ + ": " + text_of(need));
      }
    }
    console.object({{"entry", entry_object(logged.entry)}, {"warnings", logged.warnings}});
    return Outcome::done;
  }

  Outcome fired(Console& console) const {
    const Logged logged = write_log(folder_, Firing{fired_}, log_);
    show_entry(console, logged);
    const LogOfPiece piece = log_of_piece(folder_);
    console.line(lines_text(folder_, piece.lines_kept));
    console.line("coats laid stay as they are written down");
    console.object({{"entry", entry_object(logged.entry)},
                    {"lines_kept", piece.lines_kept},
                    {"warnings", logged.warnings}});
    return Outcome::done;
  }

  Outcome tile(Console& console) {
    if (!spot_.empty()) tile_options_.spot_mm = *spot_of(spot_);
    const TilePhoto photo = read_tile_photo(what_, tile_options_);
    const auto& names = tile_state_names();
    TileReading reading;
    reading.tile = tile_;
    reading.of = of_;
    reading.state =
        static_cast<TileState>(std::find(names.begin(), names.end(), state_) - names.begin());
    reading.colour = photo.read.colour;
    reading.spread = photo.read.spread;
    reading.grey_l = photo.read.grey_l;
    reading.photo = photo.name;
    reading.checksum = photo.checksum;
    const Logged logged = write_log(folder_, reading, log_);
    show_entry(console, logged);
    console.line(fmt::format(
        "two thirds of the spot are within {:.1f} of it{}",
        reading.spread,
        photo.read.shine > 0.0
            ? fmt::format("; {:.0f} % shone and were left out", 100.0 * photo.read.shine)
            : ""));
    const std::string& of = std::get<TileReading>(logged.entry.content).of;
    for (const ColourChange& change : log_of_piece(folder_).summary.changes) {
      if (change.of == of) console.line(of + ", " + text_of(change));
    }
    console.warnings(photo.read.warnings);
    console.object({{"entry", entry_object(logged.entry)},
                    {"shine", std::round(1000.0 * photo.read.shine) / 1000.0},
                    {"warnings", photo.read.warnings}});
    return Outcome::done;
  }

  // What is to be painted, with how much colour and in how long.
  Outcome card(Console& console) const {
    const CoatsResult made = make_coats(folder_, {}, console.progress(), console.notice());
    std::vector<Fact> facts;
    Object faces = Object::array();
    for (const PaintedFace& face : made.map.faces) {
      facts.push_back({face.name,
                       fmt::format("{:.1f} cm², ground {:.1f}, {} in drawings",
                                   face.size_cm2,
                                   face.areas.front().size_cm2,
                                   count_text(face.areas.size() - 1, "area"))});
      faces.push_back({{"name", face.name}, {"areas", face.areas.size()}});
    }
    for (const ColourAmount& amount : made.plan.amounts) {
      facts.push_back({amount.colour ? made.map.colours[*amount.colour].name : "no colour yet",
                       fmt::format("{:.1f} cm², {:.1f} ml for all coats ({:.1f} to {:.1f})",
                                   amount.size_cm2,
                                   amount.ml,
                                   amount.low_ml,
                                   amount.high_ml)});
    }
    facts.push_back({"time",
                     fmt::format("{} of painting, {} with the drying",
                                 time_words(made.plan.painting_min),
                                 time_words(made.plan.total_min))});
    for (std::size_t i = 0; i < made.files.size(); ++i) {
      facts.push_back({i == 0 ? "made" : "", made.files[i]});
    }
    console.facts(facts);
    console.warnings(made.warnings);
    console.object({{"faces", std::move(faces)},
                    {"painting_min", std::round(made.plan.painting_min)},
                    {"total_min", std::round(made.plan.total_min)},
                    {"warnings", made.warnings},
                    {"files", made.files}});
    return Outcome::done;
  }

  Outcome undo(Console& console) const {
    std::optional<std::int64_t> number;
    if (!undo_->empty()) {
      std::int64_t value = 0;
      const char* const end = undo_->data() + undo_->size();
      const auto [stop, error] = std::from_chars(undo_->data(), end, value);
      if (error != std::errc{} || stop != end || value < 1) {
        throw UsageError(
            fmt::format("coats: --undo {}: expected the number of an entry, or nothing", *undo_));
      }
      number = value;
    }
    const LogEntry entry = take_back(folder_, number);
    console.line(fmt::format("taken back: {}  (entry {})", text_of(entry), entry.id));
    console.object({{"entry", entry_object(entry)}});
    return Outcome::done;
  }

  std::string folder_;
  std::string what_;
  std::optional<int> laid_;
  std::string areas_;
  std::optional<std::string> face_;
  std::optional<double> used_ml_, area_cm2_;
  std::optional<int> used_coats_;
  std::string tile_, state_, of_, spot_;
  TileColourOptions tile_options_;
  std::string fired_;
  std::optional<std::string> undo_;
  bool history_ = false;
  bool card_ = false;
  LogOptions log_;
};

}  // namespace

std::unique_ptr<Command> make_coats_command() { return std::make_unique<CoatsCommand>(); }

}  // namespace underdraw::cli
