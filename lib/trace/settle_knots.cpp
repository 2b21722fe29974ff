#include "trace/settle_knots.h"

#include <algorithm>
#include <array>
#include <cmath>

#include <Eigen/SparseCholesky>

namespace underdraw {
namespace {

constexpr double kHold = 0.0005;   // of knots in length, against the weight of the points
constexpr double kDamping = 1e-3;  // of every unknown, against its own weight

// Places of one piece's unknowns in the equations: of its first knot x, y, angle and reach ahead,
// then of its second x, y, angle and reach back.
using Unknowns = std::array<int, 8>;

Vec2 direction(double angle) { return {std::cos(angle), std::sin(angle)}; }

// A piece with what is asked of it for every point.
struct Piece {
  Cubic curve;
  Vec2 leave, arrive;  // unit directions at its ends
  double reach_out = 0.0, reach_in = 0.0;
};

std::vector<Piece> pieces_of(const KnotLine& line) {
  std::vector<Piece> out;
  for (std::size_t i = 0; i < line.piece_count(); ++i) {
    const Knot& a = line.knots[i];
    const Knot& b = line.knots[(i + 1) % line.knots.size()];
    out.push_back(
        {line.piece(i), direction(a.angle_out), direction(b.angle_in), a.reach_out, b.reach_in});
  }
  return out;
}

// How the curve's point at t moves with each unknown.
std::array<Vec2, 8> motion(const Piece& piece, double t) {
  const double w = 1.0 - t;
  const double b1 = 3.0 * w * w * t;
  const double b2 = 3.0 * w * t * t;
  const double first = w * w * w + b1;
  const double second = b2 + t * t * t;
  return {Vec2{first, 0.0},
          Vec2{0.0, first},
          perpendicular(piece.leave) * (b1 * piece.reach_out),
          piece.leave * b1,
          Vec2{second, 0.0},
          Vec2{0.0, second},
          perpendicular(piece.arrive) * (-b2 * piece.reach_in),
          piece.arrive * -b2};
}

// One Newton step of the foot towards the point; past a smooth knot it goes on to the next piece.
void move_foot(const KnotLine& line, const std::vector<Piece>& pieces, FitPoint& point) {
  if (point.holds_knot) return;
  const Cubic& c = pieces[point.piece].curve;
  const Vec2 off = c.at(point.t) - point.at;
  const Vec2 d1 = c.derivative(point.t);
  const double speed = dot(d1, d1);
  const double slope = std::max(speed + dot(off, c.second_derivative(point.t)), 0.3 * speed);
  if (slope < 1e-15) return;
  double t = point.t - std::clamp(dot(off, d1) / slope, -0.3, 0.3);
  const std::size_t count = pieces.size();
  if (t < 0.0) {
    const bool first = point.piece == 0;
    if (line.knots[point.piece].corner || (first && !line.closed)) {
      t = 0.0;
    } else {
      point.piece = first ? count - 1 : point.piece - 1;
      t = 1.0 + std::max(t, -0.3);
    }
  } else if (t > 1.0) {
    const bool last = point.piece + 1 == count;
    const std::size_t next = last ? 0 : point.piece + 1;
    if ((last && !line.closed) || line.knots[next].corner) {
      t = 1.0;
    } else {
      point.piece = next;
      t = std::min(t - 1.0, 0.3);
    }
  }
  point.t = t;
}

class Equations {
 public:
  explicit Equations(const KnotLine& line) : closed_(line.closed) {
    for (const Knot& knot : line.knots) {
      base_.push_back(size_);
      size_ += knot.corner ? 6 : 5;
    }
    const std::size_t count = line.piece_count();
    for (std::size_t i = 0; i < count; ++i) {
      const std::size_t j = (i + 1) % line.knots.size();
      const int a = base_[i];
      const int b = base_[j];
      unknowns_.push_back(
          {a, a + 1, a + 2, a + 3, b, b + 1, line.knots[j].corner ? b + 5 : b + 2, b + 4});
    }
    blocks_.assign(count, Block::Zero());
    right_ = Eigen::VectorXd::Zero(size_);
  }

  void add(std::size_t piece, const std::array<Vec2, 8>& moves, Vec2 along, double off, double w) {
    Eigen::Matrix<double, 8, 1> row;
    for (int k = 0; k < 8; ++k) row[k] = dot(moves[static_cast<std::size_t>(k)], along);
    blocks_[piece].noalias() += w * row * row.transpose();
    for (int k = 0; k < 8; ++k) {
      right_[unknowns_[piece][static_cast<std::size_t>(k)]] -= w * off * row[k];
    }
  }

