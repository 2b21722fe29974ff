// A few pages of the sample's sketches, until there is the whole suite.
#pragma once

#include <functional>
#include <string>
#include <vector>

#include <opencv2/core.hpp>

#include "geometry/linework.h"
#include "scan/page.h"

namespace underdraw::test {

struct AccuracyPage {
  std::string name;
  std::string about;
  cv::Mat pixels;
  double dpi = 300.0;
  int jpeg_quality = 0;
  bool faint = false;
  bool clean = false;
  Linework truth;
};

struct PageRecipe {
  std::string name;
  std::function<AccuracyPage()> draw;
};

std::vector<PageRecipe> accuracy_pages();
Page page_as_read(const AccuracyPage& page);

}  // namespace underdraw::test
