#include "accuracy/figures_in_file.h"

#include <fstream>
#include <iterator>
#include <stdexcept>

namespace underdraw::test {

void put_figures(const std::filesystem::path& file,
                 const std::string& how,
                 const std::string& tables) {
  const std::string begin = "<!-- figures begin: " + how + " -->\n";
  std::ifstream in(file, std::ios::binary);
  const std::string old{std::istreambuf_iterator<char>(in), {}};
  const std::size_t from = old.find(begin);
  const std::size_t to = old.find("<!-- figures end -->\n", from);
  std::ofstream out(file, std::ios::binary);
  if (from == std::string::npos || to == std::string::npos) {
    out << tables;
  } else {
    out << old.substr(0, from) << begin << '\n' << tables << '\n' << old.substr(to);
  }
  if (!out.flush()) throw std::runtime_error("cannot write " + file.string());
}

}  // namespace underdraw::test