  // On a straight line nothing in the points says where along it a knot lies, nor how far its
  // control points reach: there each round takes short steps only.
  void hold_in_length(const std::vector<Piece>& pieces,
                      const std::vector<double>& weight,
                      double share) {
    for (std::size_t p = 0; p < blocks_.size(); ++p) {
      const double hold = share * weight[p];
      add(p, motion(pieces[p], 0.0), pieces[p].leave, 0.0, hold);
      add(p, motion(pieces[p], 1.0), pieces[p].arrive, 0.0, hold);
      blocks_[p](3, 3) += hold;
      blocks_[p](7, 7) += hold;
    }
  }

  // The step that lowers the sum of squares; `damping` is relative to each unknown's own weight.
  Eigen::VectorXd solve(double damping) const {
    Eigen::VectorXd own = Eigen::VectorXd::Zero(size_);
    each_entry([&](int row, int column, double value) {
      if (row == column) own[row] += value;
    });
    own = (damping * own).array() + 1e-6;
    if (!closed_) {
      Eigen::MatrixXd band = Eigen::MatrixXd::Zero(kBand, size_);
      band.row(0) = own;
      each_entry([&](int row, int column, double value) {
        if (row >= column) band(row - column, column) += value;
      });
      return solved(std::move(band), right_);
    }
    std::vector<Eigen::Triplet<double>> entries;
    each_entry([&](int row, int column, double value) {
      if (row >= column) entries.emplace_back(row, column, value);
    });
    for (int i = 0; i < size_; ++i) entries.emplace_back(i, i, own[i]);
    Eigen::SparseMatrix<double> matrix(size_, size_);
    matrix.setFromTriplets(entries.begin(), entries.end());
    return Eigen::SimplicialLDLT<Eigen::SparseMatrix<double>>(matrix).solve(right_);
  }

  int base(std::size_t knot) const { return base_[knot]; }

 private:
  using Block = Eigen::Matrix<double, 8, 8>;
  static constexpr int kBand = 12;  // unknowns of two knots

  // Cholesky's L D L' of an open line's matrix, which Eigen has no banded form of. `band` holds its
  // diagonal in row 0 and what is k below it in row k.
  static Eigen::VectorXd solved(Eigen::MatrixXd band, Eigen::VectorXd right) {
    const int n = static_cast<int>(band.cols());
    for (int j = 0; j < n; ++j) {
      const int reach = std::min(kBand, n - j);
      const double pivot = 1.0 / band(0, j);
      for (int k = 1; k < reach; ++k) {
        const double share = band(k, j) * pivot;
        if (share == 0.0) continue;
        band.col(j + k).head(reach - k) -= share * band.col(j).segment(k, reach - k);
        right[j + k] -= share * right[j];
      }
    }
    for (int j = n - 1; j >= 0; --j) {
      const int more = std::min(kBand, n - j) - 1;
      right[j] =
          (right[j] - band.col(j).segment(1, more).dot(right.segment(j + 1, more))) / band(0, j);
    }
    return right;
  }

  template <typename Visit>  // visit(row, column, value)
  void each_entry(Visit visit) const {
    for (std::size_t p = 0; p < blocks_.size(); ++p) {
      for (int c = 0; c < 8; ++c) {
        const int column = unknowns_[p][static_cast<std::size_t>(c)];
        for (int r = 0; r < 8; ++r) {
          visit(unknowns_[p][static_cast<std::size_t>(r)], column, blocks_[p](r, c));
        }
      }
    }
  }

