#include "coats/draw_coat_card.h"

#include <algorithm>
#include <cmath>

#include <fmt/format.h>

#include "coats/draw_paint_map.h"
#include "core/listed.h"
#include "sheet/cautions.h"
#include "sheet/page_frame.h"
#include "sheet/shapes.h"
#include "sheet/text_flow.h"
#include "sheet/text_width.h"

namespace underdraw {
namespace {

constexpr double kBox = 4.2;  // to tick
constexpr double kBoxStep = 7.5;
constexpr double kRow = 6.4;
constexpr double kNarrow = 4.0;
constexpr Grey kQuiet{0.3};
constexpr Grey kRule{0.75};

TextMark words(const std::string& text, Vec2 at, bool bold = false, Align align = Align::left) {
  return {text, at, kTextSize, align, bold, 0.0, {}};
}

PathMark rule(Vec2 from, Vec2 to) {
  PathMark mark;
  mark.paths = {line_between(from, to)};
  mark.line_width_mm = 0.12;
  mark.line = kRule;
  return mark;
}

PathMark box_at(Vec2 top_left, Grey fill, double size) {
  PathMark mark;
  mark.paths = {rectangle({top_left, top_left + Vec2{size, size}})};
  mark.line_width_mm = 0.25;
  mark.filled = true;
  mark.fill = fill;
  return mark;
}

std::string coats_words(int coats) {
  if (coats == 0) return "wash, until it looks right";
  return coats == 1 ? "1 coat" : fmt::format("{} coats", coats);
}

std::string amount_words(double ml) {
  if (ml < 10.0) return fmt::format("{:.1f}", ml);
  return fmt::format("{:.0f}", ml);
}

class Card {
 public:
  Card(const std::string& piece,
       const PaintMap& map,
       const CoatPlan& plan,
       const MapOptions& options)
      : piece_(piece),
        map_(map),
        plan_(plan),
        flow_(options.paper, frame_of(options), piece, "coat card") {}

  std::vector<Drawing> draw() {
    title();
    amounts();
    how();
    for (std::size_t i = 0; i < plan_.turns.size(); ++i) turn(i);
    flow_.skip(3.0);
    const TextLines care = caution_lines(cautions_for_coats(), flow_.width());
    if (height_of(care) > flow_.left()) flow_.turn_page();
    flow_.flow(care);
    return flow_.pages();
  }

 private:
  void row_of(std::vector<Mark> marks, double height) {
    flow_.add(std::move(marks));
    flow_.take(height);
  }

  void title() {
    TextLines lines;
    lines.push_back({fitted_text(piece_, flow_.width(), kTitleSize, true),
                     kTitleSize,
                     true,
                     0.0,
                     0.15 * kTitleSize,
                     {}});
    append_text(lines,
                fmt::format("coat card · about {} of painting, {} with the drying",
                            time_words(plan_.painting_min),
                            time_words(plan_.total_min)),
                flow_.width(),
                {.text = {}, .size_mm = kSubtitleSize, .hanging = {}});
    flow_.flow(lines);
    flow_.skip(5.0);
  }

  // Grey, name, kind, coats, size, amount.
  void amounts() {
    const double left = flow_.rest().min.x;
    const double width = flow_.width();
    const auto at = [&](double share) { return left + share * width; };
    double y = flow_.rest().min.y + 3.0;
    std::vector<Mark> head;
    head.emplace_back(words("Colour", {left, y}, true));
    head.emplace_back(words("Coats", {at(0.34), y}, true));
    head.emplace_back(words("cm², one coat", {at(0.66), y}, true, Align::right));
    head.emplace_back(words("ml for all coats", {at(1.0), y}, true, Align::right));
    head.emplace_back(rule({left, y + 1.6}, {at(1.0), y + 1.6}));
    row_of(std::move(head), kRow);
    for (const ColourAmount& amount : plan_.amounts) {
      if (flow_.left() < kRow) flow_.turn_page();
      y = flow_.rest().min.y + 3.0;
      std::vector<Mark> marks;
      marks.emplace_back(box_at({left, y - 2.6}, tint_of(amount.colour), 3.2));
      const std::string name =
          amount.colour ? colour_words(map_, amount.colour) : "to be chosen: ________________";
      marks.emplace_back(
          words(fitted_text(name, 0.32 * width - 6.0, kTextSize, false), {left + 5.0, y}));
      const std::string kind =
          amount.colour ? name_of(map_.colours[*amount.colour].kind) + ", " : "";
      marks.emplace_back(words(
          amount.coats == 0 ? coats_words(0) : kind + coats_words(amount.coats), {at(0.34), y}));
      marks.emplace_back(
          words(fmt::format("{:.1f}", amount.size_cm2), {at(0.66), y}, false, Align::right));
      marks.emplace_back(words(fmt::format("{}  ({} to {})",
                                           amount_words(amount.ml),
                                           amount_words(amount.low_ml),
                                           amount_words(amount.high_ml)),
                               {at(1.0), y},
                               false,
                               Align::right));
      marks.emplace_back(rule({left, y + 1.6}, {at(1.0), y + 1.6}));
      row_of(std::move(marks), kRow);
    }
    flow_.skip(2.0);
  }

