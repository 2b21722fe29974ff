#include "io/svg_path_data.h"

#include <algorithm>
#include <charconv>
#include <string>

#include "core/error.h"

namespace underdraw {
namespace {

constexpr std::size_t kMostPoints = 1'000'000;

InputError refusal(std::string found, std::string expected) {
  return InputError({.file = {},
                     .line = {},
                     .found = std::move(found),
                     .expected = std::move(expected),
                     .remedy = {}});
}

std::string excerpt(std::string_view text) {
  return text.size() <= 20 ? std::string(text) : std::string(text.substr(0, 20)) + "…";
}

class Scanner {
 public:
  explicit Scanner(std::string_view text) : text_(text) {}

  void skip_separators() {
    while (!rest().empty() && std::string_view(" \t\r\n\f,").find(rest().front()) != kNone) ++at_;
  }
  bool at_end() {
    skip_separators();
    return rest().empty();
  }
  char peek() const { return rest().empty() ? '\0' : rest().front(); }
  char take() { return text_[at_++]; }
  std::string_view rest() const { return text_.substr(at_); }

  double number() {
    skip_separators();
    std::size_t skip = peek() == '+' ? 1 : 0;
    const char* first = text_.data() + at_ + skip;
    const char* last = text_.data() + text_.size();
    // from_chars also reads "inf" and "nan", which SVG does not know.
    const char* digit = first < last && *first == '-' && skip == 0 ? first + 1 : first;
    if (digit >= last || !((*digit >= '0' && *digit <= '9') || *digit == '.')) {
      throw refusal("'" + excerpt(rest()) + "' stands where a number should be", "a number");
    }
    double value = 0.0;
    const auto [end, problem] = std::from_chars(first, last, value);
    if (problem != std::errc{} || !std::isfinite(value)) {
      throw refusal("'" + excerpt(rest()) + "' is not a usable number", "a finite number");
    }
    at_ = static_cast<std::size_t>(end - text_.data());
    return value;
  }
  Vec2 point() {
    const double x = number();
    return {x, number()};
  }
  bool flag() {  // may stand without a separator: "a1 1 0 0110 10"
    skip_separators();
    const char c = peek();
    if (c != '0' && c != '1') {
      throw refusal("'" + excerpt(rest()) + "' stands where an arc flag should be", "0 or 1");
    }
    ++at_;
    return c == '1';
  }
  bool number_follows() {
    skip_separators();
    const char c = peek();
    return (c >= '0' && c <= '9') || c == '-' || c == '+' || c == '.';
  }

 private:
  static constexpr std::size_t kNone = std::string_view::npos;
  std::string_view text_;
  std::size_t at_ = 0;
};

Cubic line_piece(Vec2 from, Vec2 to) {
  return {from, mix(from, to, 1.0 / 3.0), mix(from, to, 2.0 / 3.0), to};
}

// Part of an ellipse with semi-axes along x and y of its own frame, from angle `from` over `sweep`.
void append_arc(Path& path, const Affine& user_from_circle, double from, double sweep) {
  const int count = std::max(1, static_cast<int>(std::ceil(std::abs(sweep) / 1.5708 - 1e-6)));
  const double step = sweep / count;
  const double k = 4.0 / 3.0 * std::tan(step / 4.0);
  for (int i = 0; i < count; ++i) {
    const double a = from + i * step;
    const double b = a + step;
    const Vec2 pa{std::cos(a), std::sin(a)};
    const Vec2 pb{std::cos(b), std::sin(b)};
    path.append({user_from_circle * pa,
                 user_from_circle * (pa + k * perpendicular(pa)),
                 user_from_circle * (pb - k * perpendicular(pb)),
                 user_from_circle * pb});
  }
}

struct ArcShape {
  double rx, ry, turn_deg;
  bool large, sweep;
};

// SVG 1.1 F.6.5 and F.6.6: end points to centre.
void append_arc_to(Path& path, const ArcShape& shape, Vec2 to) {
  const Vec2 from = path.points.back();
  double rx = std::abs(shape.rx);
  double ry = std::abs(shape.ry);
  if (from == to) return;
  if (rx == 0.0 || ry == 0.0) {
    path.append(line_piece(from, to));
    return;
  }
  const Affine turn = Affine::turn_deg(shape.turn_deg);
  const Vec2 half = turn.inverse() * ((from - to) / 2.0);
  const double reach = (half.x / rx) * (half.x / rx) + (half.y / ry) * (half.y / ry);
  if (reach > 1.0) {
    rx *= std::sqrt(reach);
    ry *= std::sqrt(reach);
  }
  const double a = rx * half.y;
  const double b = ry * half.x;
  const double under = (rx * rx * ry * ry) / (a * a + b * b) - 1.0;
  const double root = (shape.large == shape.sweep ? -1.0 : 1.0) * std::sqrt(std::max(0.0, under));
  const Vec2 c{root * rx * half.y / ry, -root * ry * half.x / rx};
  const Vec2 centre = turn * c + (from + to) / 2.0;
  const double start = std::atan2((half.y - c.y) / ry, (half.x - c.x) / rx);
  double sweep = std::atan2((-half.y - c.y) / ry, (-half.x - c.x) / rx) - start;
  if (shape.sweep && sweep < 0.0) sweep += 2.0 * std::numbers::pi;
  if (!shape.sweep && sweep > 0.0) sweep -= 2.0 * std::numbers::pi;
  append_arc(path, Affine::translate(centre) * turn * Affine{rx, 0, 0, 0, ry, 0}, start, sweep);
  path.points.back() = to;  // exact, so that closed rings close
}

class PathReader {
 public:
  explicit PathReader(std::string_view text) : in_(text) {}

