#include "photo/read_codes.h"

#include <vector>

#include <opencv2/aruco.hpp>
#include <opencv2/imgproc.hpp>

namespace underdraw {
namespace {

// OpenCV's whole numbers are pixel centres.
Vec2 from_centres(cv::Point2f p) { return {p.x + 0.5, p.y + 0.5}; }

}  // namespace

ReadCodes read_codes_at(const cv::Mat& grey, double scale_x, double scale_y) {
  cv::Mat scaled = grey;
  if (scale_x != 1.0 || scale_y != 1.0) {
    const bool smaller = scale_x < 1.0 && scale_y < 1.0;
    cv::resize(grey, scaled, {}, scale_x, scale_y, smaller ? cv::INTER_AREA : cv::INTER_LINEAR);
  }
  const auto how = cv::aruco::DetectorParameters::create();
  how->adaptiveThreshWinSizeMin = 5;
  how->adaptiveThreshWinSizeMax = 45;
  how->adaptiveThreshWinSizeStep = 20;
  how->minMarkerPerimeterRate = 0.012;
  how->minCornerDistanceRate = 0.03;
  how->minDistanceToBorder = 1;
  how->perspectiveRemovePixelPerCell = 5;
  how->errorCorrectionRate = 0.5;
  std::vector<std::vector<cv::Point2f>> corners;
  std::vector<int> codes;
  cv::aruco::detectMarkers(
      scaled, cv::aruco::getPredefinedDictionary(cv::aruco::DICT_5X5_1000), corners, codes, how);
  ReadCodes read;
  for (std::size_t i = 0; i < codes.size(); ++i) {
    Quad quad;
    for (std::size_t k = 0; k < 4; ++k) {
      const Vec2 p = from_centres(corners[i][k]);
      quad[k] = {p.x / scale_x, p.y / scale_y};
    }
    read.emplace(codes[i], quad);
  }
  return read;
}

}  // namespace underdraw
