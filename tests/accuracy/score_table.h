// The figures of all pages side by side, their means, the goals, and what a plain skeleton reaches.
//
// In/out:  scores in; text out.
#pragma once

#include <string>
#include <vector>

#include "accuracy/score_page.h"

namespace underdraw::test {

struct ScoredPage {
  std::string name;
  std::string about;
  bool faint = false;
  PageScore score;
};

struct ScoreTable {
  std::vector<ScoredPage> pages;
  std::vector<ScoredPage> reference;  // the same pages by another route; may be empty

  // Columns of equal width, for a terminal.
  std::string text() const;
  // The same as tables in Markdown.
  std::string markdown() const;
  // Rows for the bounds in accuracy_test.cpp, a margin looser than what was reached.
  std::string bounds() const;
};

}  // namespace underdraw::test