  std::vector<Path> read() {
    char command = '\0';
    while (!in_.at_end()) {
      if (in_.number_follows() && command != '\0' && command != 'Z' && command != 'z') {
        // Numbers after a moveto are linetos.
        if (command == 'M') command = 'L';
        if (command == 'm') command = 'l';
      } else {
        command = in_.take();
      }
      if (!started_ && command != 'M' && command != 'm') {
        throw refusal("path data begins with '" + std::string(1, command) + "'", "M or m");
      }
      run(command);
      points_ += path_.points.size() - std::min(path_.points.size(), counted_);
      counted_ = path_.points.size();
      if (points_ + paths_.size() > kMostPoints) {
        throw refusal("path data has more than 1,000,000 points", "a motif as a hand draws it");
      }
    }
    finish();
    return std::move(paths_);
  }

 private:
  void finish() {
    if (path_.points.size() > 1 || path_.closed) paths_.push_back(std::move(path_));
    path_ = {};
  }

  void begin(Vec2 at) {
    finish();
    path_.points = {at};
    first_ = now_ = at;
    started_ = true;
  }

  // Drawing goes on after Z without a moveto: from the first point again.
  void ensure_open() {
    if (path_.points.empty()) path_.points = {now_};
  }

  void line_to(Vec2 to) {
    ensure_open();
    path_.append(line_piece(now_, to));
    now_ = to;
  }

  void cubic_to(Vec2 c1, Vec2 c2, Vec2 to) {
    ensure_open();
    path_.append({now_, c1, c2, to});
    now_ = to;
  }

  void quadratic_to(Vec2 c, Vec2 to) {
    cubic_to(now_ + (c - now_) * (2.0 / 3.0), to + (c - to) * (2.0 / 3.0), to);
  }

  void run(char command) {
    const bool relative = command >= 'a';
    const Vec2 base = relative ? now_ : Vec2{};
    const char kind = relative ? static_cast<char>(command - 'a' + 'A') : command;
    Vec2 control = now_;  // reflected by S and T only after their own kind
    char control_kind = '\0';
    switch (kind) {
      case 'M':
        begin(base + in_.point());
        break;
      case 'Z':
        ensure_open();
        if (distance(now_, first_) > 1e-9) {
          line_to(first_);
        } else {
          path_.points.back() = first_;
        }
        path_.closed = true;
        now_ = first_;
        finish();
        break;
      case 'L':
        line_to(base + in_.point());
        break;
      case 'H':
        line_to({base.x + in_.number(), now_.y});
        break;
      case 'V':
        line_to({now_.x, base.y + in_.number()});
        break;
      case 'C':
      case 'S': {
        Vec2 c1 = control_kind_ == 'C' ? 2.0 * now_ - control_ : now_;
        if (kind == 'C') c1 = base + in_.point();
        control = base + in_.point();
        control_kind = 'C';
        cubic_to(c1, control, base + in_.point());
        break;
      }
      case 'Q':
      case 'T':
        control = control_kind_ == 'Q' ? 2.0 * now_ - control_ : now_;
        if (kind == 'Q') control = base + in_.point();
        control_kind = 'Q';
        quadratic_to(control, base + in_.point());
        break;
      case 'A': {
        ArcShape shape{in_.number(), in_.number(), in_.number(), in_.flag(), in_.flag()};
        ensure_open();
        const Vec2 to = base + in_.point();
        append_arc_to(path_, shape, to);
        now_ = to;
        break;
      }
      default:
        throw refusal("path data has '" + std::string(1, command) + "'",
                      "one of M L H V C S Q T A Z");
    }
    control_ = control;
    control_kind_ = control_kind;
  }

