#include "scan/random_layouts.h"

#include <cmath>
#include <random>

#include <fmt/format.h>

#include "sketches.h"
#include "support/hershey.h"

namespace underdraw::test {
namespace {

constexpr double kPenMm = 0.45;
const char* const kWords[] = {"thistle",
                              "kelp",
                              "scallop",
                              "sea pink",
                              "tern feather",
                              "knotted rope",
                              "mussel",
                              "limpet",
                              "wave",
                              "gull's egg",
                              "oar",
                              "anchor no. 2",
                              "bladder wrack",
                              "star",
                              "small jar",
                              "lid"};

// The library's own distributions differ between systems.
class Dice {
 public:
  explicit Dice(unsigned seed) : engine_(seed) {}
  double between(double low, double high) {
    return low + (high - low) * (static_cast<double>(engine_()) / 4294967296.0);
  }
  int whole(int low, int high) {
    return std::min(high, static_cast<int>(std::floor(between(low, high + 1))));
  }
  bool chance(double share) { return between(0.0, 1.0) < share; }

 private:
  std::mt19937 engine_;
};

// Through the points, smoothly: Catmull-Rom as cubics.
Path smooth(const std::vector<Vec2>& through, bool closed = false) {
  Path path;
  path.closed = closed;
  const auto n = static_cast<std::ptrdiff_t>(through.size());
  const auto at = [&](std::ptrdiff_t i) {
    if (closed) return through[static_cast<std::size_t>((i % n + n) % n)];
    return through[static_cast<std::size_t>(std::clamp<std::ptrdiff_t>(i, 0, n - 1))];
  };
  path.points.push_back(through.front());
  for (std::ptrdiff_t i = 0; i + (closed ? 0 : 1) < n; ++i) {
    path.append({at(i),
                 at(i) + (at(i + 1) - at(i - 1)) / 6.0,
                 at(i + 1) - (at(i + 2) - at(i)) / 6.0,
                 at(i + 1)});
  }
  return path;
}

Stroke pen(const Path& path) { return {path, kPenMm}; }

Path ellipse(Vec2 middle, double across, double down, double turn_deg = 0.0) {
  std::vector<Vec2> ring;
  const Affine turn = Affine::turn_deg(turn_deg);
  for (int i = 0; i < 12; ++i) {
    const double a = radians(30.0 * i);
    ring.push_back(middle + turn * Vec2{across / 2 * std::cos(a), down / 2 * std::sin(a)});
  }
  return smooth(ring, true);
}

Linework at_origin(const Linework& lines) { return moved(lines, -lines.ink_box().min); }

Linework one_line(const std::vector<Stroke>& strokes) {
  Linework lines;
  lines.strokes = strokes;
  return lines;
}

// The loose part moved away along `direction` until that much white lies between the two.
Linework set_apart(const Linework& body, const Linework& loose, Vec2 direction, double white_mm) {
  std::vector<Vec2> there;
  for (const Stroke& s : body.strokes) {
    for (const Vec2 p : sample(s.path, 0.4)) there.push_back(p);
  }
  std::vector<Vec2> here;
  for (const Stroke& s : loose.strokes) {
    for (const Vec2 p : sample(s.path, 0.4)) here.push_back(p);
  }
  const auto white = [&](double t) {
    double least = 1e9;
    for (const Vec2 a : there) {
      for (const Vec2 b : here) least = std::min(least, distance(a, b + direction * t));
    }
    return least - kPenMm;
  };
  // From far outside inward, until as near as wished.
  double t = 150.0;
  for (double step = white(t) - white_mm; step > 0.02; step = white(t) - white_mm) t -= step;
  return moved(loose, direction * t);
}

const std::vector<Linework>& font(const std::string& name) {
  static const std::vector<Linework> kBlock =
      read_hershey("/usr/share/hershey-fonts/futural.jhf", 1.0, kPenMm);
  static const std::vector<Linework> kScript =
      read_hershey("/usr/share/hershey-fonts/scripts.jhf", 1.0, kPenMm);
  return name == "script" ? kScript : kBlock;
}

// A word in one go of the pen: arches and loops as a hurried hand writes them.
Linework run_word(const std::string& word, double capital_mm, Dice& dice) {
  const double low = 0.55 * capital_mm;
  std::vector<Vec2> through = {{0.0, 0.0}};
  double x = 0.0;
  for (const char c : word) {
    const double wide = capital_mm * dice.between(0.4, 0.6);
    const auto to = [&](double across, double up) {
      through.push_back({x + across * wide, -up * dice.between(0.92, 1.08)});
    };
    if (std::string("bdfhklt").find(c) != std::string::npos) {
      to(0.35, 0.6 * capital_mm), to(0.55, capital_mm), to(0.3, 0.9 * capital_mm), to(0.35, 0.0);
      to(0.7, low), to(0.95, 0.0);
    } else if (std::string("gjpqy").find(c) != std::string::npos) {
      to(0.3, low), to(0.1, 0.3 * low), to(0.6, 0.2 * low), to(0.7, low);
      to(0.6, -0.5 * capital_mm), to(0.3, -0.4 * capital_mm), to(0.9, 0.1 * low);
    } else if (std::string("aocesx").find(c) != std::string::npos) {
      to(0.75, 0.9 * low), to(0.4, low), to(0.2, 0.4 * low), to(0.5, 0.0), to(0.95, 0.3 * low);
    } else {
      to(0.2, low), to(0.3, 0.0), to(0.6, low), to(0.75, 0.1 * low), to(1.0, 0.1 * low);
    }
    x += wide;
  }
  return one_line({pen(smooth(through))});
}

Linework some_sketch(Dice& dice, double height_mm, std::string& name) {
  static const std::vector<harbour::NamedSketch> kSketches = harbour::all_sketches();
  const int which = dice.whole(0, 9);
  if (which >= 6) {
    name = "flower";
    return draw_flower(height_mm, static_cast<unsigned>(dice.whole(0, 1000000)));
  }
  const harbour::NamedSketch& sketch = kSketches[static_cast<std::size_t>(which)];
  name = sketch.name;
  Linework lines =
      transformed(sketch.lines, Affine::scale(height_mm / sketch.lines.ink_box().height()));
  for (Stroke& stroke : lines.strokes) stroke.width_mm = kPenMm;
  if (dice.chance(0.3)) lines = transformed(lines, Affine::turn_deg(dice.between(-60.0, 60.0)));
  return at_origin(lines);
}

Linework some_loose_part(Dice& dice, double height_mm, double width_mm, std::string& name) {
  switch (dice.whole(0, 4)) {
    case 0:
      name = "leaf";
      return draw_leaf(height_mm * dice.between(0.15, 0.3), dice.between(0.0, 360.0));
    case 1: {
      name = "dots";
      Linework dots;
      const int count = dice.whole(3, 9);
      for (int i = 0; i < count; ++i) {
        Path dot;
        dot.points = {{dice.between(0.0, 0.15 * height_mm), dice.between(0.0, 0.15 * height_mm)}};
        dots.strokes.push_back({dot, dice.between(0.6, 1.0)});
      }
      return dots;
    }
    case 2:
      name = "petals";
      return draw_border(Border::leaves, dice.between(5.0, 12.0), dice.between(2.0, 3.5), 1);
    default: {
      name = "border";
      return draw_border(static_cast<Border>(dice.whole(0, 6)),
                         width_mm * dice.between(0.5, 0.95),
                         std::min(dice.between(1.5, 5.0), 0.15 * height_mm + 1.0),
                         static_cast<unsigned>(dice.whole(0, 1000000)));
    }
  }
}

}  // namespace

Linework moved(const Linework& lines, Vec2 by) { return transformed(lines, Affine::translate(by)); }

Box LaidOutSketch::box() const {
  Box all;
  for (const Linework& part : parts) all.add(part.ink_box());
  return all;
}

Linework Layout::lines() const {
  Linework all;
  for (const LaidOutSketch& sketch : sketches) {
    for (const Linework& part : sketch.parts) all.append(part);
    all.append(sketch.caption);
  }
  return all;
}

Linework write_words(const std::string& text, Hand hand, double capital_mm, unsigned seed) {
  Dice dice(seed);
  Linework line;
  double x = 0.0;
  if (hand == Hand::running) {
    std::size_t from = 0;
    while (from < text.size()) {
      const std::size_t space = std::min(text.find(' ', from), text.size());
      const Linework word = run_word(text.substr(from, space - from), capital_mm, dice);
      line.append(moved(word, {x, 0.0}));
      x = line.ink_box().max.x + 0.5 * capital_mm;
      from = space + 1;
    }
    return line;
  }
  const double mm_per_unit = capital_mm / 21.0;
  const bool joined = hand == Hand::script;
  const double loose = capital_mm * dice.between(0.12, 0.25);  // between letters
  for (char c : text) {
    if (hand == Hand::capitals) c = static_cast<char>(std::toupper(static_cast<unsigned char>(c)));
    if (c == ' ') {
      x += capital_mm * dice.between(0.4, 0.6);
      continue;
    }
    // Nobody writes twice alike.
    const Affine hand_moves = Affine::translate({0.0, dice.between(-0.04, 0.04) * capital_mm}) *
                              Affine::turn_deg(joined ? 0.0 : dice.between(-3.0, 3.0)) *
                              Affine::scale(mm_per_unit * dice.between(0.94, 1.06)) *
                              Affine::translate({0.0, -9.0});
    const std::vector<Linework>& glyphs = font(joined ? "script" : "block");
    Linework glyph = transformed(glyphs.at(static_cast<std::size_t>(c - 33)), hand_moves);
    for (Stroke& stroke : glyph.strokes) stroke.width_mm = kPenMm;
    const Box box = glyph.ink_box();
    line.append(moved(glyph, {x - box.min.x, 0.0}));
    x += box.width() + (joined ? -0.8 * kPenMm : loose);
  }
  return line;
}

Linework draw_leaf(double length_mm, double turn_deg) {
  const double half = length_mm / 2.0;
  const double wide = 0.22 * length_mm;
  Linework leaf = one_line({pen(smooth({{-half, 0}, {-0.3 * half, wide}, {half, 0}})),
                            pen(smooth({{half, 0}, {-0.3 * half, -wide}, {-half, 0}})),
                            pen(smooth({{-half, 0}, {0, 0.1 * wide}, {0.8 * half, 0}}))});
  return transformed(leaf, Affine::turn_deg(turn_deg));
}

Linework draw_border(Border kind, double length_mm, double height_mm, unsigned seed) {
  Dice dice(seed);
  const double h = height_mm;
  const double pitch = h * (kind == Border::dots     ? 1.8
                            : kind == Border::waves  ? 2.0
                            : kind == Border::leaves ? 1.7
                            : kind == Border::rings  ? 1.2
                            : kind == Border::rope   ? 0.6
                            : kind == Border::tufts  ? 1.5
                                                     : 1.6);
  Linework border;
  std::vector<Vec2> line;
  const int count = std::max(3, static_cast<int>(length_mm / pitch));
  for (int i = 0; i < count; ++i) {
    const double x = i * pitch + dice.between(-0.1, 0.1) * h;
    const double k = h * dice.between(0.85, 1.15);
    switch (kind) {
      case Border::dots: {
        Path dot;
        dot.points = {{x, 0.0}};
        border.strokes.push_back({dot, std::min(0.6 * k, 1.4)});
        break;
      }
      case Border::scallops:
        border.strokes.push_back(pen(smooth(
            {{x, 0}, {x + 0.2 * pitch, -0.8 * k}, {x + 0.8 * pitch, -0.8 * k}, {x + pitch, 0}})));
        break;
      case Border::waves:
        line.push_back({x, 0.0});
        line.push_back({x + pitch / 2, -k});
        break;
      case Border::leaves:
        border.append(
            moved(draw_leaf(1.3 * k * dice.between(0.8, 1.2), -35.0 + dice.between(-20.0, 20.0)),
                  {x, 0.0}));
        break;
      case Border::rings:
        border.strokes.push_back(pen(ellipse({x, 0.0}, k, k)));
        break;
      case Border::tufts:
        for (int blade = -1; blade <= 1; ++blade) {
          border.strokes.push_back(pen(smooth(
              {{x, 0.0}, {x + 0.15 * blade * k, -0.5 * k}, {x + 0.45 * blade * k, -0.9 * k}})));
        }
        break;
      case Border::rope:
        border.strokes.push_back(
            pen(smooth({{x, h / 2}, {x + 0.3 * pitch, 0.1 * h}, {x + pitch, -h / 2}})));
        break;
    }
  }
  if (kind == Border::waves) border.strokes.push_back(pen(smooth(line)));
  if (kind == Border::rope) {
    const double end = count * pitch;
    border.strokes.push_back(pen(Path::polyline({{0, h / 2}, {end, h / 2}})));
    border.strokes.push_back(pen(Path::polyline({{0, -h / 2}, {end, -h / 2}})));
  }
  return border;
}

Linework draw_flower(double height_mm, unsigned seed) {
  Dice dice(seed);
  const double h = height_mm;
  const double r = h * dice.between(0.16, 0.24);
  const Vec2 head{0.0, 0.0};
  Linework flower;
  const int petals = dice.whole(5, 8);
  for (int i = 0; i < petals; ++i) {
    const double a = 360.0 * i / petals + dice.between(-4.0, 4.0);
    const Vec2 out{std::cos(radians(a)), std::sin(radians(a))};
    flower.strokes.push_back(pen(ellipse(head + out * (0.62 * r), 0.85 * r, 0.5 * r, a)));
  }
  flower.strokes.push_back(pen(ellipse(head, 0.5 * r, 0.5 * r)));
  const double bend = dice.between(-0.12, 0.12) * h;
  const std::vector<Vec2> stem = {{0.0, 0.9 * r}, {bend, 0.45 * h}, {0.3 * bend, h - r}};
  flower.strokes.push_back(pen(smooth(stem)));
  for (const double side : {-1.0, 1.0}) {
    const double length = h * dice.between(0.25, 0.35);
    const Linework leaf = draw_leaf(length, side > 0 ? -35.0 : 215.0);
    const Vec2 foot = mix(stem[1], stem[2], dice.between(0.1, 0.8));
    flower.append(moved(leaf, foot + Vec2{side * 0.41 * length, -0.287 * length}));
  }
  return at_origin(flower);
}

Layout random_layout(unsigned seed) {
  Dice dice(seed);
  Layout layout;
  layout.pencil = {.seed = seed, .dpi = 150.0};
  layout.pencil.grain = dice.between(0.4, 0.8);
  layout.pencil.specks = dice.chance(0.2) ? 3000 : 60;
  layout.pencil.skew_deg = dice.chance(0.4) ? dice.between(-4.0, 4.0) : 0.0;
  const double gap = dice.chance(0.5) ? 6.0 : dice.between(6.0, 16.0);
  const double tallest = dice.between(15.0, 60.0);
  const bool alike = dice.chance(0.6);
  const bool captions = dice.chance(0.6);
  const double loose_share = dice.chance(0.5) ? 0.0 : 0.5;
  const Hand hand = static_cast<Hand>(dice.whole(0, 3));
  const double capital_mm = dice.between(2.0, 4.5);
  const double caption_gap = dice.between(1.5, 4.5);
  const bool beside = captions && dice.chance(0.15);
  // Turned about the page's middle, the corners go elsewhere.
  const Box room{{16.0, 18.0}, {194.0, 279.0}};
  layout.what = fmt::format("seed {}: gap {:.1f}, up to {:.0f} mm tall, skew {:.1f}, hand {}{}",
                            seed,
                            gap,
                            tallest,
                            layout.pencil.skew_deg,
                            captions ? static_cast<int>(hand) : -1,
                            beside ? " beside" : "");
  const int most = dice.whole(1, 16);
  double y = room.min.y;
  while (static_cast<int>(layout.sketches.size()) < most) {
    std::vector<LaidOutSketch> row;
    std::vector<Box> boxes;
    double x = room.min.x;
    double lowest = y;
    while (static_cast<int>(layout.sketches.size() + row.size()) < most) {
      const double height = alike ? tallest * dice.between(0.9, 1.0)
                                  : std::max(15.0, tallest * dice.between(0.4, 1.0));
      std::string name;
      std::string loose_name = "-";
      LaidOutSketch sketch;
      sketch.parts.push_back(some_sketch(dice, height, name));
      const Box body = sketch.parts[0].ink_box();
      double white = 0.0;
      // A part leaves its drawing no farther than leaves it nearer to it than to others.
      if (height >= 25.0 && dice.chance(loose_share)) {
        Linework part = some_loose_part(dice, height, body.width(), loose_name);
        part = moved(part, body.centre() - part.ink_box().centre());
        const bool under = loose_name == "border";
        const double a = under ? radians(90.0) : radians(dice.between(-180.0, 0.0));
        white =
            std::min(dice.between(under ? 2.0 : 3.0, under ? 4.0 : 8.0), std::max(4.2, 0.7 * gap));
        sketch.parts.push_back(set_apart(sketch.parts[0], part, {std::cos(a), std::sin(a)}, white));
      }
      const Box whole = sketch.box();
      if (captions) {
        const std::string word = kWords[dice.whole(0, 15)];
        Linework text =
            write_words(word, hand, capital_mm, static_cast<unsigned>(dice.whole(0, 1000000)));
        const Box wide = text.ink_box();
        const Vec2 to = beside ? Vec2{whole.max.x + caption_gap - wide.min.x, whole.centre().y}
                               : Vec2{whole.centre().x - wide.centre().x,
                                      whole.max.y + caption_gap - wide.min.y};
        sketch.caption = moved(text, to);
      }
      Box all = whole;
      all.add(sketch.caption.ink_box());
      const double up = dice.between(0.0, 5.0);
      const Vec2 by = Vec2{x, y + up} - all.min;
      if (x + all.width() > room.max.x || y + up + all.height() > room.max.y) break;
      for (Linework& part : sketch.parts) part = moved(part, by);
      sketch.caption = moved(sketch.caption, by);
      layout.what += fmt::format("; {} {:.0f} + {} {:.1f}", name, height, loose_name, white);
      x += all.width() + std::max(gap, 1.4 * white);
      lowest = std::max(lowest, y + up + all.height());
      row.push_back(std::move(sketch));
    }
    if (row.empty()) break;
    for (LaidOutSketch& sketch : row) layout.sketches.push_back(std::move(sketch));
    y = lowest + std::max({gap, 1.4 * caption_gap, 8.0 * 1.4 * loose_share});
  }
  if (layout.sketches.empty()) return random_layout(seed + 100000);
  return layout;
}

}  // namespace underdraw::test
