#include "scan/lift_ruling.h"

#include <algorithm>
#include <cmath>
#include <vector>

#include "core/parallel.h"

namespace underdraw {
namespace {

constexpr double kReachMm = 0.75;    // to both sides of a line: the line and paper beside it
constexpr double kLineMm = 0.45;     // half of the widest printed line, with its blur
constexpr double kCutMm = 0.2;       // half of what has to be on the page of a line
constexpr double kRimMm = 0.5;       // of the page, where lines show in part and nobody draws
constexpr double kPieceMm = 4.0;     // a line is measured in pieces of about this length
constexpr float kFinest = 0.008F;    // darkness of a line's rim that is worth lifting
constexpr float kNoiseTimes = 2.5F;  // what a drawing stands out by from the line's own unevenness

constexpr float kShareTimes = 0.25F;       // and at least this share of the line's darkness
constexpr double kFarOffMm = 0.06;         // of a path, to be read again
constexpr std::size_t kFewestSamples = 4;  // of a median

using Profile = std::vector<float>;  // by distance from the line's middle, half px apart

template <typename Value>
Value middle_of(std::vector<Value>& values, double share = 0.5) {
  if (values.empty()) return {};
  const auto nth =
      values.begin() + static_cast<std::ptrdiff_t>(share * static_cast<double>(values.size() - 1));
  std::nth_element(values.begin(), nth, values.end());
  return *nth;
}

// A stretch of a line: where exactly it runs, how dark it is there, how much that varies.
struct Piece {
  double from = 0.0;  // px along
  double to = 0.0;
  double shift = 0.0;  // px from the coarse path
  bool on_page = false;
  float paper = 0.0F;  // darkness beside the line
  Profile dark;        // of the printed line alone
  Profile most;        // darkness up to which it may still be the line, out of place by half a px

  double middle() const { return 0.5 * (from + to); }
};

struct MeasuredLine {
  const RuledLine* line = nullptr;
  std::vector<Piece> pieces;
  Profile noise;
  double reach = 0.0;  // px to both sides where there is something to lift
};

// The page as lines across it see it: for lines down the page it lies on its side.
class Lifter {
 public:
  Lifter(cv::Mat grey, cv::Mat light, int shrink, double px_per_mm, const RuledDirection& direction)
      : grey_(std::move(grey)),
        light_(std::move(light)),
        shrink_(shrink),
        px_per_mm_(px_per_mm),
        direction_(direction) {
    double reach_mm = kReachMm;
    if (direction.spacing_mm > 0.0) reach_mm = std::min(reach_mm, 0.48 * direction.spacing_mm);
    half_ = std::max(4, static_cast<int>(std::lround(2.0 * reach_mm * px_per_mm)));
    line_half_ = std::min(half_ - 1, static_cast<int>(std::lround(2.0 * kLineMm * px_per_mm)));
  }

  void lift() {
    std::vector<const RuledLine*> lines;
    for (const RuledLine& line : direction_.lines) lines.push_back(&line);
    const auto at_start = [](const RuledLine* l) { return l->at_px[l->at_px.size() / 2]; };
    std::sort(lines.begin(), lines.end(), [&](const RuledLine* a, const RuledLine* b) {
      return at_start(a) < at_start(b);
    });
    std::vector<MeasuredLine> measured(lines.size());
    parallel_for(lines.size(), [&](std::size_t i) { measured[i] = measure(*lines[i]); });
    // Neighbours may touch the same pixels, the next but one do not.
    for (const std::size_t odd : {0U, 1U}) {
      parallel_for((lines.size() + 1 - odd) / 2,
                   [&](std::size_t i) { erase(measured[2 * i + odd]); });
    }
  }

 private:
  std::size_t bins() const { return static_cast<std::size_t>(2 * half_ + 1); }

  float paper_at(int x, int y) const {
    return light_.at<float>(std::min(y / shrink_, light_.rows - 1),
                            std::min(x / shrink_, light_.cols - 1));
  }

