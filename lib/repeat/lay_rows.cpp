#include "repeat/lay_rows.h"

#include <algorithm>
#include <cmath>
#include <optional>

#include <fmt/format.h>

#include "core/error.h"
#include "repeat/on_face.h"
#include "repeat/row_fit.h"

namespace underdraw {
namespace {

constexpr double kSlack = 1e-6;  // mm: a motif exactly as high as its face fits
constexpr int kMostRows = 5000;
constexpr double kWideGap = 1.5;  // a true gap above this times the asked one is worth a word

double rounded(double value, double step) { return std::round(value / step) * step; }

// What a copy takes of the face to either side of its centre, in the face's unit across.
struct Span {
  double left = 0.0, right = 0.0;
};

Span span_of(const Surface& surface, double along, const Box& box) {
  // Sides of the box bend on a tapered wall; five points a side are enough for the bend.
  Rings ring(1);
  const std::vector<Vec2> corners = ring_of(box).front();
  for (std::size_t i = 0; i < corners.size(); ++i) {
    for (int k = 0; k < 4; ++k) {
      ring[0].push_back(mix(corners[i], corners[(i + 1) % corners.size()], k / 4.0));
    }
  }
  const double middle = surface.round() ? 180.0 : 0.0;
  const Box on = box_of(on_face(surface, {middle, along}, ring));
  return {middle - on.min.x, on.max.x - middle};
}

// One place of the unit in a row: a copy, or two one above the other.
struct Column {
  std::vector<const Copy*> copies;
};

std::vector<Column> columns_of(const std::vector<Copy>& unit) {
  std::vector<Column> columns;
  for (const Copy& copy : unit) {
    if (copy.storey >= 0) columns.emplace_back();
    columns.back().copies.push_back(&copy);
  }
  return columns;
}

class RowLayer {
 public:
  RowLayer(const RepeatJob& job, const Surface& surface)
      : job_(job), asked_(job.asked), surface_(surface), columns_(columns_of(job.unit)) {
    tallest_ = job.tallest();
    const bool stacked = job.unit.front().storey != 0;
    row_height_ = stacked ? 2.0 * tallest_ + job.row_gap : tallest_;
    low_ = job.edge - surface.joint_mm() / 2.0;
    high_ = surface.along_mm() - low_;
  }

  LaidCopies lay() {
    const std::vector<double> middles = row_middles();
    std::vector<Row> rows;
    if (centred()) {
      rows.push_back(centred_row(middles.front()));
    } else if (asked_.same_count || asked_.style == Style::half_drop) {
      rows = equal_rows(middles);
    } else {
      for (const double along : middles) rows.push_back(fitted_row(along));
    }
    for (std::size_t r = 0; r < rows.size(); ++r) place(rows[r], r);
    out_.rows = static_cast<int>(rows.size());
    tell_of(rows);
    return std::move(out_);
  }

 private:
  struct Row {
    double along = 0.0;
    double scale = 1.0;
    int repeats = 0;
    double gap = 0.0;             // mm at the row's middle
    std::vector<double> centres;  // of the columns, across, from the row's start
    double per_across = 1.0;      // mm at the row's middle
  };

  double start() const { return surface_.round() || centred() ? 0.0 : low_; }
  bool centred() const { return asked_.style == Style::centre; }
  double length_mm(double along) const {
    return surface_.round() ? surface_.width_mm(along) : surface_.width_mm(along) - 2.0 * low_;
  }

  // Least mm per unit across over the height of a row: there the copies come closest.
  double narrowest(double along, double scale) const {
    double least = surface_.mm_per_across(along);
    for (int k = -4; k <= 4; ++k) {
      const double there =
          std::clamp(along + k / 8.0 * row_height_ * scale, 0.0, surface_.along_mm());
      least = std::min(least, surface_.mm_per_across(there));
    }
    return least;
  }

