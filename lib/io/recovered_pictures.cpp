#include "io/recovered_pictures.h"

#include <algorithm>
#include <map>

#include <fmt/format.h>
#include <opencv2/imgproc.hpp>

#include "io/bench_page.h"
#include "io/draw_overlay.h"
#include "io/upright.h"
#include "io/write_jpeg.h"
#include "recover/see_face.h"

namespace underdraw {
namespace {

constexpr int kSeenPx = 3000;     // longer side of a photo that is cut to the piece for the bench
constexpr int kViewPx = 1800;     // longer side of what is cut out
constexpr double kAround = 0.12;  // of the piece's size, left round it

std::string stem_of(const std::string& name) { return name.substr(0, name.rfind('.')); }

// Lines in px of a photo as it is stored -> of the same upright.
std::vector<PhotoLine> upright_lines(std::vector<PhotoLine> lines, const StagePhoto& photo) {
  const cv::Size size = photo.bgr.size();
  for (PhotoLine& line : lines) {
    for (Vec2& p : line.px) p = upright_px(p, size, photo.orientation);
  }
  return lines;
}

// Lines on the unrolled picture; what runs past the seam goes on at the other side.
std::vector<PhotoLine> lines_on_picture(const RecoveredOfFace& face, const Unrolled& unrolled) {
  std::vector<PhotoLine> out;
  for (std::size_t i = 0; i < face.lines.face.strokes.size(); ++i) {
    const RecoveredStroke& stroke = face.lines.face.strokes[i];
    if (!stroke.photo.empty()) continue;
    PhotoLine line;
    line.placement = stroke.placement;
    for (const Vec2 p : stroke.points) {
      const double across = unrolled.round ? wrapped_deg(p.x) : p.x;
      const Vec2 px = unrolled.px_from_face({across, p.y});
      if (!line.px.empty() && std::abs(px.x - line.px.back().x) > unrolled.light.cols / 2.0) {
        out.push_back(line);
        line.px.clear();
      }
      line.px.push_back(px);
    }
    out.push_back(std::move(line));
  }
  return out;
}

// How the camera stood, for a title: "from a 120°".
std::string side_of(const StagePhoto& photo, const StageFace& face, bool round) {
  if (!round) return "from above";
  const Vec3 eye = photo.posed.pose.eye();
  // a grows to the right for someone who looks at the outside, and is 0 towards -y.
  const double a =
      degrees(std::atan2(eye.x - face.stands().shift_mm.x, -(eye.y - face.stands().shift_mm.y)));
  return fmt::format("from a {:.0f}°", wrapped_deg(std::round(a - face.stands().turn_deg)));
}

struct Seen {
  std::size_t face;
  std::size_t photo;
  FaceView view;
  std::vector<PhotoLine> lines;  // px of the photo as stored
};

Seen see(const RecoverResult& result,
         const StageFaces& stage,
         std::size_t face,
         std::size_t photo) {
  const StagePhoto& shot = stage.photos.photos[photo];
  const StandingFace standing =
      standing_face(result.placed[face].surface, stage.faces[face]->stands());
  Seen out{face,
           photo,
           see_face(standing, shot.posed.camera, shot.posed.pose, {.longest_px = kSeenPx}),
           {}};
  const RecoveredOfFace& of = result.faces[face];
  out.lines = lines_in_view(
      standing, out.view, shot.posed.camera, shot.posed.pose, of.lines.face.strokes, of.covered);
  return out;
}

// The part of the picture that shows the face, with some room round it.
cv::Rect round_the_piece(const FaceView& view) {
  const cv::Rect whole(0, 0, view.depth.cols, view.depth.rows);
  const cv::Rect face = cv::boundingRect(view.depth > 0.0f);
  if (face.empty()) return whole;
  const int room = static_cast<int>(kAround * std::max(face.width, face.height));
  return (face + cv::Point(-room, -room) + cv::Size(2 * room, 2 * room)) & whole;
}

BenchView bench_view(const RecoverResult& result, const RecoveredStages& stages, const Seen& seen) {
  const StageFaces& now = stages.after ? *stages.after : stages.before;
  const StagePhoto& photo = now.photos.photos[seen.photo];
  const StageFace& face = *now.faces[seen.face];
  BenchView view;
  view.title = fmt::format("{}, {}",
                           result.placed[seen.face].face.name,
                           side_of(photo, face, result.placed[seen.face].surface.round()));
  cv::Mat now_picture;
  cv::resize(photo.bgr, now_picture, seen.view.depth.size(), 0, 0, cv::INTER_AREA);
  const cv::Rect piece = round_the_piece(seen.view);
  const double shrunk =
      std::min(1.0, static_cast<double>(kViewPx) / std::max(piece.width, piece.height));
  const auto cut_out = [&](const cv::Mat& from) {
    cv::Mat picture;
    cv::resize(from(piece), picture, {}, shrunk, shrunk, cv::INTER_AREA);
    return upright(picture, photo.orientation);
  };
  const cv::Mat picture = cut_out(now_picture);
  view.width_px = picture.cols;
  view.height_px = picture.rows;
  view.after_jpeg = jpeg_of_picture(picture);
  if (stages.after && stages.before.faces[seen.face]) {
    view.before_jpeg = jpeg_of_picture(
        cut_out(seen_as(seen.view, stages.before.faces[seen.face]->picture(), now_picture)));
  }
  view.lines = seen.lines;
  const cv::Size cut(static_cast<int>(std::lround(piece.width * shrunk)),
                     static_cast<int>(std::lround(piece.height * shrunk)));
  for (PhotoLine& line : view.lines) {
    for (Vec2& p : line.px) {
      const Vec2 in_cut = p * seen.view.px_from_photo - Vec2{1.0 * piece.x, 1.0 * piece.y};
      p = upright_px(in_cut * shrunk, cut, photo.orientation);
    }
  }
  return view;
}

// A photo that shows no mat, with the lines of the photo before that was laid over it.
BenchView bench_view(const PairedPhoto& pair, const std::string& face) {
  BenchView view;
  view.title = fmt::format("{}, photos/{}", face, pair.after.name);
  const double scale = std::min(
      1.0, kViewPx / static_cast<double>(std::max(pair.after_bgr.cols, pair.after_bgr.rows)));
  const auto jpeg_of = [&](const cv::Mat& picture) {
    cv::Mat small;
    cv::resize(picture, small, {}, scale, scale, cv::INTER_AREA);
    view.width_px = small.cols;
    view.height_px = small.rows;
    return jpeg_of_picture(small);
  };
  view.before_jpeg = jpeg_of(pair.before_seen);
  view.after_jpeg = jpeg_of(pair.after_bgr);
  view.lines = photo_lines(pair.lines);
  for (PhotoLine& line : view.lines) {
    for (Vec2& p : line.px) p = p * scale;
  }
  return view;
}

// The drawing of one placement, on paper laid there.
Linework on_paper(const PlacedFace& face, const Placement& placement, const RecoveredFace& lines) {
  Linework out;
  for (const RecoveredStroke& stroke : lines.strokes) {
    if (stroke.placement != placement.id || stroke.points.empty()) continue;
    std::vector<Vec2> points;
    for (const Vec2 p : stroke.points) {
      points.push_back(face.surface.paper_at(placement.at, {p.x, p.y}));
    }
    Stroke drawn;
    if (points.size() > 1) {
      drawn.path = Path::polyline(points);
    } else {
      drawn.path.points = points;
    }
    out.strokes.push_back(std::move(drawn));
  }
  return out;
}

std::vector<BenchNumber> bench_numbers(const RecoverResult& result) {
  std::vector<BenchNumber> out;
  for (std::size_t f = 0; f < result.placed.size(); ++f) {
    const PlacedFace& face = result.placed[f];
    const RecoveredOfFace& of = result.faces[f];
    for (std::size_t i = 0; i < face.placements.size(); ++i) {
      const Placement& placement = face.placements[i];
      const DatumLabels datum = datum_labels(face.surface, placement);
      BenchNumber number;
      number.number = placement.id;
      number.name = placement.change.mirrored ? placement.motif + ", mirrored" : placement.motif;
      number.where = fmt::format("{}, {}, {}", face.face.name, datum.across, datum.along);
      number.size = fmt::format(
          "{:.1f} mm high",
          motif_named(result.motifs, placement.motif).height_mm * placement.change.scale);
      number.lines = on_paper(face, placement, of.lines.face);
      number.note = words_for(of.lines.placements[i]);
      for (const PlacementChange& change : of.changes) {
        if (change.id != placement.id) continue;
        number.there = change.now == Now::shows;
        if (number.note.empty()) number.note = words_for(change);
        if (number.note.empty() && number.there) number.note = "shows in the later photos";
      }
      out.push_back(std::move(number));
    }
  }
  return out;
}

}  // namespace

void write_recovered_pictures(const RecoverResult& result,
                              const RecoveredStages& stages,
                              const WriteFile& write,
                              const Progress& progress) {
  const StageFaces& now = stages.after ? *stages.after : stages.before;
  BenchPage page;
  page.piece = result.piece.name;
  double done = 0.0;
  for (std::size_t f = 0; f < now.faces.size(); ++f) {
    if (!now.faces[f]) continue;
    for (const std::size_t p : now.faces[f]->photos) {
      report(progress,
             "drawing over photos",
             done += 0.5 / static_cast<double>(now.photos.photos.size() + 1));
      const StagePhoto& photo = now.photos.photos[p];
      const Seen seen = see(result, now, f, p);
      write("overlays/" + stem_of(photo.row.name) + ".png",
            png_of_overlay(upright(photo.bgr, photo.orientation),
                           upright_lines(seen.lines, photo),
                           {.title = "photos/" + photo.row.name, .seen_too = true}));
      page.views.push_back(bench_view(result, stages, seen));
    }
  }
  for (const PairedPhoto& pair : result.pairs) {
    write("overlays/" + stem_of(pair.after.name) + ".png",
          png_of_overlay(pair.after_bgr,
                         photo_lines(pair.lines),
                         {.title = "photos/" + pair.after.name, .seen_too = true}));
    page.views.push_back(
        bench_view(pair, pair.after.face.value_or(result.placed.front().face.name)));
  }
  for (std::size_t f = 0; f < result.placed.size(); ++f) {
    const std::string& name = result.placed[f].face.name;
    if (stages.before.faces[f]) {
      const Unrolled& unrolled = stages.before.faces[f]->picture();
      write(fmt::format("unrolled/{}-{}.jpg", name, result.before),
            jpeg_of_picture(unrolled.colour));
      write(fmt::format("unrolled/{}-lines.png", name),
            png_of_overlay(unrolled.colour,
                           lines_on_picture(result.faces[f], unrolled),
                           {.title = fmt::format("{}, laid out flat, with the lines found", name),
                            .legend = false,
                            .longest_px = 4000}));
    }
    if (stages.after && stages.after->faces[f]) {
      write(fmt::format("unrolled/{}-{}.jpg", name, *result.after),
            jpeg_of_picture(stages.after->faces[f]->picture().colour));
    }
  }
  page.numbers = bench_numbers(result);
  for (const PhotoLeftOut& photo : result.left_out) page.notes.push_back(photo.why);
  page.notes.insert(page.notes.end(), result.warnings.begin(), result.warnings.end());
  write("bench.html", bench_page(page));
}

}  // namespace underdraw