  // What the pixels of a piece show at each distance from the line, as shares of the paper's light
  // in 1/200. No pixel is read between its neighbours: that would flatten a fine line.
  using Samples = std::vector<std::vector<std::uint8_t>>;
  void read_samples(const RuledLine& line, const Piece& piece, int step, Samples& seen) const {
    seen.resize(bins());
    for (auto& s : seen) s.clear();
    const int from = std::max(0, static_cast<int>(std::ceil(piece.from)));
    const int to = std::min(grey_.cols, static_cast<int>(piece.to));
    for (int x = from; x < to; x += step) {
      const double middle = direction_.at(line, x + 0.5) + piece.shift;
      const int top = std::max(0, static_cast<int>(std::ceil(middle - 0.5 * half_ - 0.5)));
      const int below =
          std::min(grey_.rows - 1, static_cast<int>(std::floor(middle + 0.5 * half_ - 0.5)));
      if (top > below) continue;
      const float scale = 200.0F / paper_at(x, (top + below) / 2);
      const int offset = half_ - static_cast<int>(std::lround(2.0 * (middle - 0.5)));
      for (int y = top; y <= below; ++y) {
        const int bin = std::clamp(2 * y + offset, 0, 2 * half_);
        const float share = std::min(255.0F, scale * static_cast<float>(grey_.ptr<uchar>(y)[x]));
        seen[static_cast<std::size_t>(bin)].push_back(static_cast<std::uint8_t>(share));
      }
    }
  }

  // Bins that no pixel fell into lie between two that are known.
  void fill_between(Profile& profile, const Samples& seen) const {
    std::size_t last = bins();
    for (std::size_t j = 0; j < bins(); ++j) {
      if (seen[j].size() < kFewestSamples) continue;
      if (last == bins()) std::fill_n(profile.begin(), j, profile[j]);
      for (std::size_t k = last + 1; last < bins() && k < j; ++k) {
        const float t = static_cast<float>(k - last) / static_cast<float>(j - last);
        profile[k] = profile[last] + t * (profile[j] - profile[last]);
      }
      last = j;
    }
    for (std::size_t k = last; k + 1 < bins(); ++k) profile[k + 1] = profile[last];
  }

  // Medians over the piece, and paper: what the lighter side shows.
  void read_piece(const RuledLine& line, Piece& piece, int step, Profile* spread) const {
    static thread_local Samples seen;
    read_samples(line, piece, step, seen);
    piece.dark.assign(bins(), 0.0F);
    if (spread) spread->assign(bins(), 0.0F);
    std::vector<std::uint8_t> left;
    std::vector<std::uint8_t> right;
    const auto rim = static_cast<std::size_t>(std::max(1, half_ - line_half_));
    for (std::size_t j = 0; j < bins(); ++j) {
      if (j < rim) left.insert(left.end(), seen[j].begin(), seen[j].end());
      if (j + rim >= bins()) right.insert(right.end(), seen[j].begin(), seen[j].end());
      if (seen[j].size() < kFewestSamples) continue;
      const int usual = middle_of(seen[j]);
      piece.dark[j] = 1.0F - (static_cast<float>(usual) + 0.5F) / 200.0F;
      if (!spread) continue;
      for (std::uint8_t& v : seen[j]) v = static_cast<std::uint8_t>(std::abs(v - usual));
      (*spread)[j] = 1.48F * (static_cast<float>(middle_of(seen[j])) + 0.25F) / 200.0F;
    }
    // With its whole width: at the page's edge a line may be cut lengthwise.
    const auto wide = static_cast<std::size_t>(std::lround(2.0 * kCutMm * px_per_mm_));
    const auto middle = static_cast<std::size_t>(half_);
    const auto seen_near = [&](std::size_t j) {
      return std::max(seen[j].size(), seen[j + 1].size()) >= kFewestSamples;
    };
    piece.on_page = seen_near(middle - wide) && seen_near(middle + wide - 1);
    fill_between(piece.dark, seen);
    if (spread) fill_between(*spread, seen);
    const int bare = std::max(middle_of(left, 0.6), middle_of(right, 0.6));
    piece.paper = bare == 0 ? 0.0F : 1.0F - (static_cast<float>(bare) + 0.5F) / 200.0F;
  }

