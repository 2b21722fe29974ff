#include "recover/vote_standing.h"

#include <algorithm>
#include <array>
#include <cmath>

namespace underdraw {
namespace {

constexpr double kAgreeMm = 0.8;  // half width of a vote
constexpr double kVoteShiftMm = 8.0;

float score_at(const OutlineEdges& edges, double offset_mm) {
  const auto i = std::lround((offset_mm + edges.reach_mm) / edges.step_mm);
  if (i < 0 || i >= static_cast<long>(edges.score.size())) return 0.0f;
  return edges.score[static_cast<std::size_t>(i)];
}

// The largest score within kAgreeMm, falling to its sides.
OutlineEdges spread(const OutlineEdges& edges) {
  OutlineEdges out = edges;
  const int reach = static_cast<int>(kAgreeMm / edges.step_mm);
  const int count = static_cast<int>(edges.score.size());
  for (int i = 0; i < count; ++i) {
    float best = 0.0f;
    for (int k = std::max(0, i - reach); k <= std::min(count - 1, i + reach); ++k) {
      const float fall = 1.0f - static_cast<float>(std::abs(k - i)) / static_cast<float>(reach + 1);
      best = std::max(best, fall * edges.score[static_cast<std::size_t>(k)]);
    }
    out.score[static_cast<std::size_t>(i)] = best;
  }
  return out;
}

}  // namespace

Voted vote_standing(const Surface& surface,
                    const StandingUnknowns& unknowns,
                    const std::vector<OutlinePlace>& places,
                    const std::vector<OutlineEdges>& edges) {
  std::vector<OutlineEdges> wide;
  wide.reserve(edges.size());
  for (const OutlineEdges& e : edges) wide.push_back(spread(e));
  // The third (and fourth) of what is voted on: how a place moves outward by each.
  struct Vote {
    double from, to, step;
    std::vector<double> per_unknown;
  };
  const std::size_t n = unknowns.count();
  std::vector<Vote> votes(2);
  for (std::size_t k = 0; k < 2; ++k) {
    votes[k] = {-kVoteShiftMm, kVoteShiftMm, 1.0, std::vector<double>(n, 0.0)};
    votes[k].per_unknown[k] = 1.0;
  }
  if (unknowns.outline() == Outline::wall) {
    Vote wider{-0.15, 0.15, 0.01, std::vector<double>(n, 0.0)};
    for (std::size_t k = 0; k < unknowns.knots(); ++k) {
      const double share = static_cast<double>(k) / static_cast<double>(unknowns.knots() - 1);
      wider.per_unknown[2 + k] = surface.profile()->radius_mm(share * surface.along_mm());
    }
    votes.push_back(wider);
  } else {
    if (unknowns.outline() == Outline::flat) {
      votes.push_back({-6.0, 6.0, 1.0, std::vector<double>(n, 0.0)});
      votes.back().per_unknown[2] = 1.0;
    }
    votes.push_back({-8.0, 12.0, 2.0, std::vector<double>(n, 0.0)});
    votes.back().per_unknown.back() = 1.0;
  }
  if (votes.size() < 4) votes.push_back({0.0, 0.0, 1.0, std::vector<double>(n, 0.0)});
  std::vector<std::array<double, 4>> ways(places.size());
  for (std::size_t i = 0; i < places.size(); ++i) {
    for (std::size_t v = 0; v < 4; ++v) {
      ways[i][v] = 0.0;
      for (std::size_t k = 0; k < n; ++k) ways[i][v] += places[i].way[k] * votes[v].per_unknown[k];
    }
  }
  std::array<double, 4> best{};
  double most = -1.0;
  const auto sum_at = [&](const std::array<double, 4>& p) {
    double sum = 0.0;
    for (std::size_t i = 0; i < places.size(); ++i) {
      const auto& w = ways[i];
      sum += static_cast<double>(
          score_at(wide[i], w[0] * p[0] + w[1] * p[1] + w[2] * p[2] + w[3] * p[3]));
    }
    // Nearer to what was measured wins among equals.
    return sum * (1.0 - 0.002 * (std::abs(p[0]) + std::abs(p[1])));
  };
  for (double a = votes[0].from; a <= votes[0].to + 1e-9; a += votes[0].step) {
    for (double b = votes[1].from; b <= votes[1].to + 1e-9; b += votes[1].step) {
      for (double c = votes[2].from; c <= votes[2].to + 1e-9; c += votes[2].step) {
        for (double d = votes[3].from; d <= votes[3].to + 1e-9; d += votes[3].step) {
          const double sum = sum_at({a, b, c, d});
          if (sum <= most) continue;
          most = sum;
          best = {a, b, c, d};
        }
      }
    }
  }
  Voted out;
  out.values = unknowns.values();
  for (std::size_t v = 0; v < 4; ++v) {
    for (std::size_t k = 0; k < n; ++k) out.values[k] += best[v] * votes[v].per_unknown[k];
  }
  double could_be = 0.0;
  for (const OutlineEdges& e : edges) {
    could_be += static_cast<double>(*std::max_element(e.score.begin(), e.score.end()));
  }
  out.share = most / std::max(1e-9, could_be);
  out.wider = unknowns.outline() == Outline::wall ? best[2] : 0.0;
  return out;
}

}  // namespace underdraw
