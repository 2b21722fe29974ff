// What is measured: pages at 600 dpi and a copy of the sample, in a folder that goes away again.
//
// Pages:   the sample's exact linework drawn anew at 600 dpi by tests/support/pencil_page.h, so
//          that a sharper scan of the same sheet is measured and not an enlarged one.
#pragma once

#include <filesystem>
#include <string>
#include <vector>

#include <opencv2/core.hpp>

#include "support/own_folder.h"

namespace underdraw::bench {

class BenchFiles {
 public:
  BenchFiles();  // takes half a minute

  // A4, 35 megapixels, 8-bit grey PNG that states its resolution.
  std::string pencil_page() const { return (folder_ / "pencil-600.png").string(); }  // as scanned
  std::string white_page() const { return (folder_ / "white-600.png").string(); }  // paper bleached

  // The sample's six sketches set close in the corner of an A5, A4 or A3 page: the same drawing on
  // more and more paper.
  std::string on_paper(const std::string& size) const {
    return (folder_ / ("on-" + size + "-600.png")).string();
  }
  // So many sketches on A4: 4, 8 or 16.
  std::string sketches(int count) const {
    return (folder_ / ("sketches-" + std::to_string(count) + "-600.png")).string();
  }

  // The sample's own page under `count` names: a pile of scans.
  std::vector<std::string> pile(int count) const;

  // The sample's own page, 300 dpi.
  std::string sample_page() const {
    return (piece_folder() / "pages" / "harbour-sketches.png").string();
  }
  // A copy of samples/harbour-jar that has been run once, so out/ is there.
  std::filesystem::path piece_folder() const { return folder_ / "harbour-jar"; }

  std::string scratch(const std::string& name) const { return (folder_ / name).string(); }

 private:
  test::OwnFolder own_;
  const std::filesystem::path folder_ = own_.path();
};

// The reference for everything that begins with a page: an 8-bit grey PNG through libpng and
// nothing else. Throws std::runtime_error.
cv::Mat decode_png(const std::string& path);

}  // namespace underdraw::bench