  // The paper beside the line changes slowly; where a drawing is all that lies there, its
  // neighbours know better. Then darkness is counted from the paper.
  void settle_paper(std::vector<Piece>& pieces) const {
    std::vector<float> raw;
    for (const Piece& p : pieces) raw.push_back(p.paper);
    for (std::size_t i = 0; i < pieces.size(); ++i) {
      const std::size_t from = i >= 3 ? i - 3 : 0;
      const std::size_t to = std::min(pieces.size(), i + 4);
      std::vector<float> near(raw.begin() + static_cast<std::ptrdiff_t>(from),
                              raw.begin() + static_cast<std::ptrdiff_t>(to));
      Piece& p = pieces[i];
      p.paper = std::clamp(std::min(p.paper, middle_of(near, 0.4)), -0.1F, 0.6F);
      for (float& d : p.dark) d = std::max(0.0F, (d - p.paper) / (1.0F - p.paper));
    }
  }

  float darkness(const Profile& p) const {
    float sum = 0.0F;
    for (int j = half_ - line_half_; j <= half_ + line_half_; ++j) {
      sum += p[static_cast<std::size_t>(j)];
    }
    return sum;
  }

  double off_middle_px(const Profile& p) const {
    double sum = 0.0;
    double moment = 0.0;
    for (int j = half_ - line_half_; j <= half_ + line_half_; ++j) {
      const double d = std::max(0.0F, p[static_cast<std::size_t>(j)] - 0.5F * kFinest);
      sum += d;
      moment += d * 0.5 * (j - half_);
    }
    return sum > 0.0 ? moment / sum : 0.0;
  }

  // Medians over those pieces whose line shows and is not drawn over.
  Profile usual(const std::vector<Piece>& pieces) const {
    std::vector<float> totals;
    std::vector<float> sorted;
    for (const Piece& p : pieces) {
      totals.push_back(p.on_page ? darkness(p.dark) : 0.0F);
      if (p.on_page) sorted.push_back(totals.back());
    }
    // Much of a line may be drawn over, which makes it darker, or missing.
    const float lighter = middle_of(sorted, 0.25);
    const float shows = 0.5F * kFinest * static_cast<float>(2 * line_half_ + 1);
    const float typical = lighter > shows ? lighter : middle_of(sorted, 0.6);
    Profile out(bins(), 0.0F);
    std::vector<float> values;
    for (std::size_t j = 0; j < bins(); ++j) {
      values.clear();
      for (std::size_t i = 0; i < pieces.size(); ++i) {
        if (totals[i] > 0.5F * typical && totals[i] < 1.6F * typical) {
          values.push_back(pieces[i].dark[j]);
        }
      }
      out[j] = middle_of(values);
    }
    return out;
  }