  std::vector<Span> spans(double along, double scale) const {
    std::vector<Span> out;
    for (const Column& column : columns_) {
      Span widest;
      for (const Copy* copy : column.copies) {
        const Span span =
            span_of(surface_, storey_along(along, *copy, scale), copy->times(scale).box());
        widest = {std::max(widest.left, span.left), std::max(widest.right, span.right)};
      }
      out.push_back(widest);
    }
    return out;
  }

  double storey_along(double along, const Copy& copy, double scale) const {
    const double up = copy.storey * (tallest_ * scale + job_.row_gap) / 2.0;
    return along + surface_.up_per_along() * up;
  }

  // Sizes and gaps shrink together where rows keep their count; else the gap is as asked.
  double gap_at(double scale) const { return asked_.same_count ? job_.gap * scale : job_.gap; }

  RowRequest request(double along, double scale) const {
    const double per_across = surface_.mm_per_across(along);
    const double least = narrowest(along, scale);
    RowRequest request{length_mm(along), {}, 0.0};
    if (least <= 0.0) {
      refuse_arrangement(asked_,
                         "a copy reaches over the tip of the wall",
                         "room round it",
                         "move it away from the tip");
    }
    request.least_gap_mm = gap_at(scale) * per_across / least;
    for (const Span& span : spans(along, scale)) {
      request.widths_mm.push_back((span.left + span.right) * per_across);
    }
    return request;
  }

  // A row of that many repeats, whether its gaps are as wide as asked or not.
  Row row_of(double along, double scale, int repeats) const {
    RowRequest asked = request(along, scale);
    asked.repeats = repeats;
    const RowFit fit = fit_row(asked);
    if (fit.repeats == 0) refuse_row(along, scale, repeats);
    Row row{along, scale, repeats, fit.gap_mm, {}, surface_.mm_per_across(along)};
    const std::vector<Span> wide = spans(along, scale);
    for (std::size_t i = 0; i < fit.centres_mm.size(); ++i) {
      // The middle of the span to where the copy's own origin is.
      const Span& span = wide[i % wide.size()];
      row.centres.push_back(fit.centres_mm[i] / row.per_across + (span.left - span.right) / 2.0);
    }
    return row;
  }

  [[noreturn]] void refuse_row(double along, double scale, int repeats) const {
    const RowRequest asked = request(along, scale);
    const double ink = asked.ink_mm();
    const double gaps = asked.gaps_mm();
    const double room = asked.length_mm / repeats;
    refuse_arrangement(
        asked_,
        repeats == 1
            ? fmt::format("one repeat of {} copies needs {:.1f} mm", columns_.size(), ink + gaps)
            : fmt::format("{} copies need {:.1f} mm",
                          repeats * static_cast<int>(columns_.size()),
                          repeats * (ink + gaps)),
        fmt::format("at most {:.1f} mm, {}",
                    asked.length_mm,
                    surface_.round() ? "the circumference" : "the face's width"),
        height_that_fits(job_, (room - gaps) / ink) + ", or ask for a smaller gap");
  }

  // Repeats at a time: half-drop closes round a wall on an even number of columns only.
  int repeats_step() const {
    const bool odd = columns_.size() % 2 != 0;
    return asked_.style == Style::half_drop && surface_.round() && odd ? 2 : 1;
  }

  // As many as fit, or as asked.
  Row fitted_row(double along) const {
    const int per_repeat = static_cast<int>(columns_.size());
    if (asked_.count) {
      const int step = repeats_step() * per_repeat;
      if (*asked_.count % step != 0) refuse_count(asked_, step);
      return row_of(along, 1.0, *asked_.count / per_repeat);
    }
    const RowFit fit = fit_row(request(along, 1.0));
    const int step = repeats_step();
    const int repeats = fit.repeats / step * step;
    if (asked_.size_give_percent > 0.0) {
      if (const auto sized = sized_row(along, repeats, step)) return *sized;
    }
    if (repeats == 0) refuse_row(along, 1.0, step);
    return row_of(along, 1.0, repeats);
  }

