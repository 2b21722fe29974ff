#include "io/upright.h"

namespace underdraw {

cv::Mat upright(const cv::Mat& stored, int orientation) {
  cv::Mat turned;  // never `stored` itself, whose pixels others may share
  switch (orientation) {
    case 2:
      cv::flip(stored, turned, 1);
      break;
    case 3:
      cv::flip(stored, turned, -1);
      break;
    case 4:
      cv::flip(stored, turned, 0);
      break;
    case 5:
      turned = stored.t();
      break;
    case 6:
      cv::rotate(stored, turned, cv::ROTATE_90_CLOCKWISE);
      break;
    case 7:
      cv::flip(stored.t(), turned, -1);
      break;
    case 8:
      cv::rotate(stored, turned, cv::ROTATE_90_COUNTERCLOCKWISE);
      break;
    default:
      turned = stored;
      break;
  }
  return turned;
}

Vec2 upright_px(Vec2 stored, cv::Size stored_size, int orientation) {
  const double x = stored.x;
  const double y = stored.y;
  const double right = stored_size.width - x;
  const double below = stored_size.height - y;
  switch (orientation) {
    case 2:
      return {right, y};
    case 3:
      return {right, below};
    case 4:
      return {x, below};
    case 5:
      return {y, x};
    case 6:
      return {below, x};
    case 7:
      return {below, right};
    case 8:
      return {y, right};
    default:
      return stored;
  }
}

}  // namespace underdraw