  MeasuredLine measure(const RuledLine& line) const {
    MeasuredLine out;
    out.line = &line;
    const double end = std::min(line.to_px, static_cast<double>(grey_.cols));
    const double start = std::max(0.0, line.from_px);
    const int count =
        std::max(1, static_cast<int>(std::lround((end - start) / (kPieceMm * px_per_mm_))));
    out.pieces.resize(static_cast<std::size_t>(count));
    for (int i = 0; i < count; ++i) {
      Piece& piece = out.pieces[static_cast<std::size_t>(i)];
      piece.from = start + (end - start) * i / count;
      piece.to = start + (end - start) * (i + 1) / count;
    }
    for (int round = 0; round < 3; ++round) {
      for (Piece& piece : out.pieces) read_piece(line, piece, 2, nullptr);
      settle_paper(out.pieces);
      // A line that lay far off its path was seen in part only.
      if (settle_shifts(out.pieces) < kFarOffMm * px_per_mm_) break;
    }
    std::vector<Profile> spreads(out.pieces.size());
    for (std::size_t i = 0; i < out.pieces.size(); ++i) {
      read_piece(line, out.pieces[i], 1, &spreads[i]);
    }
    settle_paper(out.pieces);
    const Profile typical = usual(out.pieces);
    const float total = darkness(typical);
    out.noise.assign(bins(), 0.0F);
    std::vector<float> values;
    for (std::size_t j = 0; j < bins(); ++j) {
      values.clear();
      for (const Profile& s : spreads) {
        if (out.pieces[static_cast<std::size_t>(&s - spreads.data())].on_page)
          values.push_back(s[j]);
      }
      out.noise[j] = middle_of(values);
    }
    // Half a px to both sides, as bins between the pixels are only guessed.
    Profile widest = typical;
    for (std::size_t j = 0; j < bins(); ++j) {
      for (std::size_t k = j > 0 ? j - 1 : 0; k < std::min(bins(), j + 2); ++k) {
        widest[j] = std::max(widest[j], typical[k]);
      }
    }
    for (Piece& p : out.pieces) {
      // Where someone drew along the line, its own darkness is as elsewhere.
      const bool covered = darkness(p.dark) > 1.6F * total;
      for (std::size_t j = 0; j < bins(); ++j) {
        p.dark[j] = covered ? typical[j] : std::min(p.dark[j], 1.25F * widest[j] + 0.5F * kFinest);
      }
    }
    for (std::size_t i = 0; i < out.pieces.size(); ++i) {
      Piece& p = out.pieces[i];
      p.most.assign(bins(), 0.0F);
      for (std::size_t j = 0; j < bins(); ++j) {
        float most = 0.0F;
        for (std::size_t k = j > 0 ? j - 1 : 0; k < std::min(bins(), j + 2); ++k) {
          most = std::max({most,
                           p.dark[k],
                           out.pieces[i > 0 ? i - 1 : 0].dark[k],
                           out.pieces[std::min(i + 1, out.pieces.size() - 1)].dark[k]});
        }
        p.most[j] = most;
      }
    }
    for (int j = -line_half_; j <= line_half_; ++j) {
      if (typical[static_cast<std::size_t>(half_ + j)] > kFinest) {
        out.reach = std::max(out.reach, 0.5 * std::abs(j) + 0.5);
      }
    }
    return out;
  }

  // The middle of the line in each piece, as far as its neighbours agree; how far it moved at most.
  double settle_shifts(std::vector<Piece>& pieces) const {
    const Profile typical = usual(pieces);
    const float total = darkness(typical);
    double farthest = 0.0;
    std::vector<double> raw;
    std::vector<bool> clear;
    for (const Piece& p : pieces) {
      const float d = darkness(p.dark);
      clear.push_back(d > 0.5F * total && d < 1.4F * total && total > 0.0F);
      raw.push_back(off_middle_px(p.dark));
    }
    for (std::size_t i = 0; i < pieces.size(); ++i) {
      std::vector<float> near;
      for (std::size_t k = i >= 3 ? i - 3 : 0; k < std::min(pieces.size(), i + 4); ++k) {
        if (clear[k]) near.push_back(static_cast<float>(raw[k]));
      }
      const double around = near.size() < 2 ? 0.0 : static_cast<double>(middle_of(near));
      const bool agrees = clear[i] && std::abs(raw[i] - around) < 0.06 * px_per_mm_;
      const double shift = agrees ? raw[i] : around;
      pieces[i].shift += shift;
      farthest = std::max(farthest, std::abs(shift));
    }
    return farthest;
  }

