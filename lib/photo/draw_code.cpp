#include "photo/draw_code.h"

#include <cstdint>

#include <opencv2/aruco/dictionary.hpp>
#include <opencv2/core.hpp>

#include "sheet/shapes.h"

namespace underdraw {
namespace {

PathMark solid(std::vector<Path> paths, Grey grey) {
  PathMark mark;
  mark.paths = std::move(paths);
  mark.line_width_mm = 0.0;
  mark.filled = true;
  mark.fill = grey;
  return mark;
}

}  // namespace

CodeCells code_cells(int code) {
  const cv::Ptr<cv::aruco::Dictionary> codes =
      cv::aruco::getPredefinedDictionary(cv::aruco::DICT_5X5_1000);
  cv::Mat cells;
  codes->drawMarker(code, kCodeCells, cells, 1);
  CodeCells black{};
  for (int r = 0; r < kCodeCells; ++r) {
    for (int c = 0; c < kCodeCells; ++c) {
      black[static_cast<std::size_t>(r)][static_cast<std::size_t>(c)] =
          cells.at<std::uint8_t>(r, c) == 0;
    }
  }
  return black;
}

std::vector<PathMark> code_marks(const std::vector<CodeToDraw>& codes) {
  std::vector<Path> black, white;
  std::vector<Path> seams;  // between white cells above each other: viewers would draw hairlines
  for (const CodeToDraw& code : codes) {
    const CodeCells cells = code_cells(code.code);
    const double cell = code.box.width() / kCodeCells;
    black.push_back(rectangle(code.box));
    const auto is_white = [&](int row, int column) {
      return !cells[static_cast<std::size_t>(row)][static_cast<std::size_t>(column)];
    };
    for (int r = 1; r + 1 < kCodeCells; ++r) {
      for (int c = 1; c + 1 < kCodeCells; ++c) {
        const Vec2 from = code.box.min + Vec2{c * cell, r * cell};
        if (is_white(r, c) && is_white(r - 1, c)) {
          seams.push_back(rectangle({from + Vec2{0.1, -0.1}, from + Vec2{cell - 0.1, 0.1}}));
        }
        if (!is_white(r, c) || is_white(r, c - 1)) continue;
        int end = c + 1;
        while (is_white(r, end)) ++end;
        white.push_back(rectangle({from, from + Vec2{(end - c) * cell, cell}}));
      }
    }
  }
  return {
      solid(std::move(black), {}), solid(std::move(white), {1.0}), solid(std::move(seams), {1.0})};
}

}  // namespace underdraw
