// Measured figures put into a page of the docs between its marks.
#pragma once

#include <filesystem>
#include <string>

namespace underdraw::test {

// Replaces what stands between "<!-- figures begin: HOW -->" and "<!-- figures end -->" behind it;
// a file without these marks becomes the tables alone. Throws std::runtime_error.
void put_figures(const std::filesystem::path& file,
                 const std::string& how,
                 const std::string& tables);

}  // namespace underdraw::test
