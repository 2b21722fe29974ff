// Where a point of one photo lies in another that was taken from nearly the same place.
//
// Stage:   recover. Pure.
// Frames:  before and after: px of two upright photos, a pixel's corner is (0, 0).
// How:     a homography, which is what a flat thing seen twice does; shifts that are quadratic over
//          the photo, which is what bodies round as an egg add; and a smooth bend (bend.h) for the
//          rest of relief and lens. Pairs that disagree with the others are left out. How far
//          from a pair the map still holds is measured: whole patches of pairs are left out in
//          turn, and the rest says where they should have been.
// Source:  homographies: R. Hartley, A. Zisserman, Multiple View Geometry, 2nd ed. (2004), ch. 4;
//          weights that forget outliers: J. Tukey's biweight.
#pragma once

#include <array>
#include <optional>
#include <vector>

#include <opencv2/core.hpp>

#include "geometry/vec2.h"
#include "recover/bend.h"

namespace underdraw {

// The same spot in both photos.
struct SpotPair {
  Vec2 before, after;
  Vec2 across = {};  // unit, in the photo after: on an edge, only across it is the place known
};

class ViewMap {
 public:
  // Without a bend.
  ViewMap(const cv::Matx33d& after_from_before, cv::Size before, cv::Size after);

  Vec2 after_from_before(Vec2 before) const;
  double off_px(const SpotPair& pair) const;  // of the spot after
  bool trusts(Vec2 before) const;

  // Whether the homography shows these points from the same side: none comes from behind, mirrored
  // or much larger.
  bool is_view_of(const std::vector<cv::Point2d>& before) const;

  // From after to before, as far as the map is trusted; nothing where that is too little.
  std::optional<ViewMap> turned_back() const;

  cv::Size before_size() const { return before_; }
  cv::Size after_size() const { return after_; }

  // Bends this map to the pairs, least squares; see Bend::pull for `stiff`. Weights are as long as
  // the pairs, or empty: all 1.
  void bend_to(const std::vector<SpotPair>& pairs,
               const std::vector<double>& weights,
               double stiff);

  // Trusted are the points that have pairs all round within `reach_px`, but for a quarter.
  void trust_near(const std::vector<SpotPair>& pairs, double reach_px);
  // Trusted are the points within the pairs' convex hull.
  void trust_between(const std::vector<SpotPair>& pairs);

 private:
  Vec2 by_homography(Vec2 before) const;  // in units
  Vec2 rounded(Vec2 flat) const;
  cv::Point cell_at(Vec2 before) const;
  cv::Mat no_cells(int type) const;

  cv::Matx33d homography_;
  cv::Size before_, after_;
  double unit_px_;               // of the bend's plane
  std::array<Vec2, 6> round_{};  // shifts for 1, x, y, x², xy and y²
  std::optional<Bend> bend_;
  double px_per_cell_;
  cv::Mat trusted_;  // CV_8UC1, a cell each; empty: nowhere
};

// How a map came out.
struct FittedView {
  ViewMap map;
  std::vector<SpotPair> pairs;  // that agree
  double left_out_px = 0.0;     // what a pair is off, median, if the map is made without it
  double left_out_95_px = 0.0;  // 95 of 100 are off less
  double reach_px = 0.0;        // of a pair: how far the map is trusted
};

struct FitViewOptions {
  double agree_px = 3.0;  // pairs off by more are left out; > 0
  double trust_px = 3.0;  // the map is trusted where 95 of 100 left-out pairs are off less; > 0
  double stiff = 0.5;     // see Bend::pull; > 0

  void validate() const;  // throws OptionError
};

// Fits the bend of `start` to the pairs that lie near it, then to ever more of those that agree.
// Nothing where fewer than 12 do.
std::optional<FittedView> fit_view(const ViewMap& start,
                                   const std::vector<SpotPair>& pairs,
                                   const FitViewOptions& options = {});

// Where the pixels of a picture lie in the other, for cv::remap: CV_32FC2. Both pictures may be
// shrunk: px of them per px of the photos.
cv::Mat remap_places(const ViewMap& map, cv::Size size, double px_from_here, double px_from_there);

// The photo before as the camera after would have seen it, over the photo after where the map is
// not trusted: CV_8UC3.
cv::Mat seen_from_after(const ViewMap& map, const cv::Mat& before, const cv::Mat& after);

}  // namespace underdraw
