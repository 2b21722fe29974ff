#include "scan/strip_chains.h"

#include <algorithm>
#include <array>
#include <cmath>
#include <limits>
#include <span>

namespace underdraw {
namespace {

constexpr double kStripMm = 3.0;
constexpr double kDeepest = 0.4;       // darker ink counts no more, lest a drawing drown the lines
constexpr double kFaintest = 0.010;    // mean darkness over a strip that can be a printed line
constexpr double kMostNoise = 0.006;   // of a strip's mean; on millimetre paper lines are all over
constexpr double kNoiseTimes = 4.5;    // what a mark must stand out by
constexpr double kSteepestMm = 0.45;   // sideways from strip to strip: 8.5 degrees
constexpr double kSlopeReachMm = 0.2;  // lines' own slopes about the page's
constexpr double kSmoothMm = 15.0;     // spread (one sigma) of the smoothing along a line

double middle_of(std::vector<double> values, double share = 0.5) {
  if (values.empty()) return 0.0;
  const auto nth =
      values.begin() + static_cast<std::ptrdiff_t>(share * static_cast<double>(values.size() - 1));
  std::nth_element(values.begin(), nth, values.end());
  return *nth;
}

// Mean darkness of every strip at every place across the lines: one row a strip.
cv::Mat strip_darkness(const PaperLight& light, bool down, int strip, int count, int length) {
  cv::Mat sums = cv::Mat::zeros(count, length, CV_32F);
  const float keep = static_cast<float>(1.0 - kDeepest);
  if (down) {
    for (int i = 0; i < count; ++i) {
      const float* paper = light.light.ptr<float>(i * strip + strip / 2);
      float* sum = sums.ptr<float>(i);
      for (int y = i * strip; y < (i + 1) * strip; ++y) {
        const uchar* grey = light.grey.ptr<uchar>(y);
        for (int x = 0; x < length; ++x) {
          sum[x] += std::max(static_cast<float>(grey[x]), keep * paper[x]);
        }
      }
      for (int x = 0; x < length; ++x) {
        sum[x] = 1.0F - sum[x] / (paper[x] * static_cast<float>(strip));
      }
    }
    return sums;
  }
  for (int y = 0; y < length; ++y) {
    const uchar* grey = light.grey.ptr<uchar>(y);
    const float* paper = light.light.ptr<float>(y);
    for (int i = 0; i < count; ++i) {
      const float here = paper[i * strip + strip / 2];
      const int least = static_cast<int>(keep * here);
      int sum = 0;
      for (int x = i * strip; x < (i + 1) * strip; ++x) {
        sum += std::max(static_cast<int>(grey[x]), least);
      }
      sums.at<float>(i, y) = 1.0F - static_cast<float>(sum) / (here * static_cast<float>(strip));
    }
  }
  return sums;
}

// How far each place stands out from both sides of it, at two distances.
std::vector<float> ridges(std::span<const float> dark, double px_per_mm) {
  const int n = static_cast<int>(dark.size());
  std::vector<float> even(dark.begin(), dark.end());
  const auto at = [&](int y) { return static_cast<std::size_t>(y); };
  for (int y = 1; y + 1 < n; ++y) {
    even[at(y)] = 0.25F * (dark[at(y - 1)] + 2.0F * dark[at(y)] + dark[at(y + 1)]);
  }
  const int near = std::max(2, static_cast<int>(std::lround(0.5 * px_per_mm)));
  const int far = near + 1;
  std::vector<float> out(dark.size(), 0.0F);
  for (int y = far; y + far < n; ++y) {
    const float beside = std::min(std::max(even[at(y - near)], even[at(y + near)]),
                                  std::max(even[at(y - far)], even[at(y + far)]));
    out[at(y)] = even[at(y)] - beside;
  }
  return out;
}

void find_marks(Strips& strips, const cv::Mat& dark) {
  std::vector<std::vector<float>> ridge(static_cast<std::size_t>(dark.rows));
  std::vector<double> sizes;
  for (int i = 0; i < dark.rows; ++i) {
    const std::span<const float> row(dark.ptr<float>(i), static_cast<std::size_t>(dark.cols));
    ridge[static_cast<std::size_t>(i)] = ridges(row, strips.px_per_mm);
    for (std::size_t y = static_cast<std::size_t>(i % 7); y < row.size(); y += 7) {
      sizes.push_back(std::abs(static_cast<double>(ridge[static_cast<std::size_t>(i)][y])));
    }
  }
  // Most of a page is bare, but the ridges are biased downward and lines are among them: the lower
  // third of the sizes tells the noise. 0.43 is a third of a bell curve's.
  const double noise = std::min(kMostNoise, middle_of(sizes, 0.33) / 0.43);
  const float least = static_cast<float>(std::max(kFaintest, kNoiseTimes * noise));
  for (int i = 0; i < dark.rows; ++i) {
    const std::vector<float>& r = ridge[static_cast<std::size_t>(i)];
    for (std::size_t y = 1; y + 1 < r.size(); ++y) {
      if (r[y] < least || r[y] < r[y - 1] || r[y] <= r[y + 1]) continue;
      const float bend = r[y - 1] + r[y + 1] - 2.0F * r[y];
      const double shift = bend < 0.0F ? 0.5 * (r[y - 1] - r[y + 1]) / bend : 0.0;
      strips.marks[static_cast<std::size_t>(i)].push_back(static_cast<double>(y) + 0.5 + shift);
    }
  }
}

void find_paper(Strips& strips, const PaperLight& light, int strip) {
  std::vector<double> levels;
  for (int i = 0; i < strips.count(); ++i) {
    std::vector<double> along;
    for (int y = 0; y < strips.length; y += 16) {
      const int middle = i * strip + strip / 2;
      along.push_back(strips.down ? light.light.at<float>(middle, y)
                                  : light.light.at<float>(y, middle));
    }
    levels.push_back(middle_of(along));
  }
  const double usual = middle_of(levels);
  strips.paper.clear();
  for (const double level : levels) strips.paper.push_back(level > 0.7 * usual);
}

// The sideways step from strip to strip that most marks share.
double usual_slope(const Strips& strips) {
  constexpr int kBins = 31;
  const double reach = kSteepestMm * strips.px_per_mm;
  std::array<double, kBins> votes{};
  for (std::size_t i = 0; i + 1 < strips.marks.size(); ++i) {
    const std::vector<double>& next = strips.marks[i + 1];
    for (const double at : strips.marks[i]) {
      for (auto it = std::lower_bound(next.begin(), next.end(), at - reach);
           it != next.end() && *it < at + reach;
           ++it) {
        const auto bin = static_cast<std::size_t>((*it - at + reach) / (2.0 * reach) * kBins);
        votes[std::min(bin, votes.size() - 1)] += 1.0;
      }
    }
  }
  std::size_t best = kBins / 2;
  double most = 0.0;
  for (std::size_t b = 1; b + 1 < votes.size(); ++b) {
    const double sum = votes[b - 1] + 2.0 * votes[b] + votes[b + 1];
    if (sum > most) {
      most = sum;
      best = b;
    }
  }
  return (static_cast<double>(best) + 0.5) / kBins * 2.0 * reach - reach;
}

struct Growing {
  Chain chain;
  double slope = 0.0;

