#include "recover/fit_standing.h"

#include <algorithm>
#include <cmath>

#include <fmt/format.h>

#include "core/error.h"
#include "photo/refuse_photo.h"
#include "recover/find_shifts.h"
#include "recover/solve_standing.h"
#include "recover/vote_standing.h"
#include "trace/median.h"

namespace underdraw {
namespace {

constexpr double kVoteReachMm = 18.0;
constexpr double kVoteApartMm = 6.0;
constexpr std::size_t kFewPlaces = 8;
constexpr double kOfWidth = 1.0;         // of a size's votes, lost by being wider or narrower
constexpr double kClearlyBetter = 0.03;  // than a likelier size
constexpr double kApartMm = 3.0;
constexpr double kEdgeSdMm = 0.25;
constexpr double kLeastAgree = 0.35;  // share of the outline's edges that have to fit
constexpr double kWideGateMm = 8.0;   // looking for an edge that is not where it should be
constexpr double kAgreeMm = 1.2;
constexpr double kLeastAgreeing = 0.6;  // share of places whose strongest edge is the piece's
constexpr std::size_t kFewClear = 30;
constexpr double kLeastAlike = 0.4;
constexpr std::size_t kFewShifts = 10;
constexpr double kUnsureMm = 0.25;
constexpr std::size_t kEnoughShifts = 40;  // that tell a standing without its outline
constexpr double kAgreeingMm = 0.15;
constexpr double kOffMiddleMm = 6.0;

// One sigma of misses about 0, from their median.
double scatter_of(const std::vector<StandingMiss>& misses) {
  if (misses.empty()) return 0.0;
  std::vector<double> off;
  for (const StandingMiss& m : misses) off.push_back(std::abs(m.miss));
  return 1.4826 * median(std::move(off));
}

class Fit {
 public:
  Fit(const Surface& surface,
      const std::vector<FacePhoto>& photos,
      const FitStandingOptions& options)
      : surface_(surface),
        photos_(photos),
        options_(options),
        unknowns_(surface, start_of(surface, options)) {}

  StandingFit solved(const Progress& progress) {
    report(progress, "finding the piece", 0.0);
    start();
    for (const double gate : {2.0, 1.2, 0.8}) {
      find_edges(gate);
      unknowns_.set(solve_standing(unknowns_, {edges_, shifts_}, options_));
    }
    for (int round = 0; round < kRounds; ++round) {
      report(progress, "comparing photos", (round + 1.0) / (kRounds + 1.0));
      find_edges(0.6);
      compare(round == 0 ? 3.0 : 1.5);
      unknowns_.set(solve_standing(unknowns_, {edges_, shifts_}, options_));
    }
    find_edges(0.6);  // what is left of both
    compare(1.5);
    return result();
  }

 private:
  static constexpr int kRounds = 3;

  static FaceStanding start_of(const Surface& surface, const FitStandingOptions& options) {
    FaceStanding standing;
    if (outline_of(surface) == Outline::flat) standing.lift_mm = options.thick_mm;
    return standing;
  }

  void start() {
    Voted best;
    double best_size = 1.0;
    double most = -1e9;
    for (const double size : options_.sizes) {
      unknowns_.set_size(size);
      const Voted voted = voted_here();
      // A piece of another size fits less well, and only if it is wider too.
      const double score = voted.share - kOfWidth * std::abs(voted.wider);
      if (score <= most + (most > 0.0 ? kClearlyBetter : 0.0)) continue;
      most = score;
      best = voted;
      best_size = size;
    }
    unknowns_.set_size(best_size);
    if (best.share < kLeastAgree) {
      outline_seen_ = best.share;
      return;  // what photos show alike may still tell
    }
    if (std::abs(best.wider) > options_.most_wider + 0.01) refuse_width(best.wider, 0.5);
    unknowns_.set(best.values);
  }

  Voted voted_here() const {
    const std::vector<OutlinePlace> places =
        outline_places(surface_, unknowns_, photos_, kVoteApartMm);
    if (places.size() < kFewPlaces) return {unknowns_.values(), 0.0, 0.0};
    std::vector<OutlineEdges> edges;
    for (const OutlinePlace& place : places) {
      edges.push_back(edges_across(photos_[place.photo].picture, place, kVoteReachMm));
    }
    return vote_standing(surface_, unknowns_, places, edges);
  }

  [[noreturn]] void refuse_width(double wider, double share) const {
    refuse_photo(
        photos_.front().name,
        fmt::format("the photos show a piece about {:.0f} % {} than measured at s = {:.0f} mm",
                    100.0 * std::abs(wider),
                    wider > 0.0 ? "wider" : "narrower",
                    share * surface_.along_mm()),
        fmt::format("within {:g} %", 100.0 * options_.most_wider),
        "measure the piece again, and the 100 mm bars of the printed mat; give the clay's "
        "shrinkage if it was fired since");
  }