  // The gap as asked, and sizes changed to suit: the fewest changes of n and n + 1 repeats.
  std::optional<Row> sized_row(double along, int repeats, int step) const {
    std::optional<double> best;
    int count = 0;
    for (const int n : {repeats, repeats + step}) {
      if (n <= 0) continue;
      // Widths on a tapered wall are nearly, not quite, in proportion: a few rounds settle it.
      double scale = 1.0;
      for (int round = 0; round < 6; ++round) {
        const RowRequest asked = request(along, scale);
        const double ink = asked.ink_mm();
        const double gaps = asked.gaps_mm();
        scale *= (asked.length_mm / n - gaps) / ink;
        if (!(scale > 0.05)) break;
      }
      if (!(scale > 0.05)) continue;
      if (!best || std::abs(std::log(scale)) < std::abs(std::log(*best))) {
        best = scale;
        count = n;
      }
    }
    if (!best || std::abs(*best - 1.0) > asked_.size_give_percent / 100.0) return {};
    return row_of(along, rounded(*best - 5e-10, 1e-9), count);
  }

  // As many copies in every row. The widest row decides when sizes follow the wall, else the
  // narrowest; fewer where a steep row has less room than its width says.
  std::vector<Row> equal_rows(const std::vector<double>& middles) const {
    const auto narrower = [&](double a, double b) {
      return surface_.width_mm(a) < surface_.width_mm(b);
    };
    const auto [least, most] = std::minmax_element(middles.begin(), middles.end(), narrower);
    const Row lead = fitted_row(asked_.same_count ? *most : *least);
    const auto scale_at = [&](double along) {
      if (!asked_.same_count) return lead.scale;
      return lead.scale * surface_.mm_per_across(along) / surface_.mm_per_across(lead.along);
    };
    const int step = repeats_step();
    int repeats = lead.repeats;
    const auto fits = [&](double along) {
      RowRequest asked = request(along, scale_at(along));
      asked.repeats = repeats;
      return fit_row(asked).repeats > 0;
    };
    while (!asked_.count && repeats > step && !std::all_of(middles.begin(), middles.end(), fits)) {
      repeats -= step;
    }
    std::vector<Row> rows;
    for (const double along : middles) rows.push_back(row_of(along, scale_at(along), repeats));
    return rows;
  }

  double room() const { return high_ - low_; }

  std::vector<double> row_middles() {
    if (row_height_ > room() + kSlack) {
      refuse_arrangement(
          asked_,
          fmt::format("the motifs are {:.1f} mm high when the lines go on", row_height_),
          fmt::format("at most {:.1f} mm, the face's height", room()),
          height_that_fits(job_, (room() - (row_height_ - tallest_)) / row_height_));
    }
    const bool one = asked_.style == Style::centre || asked_.style == Style::band;
    if (one) return {band_middle()};
    // Half-drop: the second columns hang half a row lower.
    const double extra = asked_.style == Style::half_drop ? 0.5 : 0.0;
    const double pitch = row_height_ + job_.row_gap;
    // One row needs no gap above or below.
    const double fit = std::floor(room() / pitch * (1.0 + 1e-9) - extra);
    const int most = std::max(1, static_cast<int>(std::min(fit, 1.0 * kMostRows)));
    const int count = asked_.rows.value_or(most);
    require_between(count, 1, kMostRows, "rows", "");
    const double true_pitch = room() / (count + extra);
    if (count > most) {
      refuse_arrangement(
          asked_,
          fmt::format("{} rows need {:.1f} mm", count, (count + extra) * pitch),
          fmt::format("at most {:.1f} mm, the face's height", room()),
          fmt::format(
              "ask for {} rows, or {}",
              most,
              height_that_fits(job_, (room() / (count + extra) - job_.row_gap) / row_height_)));
    }
    drop_ = extra * true_pitch;
    out_.row_gap_mm = count > 1 ? true_pitch - row_height_ : 0.0;
    std::vector<double> middles;
    for (int r = 0; r < count; ++r) {
      const double down = (r + 0.5) * true_pitch;
      middles.push_back(surface_.up_per_along() > 0.0 ? high_ - down : low_ + down);
    }
    return middles;
  }

