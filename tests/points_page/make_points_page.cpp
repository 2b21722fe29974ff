// Writes a page for tapping points of invented content, for check_points_page.py: two photos
// before, one after, and a name that would do harm if it were not escaped.
#include <fstream>

#include <opencv2/imgproc.hpp>

#include "io/points_page.h"
#include "io/write_jpeg.h"

namespace underdraw {
namespace {

PointsPhoto photo(const std::string& name, int width, int height, double file_px, cv::Scalar coat) {
  cv::Mat picture(height, width, CV_8UC3, cv::Scalar(140, 145, 150));
  cv::ellipse(
      picture, {width / 2, height / 2}, {width / 3, height / 3}, 0, 0, 360, coat, cv::FILLED);
  for (int i = 1; i < 6; ++i) {
    cv::circle(picture, {width * i / 6, height / 2 + (i % 2) * 40}, 4, {30, 30, 30}, cv::FILLED);
  }
  return {name, jpeg_of_picture(picture, 80), width, height, file_px};
}

}  // namespace
}  // namespace underdraw

int main(int count, char** arguments) {
  using namespace underdraw;
  if (count != 2) return 2;
  const PointsPage page{"Tern <script>window.harmed = 1</script> \"figure\"",
                        "tern-figure",
                        {photo("drawn-1.jpg", 1200, 900, 2.5, {60, 110, 170}),
                         photo("drawn <b>2 \"b.jpg", 900, 1200, 2.5, {60, 110, 170})},
                        {photo("covered-1.jpg", 1000, 750, 3.0, {150, 120, 60})}};
  std::ofstream(arguments[1], std::ios::binary) << points_page(page);
  return 0;
}
