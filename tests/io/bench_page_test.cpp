// What is put into the page is escaped and complete; how it works in a browser is seen in
// tests/bench_page. Source: HTML Living Standard, 13.1.2.3 and 13.1.4 (what must be escaped where);
// Unicode 15, 3.9 (well-formed UTF-8).
#include "io/bench_page.h"

#include <gtest/gtest.h>

#include "io/html_text.h"

namespace underdraw {
namespace {

std::size_t count(const std::string& text, const std::string& part) {
  std::size_t found = 0;
  for (std::size_t at = text.find(part); at != std::string::npos; at = text.find(part, at + 1)) {
    ++found;
  }
  return found;
}

BenchNumber numbered(int number, const std::string& name) {
  BenchNumber out;
  out.number = number;
  out.name = name;
  out.where = "wall, a 90.0°, s 60.0";
  out.lines.strokes.push_back({Path::polyline({{0, 0}, {10, 0}, {10, 20}}), 0.5});
  return out;
}

TEST(HtmlEscaped, LeavesNoWayOutOfTextAndAttributes) {
  EXPECT_EQ(html_escaped("<b a=\"x\" c='y'>&amp;"),
            "&lt;b a=&quot;x&quot; c=&#39;y&#39;&gt;&amp;amp;");
  EXPECT_EQ(html_escaped("Krug für Möwe, 42°"), "Krug für Möwe, 42°");
  EXPECT_EQ(html_escaped(std::string("a\0b\x1b", 4)),
            "a\xEF\xBF\xBD"
            "b\xEF\xBF\xBD");
  // Overlong, surrogate, beyond Unicode, cut short.
  EXPECT_EQ(html_escaped("\xC0\xBC"), "\xEF\xBF\xBD\xEF\xBF\xBD");
  EXPECT_EQ(count(html_escaped("\xED\xA0\x80"), "\xEF\xBF\xBD"), 3U);
  EXPECT_EQ(count(html_escaped("\xF4\x90\x80\x80"), "\xEF\xBF\xBD"), 4U);
  EXPECT_EQ(html_escaped("\xE2\x82"), "\xEF\xBF\xBD\xEF\xBF\xBD");
}

TEST(BenchPage, EscapesEveryNameThatIsPutIn) {
  const std::string bad = "\"><script>x()</script>";
  BenchPage page;
  page.piece = bad + "{{js}}";
  page.notes = {bad};
  page.numbers = {numbered(1, bad)};
  page.numbers[0].where = page.numbers[0].size = page.numbers[0].note = bad;
  page.views.push_back({bad, 100, 50, "jpg", "jpg", {{1, true, {{1, 2}, {3, 4}}}}});
  const std::string text = bench_page(page);
  EXPECT_EQ(count(text, "<script>"), 1U);
  EXPECT_EQ(count(text, "{{js}}"), 2U);  // title and heading, as words
  EXPECT_EQ(count(text, "&lt;script&gt;x()"), 11U);
}

TEST(BenchPage, HasANumberForEachPlacementAndALineForEachStroke) {
  BenchPage page;
  page.piece = "Harbour jar";
  page.numbers = {numbered(1, "kelp"), numbered(2, "scallop")};
  page.numbers[1].lines = {};
  BenchView view{"wall", 400, 300, "", "jpg", {}};
  view.lines = {
      {1, true, {{10, 10}, {20, 10}}}, {1, false, {{20, 10}, {30, 40}}}, {{}, true, {{5, 5}}}};
  page.views = {view};
  const std::string text = bench_page(page);
  EXPECT_EQ(count(text, "<g id=\"v0-c1\">"), 1U);
  EXPECT_EQ(count(text, "<g id=\"v0-o1\">"), 1U);
  EXPECT_EQ(count(text, "d=\"M5 5h0\""), 1U);
  EXPECT_EQ(count(text, "data-missing=\"1\""), 1U);
}

TEST(BenchPage, OtherLinesHaveOtherTicks) {
  BenchPage page;
  page.piece = "Harbour jar";
  page.numbers = {numbered(1, "kelp")};
  const auto key = [](const std::string& text) {
    const std::size_t at = text.find("data-key=\"");
    return text.substr(at, 26);
  };
  const std::string first = key(bench_page(page));
  EXPECT_EQ(first, key(bench_page(page)));
  page.numbers[0].lines.strokes[0].path.points[0].x += 1.0;
  EXPECT_NE(first, key(bench_page(page)));
}

}  // namespace
}  // namespace underdraw