  double ahead(int strip) const { return chain.at.back() + slope * (strip - chain.last()); }

  void take(int strip, double at, double usual, double reach) {
    chain.strip.push_back(strip);
    chain.at.push_back(at);
    const std::size_t n = std::min<std::size_t>(chain.at.size(), 10);
    if (n < 3) return;
    // Slope of the last points, drawn towards the page's while they are few.
    double s = 0.0, y = 0.0, ss = 2.0, sy = 2.0 * usual;
    const std::size_t from = chain.at.size() - n;
    for (std::size_t k = from; k < chain.at.size(); ++k) {
      s += chain.strip[k];
      y += chain.at[k];
    }
    s /= static_cast<double>(n);
    y /= static_cast<double>(n);
    for (std::size_t k = from; k < chain.at.size(); ++k) {
      ss += (chain.strip[k] - s) * (chain.strip[k] - s);
      sy += (chain.strip[k] - s) * (chain.at[k] - y);
    }
    slope = std::clamp(sy / ss, usual - reach, usual + reach);
  }

  int longest_gap() const {
    const std::size_t n = chain.at.size();
    return n < 4 ? 1 : n < 10 ? 4 : 12;
  }
};

Growing begun(int strip, double at, double slope) {
  Growing out;
  out.chain.strip.push_back(strip);
  out.chain.at.push_back(at);
  out.slope = slope;
  return out;
}

// Chains that go on behind what was drawn over them become one.
void join_chains(std::vector<Chain>& chains, int strip_count, double px_per_mm) {
  std::sort(chains.begin(), chains.end(), [](const Chain& a, const Chain& b) {
    return a.first() < b.first();
  });
  for (std::size_t i = 0; i < chains.size(); ++i) {
    for (bool grown = true; grown;) {
      grown = false;
      std::size_t nearest = chains.size();
      for (std::size_t j = 0; j < chains.size(); ++j) {
        if (j == i || chains[j].first() <= chains[i].last()) continue;
        const int gap = chains[j].first() - chains[i].last();
        if (gap > strip_count / 2) continue;
        if (nearest < chains.size() && chains[j].first() >= chains[nearest].first()) continue;
        const double allowed = (0.12 + 0.008 * gap) * px_per_mm;
        const auto from = static_cast<std::size_t>(chains[i].last());
        const auto to = static_cast<std::size_t>(chains[j].first());
        const double ahead = std::abs(chains[i].path[to] - chains[j].path[to]);
        const double back = std::abs(chains[j].path[from] - chains[i].path[from]);
        if (ahead < allowed && back < allowed) nearest = j;
      }
      if (nearest == chains.size()) continue;
      Chain& a = chains[i];
      const Chain& b = chains[nearest];
      a.strip.insert(a.strip.end(), b.strip.begin(), b.strip.end());
      a.at.insert(a.at.end(), b.at.begin(), b.at.end());
      chains.erase(chains.begin() + static_cast<std::ptrdiff_t>(nearest));
      if (nearest < i) --i;
      smooth_chain(chains[i], strip_count);
      grown = true;
    }
  }
}

}  // namespace

Strips cut_strips(const PaperLight& light, double px_per_mm, bool down) {
  Strips out;
  out.down = down;
  out.px_per_mm = px_per_mm;
  out.length = down ? light.grey.cols : light.grey.rows;
  const int along = down ? light.grey.rows : light.grey.cols;
  const int strip = std::max(4, static_cast<int>(std::lround(kStripMm * px_per_mm)));
  const int count = along / strip;
  out.strip = strip;
  out.marks.resize(static_cast<std::size_t>(count));
  if (count == 0) return out;
  find_paper(out, light, strip);
  find_marks(out, strip_darkness(light, down, strip, count, out.length));
  return out;
}

void smooth_chain(Chain& chain, int strip_count) {
  // Parabolas fitted to the neighbourhood of each strip, twice, the second time without what
  // lies off: where a drawing touches the line its mark is pulled aside.
  const double spread = kSmoothMm / kStripMm;
  std::vector<double> trust(chain.at.size(), 1.0);
  std::vector<double> nearness;  // a little weight from afar carries the line over gaps
  for (int t = 0; t <= chain.last() - chain.first(); ++t) {
    nearness.push_back(std::exp(-0.5 * t * t / (spread * spread)) + 1e-4);
  }
  chain.path.assign(static_cast<std::size_t>(strip_count), 0.0);
  for (int round = 0; round < 3; ++round) {
    for (int i = chain.first(); i <= chain.last(); ++i) {
      double w0 = 0.0, w1 = 0.0, w2 = 0.0, w3 = 0.0, w4 = 0.0;
      double y0 = 0.0, y1 = 0.0, y2 = 0.0;
      for (std::size_t k = 0; k < chain.at.size(); ++k) {
        const double t = (chain.strip[k] - i) / spread;
        const double w =
            trust[k] * nearness[static_cast<std::size_t>(std::abs(chain.strip[k] - i))];
        w0 += w;
        w1 += w * t;
        w2 += w * t * t;
        w3 += w * t * t * t;
        w4 += w * t * t * t * t;
        y0 += w * chain.at[k];
        y1 += w * t * chain.at[k];
        y2 += w * t * t * chain.at[k];
      }
      w4 += 0.02 * w0;  // a parabola that few points would bend wildly stays flat
      const double det =
          w0 * (w2 * w4 - w3 * w3) - w1 * (w1 * w4 - w2 * w3) + w2 * (w1 * w3 - w2 * w2);
      const double top =
          y0 * (w2 * w4 - w3 * w3) - w1 * (y1 * w4 - y2 * w3) + w2 * (y1 * w3 - y2 * w2);
      chain.path[static_cast<std::size_t>(i)] = det > 1e-9 * w0 * w0 * w0 ? top / det : y0 / w0;
    }
    std::vector<double> off;
    for (std::size_t k = 0; k < chain.at.size(); ++k) {
      off.push_back(std::abs(chain.at[k] - chain.path[static_cast<std::size_t>(chain.strip[k])]));
    }
    chain.wobble = 1.48 * middle_of(off);
    const double limit = std::max(3.0 * chain.wobble, 0.25);
    for (std::size_t k = 0; k < off.size(); ++k) {
      const double u = off[k] / limit;
      trust[k] = u < 1.0 ? (1.0 - u * u) * (1.0 - u * u) : 1e-6;
    }
  }
  // Beyond its ends the line goes on as it came.
  const int span = std::min(8, chain.last() - chain.first());
  const auto at = [&](int i) { return chain.path[static_cast<std::size_t>(i)]; };
  const double slope_in = span > 0 ? (at(chain.first() + span) - at(chain.first())) / span : 0.0;
  const double slope_out = span > 0 ? (at(chain.last()) - at(chain.last() - span)) / span : 0.0;
  for (int i = 0; i < chain.first(); ++i) {
    chain.path[static_cast<std::size_t>(i)] = at(chain.first()) - slope_in * (chain.first() - i);
  }
  for (int i = chain.last() + 1; i < strip_count; ++i) {
    chain.path[static_cast<std::size_t>(i)] = at(chain.last()) + slope_out * (i - chain.last());
  }
}

std::vector<Chain> follow_chains(const Strips& strips, int shortest) {
  const double px_per_mm = strips.px_per_mm;
  const double usual = usual_slope(strips);
  std::vector<Growing> growing;
  std::vector<Chain> done;
  const auto finish = [&](Growing& g) {
    if (g.chain.last() - g.chain.first() + 1 < shortest || g.chain.filled() < 0.4) return;
    done.push_back(std::move(g.chain));
  };
  struct Pair {
    double cost;
    std::size_t chain, mark;
  };
  for (int i = 0; i < strips.count(); ++i) {
    const std::vector<double>& marks = strips.marks[static_cast<std::size_t>(i)];
    std::vector<Pair> pairs;
    for (std::size_t c = 0; c < growing.size(); ++c) {
      const Growing& g = growing[c];
      const double points = static_cast<double>(g.chain.at.size());
      const double reach = (points < 3 ? 0.25 : 0.15 + 0.01 * (i - g.chain.last())) * px_per_mm;
      const double ahead = g.ahead(i);
      for (auto it = std::lower_bound(marks.begin(), marks.end(), ahead - reach);
           it != marks.end() && *it < ahead + reach;
           ++it) {
        // Where two want the same mark, the longer line has it.
        pairs.push_back({std::abs(*it - ahead) - 0.02 * px_per_mm * std::min(points, 20.0),
                         c,
                         static_cast<std::size_t>(it - marks.begin())});
      }
    }
    std::sort(
        pairs.begin(), pairs.end(), [](const Pair& a, const Pair& b) { return a.cost < b.cost; });
    std::vector<bool> taken(marks.size(), false);
    for (const Pair& p : pairs) {
      Growing& g = growing[p.chain];
      if (taken[p.mark] || g.chain.last() == i) continue;
      taken[p.mark] = true;
      g.take(i, marks[p.mark], usual, kSlopeReachMm * px_per_mm);
    }
    std::vector<Growing> still;
    for (Growing& g : growing) {
      if (i - g.chain.last() >= g.longest_gap()) {
        finish(g);
      } else {
        still.push_back(std::move(g));
      }
    }
    growing = std::move(still);
    for (std::size_t m = 0; m < marks.size(); ++m) {
      if (!taken[m]) growing.push_back(begun(i, marks[m], usual));
    }
  }
  for (Growing& g : growing) finish(g);
  for (Chain& chain : done) smooth_chain(chain, strips.count());
  join_chains(done, strips.count(), px_per_mm);
  return done;
}

}  // namespace underdraw
