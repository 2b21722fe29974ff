// What a command shows: results on stdout, messages and progress on stderr.
#pragma once

#include <chrono>
#include <cstddef>
#include <string>
#include <vector>

#include <nlohmann/json_fwd.hpp>

#include "core/progress.h"
#include "io/out_folder.h"

namespace underdraw::cli {

// One line of a summary: "placements   18 on wall".
struct Fact {
  std::string label;
  std::string value;
};

class Console {
 public:
  Console();
  ~Console();
  Console(const Console&) = delete;
  Console& operator=(const Console&) = delete;

  bool json = false;  // set by --json: results are one object, nothing else goes to stdout

  // One line on stderr.
  void message(const std::string& line);
  void warnings(const std::vector<std::string>& lines);

  // For the library: a bar on a terminal once the work has taken a second.
  Progress progress();
  Notice notice();

  // Labels and values in two aligned columns; nothing with --json.
  void facts(const std::vector<Fact>& facts);
  void line(const std::string& text);  // nothing with --json
  void object(const nlohmann::ordered_json& result);

  // Throws OutputError when stdout did not take everything (a full disk behind a redirection).
  void finish() const;

 private:
  void draw_bar(const std::string& step, double share);
  void clear_bar();

  std::chrono::steady_clock::time_point start_;
  std::chrono::steady_clock::time_point drawn_;
  bool terminal_ = false;
  bool bar_shown_ = false;
};

// Width on screen of UTF-8 text whose letters take one column each.
std::size_t columns_of(const std::string& text);

}  // namespace underdraw::cli