  double band_middle() const {
    const double height = surface_.along_mm();
    const std::optional<double> stated =
        asked_.centre ? std::optional(asked_.centre->along) : asked_.at_mm;
    if (!stated) return height / 2.0;
    const double middle = *stated * job_.transfer_from_measured;
    const double half = row_height_ / 2.0;
    if (middle - half < job_.edge - kSlack || middle + half > height - job_.edge + kSlack) {
      const double low = (half + job_.edge) / job_.transfer_from_measured;
      refuse_arrangement(
          asked_,
          fmt::format("at = {:.6g} puts motifs {:.1f} mm high over the edge of the "
                      "face",
                      *stated,
                      row_height_ / job_.transfer_from_measured),
          fmt::format("at from {:.1f} to {:.1f}", low, height / job_.transfer_from_measured - low),
          "move the band or ask for a smaller height");
    }
    return middle;
  }

  void place(const Row& row, std::size_t index) {
    const int per_repeat = static_cast<int>(columns_.size());
    double shift = 0.0;
    if (asked_.style == Style::brick && index % 2 == 1) {
      shift = length_mm(row.along) / row.per_across / (2.0 * row.repeats * per_repeat);
    }
    std::vector<double> written;
    for (std::size_t i = 0; i < row.centres.size(); ++i) {
      const double across = start() + row.centres[i] + shift;
      if (!surface_.round() && shift > 0.0 && i + 1 == row.centres.size()) {
        ++left_at_edge_;  // would lie over the edge
        break;
      }
      const double dropped = i % 2 == 1 ? -surface_.up_per_along() * drop_ : 0.0;
      for (const Copy* copy : columns_[i % columns_.size()].copies) {
        const double along = storey_along(row.along, *copy, row.scale) + dropped;
        const FacePoint at = as_written(surface_, {across, along});
        out_.copies.push_back({copy->times(row.scale), at});
        if (copy == columns_[i % columns_.size()].copies.front()) {
          const bool over = surface_.round() && !written.empty() && at.across < written.front();
          written.push_back(over ? at.across + 360.0 : at.across);
        }
      }
    }
    note_gaps(row, written);
  }

  // Side by side about the middle; on a round face opposite the tick.
  Row centred_row(double along) const {
    const RowRequest asked = request(along, 1.0);
    const double copies = static_cast<double>(asked.widths_mm.size());
    const double between = surface_.round() ? copies : copies - 1.0;
    const double ink = asked.ink_mm();
    const double needed = ink + between * asked.least_gap_mm;
    if (needed > asked.length_mm + kSlack) {
      refuse_arrangement(
          asked_,
          fmt::format("{} copies side by side need {:.1f} mm", columns_.size(), needed),
          fmt::format("at most {:.1f} mm, the face's width", asked.length_mm),
          height_that_fits(job_, (asked.length_mm - between * asked.least_gap_mm) / ink));
    }
    Row row{along, 1.0, 1, job_.gap, {}, surface_.mm_per_across(along)};
    const double gap = asked.least_gap_mm / row.per_across;
    double left = surface_.round() ? 180.0 : surface_.widest_mm() / 2.0;
    if (asked_.centre) {
      left = asked_.centre->across * (surface_.round() ? 1.0 : job_.transfer_from_measured);
    }
    left -= (ink / row.per_across + (copies - 1.0) * gap) / 2.0;
    for (const Span& span : spans(along, 1.0)) {
      row.centres.push_back(left + span.left);
      left += span.left + span.right + gap;
    }
    return row;
  }