  void find_edges(double gate_mm) {
    edges_.clear();
    if (outline_seen_ < 1.0) return;
    for (const OutlinePlace& place : outline_places(surface_, unknowns_, photos_, kApartMm)) {
      const OutlineEdges across =
          edges_across(photos_[place.photo].picture, place, 2.5 * gate_mm + 1.0);
      const auto at = edge_near(across, gate_mm);
      if (!at || std::abs(*at) > 2.5 * gate_mm) continue;
      StandingMiss miss{-*at, place.way, 1.0 / kEdgeSdMm};
      edges_.push_back(std::move(miss));
    }
  }

  // How the point of the face under a fixed px of a photo moves with each unknown: mm, right and
  // down.
  std::vector<Vec2> drift(const FacePhoto& photo,
                          FacePoint at,
                          const std::vector<StandingFace>& stepped) const {
    const StandingFace& face = stepped.back();
    const double da = 0.2 / surface_.mm_per_across(at.along);
    const double ds = -0.2 * surface_.up_per_along();
    const auto px = [&](const StandingFace& how, FacePoint p) {
      return px_from_mat(photo.camera, photo.pose, how.mat_from_face(p)).value_or(Vec2{});
    };
    const Vec2 here = px(face, at);
    const Vec2 right = (px(face, {at.across + da, at.along}) - here) / 0.2;
    const Vec2 down = (px(face, {at.across, at.along + ds}) - here) / 0.2;
    const double area = cross(right, down);
    std::vector<Vec2> out;
    for (std::size_t k = 0; k + 1 < stepped.size(); ++k) {
      const Vec2 moved = (px(stepped[k], at) - here) / kUnknownStep;
      out.push_back(Vec2{-cross(moved, down), -cross(right, moved)} / area);
    }
    return out;
  }

  void compare(double reach_mm) {
    shifts_.clear();
    if (photos_.size() < 2) return;
    std::vector<StandingFace> stepped;
    for (std::size_t k = 0; k < unknowns_.count(); ++k) {
      std::vector<double> values = unknowns_.values();
      values[k] += kUnknownStep;
      stepped.push_back(standing_face(surface_, unknowns_.standing_of(values)));
    }
    stepped.push_back(standing_face(surface_, unknowns_.standing()));
    const FoundShifts found = find_shifts(stepped.back(), photos_, reach_mm);
    alike_ = found.clear < kFewClear
                 ? 1.0
                 : static_cast<double>(found.alike) / static_cast<double>(found.clear);
    for (const PatchShift& patch : found.shifts) {
      const std::vector<Vec2> first = drift(photos_[patch.first], patch.at, stepped);
      const std::vector<Vec2> second = drift(photos_[patch.second], patch.at, stepped);
      StandingMiss right{patch.shift.x, {}, 1.0 / patch.sd_mm};
      StandingMiss down{patch.shift.y, {}, 1.0 / patch.sd_mm};
      for (std::size_t k = 0; k < first.size(); ++k) {
        right.slopes.push_back(second[k].x - first[k].x);
        down.slopes.push_back(second[k].y - first[k].y);
      }
      shifts_.push_back(std::move(right));
      shifts_.push_back(std::move(down));
    }
  }

  StandingFit result() {
    StandingFit out;
    out.standing = unknowns_.standing();
    out.edges = edges_.size();
    out.edge_rms_mm = scatter_of(edges_);
    out.shifts = shifts_.size() / 2;
    out.shift_rms_mm = scatter_of(shifts_);
    find_uncertainty(out);
    if (outline_seen_ == 1.0) check_outline();
    check_width();
    if (outline_seen_ < 1.0) {
      if (out.shifts < kEnoughShifts || out.shift_rms_mm > kAgreeingMm) refuse_outline();
      out.warnings.push_back(
          "the piece's outline is hard to see in these photos; where it stood is known from what "
          "two "
          "of them show alike");
    }
    if (alike_ < kLeastAlike) {
      out.warnings.push_back(
          "lines that two photos show do not look alike in them: was the piece turned or moved "
          "between photos? Let it stand on its mat and walk round both");
    }
    if (length(out.standing.shift_mm) > kOffMiddleMm) {
      out.warnings.push_back(
          fmt::format("the piece stood {:.0f} mm off the middle of the mat; stand it on the circle",
                      length(out.standing.shift_mm)));
    }
    if (out.shifts < kFewShifts && out.shift_sd_mm > kUnsureMm) {
      out.warnings.push_back(fmt::format(
          "hardly anything is seen in two photos: where the piece stood is known from its outline "
          "alone, to about {:.1f} mm",
          out.shift_sd_mm));
    }
    return out;
  }

