// A sketch under construction: curves, lines beside curves, and lines hidden behind what is in
// front of them.
//
// Frame:  each sketch's own, mm, x right, y down.
#pragma once

#include <functional>
#include <vector>

#include "geometry/linework.h"

namespace harbour {

using underdraw::Affine;
using underdraw::Cubic;
using underdraw::Linework;
using underdraw::Path;
using underdraw::Vec2;

// The smoothest curve through the points in their order: a cubic spline without a kink or a jump in
// curvature, with equal ends when closed.
Path spline(const std::vector<Vec2>& through, bool closed = false);

// One piece that leaves `from` along `leaving` and reaches `to` along `arriving`; their lengths say
// how far it keeps those directions.
Path sweep(Vec2 from, Vec2 leaving, Vec2 to, Vec2 arriving);

// Paths that follow each other as one, with a corner where they meet; closed by a straight line
// where need be.
Path joined(const std::vector<Path>& parts, bool closed = false);

// The part of a path between two shares of its length, as a spline.
Path part(const Path& path, double from_share, double to_share);

// A path by its length.
class Track {
 public:
  explicit Track(const Path& path);
  double length() const { return along_.back(); }
  Vec2 at(double share) const;      // of the length, [0, 1]
  Vec2 ahead(double share) const;   // unit vector
  Vec2 across(double share) const;  // unit vector, ahead turned by +90 degrees
  Vec2 beside(double share, double off) const { return at(share) + across(share) * off; }

 private:
  std::vector<Vec2> points_;
  std::vector<double> along_;
};

// The line at offset(share) across the track, from one share to another.
Path beside(const Track& track,
            const std::function<double(double)>& offset,
            double from_share = 0.0,
            double to_share = 1.0,
            int knots = 16);

Vec2 polar(double length, double deg);  // deg 0 to the right, 90 downward

// Lines are drawn from front to back: each is hidden where an earlier cover lies.
class Sketch {
 public:
  explicit Sketch(double pen_mm = 0.42) : pen_mm_(pen_mm) {}

  // Where the following lines and covers go.
  void frame(const Affine& sketch_from_part) { sketch_from_part_ = sketch_from_part; }

  void line(const Path& path);
  void fine(const Path& path);  // with a lighter hand
  // Hidden where `hidden` says so instead of behind covers: 2.5 is the middle of the third piece.
  void line_unless(const Path& path, const std::function<bool(double)>& hidden);
  void dot(Vec2 at, double diameter_mm = 0.6);

  // What comes later is hidden inside this outline and within gap_mm of it.
  void cover(const Path& outline, double gap_mm = 0.0);
  // An outline that hides what is behind it.
  void shape(const Path& outline, double gap_mm = 0.0) {
    line(outline);
    cover(outline, gap_mm);
  }

  // From here to anywhere(), only what lies inside the outline is drawn.
  void only_inside(const Path& outline);
  void anywhere() { window_.clear(); }

  const Linework& lines() const { return lines_; }

 private:
  struct Cover {
    std::vector<Vec2> ring;
    underdraw::Box reach;
    double gap_mm;
  };
  bool hidden(Vec2 p) const;
  void add_visible(const Path& path,
                   double width_mm,
                   const std::function<bool(double at, Vec2 p)>& hidden);

  double pen_mm_;
  Affine sketch_from_part_;
  std::vector<Cover> covers_;
  std::vector<Vec2> window_;
  Linework lines_;
};

}  // namespace harbour