  bool closed_ = false;
  int size_ = 0;
  std::vector<int> base_;
  std::vector<Unknowns> unknowns_;
  std::vector<Block> blocks_;
  Eigen::VectorXd right_;
};

// Returns how far the knot that moved most went. `lengths` are of the points of each piece: handles
// that reach further than those would make it loop.
double move_knots(KnotLine& line,
                  const Equations& equations,
                  const Eigen::VectorXd& step,
                  const std::vector<double>& lengths) {
  constexpr double kLongestReach = 0.7;
  double most = 0.0;
  const std::size_t count = line.knots.size();
  const auto limited = [&](double reach, double by, std::size_t piece) {
    const double longest = piece < lengths.size() ? kLongestReach * lengths[piece] : 0.0;
    return std::clamp(
        reach + by, 0.5 * reach, std::max(0.5 * reach, std::min(2.0 * reach, longest)) + 1e-9);
  };
  for (std::size_t i = 0; i < count; ++i) {
    Knot& knot = line.knots[i];
    const int at = equations.base(i);
    const double turn = std::clamp(step[at + 2], -0.5, 0.5);
    knot.at += Vec2{step[at], step[at + 1]};
    most = std::max(most, std::hypot(step[at], step[at + 1]));
    knot.angle_out += turn;
    knot.angle_in += knot.corner ? std::clamp(step[at + 5], -0.5, 0.5) : turn;
    knot.reach_out = limited(knot.reach_out, step[at + 3], i);
    knot.reach_in = limited(knot.reach_in, step[at + 4], i == 0 ? count - 1 : i - 1);
  }
  return most;
}

// What the points say about the line where it is now.
struct Verdict {
  Equations equations;
  std::vector<double> weights;  // of each piece's points
  std::vector<double> lengths;  // of the line that they make
  double cost = 0.0;            // sum of weighted squares, outliers limited
};

Verdict judge(const KnotLine& line,
              const std::vector<Piece>& pieces,
              const std::vector<FitPoint>& points,
              double outlier) {
  const std::size_t count = line.piece_count();
  Verdict out{Equations(line), std::vector<double>(count, 0.0), std::vector<double>(count, 0.0)};
  const FitPoint* before = nullptr;
  for (const FitPoint& p : points) {
    const Cubic& c = pieces[p.piece].curve;
    const Vec2 tangent = normalized(c.derivative(p.t));
    const Vec2 normal = perpendicular(tangent);
    const Vec2 off = c.at(p.t) - p.at;
    const double across = dot(off, normal);
    const double along = dot(off, tangent);
    // Past an end the whole distance counts, or a line could shrink away from its points.
    const double apart = p.holds_knot ? across * across : dot(off, off);
    const double share = apart / (outlier * outlier);
    const double weight = p.weight / ((1.0 + share) * (1.0 + share));
    const auto moves = motion(pieces[p.piece], p.t);
    out.cost += p.weight * apart / (1.0 + share);
    out.equations.add(p.piece, moves, normal, across, weight);
    out.weights[p.piece] += weight;
    if (before) out.lengths[p.piece] += distance(before->at, p.at);
    before = &p;
    if (p.holds_knot) {
      const double hold = std::max(0.5, p.weight);
      out.cost += hold * along * along;
      out.equations.add(p.piece, moves, tangent, along, hold);
    }
  }
  return out;
}

}  // namespace

Cubic KnotLine::piece(std::size_t i) const {
  const Knot& a = knots[i];
  const Knot& b = knots[(i + 1) % knots.size()];
  return {a.at,
          a.at + direction(a.angle_out) * a.reach_out,
          b.at - direction(b.angle_in) * b.reach_in,
          b.at};
}

void settle_knots(KnotLine& line, std::vector<FitPoint>& points, const SettleOptions& options) {
  if (points.size() < 2) return;
  std::vector<Piece> pieces = pieces_of(line);
  // The first rounds listen to all points, for a line may begin far off.
  for (const bool listen_to_all : {true, false}) {
    const double outlier = options.outlier * (listen_to_all ? 10.0 : 1.0);
    const int rounds = options.rounds;
    for (FitPoint& p : points) move_foot(line, pieces, p);
    Verdict verdict = judge(line, pieces, points, outlier);
    double damping = 1.0;
    for (int round = 0; round < rounds; ++round) {
      KnotLine moved = line;
      Equations equations = verdict.equations;
      equations.hold_in_length(pieces, verdict.weights, kHold * damping);
      const double step =
          move_knots(moved, equations, equations.solve(kDamping * damping), verdict.lengths);
      std::vector<FitPoint> feet = points;
      std::vector<Piece> moved_pieces = pieces_of(moved);
      for (FitPoint& p : feet) move_foot(moved, moved_pieces, p);
      Verdict next = judge(moved, moved_pieces, feet, outlier);
      const bool better = next.cost < verdict.cost;
      const bool enough = next.cost > 0.998 * verdict.cost;
      if (better) {
        line = std::move(moved);
        pieces = std::move(moved_pieces);
        points = std::move(feet);
        verdict = std::move(next);
        damping = std::max(0.3, 0.3 * damping);
      } else {
        damping *= 6.0;
      }
      if (better ? enough : damping > 300.0) break;
      if (step < 0.02 * options.outlier) break;
    }
  }
}

}  // namespace underdraw
