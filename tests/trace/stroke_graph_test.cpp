#include "trace/stroke_graph.h"

#include <algorithm>

#include <gtest/gtest.h>
#include <opencv2/imgproc.hpp>

namespace underdraw {
namespace {

struct Count {
  long ends = 0, meetings = 0, edges = 0, rings = 0;
};

Count count(const StrokeGraph& graph) {
  Count out;
  for (const GraphNode& n : graph.nodes) {
    out.ends += n.edges.size() == 1 ? 1 : 0;
    out.meetings += n.edges.size() >= 3 ? 1 : 0;
  }
  for (const GraphEdge& e : graph.edges) {
    if (e.removed) continue;
    (e.ring() ? out.rings : out.edges) += 1;
  }
  return out;
}

cv::Mat blank() { return cv::Mat::zeros(200, 200, CV_8U); }

TEST(StrokeGraph, ABarIsOneEdgeWithTwoEnds) {
  cv::Mat ink = blank();
  cv::line(ink, {30, 40}, {150, 90}, 1, 5);
  StrokeGraph graph = make_stroke_graph(thin(ink));
  remove_spurs(graph, 12.0);
  EXPECT_EQ(count(graph).ends, 2);
  EXPECT_EQ(count(graph).edges, 1);
  EXPECT_EQ(count(graph).meetings, 0);
}

TEST(StrokeGraph, ACircleIsARing) {
  cv::Mat ink = blank();
  cv::circle(ink, {100, 100}, 50, 1, 5);
  StrokeGraph graph = make_stroke_graph(thin(ink));
  remove_spurs(graph, 12.0);
  EXPECT_EQ(count(graph).rings, 1);
  EXPECT_EQ(count(graph).edges, 0);
  const auto ring = std::find_if(
      graph.edges.begin(), graph.edges.end(), [](const GraphEdge& e) { return !e.removed; });
  EXPECT_NEAR(ring->length(), 2 * CV_PI * 50, 30);  // a pixel path is up to 8 % longer
}

TEST(StrokeGraph, ATHasOneMeetingOfThree) {
  cv::Mat ink = blank();
  cv::line(ink, {30, 60}, {170, 60}, 1, 5);
  cv::line(ink, {100, 60}, {100, 160}, 1, 5);
  StrokeGraph graph = make_stroke_graph(thin(ink));
  remove_spurs(graph, 12.0);
  EXPECT_EQ(count(graph).ends, 3);
  EXPECT_EQ(count(graph).meetings, 1);
  EXPECT_EQ(count(graph).edges, 3);
}

TEST(StrokeGraph, BumpsOnAnEdgeAreNoLines) {
  cv::Mat ink = blank();
  cv::line(ink, {20, 100}, {180, 100}, 1, 7);
  for (int x = 30; x < 180; x += 11) cv::circle(ink, {x, x % 2 ? 96 : 104}, 2, 1, cv::FILLED);
  StrokeGraph graph = make_stroke_graph(thin(ink));
  remove_spurs(graph, 12.0);
  EXPECT_EQ(count(graph).edges, 1);
  EXPECT_EQ(count(graph).ends, 2);
}

TEST(StrokeGraph, AShortBarbThatLeavesTheLineStays) {
  cv::Mat ink = blank();
  cv::line(ink, {20, 100}, {180, 100}, 1, 5);
  cv::line(ink, {100, 100}, {100, 88}, 1, 5);  // 1 mm at 12 px a mm
  StrokeGraph graph = make_stroke_graph(thin(ink));
  remove_spurs(graph, 12.0);
  EXPECT_EQ(count(graph).edges, 3);
}

TEST(StrokeGraph, EveryEdgeIsListedAtBothItsNodes) {
  cv::Mat ink = blank();
  cv::circle(ink, {100, 100}, 40, 1, 4);
  cv::line(ink, {20, 100}, {180, 100}, 1, 4);
  cv::line(ink, {100, 20}, {60, 180}, 1, 4);
  StrokeGraph graph = make_stroke_graph(thin(ink));
  remove_spurs(graph, 12.0);
  for (std::size_t e = 0; e < graph.edges.size(); ++e) {
    const GraphEdge& edge = graph.edges[e];
    if (edge.removed || edge.ring()) continue;
    for (const int n : {edge.from, edge.to}) {
      const auto& listed = graph.nodes[static_cast<std::size_t>(n)].edges;
      EXPECT_EQ(std::count(listed.begin(), listed.end(), static_cast<int>(e)),
                edge.from == edge.to ? 2 : 1);
    }
    EXPECT_LT(distance(edge.points.front(), graph.nodes[static_cast<std::size_t>(edge.from)].at),
              4);
    EXPECT_LT(distance(edge.points.back(), graph.nodes[static_cast<std::size_t>(edge.to)].at), 4);
  }
}

}  // namespace
}  // namespace underdraw