  void find_uncertainty(StandingFit& out) const {
    const std::optional<std::vector<double>> sds =
        standing_sds(unknowns_, {edges_, shifts_}, options_);
    if (!sds) {
      out.warnings.push_back("how sure the piece's standing is could not be told");
      return;
    }
    out.shift_sd_mm = std::max((*sds)[0], (*sds)[1]);
    if (unknowns_.outline() == Outline::flat) out.turn_sd_deg = (*sds)[2];
    if (unknowns_.outline() == Outline::ball) out.radius_sd_mm = (*sds)[2];
    if (unknowns_.outline() != Outline::wall) {
      out.lift_sd_mm = sds->back();
      return;
    }
    out.radius_sd_mm = *std::max_element(sds->begin() + 2, sds->end());
  }

  // Looked at from further away: whether the outline lies where the standing says.
  void check_outline() {
    struct Height {
      std::vector<double> off_mm;
      double share = 0.0;
    };
    std::vector<Height> heights(6);
    std::size_t agree = 0;
    const std::vector<OutlinePlace> places =
        outline_places(surface_, unknowns_, photos_, kVoteApartMm);
    for (const OutlinePlace& place : places) {
      const auto at =
          edge_near(edges_across(photos_[place.photo].picture, place, kVoteReachMm), kWideGateMm);
      if (!at) continue;
      agree += std::abs(*at) < kAgreeMm ? 1U : 0U;
      if (place.spot.share <= 0.0) continue;  // the foot's own edge says nothing of width
      Height& height = heights[std::min(
          heights.size() - 1,
          static_cast<std::size_t>(place.spot.share * static_cast<double>(heights.size())))];
      height.off_mm.push_back(*at);
      height.share += place.spot.share;
    }
    const auto share_agreeing =
        static_cast<double>(agree) / std::max(1.0, static_cast<double>(places.size()));
    if (share_agreeing >= kLeastAgreeing) return;
    if (unknowns_.outline() == Outline::wall) {
      double most = 0.0;
      double at = 0.0;
      for (Height& height : heights) {
        if (height.off_mm.size() < 3) continue;
        const double share = height.share / static_cast<double>(height.off_mm.size());
        const double wider =
            (median(std::move(height.off_mm)) + wider_mm(unknowns_.standing(), share)) /
            surface_.profile()->radius_mm(share * surface_.along_mm());
        if (std::abs(wider) <= std::abs(most)) continue;
        most = wider;
        at = share;
      }
      if (std::abs(most) > options_.most_wider) refuse_width(most, at);
    }
    outline_seen_ = share_agreeing;
  }

  [[noreturn]] void refuse_outline() const {
    refuse_photo(photos_.front().name,
                 fmt::format("only {:.0f} % of the outline that the piece would have is there",
                             100.0 * outline_seen_),
                 "the piece as it was measured, its foot on the mat's circle",
                 "check the profile and which piece this is, and take photos of all of it");
  }

  void check_width() const {
    if (unknowns_.outline() != Outline::wall) return;
    double most = 0.0;
    double most_share = 0.0;
    for (double share = 0.0; share <= 1.0; share += 0.05) {
      const double wider = wider_mm(unknowns_.standing(), share) /
                           surface_.profile()->radius_mm(share * surface_.along_mm());
      if (std::abs(wider) <= std::abs(most)) continue;
      most = wider;
      most_share = share;
    }
    if (std::abs(most) > options_.most_wider) refuse_width(most, most_share);
  }

  const Surface& surface_;
  const std::vector<FacePhoto>& photos_;
  const FitStandingOptions& options_;
  StandingUnknowns unknowns_;
  std::vector<StandingMiss> edges_, shifts_;
  double alike_ = 1.0;         // of the places with lines that two photos show
  double outline_seen_ = 1.0;  // below 1: too little of it to go by
};

}  // namespace

void FitStandingOptions::validate() const {
  require_between(shift_sd_mm, 0.1, 20.0, "foot's place off the middle", "mm");
  require_between(turn_sd_deg, 0.1, 20.0, "tile's turn", "°");
  require_between(lift_sd_mm, 0.01, 50.0, "lift's uncertainty", "mm");
  require_between(thick_mm, 0.0, 60.0, "tile's thickness", "mm");
  require_between(radius_sd_mm, 0.01, 10.0, "measured radius's uncertainty", "mm");
  require_between(smooth_mm, 0.01, 10.0, "wall's smoothness", "mm");
  require_between(most_wider, 0.01, 0.3, "most that a piece may be wider", "");
  for (const double size : sizes) require_between(size, 0.6, 1.6, "size the piece may have", "");
}

StandingFit fit_standing(const Surface& surface,
                         const std::vector<FacePhoto>& photos,
                         const FitStandingOptions& options,
                         const Progress& progress) {
  options.validate();
  if (photos.empty()) {
    refuse_photo(
        "", "there are no photos of the face", "one or more", "photograph the piece on its mat");
  }
  standing_face(surface, {});  // refuses what cannot stand
  return Fit(surface, photos, options).solved(progress);
}

}  // namespace underdraw