  void how() {
    std::vector<std::string> points;
    points.push_back(
        map_.options.order == PaintOrder::edge_to_edge
            ? "Every part gets its first coat before any gets its second: go down the card once "
              "for each column of boxes."
            : "From top to bottom, each part with all its coats: first the ground, then what lies "
              "behind, then what is in front.");
    const bool sides = std::any_of(plan_.turns.begin(), plan_.turns.end(), [](const auto& turn) {
      return std::any_of(turn.stops.begin(), turn.stops.end(), [](const CoatStop& stop) {
        return stop.side.has_value();
      });
    });
    if (sides) {
      points.push_back(
          map_.options.hold == Hold::opposite
              ? "Go round the piece side by side. Hold it on the far side, firmly, and only where "
                "it is dry: after two sides, wait until the first is."
              : "Go round the piece side by side, on a turntable or held from inside, so that no "
                "hand touches what is wet.");
    }
    points.push_back(
        map_.options.gap_mm > 0.0
            ? fmt::format("Paint to the line, and leave {:g} mm bare between two areas: coats "
                          "that overlap leave a ridge.",
                          map_.options.gap_mm)
            : "Paint to the line and no further: coats that overlap leave a ridge.");
    points.push_back(
        "Before the first opaque coat, photograph the lines on the mat and keep the photos: what "
        "is covered is drawn again from them.");
    flow_.flow(numbered("How to go about it", points, flow_.width()));
    flow_.skip(5.0);
  }

  std::string turn_head(std::size_t index) const {
    const CoatTurn& turn = plan_.turns[index];
    return fmt::format("{}  {} · {}",
                       index + 1,
                       colour_words(map_, turn.colour),
                       turn.ground   ? "ground"
                       : turn.behind ? "drawings behind"
                                     : "drawings");
  }

  std::string turn_detail(std::size_t index) const {
    const CoatTurn& turn = plan_.turns[index];
    double painting = 0.0;
    for (const CoatStep& step : plan_.steps) {
      if (step.turn == index) painting += step.painting_min;
    }
    return fmt::format(
        "{}, {:.1f} cm² each, about {} of painting; let it dry for {} before the "
        "next coat and before you hold it",
        coats_words(turn.coats),
        turn.size_cm2,
        time_words(painting),
        time_words(turn.drying_min));
  }

  void turn(std::size_t index) {
    const CoatTurn& turn = plan_.turns[index];
    TextLines head;
    append_text(head,
                turn_head(index),
                flow_.width(),
                {.text = {}, .size_mm = kHeadSize, .bold = true, .hanging = {}});
    append_text(head, turn_detail(index), flow_.width(), {.text = {}, .hanging = {}});
    if (height_of(head) + 2.0 * kRow > flow_.left()) flow_.turn_page();
    flow_.flow(head);
    flow_.take(1.5);
    for (const CoatStop& stop : turn.stops) row(turn, stop);
    flow_.skip(4.0);
  }

  void row(const CoatTurn& turn, const CoatStop& stop) {
    const int boxes = std::max(turn.coats, 1);
    const double boxes_width = kBoxStep * boxes;
    const double left = flow_.rest().min.x;
    const double right = left + flow_.width();
    const double where = left + 0.36 * flow_.width();
    std::vector<std::string> lines = {turn.ground ? "all that is in no drawing" : ""};
    if (!turn.ground) {
      lines = broken_text(listed(stop.parts), right - boxes_width - where - kNarrow, kTextSize);
    }
    const double height =
        std::max(kRow, 2.6 + static_cast<double>(lines.size()) * kLineSpacing * kTextSize);
    if (height > flow_.left() && !flow_.at_top()) flow_.turn_page();
    const double y = flow_.rest().min.y + 4.2;
    std::vector<Mark> marks;
    std::string place = stop.face;
    if (stop.side) place += ", " + side_words(*stop.side);
    marks.emplace_back(words(fitted_text(place, where - left - 3.0, kTextSize, false), {left, y}));
    double line_y = y;
    for (const std::string& line : lines) {
      TextMark mark = words(line, {where, line_y});
      if (turn.ground) mark.colour = kQuiet;
      marks.emplace_back(std::move(mark));
      line_y += kLineSpacing * kTextSize;
    }
    for (int coat = 0; coat < boxes; ++coat) {
      marks.emplace_back(
          box_at({right - boxes_width + kBoxStep * coat + kBoxStep - kBox, y - 3.4}, {1.0}, kBox));
    }
    marks.emplace_back(
        rule({left, flow_.rest().min.y + height}, {right, flow_.rest().min.y + height}));
    row_of(std::move(marks), height);
  }

  std::string piece_;
  const PaintMap& map_;
  const CoatPlan& plan_;
  TextFlow flow_;
};

}  // namespace

std::string side_words(int side) {
  return fmt::format("side {} (round {}°)", side + 1, side * 360 / kSides);
}

std::string time_words(double minutes) {
  const auto whole = static_cast<long>(std::lround(minutes));
  if (whole < 1) return "a minute";
  if (whole < 60) return fmt::format("{} min", whole);
  return whole % 60 == 0 ? fmt::format("{} h", whole / 60)
                         : fmt::format("{} h {} min", whole / 60, whole % 60);
}

std::vector<Drawing> draw_coat_card(const std::string& piece,
                                    const PaintMap& map,
                                    const CoatPlan& plan,
                                    const MapOptions& options) {
  options.validate();
  return Card(piece, map, plan, options).draw();
}

}  // namespace underdraw
