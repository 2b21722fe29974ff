// What the log adds up to; figures worked out by hand, no outside source.
#include "coats/work_summary.h"

#include <gtest/gtest.h>

#include "core/error.h"

namespace underdraw {
namespace {

class LogOf {
 public:
  LogOf& add(LogContent content) {
    const auto id = static_cast<std::int64_t>(log_.size()) + 1;
    log_.push_back({id, std::move(content), "", "2026-05-03T14:15:22Z", {}});
    return *this;
  }
  LogOf& laid(const std::string& colour, int count, Place place = {}) {
    return add(CoatsLaid{colour, count, std::move(place)});
  }
  LogOf& tile(const std::string& name, TileState state, LabColour colour, double grey_l = 70.0) {
    return add(TileReading{.tile = name,
                           .of = "teal",
                           .state = state,
                           .colour = colour,
                           .spread = 1.0,
                           .grey_l = grey_l,
                           .photo = {},
                           .checksum = {}});
  }
  LogOf& taken_back() {
    log_.back().undone_at = "2026-05-03T14:20:00Z";
    return *this;
  }
  const WorkLog& log() const { return log_; }

 private:
  WorkLog log_;
};

std::vector<Colour> teal_and_wash() {
  Colour teal;
  teal.name = "teal";
  teal.coats = 3;
  Colour wash;
  wash.name = "kelp wash";
  wash.kind = ColourKind::wash;
  wash.coats = 0;
  return {teal, wash};
}

const Place kHandle{"wall", {{4, 4, ""}, {7, 9, ""}}};

TEST(AreasOfText, AreKeptSortedAndOnce) {
  EXPECT_EQ(text_of_areas(areas_of_text("12b, 4,ground, 7-9,4")), "4,7-9,12b,ground");
  EXPECT_EQ((Place{"wall", areas_of_text("9,4-5")}).text(), "wall 4-5, 9");
  EXPECT_EQ((Place{{}, areas_of_text("4")}).text(), "4");
  EXPECT_EQ((Place{"lid", {}}).text(), "lid");
  for (const char* bad :
       {"", "4,", "0", "9-7", "4-", "-4", "b4", "4abc", "4B", "4-5b", "4.5", "999999"}) {
    EXPECT_THROW(areas_of_text(bad), OptionError) << bad;
  }
}

TEST(Place, CoversItsAreasAndNoOthers) {
  const Place places{"wall", areas_of_text("7-9,12b,ground")};
  EXPECT_TRUE(places.covers("wall", 8, "a"));
  EXPECT_TRUE(places.covers("wall", 12, "b"));
  EXPECT_TRUE(places.covers("wall", 0, ""));
  EXPECT_FALSE(places.covers("wall", 12, "a"));
  EXPECT_FALSE(places.covers("wall", 10, "a"));
  EXPECT_FALSE(places.covers("lid", 8, "a"));
  EXPECT_TRUE(Place{}.covers("lid", 8, "a"));
}

TEST(WorkSummary, SaysWhatIsLaidAndWhatIsMissing) {
  LogOf log;
  log.laid("teal", 1).laid("teal", 5).taken_back().laid("cream", 2).laid("teal", 1, kHandle);
  log.add(Firing{"bisque"}).laid("teal", 1).laid("teal", 1, kHandle).laid("kelp wash", 1);
  const WorkSummary summary = summary_of(log.log(), teal_and_wash());
  ASSERT_EQ(summary.coats.size(), 3U);
  const ColourCoats& teal = summary.coats[0];
  EXPECT_EQ(teal.everywhere, 2);  // one before the firing and one after it
  EXPECT_EQ(teal.missing(), 1);
  ASSERT_EQ(teal.more.size(), 1U);
  EXPECT_EQ(teal.more[0].coats, 2);
  EXPECT_EQ(summary.coats[1].name, "kelp wash");
  EXPECT_FALSE(summary.coats[1].missing());
  EXPECT_EQ(summary.coats[2].name, "cream");
  EXPECT_FALSE(summary.coats[2].asked);
  ASSERT_EQ(summary.firings.size(), 1U);
  EXPECT_FALSE(summary.complete());
  EXPECT_TRUE(summary_of(log.laid("teal", 4).log(), teal_and_wash()).complete());

  EXPECT_EQ(coats_on(log.log(), "teal", "wall", 8, "a"), 8);
  EXPECT_EQ(coats_on(log.log(), "teal", "wall", 5, "a"), 6);
}

TEST(WorkSummary, TellsHowColoursChangeAndHowFarThatScatters) {
  LogOf log;
  log.tile("1", TileState::dry, {60, 0, 0}).tile("1", TileState::glazed, {46, 0, 0});
  log.tile("2", TileState::dry, {60, 0, 0}).tile("2", TileState::glazed, {51, 0, 0});
  log.tile("3", TileState::wet, {50, 0, 0}).tile("3", TileState::dry, {61, 0, 0});
  log.tile("3", TileState::glazed, {10, 0, 0}).tile("3", TileState::glazed, {42, 0, 0});
  log.tile("4", TileState::dry, {60, 0, 0}).tile("4", TileState::glazed, {0, 0, 0}).taken_back();
  const std::vector<ColourChange> changes = summary_of(log.log(), {}).changes;
  ASSERT_EQ(changes.size(), 2U);
  EXPECT_EQ(changes[0].from, TileState::wet);
  EXPECT_EQ(changes[0].tiles, 1U);
  EXPECT_EQ(changes[0].lighter.median, -8.0);
  EXPECT_EQ(changes[1].from, TileState::dry);
  EXPECT_EQ(changes[1].to, TileState::glazed);
  EXPECT_EQ(changes[1].tiles, 3U);
  EXPECT_EQ(changes[1].lighter.median, -14.0);
  EXPECT_EQ(changes[1].lighter.least, -19.0);
  EXPECT_EQ(changes[1].lighter.most, -9.0);
  EXPECT_GT(changes[1].apart.least, 5.0);
  EXPECT_FALSE(changes[1].doubtful);

  log.tile("1", TileState::glazed, {46, 0, 0}, 76.0);
  EXPECT_TRUE(summary_of(log.log(), {}).changes[1].doubtful);
}

TEST(WorkSummary, CoverageIsTheMedianOfWhatWasUsed) {
  LogOf log;
  log.add(ColourUsed{"teal", 18.0, 240.0, 3}).add(ColourUsed{"teal", 6.0, 240.0, 1});
  log.add(ColourUsed{"teal", 9.6, 240.0, 2}).add(ColourUsed{"cream", 5.0, 100.0, 1});
  const std::vector<ColourNeed> needs = summary_of(log.log(), {}).needs;
  ASSERT_EQ(needs.size(), 2U);
  EXPECT_NEAR(needs[0].ml_per_m2.median, 250.0, 1e-9);
  EXPECT_NEAR(needs[0].ml_per_m2.least, 200.0, 1e-9);
  EXPECT_EQ(needs[0].readings, 3U);
  EXPECT_FALSE(measured_need(log.log(), "rose"));
}

}  // namespace
}  // namespace underdraw
