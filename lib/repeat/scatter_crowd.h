// Copies on a face that push one another apart until the gaps between their outlines are kept.
//
// Stage:   repeat. Pure.
// Frames:  copies lie on the paper frame of their spot, see piece/surface.h.
// Source:  shapes that overlap push each other along the way out, all at once, with inertia, as in
//          models of jammed grains (C. S. O'Hern, L. E. Silbert, A. J. Liu, S. R. Nagel, Jamming
//          at zero temperature and zero applied stress, Phys. Rev. E 68 (2003) 011306); distances
//          between shapes, not points, after B. Reinert, T. Ritschel, H.-P. Seidel, Interactive
//          By-example Design of Artistic Packing Layouts, ACM TOG 32 (2013). Own construction of
//          the pushes: points of one outline against the distance table of the other.
#pragma once

#include <map>
#include <optional>
#include <utility>
#include <vector>

#include "piece/surface.h"
#include "repeat/scatter_form.h"
#include "repeat/scatter_ground.h"

namespace underdraw {

struct CrowdCopy {
  int form = 0;
  bool mirrored = false;
  double turn = 0.0;  // radians, clockwise on paper
  FacePoint at;
};

struct CrowdState {
  double worst_mm = 0.0;                // deepest that two come into each other's gap
  std::vector<double> trouble_mm = {};  // the same, a copy
};

// Points of a face, to find those near a spot.
class FaceIndex {
 public:
  FaceIndex(const Surface& surface, double cell_mm);
  void build(const std::vector<FacePoint>& points);
  void add(FacePoint point, int index);

  // Calls visit(index) for every point no further than reach_mm, and for some that are.
  template <typename Visit>
  void each_near(FacePoint spot, double reach_mm, Visit visit) const {
    const int from = row_of(spot.along - reach_mm), to = row_of(spot.along + reach_mm);
    for (int r = from; r <= to; ++r) {
      const Row& row = rows_[static_cast<std::size_t>(r)];
      const int columns = static_cast<int>(row.cells.size());
      const double half = reach_mm / row.least_mm_per_across;
      int first = static_cast<int>(std::floor((spot.across - half) / row.step));
      int last = static_cast<int>(std::floor((spot.across + half) / row.step));
      if (round_ && last - first + 1 >= columns) {
        first = 0;
        last = columns - 1;
      }
      if (!round_) {
        first = std::clamp(first, 0, columns - 1);
        last = std::clamp(last, 0, columns - 1);
      }
      for (int c = first; c <= last; ++c) {
        const int column = ((c % columns) + columns) % columns;
        for (const int index : row.cells[static_cast<std::size_t>(column)]) visit(index);
      }
    }
  }

 private:
  struct Row {
    double step = 0.0;  // of across
    double least_mm_per_across = 0.0;
    std::vector<std::vector<int>> cells;
  };
  int row_of(double along) const {
    return std::clamp(
        static_cast<int>(std::floor(along / height_)), 0, static_cast<int>(rows_.size()) - 1);
  }
  bool round_;
  double height_;
  std::vector<Row> rows_;
};

class Crowd {
 public:
  // What is handed over must outlive the crowd.
  Crowd(const ScatterGround& ground,
        const std::vector<ScatterForm>& forms,
        std::optional<double> turn_limit);

  std::vector<CrowdCopy> copies;

  // Copies of one kind keep this much more than the gap, so that the nearest is another; 0 at
  // first.
  void keep_kin_apart(double more_mm) { kin_mm_ = more_mm; }

  // All copies keep this much more from the ground's bounds; 0 at first.
  void keep_off_ground(double more_mm) { off_ground_mm_ = more_mm; }

  // Moves and turns all copies, at most `rounds` times, until none is deeper than good_mm in
  // another's gap.
  CrowdState relax(double gap_mm, int rounds, double good_mm);

  // From now on these two (or this one and the ground) keep more than the gap: where whole outlines
  // come closer than the points and tables show. Holds until copies come or go.
  void ask_more(int first, int second, double mm) { more_[{first, second}] += mm; }
  void ask_more_of_ground(int copy, double mm) { more_[{copy, copy}] += mm; }
  void ask_no_more() { more_.clear(); }

