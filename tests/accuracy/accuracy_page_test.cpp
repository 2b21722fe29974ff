#include "accuracy/accuracy_page.h"

#include <algorithm>
#include <cmath>
#include <set>

#include <gtest/gtest.h>

#include "accuracy/page_motifs.h"
#include "accuracy/page_writing.h"

namespace underdraw::test {
namespace {

AccuracyPage page_named(const std::string& name) {
  for (const PageRecipe& recipe : accuracy_pages()) {
    if (recipe.name == name) return recipe.draw();
  }
  throw std::runtime_error("no page is called " + name);
}

double grey_at(const cv::Mat& grey, Vec2 px) {  // between the four pixels around
  const double x = std::clamp(px.x - 0.5, 0.0, grey.cols - 1.001);
  const double y = std::clamp(px.y - 0.5, 0.0, grey.rows - 1.001);
  const int ix = static_cast<int>(x);
  const int iy = static_cast<int>(y);
  const auto at = [&](int dx, int dy) { return double(grey.at<std::uint8_t>(iy + dy, ix + dx)); };
  const double top = at(0, 0) * (1 - (x - ix)) + at(1, 0) * (x - ix);
  const double low = at(0, 1) * (1 - (x - ix)) + at(1, 1) * (x - ix);
  return top * (1 - (y - iy)) + low * (y - iy);
}

// A place on a true line with no other line, corner or end near.
struct Place {
  Vec2 at, across;
  double width_mm;
};

std::vector<Place> lone_places(const Linework& truth) {
  constexpr double kStep_mm = 0.1;
  constexpr double kClear_mm = 1.6;
  struct Point {
    Vec2 at;
    std::size_t stroke;
    double along;
  };
  std::vector<Point> all;
  std::vector<std::vector<Vec2>> lines;
  for (const Stroke& stroke : truth.strokes) {
    lines.push_back(sample(stroke.path, kStep_mm));
    double along = 0.0;
    for (std::size_t i = 0; i < lines.back().size(); ++i) {
      if (i > 0) along += distance(lines.back()[i - 1], lines.back()[i]);
      all.push_back({lines.back()[i], lines.size() - 1, along});
    }
  }
  std::vector<Place> out;
  for (std::size_t i = 0; i < all.size(); i += 5) {
    const Point& p = all[i];
    const std::vector<Vec2>& line = lines[p.stroke];
    const double whole = polyline_length(line);
    if (p.along < kClear_mm || whole - p.along < kClear_mm) continue;
    const bool lone = std::ranges::all_of(all, [&](const Point& q) {
      const double apart = distance(p.at, q.at);
      if (q.stroke != p.stroke) return apart > kClear_mm;
      return apart > kClear_mm || std::abs(q.along - p.along) < 1.03 * apart + 2.0 * kStep_mm;
    });
    // On a corner itself no point is too near.
    const bool straight =
        distance(all[i - 6].at, all[i + 6].at) > 0.97 * (all[i + 6].along - all[i - 6].along);
    if (!lone || !straight) continue;
    const std::vector<double>& widths = truth.strokes[p.stroke].widths_mm;
    const double step = p.along / whole * static_cast<double>(widths.size() - 1);
    const auto k = static_cast<std::size_t>(step);
    const double width =
        widths[k] + (widths[std::min(k + 1, widths.size() - 1)] - widths[k]) * (step - double(k));
    out.push_back({p.at, perpendicular(normalized(all[i + 1].at - all[i - 1].at)), width});
  }
  return out;
}

// The ink across a line there: how much of it, and how far its middle is from the true line.
struct Profile {
  double ink = 0.0;  // mm of fully dark line
  double off_mm = 0.0;
};

Profile profile_at(const cv::Mat& grey, double px_per_mm, const Place& place, double full) {
  constexpr double kStep_mm = 0.01;
  const double reach = place.width_mm / 2.0 + 0.3;
  const auto at = [&](double off) {
    return grey_at(grey, (place.at + place.across * off) * px_per_mm);
  };
  const double bare = (at(-reach) + at(reach) + at(-reach - 0.1) + at(reach + 0.1)) / 4.0;
  Profile out;
  double weighted = 0.0;
  for (double off = -reach; off <= reach; off += kStep_mm) {
    const double dark = bare - at(off);
    out.ink += dark * kStep_mm / full;
    weighted += dark * kStep_mm / full * off;
  }
  out.off_mm = out.ink > 0.0 ? weighted / out.ink : 0.0;
  return out;
}

// What the strokes of a drawing do with their ends: on another line, or clear of all ink.
void expect_ends_meet_or_stay_clear(const Linework& lines, const std::string& name) {
  constexpr double kStep_mm = 0.02;
  std::vector<std::vector<Vec2>> drawn;
  std::vector<Box> boxes;
  for (const Stroke& stroke : lines.strokes) {
    drawn.push_back(sample(stroke.path, kStep_mm));
    boxes.push_back(stroke.path.box().grown(1.0));
  }
  for (std::size_t i = 0; i < lines.strokes.size(); ++i) {
    const Stroke& stroke = lines.strokes[i];
    if (stroke.path.closed) continue;
    for (const bool at_end : {false, true}) {
      const Vec2 tip = at_end ? stroke.path.points.back() : stroke.path.points.front();
      double clear = 1.0;
      bool met = false;
      for (std::size_t k = 0; k < drawn.size(); ++k) {
        if (k == i || !boxes[k].contains(tip)) continue;
        double nearest = 1e9;
        for (const Vec2 p : drawn[k]) nearest = std::min(nearest, distance(p, tip));
        met = met || nearest < 0.02;
        clear = std::min(clear, nearest - (stroke.width_mm + lines.strokes[k].width_mm) / 2.0);
      }
      EXPECT_TRUE(met || clear > 0.1) << name << ": stroke " << i << " ends at " << tip.x << ", "
                                      << tip.y << ", " << clear << " mm clear of ink";
      if (stroke.path.is_dot()) break;
    }
  }
}

TEST(AccuracyPages, NamesAreUnique) {
  std::set<std::string> names;
  for (const PageRecipe& recipe : accuracy_pages()) {
    EXPECT_TRUE(names.insert(recipe.name).second) << recipe.name;
  }
  EXPECT_GE(names.size(), 16u);
}

TEST(AccuracyPages, StrokesEndOnLinesOrClearOfThem) {
  expect_ends_meet_or_stay_clear(thistle(0.42), "thistle");
  expect_ends_meet_or_stay_clear(sea_pink(0.46), "sea pink");
  expect_ends_meet_or_stay_clear(kelp(0.24, 0.42), "kelp");
  expect_ends_meet_or_stay_clear(wrack(0.4), "wrack");
  expect_ends_meet_or_stay_clear(feather(0.34, 0.95), "feather");
  expect_ends_meet_or_stay_clear(scallop_fan(0.46), "scallop");
  expect_ends_meet_or_stay_clear(starfish(0.44), "starfish");
  expect_ends_meet_or_stay_clear(whelk(0.44), "whelk");
  expect_ends_meet_or_stay_clear(waves(0.5), "waves");
  expect_ends_meet_or_stay_clear(buoy(0.5), "buoy");
  expect_ends_meet_or_stay_clear(fish_scales(0.45, 5, 8), "fish scales");
  expect_ends_meet_or_stay_clear(net(0.4), "net");
  expect_ends_meet_or_stay_clear(knotted_rope(0.42), "rope");
  expect_ends_meet_or_stay_clear(rigging(0.3, 0.5), "rigging");
  expect_ends_meet_or_stay_clear(written("rowmans", "HARBOUR 1873", 9.0, 0.42), "letters");
  expect_ends_meet_or_stay_clear(written("cursive", "Score coffer", 10.0, 0.36), "script");
  expect_ends_meet_or_stay_clear(brushed("海船港魚貝花草羽毛水", 5, 14.0, 0.36), "characters");
}

TEST(AccuracyPages, ReadBackIsWhatWasDrawn) {
  const AccuracyPage png = page_named("shells-ink-300");
  const Page read = page_as_read(png);
  EXPECT_EQ(read.grey.size(), png.pixels.size());
  EXPECT_NEAR(read.dpi(), png.dpi, 0.01);
  EXPECT_EQ(cv::norm(read.grey, png.pixels, cv::NORM_INF), 0.0);

  const AccuracyPage jpeg = page_named("kelp-pencil-300");
  ASSERT_GT(jpeg.jpeg_quality, 0);
  const Page lossy = page_as_read(jpeg);
  EXPECT_EQ(lossy.grey.size(), jpeg.pixels.size());
  EXPECT_NEAR(lossy.dpi(), jpeg.dpi, 0.01);
  const double apart = cv::norm(lossy.grey, jpeg.pixels, cv::NORM_L1) / double(jpeg.pixels.total());
  EXPECT_GT(apart, 0.2) << "nothing was lost";
  EXPECT_LT(apart, 2.5);
}

TEST(AccuracyPages, SameCallSamePage) {
  const AccuracyPage once = page_named("characters-brush-300");
  const AccuracyPage again = page_named("characters-brush-300");
  EXPECT_EQ(cv::norm(once.pixels, again.pixels, cv::NORM_INF), 0.0);
  EXPECT_EQ(page_file_bytes(once), page_file_bytes(again));
  ASSERT_EQ(once.truth.strokes.size(), again.truth.strokes.size());
  for (std::size_t i = 0; i < once.truth.strokes.size(); ++i) {
    EXPECT_EQ(once.truth.strokes[i].path.points, again.truth.strokes[i].path.points);
    EXPECT_EQ(once.truth.strokes[i].widths_mm, again.truth.strokes[i].widths_mm);
  }
}

TEST(AccuracyPages, WidthsRunAlongEveryStroke) {
  for (const std::string name : {"scallop-phone-300", "script-pencil-300"}) {
    for (const Stroke& stroke : page_named(name).truth.strokes) {
      ASSERT_GE(stroke.widths_mm.size(), 2u);
      const double length_mm = stroke.path.length();
      EXPECT_LT(length_mm / double(stroke.widths_mm.size() - 1), 0.4) << name;
      double sum = (stroke.widths_mm.front() + stroke.widths_mm.back()) / -2.0;
      for (const double width : stroke.widths_mm) {
        EXPECT_GT(width, 0.2) << name;
        EXPECT_LT(width, 1.05) << name;
        sum += width;
      }
      EXPECT_NEAR(sum / double(stroke.widths_mm.size() - 1), stroke.width_mm, 0.01) << name;
    }
  }
}

// A pixel that is off by a half would show as 0.04 mm at 300 dpi.
TEST(AccuracyPages, InkLiesAboutItsTruth) {
  for (const std::string name : {"shells-ink-300",
                                 "kelp-pencil-300",
                                 "thistle-faint-300",
                                 "sea-pink-phone-300",
                                 "scallop-phone-300"}) {
    const AccuracyPage page = page_named(name);
    const Page read = page_as_read(page);
    Vec2 mean;
    double squares = 0.0;
    double darkness = 0.0;
    const std::vector<Place> places = lone_places(page.truth);
    ASSERT_GT(places.size(), 200u) << name;
    for (const Place& place : places) {
      const Profile profile = profile_at(read.grey, page.dpi / 25.4, place, 255.0);
      mean += place.across * (2.0 * profile.off_mm / double(places.size()));
      squares += profile.off_mm * profile.off_mm / double(places.size());
      darkness += profile.ink / place.width_mm / double(places.size());
    }
    // Twice the mean of off x across: its two directions share the places about evenly.
    EXPECT_LT(length(mean), 0.004) << name;
    EXPECT_LT(std::sqrt(squares), 0.03) << name;
    EXPECT_GT(darkness, page.faint ? 0.08 : 0.3) << name;
  }
}

TEST(AccuracyPages, InkIsAsWideAsItsTruth) {
  const AccuracyPage page = page_named("shells-ink-300");
  const Page read = page_as_read(page);
  double error = 0.0;
  double spread = 0.0;
  double mean_width = 0.0;
  std::vector<std::pair<double, double>> pairs;  // true width, ink
  for (const Place& place : lone_places(page.truth)) {
    pairs.emplace_back(place.width_mm, profile_at(read.grey, page.dpi / 25.4, place, 190.0).ink);
  }
  ASSERT_GT(pairs.size(), 200u);
  // The ink's darkness is one unknown for the whole page.
  double ink = 0.0;
  for (const auto& [width, seen] : pairs) {
    mean_width += width / double(pairs.size());
    ink += seen / double(pairs.size());
  }
  for (const auto& [width, seen] : pairs) {
    error += std::abs(seen * mean_width / ink - width) / double(pairs.size());
    spread += std::abs(width - mean_width) / double(pairs.size());
  }
  EXPECT_LT(error, 0.015);
  EXPECT_GT(spread, 2.0 * error) << "one width would do as well";
}

}  // namespace
}  // namespace underdraw::test
