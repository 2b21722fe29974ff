#include "io/trace_files.h"

#include <algorithm>
#include <atomic>
#include <thread>

#include <fmt/format.h>
#include <gtest/gtest.h>
#include <opencv2/imgproc.hpp>

#include "core/error.h"
#include "io/page_files.h"
#include "io/svg.h"

namespace underdraw {
namespace {

using namespace testing_pages;

constexpr int kPages = 30;

// 25 x 25 mm at 300 dpi with one ring and `spokes` lines from it: pages that take their own time.
cv::Mat small_page(int spokes) {
  cv::Mat page(300, 300, CV_8UC1, cv::Scalar(244));
  const cv::Point hub(150, 150);
  cv::circle(page, hub, 40, cv::Scalar(60), 5, cv::LINE_AA);
  for (int i = 0; i < spokes; ++i) {
    const double angle = 2.0 * CV_PI * i / spokes;
    const cv::Point2d way(std::cos(angle), std::sin(angle));
    cv::line(page, hub + cv::Point(way * 40.0), hub + cv::Point(way * 110.0), 60, 5, cv::LINE_AA);
  }
  return page;
}

class ThirtyPages : public ::testing::Test {
 protected:
  ThirtyPages() {
    for (int i = 0; i < kPages; ++i) {
      requests_.push_back({folder_.file(fmt::format("page-{:02}.png", i)), {}, {}});
      write_png(requests_.back().file, small_page(spokes(i)));
    }
  }

  static int spokes(int i) { return i % 2 == 0 ? 2 : 9; }

  TempFolder folder_;
  std::vector<PageRequest> requests_;
};

TEST_F(ThirtyPages, ComeBackInTheOrderAskedForAndAsIfTracedAlone) {
  std::reverse(requests_.begin(), requests_.end());
  const std::vector<PageOutcome> outcomes = trace_planned(plan_pages(requests_));
  ASSERT_EQ(outcomes.size(), requests_.size());
  for (std::size_t i = 0; i < outcomes.size(); ++i) {
    ASSERT_TRUE(outcomes[i].traced) << outcomes[i].complaint;
    EXPECT_EQ(outcomes[i].traced->file, requests_[i].file);
  }
  for (const std::size_t i : {0U, 7U, 29U}) {
    const std::vector<TracedFilePage> alone = trace_files({requests_[i]});
    const auto text = [](const TracedFilePage& page) {
      return svg_of_motif(motifs_of_page(page, {"a"}, "").at(0));
    };
    EXPECT_EQ(text(*outcomes[i].traced), text(alone.at(0))) << i;
  }
}

TEST_F(ThirtyPages, ABadOneDoesNotKeepTheOthersFromIt) {
  Bytes bytes = bytes_of(requests_[4].file);
  bytes.resize(bytes.size() / 2);
  write_bytes(requests_[4].file, bytes);
  write_png(requests_[11].file, cv::Mat(300, 300, CV_8UC1, cv::Scalar(244)));
  requests_[23].file = folder_.file("nowhere.png");
  const std::vector<PageOutcome> outcomes = trace_planned(plan_pages(requests_));
  ASSERT_EQ(outcomes.size(), requests_.size());
  for (std::size_t i = 0; i < outcomes.size(); ++i) {
    const bool bad = i == 4 || i == 11 || i == 23;
    EXPECT_NE(outcomes[i].traced.has_value(), bad) << i;
    EXPECT_EQ(outcomes[i].complaint.empty(), !bad) << i;
    EXPECT_EQ(outcomes[i].complaint.starts_with(requests_[i].file), bad) << i;
  }
  // The chain of a piece needs them all.
  EXPECT_THROW(trace_files(requests_), InputError);
}

TEST_F(ThirtyPages, ReportOneShareThatOnlyGrows) {
  std::vector<double> shares;
  std::string last;
  trace_planned(plan_pages(requests_), {}, [&](const std::string& step, double share) {
    shares.push_back(share);
    last = step;
  });
  EXPECT_TRUE(std::is_sorted(shares.begin(), shares.end()));
  EXPECT_NEAR(shares.back(), 1.0, 1e-9);
  EXPECT_EQ(last, "30 of 30 pages traced");
}

TEST_F(ThirtyPages, AreInMemoryNoMoreAtOnceThanThereAreCores) {
  std::atomic<int> inside{0};
  std::atomic<int> most{0};
  std::vector<int> seen(kPages, 0);
  trace_planned(plan_pages(requests_),
                {},
                {},
                [&](std::size_t i, const Page& page, const TracedFilePage& traced) {
                  const int now = ++inside;
                  for (int before = most; now > before;) {
                    if (most.compare_exchange_weak(before, now)) break;
                  }
                  EXPECT_EQ(page.file, traced.file);
                  ++seen[i];
                  --inside;
                });
  EXPECT_EQ(seen, std::vector<int>(kPages, 1));
  EXPECT_LE(most, static_cast<int>(std::max(1U, std::thread::hardware_concurrency())));
}

TEST_F(ThirtyPages, WhatTheListenerThrowsEndsTheCall) {
  const auto full_disk = [](std::size_t, const Page&, const TracedFilePage&) {
    throw OutputError(
        {.file = "look.png", .line = {}, .found = "full", .expected = {}, .remedy = {}});
  };
  EXPECT_THROW(trace_planned(plan_pages(requests_), {}, {}, full_disk), OutputError);
}

TEST_F(ThirtyPages, OfTheSameNameAreRefusedBeforeAnyWork) {
  EXPECT_NO_THROW(require_own_names(plan_pages(requests_)));
  requests_.push_back(requests_.front());
  EXPECT_THROW(require_own_names(plan_pages(requests_)), InputError);
}

}  // namespace
}  // namespace underdraw
