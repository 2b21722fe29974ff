// SVG files, sheets, proofs, printers and mats.
#include <filesystem>

#include "cli/bad_inputs/harbour.h"

namespace fs = std::filesystem;

namespace underdraw::test {
namespace {

std::string svg(const std::string& inside,
                const std::string& size = "width=\"50mm\" height=\"40mm\"") {
  return "<svg xmlns=\"http://www.w3.org/2000/svg\" " + size + " viewBox=\"0 0 50 40\">" + inside +
         "</svg>";
}

const std::string kLine = "<path d=\"M1 1L9 9\" stroke=\"black\" fill=\"none\"/>";

BadInput varied(const std::string& wrong, const std::string& text, std::vector<std::string> says) {
  says.insert(says.begin(), "rope.svg");
  return {
      wrong, {"vary", "rope.svg", "-o", "varied"}, 1, std::move(says), [text](const Harbour& desk) {
        desk.write("rope.svg", text);
      }};
}

std::string repeated(const std::string& text, int times) {
  std::string out;
  for (int i = 0; i < times; ++i) out += text;
  return out;
}

std::string deep_groups(int depth) {
  std::string text;
  for (int i = 0; i < depth; ++i) text += "<g>";
  text += kLine;
  for (int i = 0; i < depth; ++i) text += "</g>";
  return svg(text);
}

Spoil settings(const std::string& text) {
  return [text](const Harbour& desk) { desk.write("settings/underdraw/printers.toml", text); };
}

}  // namespace

std::vector<BadInput> bad_motifs() {
  const std::vector<std::string> printer = {"printer"};
  const std::vector<std::string> proof = {"proof", "sheets.pdf"};
  return {
      {"motif that is not there",
       {"vary", "nowhere.svg", "-o", "varied"},
       1,
       {"nowhere.svg", "not found"}},
      {"motif that is a text",
       {"vary", "notes.txt", "-o", "varied"},
       1,
       {"notes.txt", "plain SVG"}},
      {"motif that is a picture", {"vary", "page.png", "-o", "varied"}, 1, {"page.png"}},
      {"motif that is a device",
       {"vary", "/dev/zero", "-o", "varied"},
       1,
       {"/dev/zero", "is not a file"}},
      {"the same motif twice", {"vary", "hook.svg", "hook.svg", "-o", "varied"}, 1, {"hook"}},
      {"motifs over themselves",
       {"vary", "hook.svg", "-o", "."},
       1,
       {"hook.svg", "exists already", "--overwrite"}},
      {"copies into a file", {"vary", "hook.svg", "-o", "notes.txt"}, 1, {"notes.txt"}},
      varied("empty SVG", "", {"is empty"}),
      varied("SVG cut short", svg(kLine).substr(0, 120), {"not readable as XML"}),
      varied("another XML", "<html><body/></html>", {"<html>"}),
      varied("SVG without a size",
             "<svg xmlns=\"http://www.w3.org/2000/svg\">" + kLine + "</svg>",
             {"says no size"}),
      varied("SVG of a mile", svg(kLine, "width=\"1609m\" height=\"40mm\""), {"rope.svg"}),
      varied("SVG without a line", svg(""), {"rope.svg"}),
      varied("SVG with words", svg("<text>kelp</text>"), {"<text>"}),
      varied("SVG with a picture", svg("<image href=\"page.png\"/>"), {"<image>"}),
      varied("SVG with a number beyond numbers",
             svg("<path stroke=\"black\" d=\"M0 0L1e999 4\"/>"),
             {"not a usable number"}),
      varied("SVG with NaN", svg("<path stroke=\"black\" d=\"M0 0Lnan 4\"/>"), {"<path>"}),
      varied("SVG that is far away",
             svg("<path stroke=\"black\" d=\"M0 0L1e300 1e300\"/>"),
             {"rope.svg"}),
      varied("SVG with groups 1000 deep", deep_groups(1000), {"nested too deep"}),
      varied("SVG with groups 200,000 deep", deep_groups(200'000), {"nested too deep"}),
      varied("SVG with entities that multiply",
             "<!DOCTYPE svg [<!ENTITY a \"kelp\"><!ENTITY b \"&a;&a;&a;&a;\"><!ENTITY c "
             "\"&b;&b;&b;&b;\">]>" +
                 svg("<text>&c;</text>"),
             {"<text>"}),
      varied("SVG with a path of 400,000 lines",
             svg("<path stroke=\"black\" d=\"M1 1" + repeated("h1", 400'000) + "\"/>"),
             {"1,000,000 points"}),
      varied("SVG that closes a path a million times",
             svg("<path stroke=\"black\" d=\"M1 1L9 9" + repeated("z", 1'100'000) + "\"/>"),
             {"1,000,000 points"}),
      varied("SVG of 100,001 lines", svg(repeated(kLine, 100'001)), {"more than 100000 lines"}),
      varied("SVG with a broken transform",
             svg("<g transform=\"rotate(\">" + kLine + "</g>"),
             {"transform"}),
      {"sheet of a missing motif",
       {"sheet", "nowhere.svg", "-o", "a.pdf"},
       1,
       {"nowhere.svg", "not found"}},
      {"sheet over a file",
       {"sheet", "hook.svg", "-o", "notes.txt"},
       1,
       {"notes.txt", "exists already", "--overwrite"}},
      {"sheet over a folder",
       {"sheet", "hook.svg", "-o", "class", "--overwrite"},
       1,
       {"class", "is a folder"}},
      {"sheet for an unknown printer",
       {"sheet", "hook.svg", "-o", "a.pdf", "--printer", "attic"},
       1,
       {"attic", "studio-laser"}},
      {"proof of a missing file", {"proof", "nowhere.pdf"}, 1, {"nowhere.pdf"}},
      {"proof of a folder", {"proof", "class"}, 1, {"class"}},
      {"proof of a text", {"proof", "notes.txt"}, 1, {"notes.txt"}},
      {"proof of a picture", {"proof", "page.png"}, 1, {"page.png"}},
      {"proof of an empty file",
       proof,
       1,
       {"sheets.pdf"},
       [](const Harbour& desk) { desk.write("sheets.pdf", ""); }},
      {"proof of sheets cut short",
       proof,
       1,
       {"sheets.pdf"},
       [](const Harbour& desk) {
         fs::resize_file(desk / "sheets.pdf", fs::file_size(desk / "sheets.pdf") / 2);
       }},
      {"proof against a damaged plan",
       proof,
       1,
       {"sheets.json", "not readable as JSON"},
       [](const Harbour& desk) { desk.write("sheets.json", "{\"schema\":1,"); }},
      {"proof against a plan of tomorrow",
       proof,
       1,
       {"sheets.json", "newer underdraw"},
       [](const Harbour& desk) { desk.write("sheets.json", "{\"schema\":99}"); }},
      {"proof against a plan of another kind",
       proof,
       1,
       {"sheets.json", "is missing"},
       [](const Harbour& desk) { desk.write("sheets.json", "{\"schema\":1}"); }},
      {"proof against lists 100,000 deep",
       proof,
       1,
       {"sheets.json"},
       [](const Harbour& desk) { desk.write("sheets.json", std::string(100'000, '[')); }},
      {"paper over a file",
       {"paper", "-o", "notes.txt"},
       1,
       {"notes.txt", "exists already", "--overwrite"}},
      {"paper over a folder", {"paper", "-o", "class", "--overwrite"}, 1, {"class", "is a folder"}},
      {"paper for an unknown printer",
       {"paper", "-o", "p.pdf", "--printer", "attic"},
       1,
       {"attic", "studio-laser"}},
      {"paper with more names than frames",
       {"paper", "-o", "p.pdf", "--frames", "2", "--names", "kelp,rope,tern"},
       1,
       {"names"}},
      {"unknown printer", {"printer", "attic"}, 1, {"attic", "studio-laser"}},
      {"mistyped printer removed",
       {"printer", "studio-lazer", "--remove"},
       1,
       {"did you mean studio-laser?"}},
      {"printer far off",
       {"printer", "attic", "--across", "120", "--down", "220"},
       1,
       {"120 mm", "at most 5 % off"}},
      {"printer with a name of two lines",
       {"printer", "at\ntic", "--across", "180", "--down", "220"},
       1,
       {"one line"}},
      {"printer page over a file",
       {"printer", "-o", "notes.txt"},
       1,
       {"notes.txt", "exists already", "--overwrite"}},
      {"printer settings that are no TOML", printer, 1, {"printers.toml:1"}, settings("schema")},
      {"printer settings of tomorrow",
       printer,
       1,
       {"printers.toml:1", "newer underdraw"},
       settings("schema = 99\n")},
      {"printer settings with a wild number",
       printer,
       1,
       {"printers.toml:"},
       settings("schema = 1\n[[printer]]\nname = \"attic\"\nacross = 7.5\ndown = 1\n")},
      {"printer kept in damaged settings",
       {"printer", "attic", "--across", "180", "--down", "220"},
       1,
       {"printers.toml:1"},
       settings("kelp")},
      {"mat for a foot that is too large",
       {"mat", "-o", "mat.pdf", "--foot", "400"},
       1,
       {"foot diameter", "A4"}},
      {"mat over a file",
       {"mat", "-o", "notes.txt", "--foot", "90"},
       1,
       {"notes.txt", "exists already", "--overwrite"}},
      {"mat over a folder",
       {"mat", "-o", "class", "--foot", "90", "--overwrite"},
       1,
       {"class", "is a folder"}},
      {"mat below a file", {"mat", "-o", "notes.txt/mat.pdf", "--foot", "90"}, 1, {"notes.txt"}},
  };
}

}  // namespace underdraw::test
