#include "console.h"

#include <algorithm>
#include <cstdio>

#include <fmt/format.h>
#include <nlohmann/json.hpp>
#include <sys/ioctl.h>
#include <unistd.h>

#include "core/error.h"
#include "core/one_line.h"

namespace underdraw::cli {
namespace {

using std::chrono::steady_clock;

constexpr auto kSilentStart = std::chrono::seconds(1);
constexpr auto kBetweenBars = std::chrono::milliseconds(100);
constexpr int kBarCells = 30;
constexpr std::size_t kLeastColumns = 40;

std::size_t terminal_columns() {
  winsize size{};
  if (::ioctl(STDERR_FILENO, TIOCGWINSZ, &size) != 0 || size.ws_col == 0) return 80;
  return size.ws_col;
}

bool starts_letter(char byte) { return (static_cast<unsigned char>(byte) & 0xC0) != 0x80; }

std::string first_columns(const std::string& text, std::size_t columns) {
  std::size_t seen = 0;
  for (std::size_t i = 0; i < text.size(); ++i) {
    if (starts_letter(text[i]) && seen++ == columns) return text.substr(0, i);
  }
  return text;
}

}  // namespace

std::size_t columns_of(const std::string& text) {
  return static_cast<std::size_t>(std::count_if(text.begin(), text.end(), starts_letter));
}

Console::Console()
    : start_(steady_clock::now()), drawn_(start_), terminal_(::isatty(STDERR_FILENO) == 1) {}

Console::~Console() { clear_bar(); }

void Console::message(const std::string& line) {
  clear_bar();
  std::fputs(("underdraw: " + one_line(line) + "\n").c_str(), stderr);
}

void Console::warnings(const std::vector<std::string>& lines) {
  for (const std::string& line : lines) message(line);
}

Progress Console::progress() {
  return [this](const std::string& step, double share) { draw_bar(step, share); };
}

Notice Console::notice() {
  return [this](const std::string& line) { message(line); };
}

void Console::draw_bar(const std::string& step, double share) {
  if (!terminal_) return;
  const auto now = steady_clock::now();
  if (now - start_ < kSilentStart || now - drawn_ < kBetweenBars) return;
  drawn_ = now;
  bar_shown_ = true;
  share = std::clamp(share, 0.0, 1.0);
  const int filled = static_cast<int>(share * kBarCells);
  const std::string text = fmt::format(
      "{:#<{}}{:.<{}} {:3.0f} %  {}", "", filled, "", kBarCells - filled, share * 100.0, step);
  const std::size_t room = std::max(kLeastColumns, terminal_columns()) - 1;
  // Back to the start of the line, the bar, and nothing of what was longer before.
  std::fputs(fmt::format("\r{}\x1b[K", first_columns(text, room)).c_str(), stderr);
  std::fflush(stderr);
}

void Console::clear_bar() {
  if (!bar_shown_) return;
  bar_shown_ = false;
  std::fputs("\r\x1b[K", stderr);
  std::fflush(stderr);
}

void Console::facts(const std::vector<Fact>& facts) {
  std::size_t widest = 0;
  for (const Fact& fact : facts) widest = std::max(widest, columns_of(fact.label));
  for (const Fact& fact : facts) {
    line(fact.label + std::string(widest - columns_of(fact.label) + 2, ' ') + fact.value);
  }
}

void Console::line(const std::string& text) {
  if (json) return;
  clear_bar();
  std::fputs((one_line(text) + "\n").c_str(), stdout);
}

void Console::object(const nlohmann::ordered_json& result) {
  if (!json) return;
  clear_bar();
  // File names need not be UTF-8; JSON must be.
  const auto bad_bytes = nlohmann::ordered_json::error_handler_t::replace;
  std::fputs((result.dump(2, ' ', false, bad_bytes) + "\n").c_str(), stdout);
}

void Console::finish() const {
  if (std::fflush(stdout) == 0 && std::ferror(stdout) == 0) return;
  throw OutputError({.file = "standard output",
                     .line = {},
                     .found = "could not be written",
                     .expected = {},
                     .remedy = "free some space where it is sent to"});
}

}  // namespace underdraw::cli
