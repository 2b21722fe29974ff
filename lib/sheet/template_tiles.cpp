#include "sheet/template_tiles.h"

#include <algorithm>
#include <cmath>

#include <fmt/format.h>

#include "sheet/clip_lines.h"
#include "sheet/shapes.h"
#include "sheet/text_width.h"

namespace underdraw {
namespace {

constexpr double kFlatMm = 0.01;
constexpr double kRegisterMm = 3.6;  // half
constexpr double kRegisterShares[] = {0.3, 0.7};

std::size_t count_for(double length, double window) {
  if (length <= window) return 1;
  const double step = window - kTileOverlapMm;
  return static_cast<std::size_t>(std::ceil((length - kTileOverlapMm) / step - 1e-9));
}

std::vector<Vec2> corners(const Path& path) {
  if (path.is_dot()) return path.points;
  std::vector<Vec2> points = flatten(path, kFlatMm);
  if (path.closed && points.front() != points.back()) points.push_back(points.front());
  return points;
}

}  // namespace

std::string Tile::name() const {
  std::string letters;
  for (std::size_t r = row + 1; r > 0; r = (r - 1) / 26) {
    letters.insert(letters.begin(), static_cast<char>('A' + (r - 1) % 26));
  }
  return letters + std::to_string(column + 1);
}

const Tile* Tiling::at(std::size_t row, std::size_t column) const {
  for (const Tile& tile : tiles) {
    if (tile.row == row && tile.column == column) return &tile;
  }
  return nullptr;
}

Tiling tiled(const Box& box, const Rings& shape, Vec2 window) {
  Tiling out;
  out.size = window;
  out.columns = count_for(box.width(), window.x);
  out.rows = count_for(box.height(), window.y);
  const Vec2 step = window - Vec2{kTileOverlapMm, kTileOverlapMm};
  const Vec2 whole{step.x * static_cast<double>(out.columns) + kTileOverlapMm,
                   step.y * static_cast<double>(out.rows) + kTileOverlapMm};
  const Vec2 corner = box.centre() - whole / 2.0;
  for (std::size_t r = 0; r < out.rows; ++r) {
    for (std::size_t c = 0; c < out.columns; ++c) {
      const Vec2 at =
          corner + Vec2{step.x * static_cast<double>(c), step.y * static_cast<double>(r)};
      Tile tile{r, c, {at, at + window}};
      if (touches(shape, tile.window)) out.tiles.push_back(tile);
    }
  }
  return out;
}

std::vector<Mark> register_marks(const Tiling& tiling) {
  std::vector<Mark> out;
  std::size_t count = 0;
  const auto add = [&](Vec2 at) {
    PathMark mark;
    mark.line_width_mm = 0.15;
    mark.line = {0.25};
    mark.paths = {circle(at, 1.8),
                  line_between(at - Vec2{kRegisterMm, 0}, at + Vec2{kRegisterMm, 0}),
                  line_between(at - Vec2{0, kRegisterMm}, at + Vec2{0, kRegisterMm})};
    out.emplace_back(std::move(mark));
    std::string letter(1, static_cast<char>('a' + count % 26));
    if (count >= 26) letter += std::to_string(count / 26);
    out.emplace_back(TextMark{letter, at + Vec2{2.0, -2.0}, 2.4, Align::left, true, 0.0, {0.25}});
    ++count;
  };
  for (const Tile& tile : tiling.tiles) {
    const Box& w = tile.window;
    if (tiling.at(tile.row, tile.column + 1) != nullptr) {
      for (const double share : kRegisterShares) {
        add({w.max.x - kTileOverlapMm / 2.0, std::lerp(w.min.y, w.max.y, share)});
      }
    }
    if (tiling.at(tile.row + 1, tile.column) != nullptr) {
      for (const double share : kRegisterShares) {
        add({std::lerp(w.min.x, w.max.x, share), w.max.y - kTileOverlapMm / 2.0});
      }
    }
  }
  return out;
}

std::vector<Mark> marks_inside(const std::vector<Mark>& marks, const Box& window) {
  std::vector<Mark> out;
  for (const Mark& mark : marks) {
    if (const auto* text = std::get_if<TextMark>(&mark)) {
      if (window.contains(text_box(*text))) out.push_back(mark);
      continue;
    }
    if (const auto* shared = std::get_if<SharedMark>(&mark)) {
      const std::vector<PathMark> each = marks_of(*shared);
      const std::vector<Mark> inside = marks_inside({each.begin(), each.end()}, window);
      out.insert(out.end(), inside.begin(), inside.end());
      continue;
    }
    const PathMark& whole = std::get<PathMark>(mark);
    PathMark part = whole;
    part.paths.clear();
    // Half a pen's width stays inside as well.
    const Box room = window.grown(-whole.line_width_mm / 2.0);
    bool uncut = true;
    for (const Path& path : whole.paths) uncut = uncut && room.contains(path.box());
    if (uncut) {
      out.push_back(mark);
      continue;
    }
    for (const Path& path : whole.paths) {
      std::vector<Vec2> points = corners(path);
      if (whole.filled) {
        const std::vector<Vec2> ring = ring_inside(points, room);
        if (ring.size() > 2) part.paths.push_back(Path::polyline(ring, true));
      } else if (points.size() == 1) {
        if (room.contains(points.front())) part.paths.push_back(path);
      } else {
        for (const auto& piece : pieces_inside(points, room)) {
          if (piece.size() > 1) part.paths.push_back(Path::polyline(piece));
        }
      }
    }
    if (!part.paths.empty()) out.emplace_back(std::move(part));
  }
  return out;
}

std::vector<Mark> words_settled(std::vector<Mark> marks, const Tiling& tiling) {
  for (Mark& mark : marks) {
    auto* text = std::get_if<TextMark>(&mark);
    if (text == nullptr) continue;
    const Box box = text_box(*text);
    const Tile* home = nullptr;
    bool whole = false;
    for (const Tile& tile : tiling.tiles) {
      whole = whole || tile.window.contains(box);
      if (home == nullptr || tile.window.contains(box.centre())) home = &tile;
    }
    if (whole || home == nullptr) continue;
    const Box& w = home->window;
    constexpr double kIn = 0.5;
    text->at.x +=
        std::max(0.0, w.min.x + kIn - box.min.x) - std::max(0.0, box.max.x + kIn - w.max.x);
    text->at.y +=
        std::max(0.0, w.min.y + kIn - box.min.y) - std::max(0.0, box.max.y + kIn - w.max.y);
  }
  return marks;
}

}  // namespace underdraw
