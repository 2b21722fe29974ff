#include "scan/judge_layout.h"

#include <algorithm>
#include <map>

#include "scan/paper_light.h"

namespace underdraw::test {
namespace {

constexpr double kWhole = 0.97;  // of a part's length: the ends of faint lines may go unseen
constexpr double kGone = 0.90;   // of a caption's

// How much of the strokes lies near the ink of each region; 0: of none.
class Share {
 public:
  Share(const SketchRegions& regions, double px_per_mm, int shrink)
      : regions_(regions), px_per_coarse_(shrink), px_per_mm_(px_per_mm) {}

  void add(const Path& path) {
    const std::vector<Vec2> points = path.is_dot() ? path.points : sample(path, 0.3);
    for (const Vec2 p : points) {
      const int x = static_cast<int>(p.x * px_per_mm_ / px_per_coarse_);
      const int y = static_cast<int>(p.y * px_per_mm_ / px_per_coarse_);
      if (x < 0 || y < 0 || x >= regions_.labels.cols || y >= regions_.labels.rows) continue;
      ++count_[regions_.labels.at<int>(y, x)];
      ++all_;
    }
  }
  double of(int region) const {
    const auto at = count_.find(region);
    return at == count_.end() ? 0.0 : static_cast<double>(at->second) / all_;
  }

 private:
  const SketchRegions& regions_;
  double px_per_coarse_;
  double px_per_mm_;
  std::map<int, int> count_;
  int all_ = 0;
};

}  // namespace

Page page_of(const PencilPage& drawn) {
  Page page;
  page.grey = drawn.grey;
  page.px_per_mm_x = page.px_per_mm_y = drawn.px_per_mm;
  return page;
}

LayoutVerdict judge_layout(const Layout& layout) {
  const PencilPage drawn = draw_pencil_page(layout.lines(), layout.pencil);
  const Page page = page_of(drawn);
  const PaperLight light = paper_light(page);
  const SketchRegions found = find_sketches(page, light, {.captions = Captions::skip});

  LayoutVerdict out;
  std::size_t at = 0;  // the truth has the strokes in the order in which they were given
  std::vector<Box> captions;
  const auto share_of = [&](std::size_t strokes, Box* box) {
    Share share(found, drawn.px_per_mm, light.shrink);
    for (const std::size_t end = at + strokes; at < end; ++at) {
      share.add(drawn.truth.strokes[at].path);
      if (box) box->add(drawn.truth.strokes[at].path.box());
    }
    return share;
  };
  for (const LaidOutSketch& sketch : layout.sketches) {
    ++out.sketches;
    bool right = true;
    for (const Linework& part : sketch.parts) {
      const Share share = share_of(part.strokes.size(), nullptr);
      ++out.parts;
      right = right && share.of(out.sketches) >= kWhole;
      if (share.of(0) > 1.0 - kWhole) ++out.parts_left_out;
    }
    if (right) ++out.right;
    if (sketch.caption.empty()) continue;
    ++out.captions;
    captions.emplace_back();
    if (share_of(sketch.caption.strokes.size(), &captions.back()).of(0) >= kGone) {
      ++out.captions_found;
    }
  }
  for (const FoundCaption& caption : found.captions) {
    const Vec2 middle{caption.box.x + caption.box.width / 2.0,
                      caption.box.y + caption.box.height / 2.0};
    const bool written = std::any_of(captions.begin(), captions.end(), [&](const Box& box) {
      return box.grown(1.0).contains(middle / drawn.px_per_mm);
    });
    if (!written) ++out.captions_wrong;
  }
  out.all_right =
      out.right == out.sketches && found.sketch_count == static_cast<std::size_t>(out.sketches);
  return out;
}

}  // namespace underdraw::test
