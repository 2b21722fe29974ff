#include "photo/find_drawing_sheet.h"

#include <algorithm>
#include <cmath>

#include <fmt/format.h>
#include <opencv2/calib3d.hpp>

#include "photo/read_codes.h"
#include "photo/refuse_photo.h"
#include "photo/settle_quad.h"

namespace underdraw {
namespace {

// About the longer side at which codes are looked for, px.
constexpr double kFirstSide = 1400.0;
constexpr double kSecondSide = 3000.0;
constexpr std::size_t kSheetCodes = 3;  // fewer may be chance
constexpr std::size_t kLeastMarks = 11;
constexpr int kMostInARow = 2;       // hidden side by side: what is between them is guessed
constexpr double kBendShare = 0.03;  // of the sheet's longer side that bend and lens move a mark
constexpr double kLimitMm = 0.3;     // beyond this it is no paper of ours

const std::string kWhole = "photograph the whole sheet lying flat, with nothing on its marks";

struct SeenMark {
  std::size_t mark;
  Quad px;
};

// One over a whole number: pictures are shrunk several times faster by those.
double scale_for(const cv::Mat& grey, double side) {
  return 1.0 / std::max(1.0, std::round(std::max(grey.cols, grey.rows) / side));
}

// Those of drawing sheets, clockwise from the top left as on the sheet.
std::map<int, Quad> sheet_codes(const cv::Mat& grey, double scale) {
  ReadCodes codes = read_codes_at(grey, scale, scale);
  std::erase_if(codes, [](const auto& code) { return !sheet_mark_of_code(code.first); });
  return codes;
}

// The marks whose middles lie about as on a flat sheet.
std::vector<SeenMark> agreeing(const std::map<int, Quad>& codes,
                               const DrawingSheet& sheet,
                               const std::string& photo) {
  std::vector<SeenMark> seen;
  std::vector<cv::Point2d> from, to;
  std::size_t others = 0;
  for (const auto& [code, quad] : codes) {
    const std::size_t i = *sheet_mark_of_code(code);
    if (sheet.marks[i].code != code) {
      ++others;
      continue;
    }
    seen.push_back({i, quad});
    const Vec2 middle = (quad[0] + quad[1] + quad[2] + quad[3]) / 4.0;
    from.emplace_back(middle.x, middle.y);
    const Vec2 due = sheet.marks[i].box.centre();
    to.emplace_back(due.x, due.y);
  }
  std::vector<SeenMark> agree;
  if (seen.size() >= 4) {
    cv::Mat kept;
    cv::setRNGSeed(1);
    const double longer = std::max(sheet.paper.width_mm, sheet.paper.height_mm);
    cv::findHomography(from, to, cv::RANSAC, kBendShare * longer, kept, 2000, 0.999);
    for (std::size_t i = 0; !kept.empty() && i < seen.size(); ++i) {
      if (kept.at<std::uint8_t>(static_cast<int>(i)) != 0) agree.push_back(seen[i]);
    }
  }
  const std::size_t astray = seen.size() - agree.size() + others;
  if (seen.size() >= kLeastMarks && 3 * astray > codes.size()) {
    refuse_photo(
        photo,
        fmt::format("shows {} marks of a drawing sheet, but only {} of them lie as they do "
                    "on it",
                    codes.size(),
                    agree.size()),
        "one sheet printed by this program",
        "photograph one sheet at a time, or print it again with underdraw paper");
  }
  return agree;
}

int longest_gap(const std::vector<SeenMark>& seen, std::size_t count) {
  std::vector<bool> there(count, false);
  for (const SeenMark& mark : seen) there[mark.mark] = true;
  int longest = 0, now = 0;
  for (std::size_t i = 0; i < 2 * count; ++i) {
    now = there[i % count] ? 0 : now + 1;
    longest = std::max(longest, now);
  }
  return longest;
}

void require_enough(const std::vector<SeenMark>& seen,
                    const DrawingSheet& sheet,
                    const std::string& photo) {
  const std::size_t count = sheet.marks.size();
  if (seen.size() < kLeastMarks) {
    refuse_photo(photo,
                 fmt::format("shows {} of the {} marks of a drawing sheet", seen.size(), count),
                 fmt::format("{} or more", kLeastMarks),
                 kWhole);
  }
  const int gap = longest_gap(seen, count);
  if (gap > kMostInARow) {
    refuse_photo(photo,
                 fmt::format("shows a drawing sheet with {} of its marks hidden side by side", gap),
                 fmt::format("at most {}", kMostInARow),
                 kWhole);
  }
}

void require_frames(const FoundSheet& found, const cv::Mat& grey, const std::string& photo) {
  for (std::size_t f = 0; f < found.sheet.frames.size(); ++f) {
    const Box& frame = found.sheet.frames[f];
    for (const Vec2 corner :
         {frame.min, Vec2{frame.max.x, frame.min.y}, frame.max, Vec2{frame.min.x, frame.max.y}}) {
      const auto px = found.bent.px_of(corner);
      if (px && px->x >= 0.0 && px->y >= 0.0 && px->x <= grey.cols && px->y <= grey.rows) continue;
      refuse_photo(
          photo,
          fmt::format("shows a drawing sheet whose frame {} reaches beyond the picture", f + 1),
          "all frames",
          kWhole);
    }
  }
}

}  // namespace

std::optional<FoundSheet> find_drawing_sheet(const cv::Mat& grey, const std::string& photo) {
  const double first = scale_for(grey, kFirstSide);
  std::map<int, Quad> codes = sheet_codes(grey, first);
  if (codes.empty()) return {};
  const double second = scale_for(grey, kSecondSide);
  if (second > first && codes.size() < kSheetMarks) codes.merge(sheet_codes(grey, second));
  if (codes.size() < kSheetCodes) return {};

  std::vector<int> all;
  for (const auto& [code, quad] : codes) all.push_back(code);
  const std::optional<SheetKind> kind = kind_of_codes(all);
  if (!kind) {
    const bool few = codes.size() < kLeastMarks;
    refuse_photo(
        photo,
        few ? fmt::format("shows {} of the {} marks of a drawing sheet", codes.size(), kSheetMarks)
            : std::string("shows marks of more than one drawing sheet"),
        few ? fmt::format("{} or more", kLeastMarks) : "one sheet",
        few ? kWhole : "photograph one sheet at a time");
  }
  FoundSheet found;
  found.sheet = drawing_sheet(*kind);
  std::vector<SeenMark> seen = agreeing(codes, found.sheet, photo);
  require_enough(seen, found.sheet, photo);
  found.marks = seen.size();
  std::vector<SheetPoint> points;
  for (SeenMark& mark : seen) {
    mark.px = settled_quad(grey, mark.px);
    const std::array<Vec2, 4> corners = found.sheet.marks[mark.mark].corners();
    for (std::size_t k = 0; k < 4; ++k) {
      const Vec2 outward{k == 0 || k == 3 ? -1.0 : 1.0, k < 2 ? -1.0 : 1.0};
      points.push_back({corners[k], mark.px[k], outward});
    }
  }
  const auto bent = fit_bent_sheet(
      points, {grey.cols, grey.rows, {found.sheet.paper.width_mm, found.sheet.paper.height_mm}});
  if (!bent || bent->rms_mm > kLimitMm) {
    refuse_photo(
        photo,
        "shows a drawing sheet whose marks do not lie as on paper that is flat or bent one "
        "way",
        "a sheet without folds or dents",
        "press it flat, under glass if it must be, and photograph it again");
  }
  found.bent = *bent;
  require_frames(found, grey, photo);
  double least = 1e9;
  for (const Box& frame : found.sheet.frames) {
    least = std::min(least, found.bent.px_per_mm(frame.centre()));
  }
  found.dpi = 25.4 * least;
  return found;
}

}  // namespace underdraw
