// Places that cannot be written, and names that lead elsewhere.
#include <filesystem>

#include "cli/bad_inputs/harbour.h"

namespace fs = std::filesystem;

namespace underdraw::test {

std::vector<BadInput> bad_folders() {
  const auto out_is_a_file = [](const Harbour& desk) {
    fs::remove_all(desk / "tea-bowl/out");
    desk.write("tea-bowl/out", "mine");
  };
  const auto out_is_a_link = [](const Harbour& desk) {
    fs::rename(desk / "tea-bowl/out", desk / "elsewhere");
    fs::create_directory_symlink("../elsewhere", desk / "tea-bowl/out");
  };
  return {
      {"new over a piece",
       {"new", "tea-bowl"},
       1,
       {"tea-bowl/piece.toml", "exists already", "never overwritten"}},
      {"new over a file", {"new", "notes.txt"}, 1, {"notes.txt"}},
      {"new below a file", {"new", "notes.txt/jar"}, 1, {"notes.txt"}},
      {"new below a device", {"new", "/dev/null/jar"}, 1, {"/dev/null"}},
      {"new with a name of 300 letters", {"new", std::string(300, 'j')}, 1, {"jjj"}},
      {"new with a piece name of two lines", {"new", "jar", "--name", "Blue\njar"}, 1, {"name"}},
      {"new over a link to nowhere",
       {"new", "jar"},
       1,
       {"jar/piece.toml", "exists already"},
       [](const Harbour& desk) {
         fs::create_directory(desk / "jar");
         fs::create_symlink("nowhere", desk / "jar/piece.toml");
       }},
      {"run nowhere", {"run", "nowhere"}, 1, {"nowhere", "no such folder", "underdraw new"}},
      {"run on a file", {"run", "notes.txt"}, 1, {"notes.txt"}},
      {"run in no piece folder", {"run", "."}, 1, {"piece.toml", "not found"}},
      {"run with an empty name", {"run", ""}, 2, {"is empty"}},
      {"run on a folder with a new line in its name",
       {"run", "tea\nbowl"},
       1,
       {"tea bowl", "no such folder"}},
      {"run on a name of 5000 letters", {"run", std::string(5000, 'k')}, 1, {"kkk"}},
      {"out/ that is a file", {"run", "tea-bowl"}, 1, {"tea-bowl/out", "is a file"}, out_is_a_file},
      {"out/ that is a link", {"run", "tea-bowl"}, 1, {"tea-bowl/out", "is a link"}, out_is_a_link},
      {"out/ that is a file, traced",
       {"trace", "tea-bowl"},
       1,
       {"tea-bowl/out", "is a file"},
       out_is_a_file},
      {"out/ that is a link, varied",
       {"vary", "tea-bowl"},
       1,
       {"tea-bowl/out", "is a link"},
       out_is_a_link},
      {"out/ that is a file, placed",
       {"place", "tea-bowl"},
       1,
       {"tea-bowl/out", "is a file"},
       out_is_a_file},
      {"out/ that is a link, laid on sheets",
       {"sheet", "tea-bowl"},
       1,
       {"tea-bowl/out", "is a link"},
       out_is_a_link},
      {"piece.toml that is a folder",
       {"run", "tea-bowl"},
       1,
       {"tea-bowl/piece.toml", "is not a file"},
       [](const Harbour& desk) {
         fs::remove(desk.toml());
         fs::create_directory(desk.toml());
       }},
      {"piece.toml that is a link to nowhere",
       {"place", "tea-bowl"},
       1,
       {"tea-bowl/piece.toml", "not found"},
       [](const Harbour& desk) {
         fs::remove(desk.toml());
         fs::create_symlink("nowhere.toml", desk.toml());
       }},
      {"piece.toml that is a device",
       {"place", "tea-bowl"},
       1,
       {"tea-bowl/piece.toml", "is not a file"},
       [](const Harbour& desk) {
         fs::remove(desk.toml());
         fs::create_symlink("/dev/zero", desk.toml());
       }},
      {"placed nowhere", {"place", "nowhere"}, 1, {"nowhere", "no such folder"}},
      {"sheets of nowhere", {"sheet", "nowhere", "-o", "a.pdf"}, 1, {"nowhere", "not found"}},
  };
}

}  // namespace underdraw::test