  Scanner in_;
  std::vector<Path> paths_;
  Path path_;
  Vec2 first_, now_, control_;
  char control_kind_ = '\0';
  bool started_ = false;
  std::size_t points_ = 0;   // of all paths so far
  std::size_t counted_ = 0;  // of the path at work
};

}  // namespace

std::vector<double> svg_numbers(std::string_view text) {
  Scanner in(text);
  std::vector<double> out;
  while (!in.at_end()) out.push_back(in.number());
  return out;
}

double svg_length(std::string_view text) {
  Scanner in(text);
  const double value = in.number();
  std::string_view unit = in.rest();
  while (!unit.empty() && unit.back() == ' ') unit.remove_suffix(1);
  if (unit.empty() || unit == "px") return value;
  if (unit == "mm") return value * 96.0 / 25.4;
  if (unit == "cm") return value * 96.0 / 2.54;
  if (unit == "in") return value * 96.0;
  if (unit == "pt") return value * 96.0 / 72.0;
  if (unit == "pc") return value * 16.0;
  throw refusal("length '" + excerpt(text) + "'", "mm, cm, in, px, pt or pc");
}

std::vector<Path> svg_path_data(std::string_view text) { return PathReader(text).read(); }

Affine svg_transform(std::string_view text) {
  Affine out;
  for (Scanner in(text); !in.at_end();) {
    const std::string_view rest = in.rest();
    const std::size_t open = rest.find('(');
    const std::size_t close = rest.find(')');
    if (open == std::string_view::npos || close == std::string_view::npos || close < open) {
      throw refusal("transform '" + excerpt(rest) + "'", "for example translate(10 20)");
    }
    std::string_view name = rest.substr(0, open);
    while (!name.empty() && name.back() == ' ') name.remove_suffix(1);
    const std::vector<double> n = svg_numbers(rest.substr(open + 1, close - open - 1));
    for (std::size_t i = 0; i <= close; ++i) in.take();
    if (name == "matrix" && n.size() == 6) {
      out = out * Affine{n[0], n[2], n[4], n[1], n[3], n[5]};
    } else if (name == "translate" && (n.size() == 1 || n.size() == 2)) {
      out = out * Affine::translate({n[0], n.size() == 2 ? n[1] : 0.0});
    } else if (name == "scale" && (n.size() == 1 || n.size() == 2)) {
      out = out * Affine{n[0], 0, 0, 0, n.back(), 0};
    } else if (name == "rotate" && n.size() == 1) {
      out = out * Affine::turn_deg(n[0]);
    } else if (name == "rotate" && n.size() == 3) {
      const Vec2 about{n[1], n[2]};
      out = out * Affine::translate(about) * Affine::turn_deg(n[0]) * Affine::translate(-about);
    } else if (name == "skewX" && n.size() == 1) {
      out = out * Affine{1, std::tan(radians(n[0])), 0, 0, 1, 0};
    } else if (name == "skewY" && n.size() == 1) {
      out = out * Affine{1, 0, 0, std::tan(radians(n[0])), 1, 0};
    } else {
      throw refusal("transform '" + excerpt(rest) + "'",
                    "matrix, translate, scale, rotate, skewX or skewY with its numbers");
    }
  }
  return out;
}

Path ellipse_path(Vec2 centre, double rx, double ry) {
  Path path;
  append_arc(path, {rx, 0, centre.x, 0, ry, centre.y}, 0.0, 2.0 * std::numbers::pi);
  path.points.back() = path.points.front();
  path.closed = true;
  return path;
}

}  // namespace underdraw
