// Writes a bench page of invented content, for check_bench_page.py: three views, twelve numbers of
// which one was not seen, and a name that would do harm if it were not escaped.
#include <cmath>
#include <fstream>
#include <numbers>

#include <opencv2/core.hpp>

#include "io/bench_page.h"
#include "io/write_jpeg.h"
#include "sheet/sheet_samples.h"

namespace underdraw {
namespace {

constexpr int kWidth = 1200;
constexpr int kHeight = 900;
constexpr int kAcross = 4;

// A jar's wall in soft light, terracotta before, slip-white after.
std::string jar_picture(int view, bool covered) {
  cv::Mat picture(kHeight, kWidth, CV_8UC3);
  for (int y = 0; y < kHeight; ++y) {
    for (int x = 0; x < kWidth; ++x) {
      const double off = std::abs(x - kWidth / 2.0) / (0.42 * kWidth);
      const double light = off < 1.0 ? std::sqrt(1.0 - 0.7 * off * off) : 0.35;
      const double tone = 255.0 * light * (0.92 + 0.08 * std::sin(0.01 * (x + 2 * y) + view));
      const bool wall = off < 1.0 && y > 60 && y < 850;
      const cv::Vec3d colour = !wall     ? cv::Vec3d(0.55, 0.58, 0.6)
                               : covered ? cv::Vec3d(0.78, 0.84, 0.86)
                                         : cv::Vec3d(0.36, 0.5, 0.74);
      for (int c = 0; c < 3; ++c) {
        picture.at<cv::Vec3b>(y, x)[c] = cv::saturate_cast<uchar>(tone * colour[c]);
      }
    }
  }
  return jpeg_of_picture(picture, 80);
}

Vec2 spot(int number) {
  return {250.0 + 230.0 * ((number - 1) % kAcross), 200.0 + 250.0 * ((number - 1) / kAcross)};
}

BenchPage page() {
  const std::vector<Motif> motifs = sample_motifs();
  BenchPage out;
  out.piece = "Harbour jar <script>alert('no')</script> & \"lid\"";
  for (int v = 0; v < 3; ++v) {
    BenchView view;
    view.title = "wall, from a " + std::to_string(120 * v) + "°";
    view.width_px = kWidth;
    view.height_px = kHeight;
    view.after_jpeg = jar_picture(v, true);
    if (v < 2) view.before_jpeg = jar_picture(v, false);
    for (int number = 1; number <= 12; ++number) {
      if (number == 7 || (v == 2 && number > 4)) continue;
      const Motif& motif = motifs[static_cast<std::size_t>(number) % motifs.size()];
      const double scale = (number % 3 == 0 ? 3.6 : 3.1) + 0.3 * v;
      for (const Stroke& stroke : motif.lines.strokes) {
        PhotoLine line{number, number % 4 != 0, {}};
        for (const Vec2 p : sample(stroke.path, 0.4)) {
          line.px.push_back(spot(number) + (p - motif.centre()) * scale);
        }
        view.lines.push_back(line);
      }
    }
    view.lines.push_back({std::nullopt, true, {{100, 800}, {180, 820}, {240, 790}}});
    out.views.push_back(view);
  }
  for (int number = 1; number <= 12; ++number) {
    const Motif& motif = motifs[static_cast<std::size_t>(number) % motifs.size()];
    BenchNumber entry;
    entry.number = number;
    entry.name = motif.name + (number % 2 == 0 ? ", mirrored" : "");
    entry.where = "wall, a " + std::to_string(30 * number) + ".0°, s 60.0";
    if (number == 7) {
      entry.note = "Not seen in any photo. Photograph it from a 210°, level with it.";
    } else {
      entry.size = "42.0 mm high";
      entry.lines = transformed(motif.lines, Affine::translate(-motif.centre()));
      if (number == 3) entry.note = "Seen to 82 %: the photos show no more of it.";
    }
    out.numbers.push_back(entry);
  }
  out.notes = {"Lines are as the photos show them; nothing is added.",
               "Colour and glaze dust: wipe wet, never brush dry, and keep to local rules."};
  return out;
}

}  // namespace
}  // namespace underdraw

int main(int argc, char** argv) {
  if (argc != 2) return 2;
  std::ofstream file(argv[1], std::ios::binary);
  file << underdraw::bench_page(underdraw::page());
  return file.good() ? 0 : 1;
}