  void erase(const MeasuredLine& measured) {
    if (measured.reach == 0.0 || measured.pieces.empty()) return;
    const RuledLine& line = *measured.line;
    const std::vector<Piece>& pieces = measured.pieces;
    const int from = std::max(0, static_cast<int>(pieces.front().from));
    const int to = std::min(grey_.cols, static_cast<int>(std::ceil(pieces.back().to)));
    std::size_t piece = 0;
    for (int x = from; x < to; ++x) {
      const double along = x + 0.5;
      while (piece + 1 < pieces.size() && pieces[piece + 1].middle() <= along) ++piece;
      const Piece& a = pieces[piece];
      const Piece& b = pieces[std::min(piece + 1, pieces.size() - 1)];
      const double apart = b.middle() - a.middle();
      const float t = apart > 0.0
                          ? static_cast<float>(std::clamp((along - a.middle()) / apart, 0.0, 1.0))
                          : 0.0F;
      const double middle = direction_.at(line, along) + a.shift + t * (b.shift - a.shift);
      const int top = std::max(0, static_cast<int>(std::floor(middle - measured.reach)));
      const int below =
          std::min(grey_.rows - 1, static_cast<int>(std::floor(middle + measured.reach)));
      const float paper = a.paper + t * (b.paper - a.paper);
      for (int y = top; y <= below; ++y) {
        const double bin =
            std::clamp(2.0 * (y + 0.5 - middle) + half_, 0.0, static_cast<double>(bins()) - 1.001);
        const auto j = static_cast<std::size_t>(bin);
        const float s = static_cast<float>(bin) - static_cast<float>(j);
        const auto mixed = [&](const Profile& p) { return p[j] + s * (p[j + 1] - p[j]); };
        const float dark = std::min(0.95F, mixed(a.dark) + t * (mixed(b.dark) - mixed(a.dark)));
        uchar& grey = grey_.ptr<uchar>(y)[x];
        const float bare = paper_at(x, y) * (1.0F - paper);
        const float lifted = static_cast<float>(grey) / (1.0F - dark);
        const float most = std::max(mixed(a.most), mixed(b.most));
        const float limit = most + (1.0F - most) * std::max(kNoiseTimes * mixed(measured.noise),
                                                            kShareTimes * most);
        const bool drawn = static_cast<float>(grey) < bare * (1.0F - limit);
        grey = static_cast<uchar>(std::lround(std::min(255.0F, drawn ? lifted : bare)));
      }
    }
  }

  cv::Mat grey_;   // written to
  cv::Mat light_;  // coarse
  int shrink_;
  double px_per_mm_;
  const RuledDirection& direction_;
  int half_;       // bins to each side of the middle
  int line_half_;  // of them, those that the printed line may reach
};

void clear_rim(cv::Mat& grey, const PaperLight& light, int rim) {
  for (int y = 0; y < grey.rows; ++y) {
    const bool whole_row = y < rim || y >= grey.rows - rim;
    for (int x = 0; x < grey.cols; ++x) {
      if (!whole_row && x == rim) x = std::max(rim, grey.cols - rim);
      if (x >= grey.cols) break;
      const float paper = light.light.at<float>(std::min(y / light.shrink, light.light.rows - 1),
                                                std::min(x / light.shrink, light.light.cols - 1));
      uchar& g = grey.ptr<uchar>(y)[x];
      g = std::max(g, cv::saturate_cast<uchar>(paper));
    }
  }
}

}  // namespace

Page lift_ruling(const Page& page, const PaperLight& light, const Ruling& ruling) {
  Page out = page;
  out.grey = page.grey.clone();
  const double px_per_mm = page.dpi() / 25.4;
  if (!ruling.across.lines.empty()) {
    Lifter(out.grey, light.light, light.shrink, px_per_mm, ruling.across).lift();
  }
  if (!ruling.down.lines.empty()) {
    cv::Mat turned;
    cv::Mat turned_light;
    cv::transpose(out.grey, turned);
    cv::transpose(light.light, turned_light);
    Lifter(turned, turned_light, light.shrink, px_per_mm, ruling.down).lift();
    cv::transpose(turned, out.grey);
  }
  clear_rim(out.grey, light, std::max(1, static_cast<int>(std::lround(kRimMm * px_per_mm))));
  return out;
}

}  // namespace underdraw