  // The gaps of a row from the places as they are written, the one over the seam included.
  void note_gaps(const Row& row, const std::vector<double>& across) {
    const std::vector<Span> wide = spans(row.along, row.scale);
    double least = std::numeric_limits<double>::infinity();
    double most = -least;
    const auto note = [&](double from, std::size_t i, double to, std::size_t k) {
      const double gap =
          (to - wide[k % wide.size()].left - from - wide[i % wide.size()].right) * row.per_across;
      least = std::min(least, gap);
      most = std::max(most, gap);
    };
    for (std::size_t i = 1; i < across.size(); ++i) note(across[i - 1], i - 1, across[i], i);
    if (surface_.round() && !centred() && !across.empty()) {
      note(across.back(), across.size() - 1, across.front() + 360.0, 0);
    }
    if (most > least) out_.seam_error_mm = std::max(out_.seam_error_mm, most - least);
  }

  void tell_of(const std::vector<Row>& rows) {
    const auto fewest = std::min_element(
        rows.begin(), rows.end(), [](const Row& a, const Row& b) { return a.repeats < b.repeats; });
    const auto tightest = std::min_element(
        rows.begin(), rows.end(), [](const Row& a, const Row& b) { return a.gap < b.gap; });
    out_.repeats = fewest->repeats;
    out_.gap_mm = tightest->gap;
    if (!surface_.round()) {
      out_.end_gap_mm = start() + (rows.front().centres.front() -
                                   spans(rows.front().along, rows.front().scale).front().left) *
                                      rows.front().per_across;
    }
    const bool differ = std::any_of(rows.begin(), rows.end(), [&](const Row& row) {
      return row.repeats != rows.front().repeats || std::abs(row.gap - rows.front().gap) > 0.005 ||
             row.scale != rows.front().scale;
    });
    for (std::size_t r = 0; differ && r < rows.size(); ++r) {
      const Row& row = rows[r];
      out_.notes.push_back(fmt::format(
          "row {} at {:.1f} mm: {} copies, gap {:.2f} mm{}",
          r + 1,
          row.along,
          row.repeats * static_cast<int>(columns_.size()),
          row.gap,
          row.scale == 1.0 ? "" : fmt::format(", {:.1f} % of the size asked", 100.0 * row.scale)));
    }
    if (!differ && rows.front().scale != 1.0) {
      out_.notes.push_back(fmt::format("{:.1f} % of the size asked, so that the gap is as asked",
                                       100.0 * rows.front().scale));
    }
    if (left_at_edge_ > 0) {
      out_.notes.push_back(
          fmt::format("{} shifted row{} one copy fewer: it would lie over the edge",
                      left_at_edge_,
                      left_at_edge_ == 1 ? " has" : "s have"));
    }
    const Row& first = rows.front();
    if (!centred() && first.gap > kWideGap * job_.gap + 2.0) {
      const RowRequest asked = request(first.along, first.scale);
      const double ink = asked.ink_mm();
      const double gaps = asked.gaps_mm();
      const double share = (asked.length_mm / (first.repeats + 1) - gaps) / ink;
      if (share > 0.0 && !asked_.count) {
        out_.notes.push_back(fmt::format(
            "the gap grew from {:.1f} to {:.1f} mm so that the row closes; sizes times {:.3f} "
            "would give {} copies with the gap asked for",
            job_.gap,
            first.gap,
            share,
            (first.repeats + 1) * static_cast<int>(columns_.size())));
      }
    }
  }

  const RepeatJob& job_;
  const Arrangement& asked_;
  const Surface& surface_;
  std::vector<Column> columns_;
  double tallest_ = 0.0;
  double row_height_ = 0.0;
  double low_ = 0.0, high_ = 0.0;  // of the rows' room, along
  double drop_ = 0.0;              // of every second column, mm
  int left_at_edge_ = 0;
  LaidCopies out_;
};

}  // namespace

FacePoint as_written(const Surface& surface, FacePoint at) {
  if (surface.round()) {
    at.across = wrapped_deg(rounded(wrapped_deg(at.across), kPlacementStepDeg));
  } else {
    at.across = rounded(at.across, kPlacementStepMm);
  }
  at.along = rounded(at.along, kPlacementStepMm);
  return at;
}

LaidCopies lay_rows(const RepeatJob& job, const Surface& surface) {
  return RowLayer(job, surface).lay();
}

}  // namespace underdraw