  // How much a copy would press on the others, and be pressed; 0: it fits.
  double pressure(const CrowdCopy& copy, double gap_mm, int except) const;

  // Distance from a spot to the nearest outline; at most `most_mm`.
  double to_ink_mm(FacePoint spot, double most_mm) const;

  // Distance of one copy's outline from a spot; at most `most_mm`.
  double to_ink_of_mm(const CrowdCopy& copy, FacePoint spot, double most_mm) const;

  // After copies were added, taken away or moved from outside.
  void settle();

  // Pairs whose circles are closer than `within_mm`, first < second.
  std::vector<std::pair<int, int>> near_pairs(double within_mm) const;

  template <typename Visit>
  void each_near(FacePoint spot, double reach_mm, Visit visit) const {
    index_.each_near(spot, reach_mm, visit);
  }

  // A spot of copy b's paper seen on copy a's.
  struct Frame {
    Vec2 at;  // of b's middle
    double cosine = 1.0, sine = 0.0;
    Vec2 from_b(Vec2 q) const { return at + turned(q); }
    Frame back() const { return {turned_back(-at), cosine, -sine}; }  // a's paper seen on b's
    Vec2 to_b(Vec2 p) const { return turned_back(p - at); }
    Vec2 turned(Vec2 v) const { return {cosine * v.x - sine * v.y, sine * v.x + cosine * v.y}; }
    Vec2 turned_back(Vec2 v) const {
      return {cosine * v.x + sine * v.y, -sine * v.x + cosine * v.y};
    }
  };
  Frame frame(FacePoint a, FacePoint b) const;

  double limit_turn(double turn) const;
  const ScatterForm& form_of(const CrowdCopy& copy) const {
    return (*forms_)[static_cast<std::size_t>(copy.form)];
  }

 private:
  struct Pose {  // from the motif to the copy's paper
    double xx = 1.0, xy = 0.0, yx = 0.0, yy = 1.0;
    Vec2 on_paper(Vec2 p) const { return {xx * p.x + xy * p.y, yx * p.x + yy * p.y}; }
    Vec2 in_motif(Vec2 p) const { return {xx * p.x + yx * p.y, xy * p.x + yy * p.y}; }
  };
  struct Push {
    Vec2 force;
    double torque = 0.0;
    double weight = 0.0;   // of the points that push
    double inertia = 0.0;  // the same times their distance squared
    double deepest = 0.0;
    double energy = 0.0;
  };
  static Pose pose_of(const CrowdCopy& copy);
  // Points of `own` against the outline of `other`; `way` leads from other's paper to own's.
  static void push_points(const ScatterForm& own,
                          const ScatterForm& other,
                          const Pose& own_pose,
                          const Pose& other_pose,
                          const Frame& way,
                          double gap_mm,
                          Push& on_own,
                          Push& on_other);
  void push_pair(const CrowdCopy& a,
                 const CrowdCopy& b,
                 const Pose& pose_a,
                 const Pose& pose_b,
                 double gap_mm,
                 Push& on_a,
                 Push& on_b) const;
  void push_ground(const CrowdCopy& copy, const Pose& pose, double more_mm, Push& on) const;
  double more(int first, int second) const {
    if (more_.empty()) return 0.0;
    const auto found = more_.find({first, second});
    return found == more_.end() ? 0.0 : found->second;
  }
  void find_pairs(double gap_mm);

  const ScatterGround* ground_;
  const Surface* surface_;
  const std::vector<ScatterForm>* forms_;
  std::optional<double> turn_limit_;
  bool flat_ = false;  // frames never turn
  double kin_mm_ = 0.0;
  double off_ground_mm_ = 0.0;
  double largest_radius_ = 0.0;
  FaceIndex index_;
  std::vector<std::pair<int, int>> pairs_;
  std::map<std::pair<int, int>, double> more_;
};

}  // namespace underdraw
