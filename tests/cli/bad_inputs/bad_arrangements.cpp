// Arrangements that cannot be, and drawings that do not fit.
#include "cli/bad_inputs/harbour.h"

namespace underdraw::test {
namespace {

const std::string kToml = "tea-bowl/piece.toml:";

BadInput placed(const std::string& wrong,
                const std::string& from,
                const std::string& to,
                std::vector<std::string> says,
                const std::string& command = "place") {
  says.insert(says.begin(), "tea-bowl/piece.toml");
  return {wrong, {command, "tea-bowl"}, 1, std::move(says), in_toml(from, to)};
}

}  // namespace

std::vector<BadInput> bad_arrangements() {
  const std::string band = "style = \"band\"";
  const std::string gap = "gap = 6";
  const std::string height = "height = 20";
  return {
      placed("no arrangement",
             "[[arrange]]\nface = \"wall\"\nstyle = \"band\"\nmotifs = [\"hook\", "
             "\"ring\"]\nheight = 20\ngap = 6\n",
             "",
             {"[[arrange]]"}),
      placed("unknown face",
             "face = \"wall\"",
             "face = \"wal\"",
             {"no face is named so", "did you mean 'wall'?"}),
      placed("unknown style", band, "style = \"bands\"", {"did you mean 'band'?"}),
      placed("no style", band + "\n", "", {"style in [[arrange]] is missing"}),
      placed("unknown motif", "motifs = [\"hook\"", "motifs = [\"hoop\"", {"did you mean 'hook'?"}),
      placed(
          "no motifs", "motifs = [\"hook\", \"ring\"]\n", "", {"motifs in [[arrange]] is missing"}),
      placed("empty list of motifs",
             "motifs = [\"hook\", \"ring\"]\n",
             "motifs = []\n",
             {"motifs in [[arrange]] is missing"}),
      placed("unknown mirror", gap, "gap = 6\nmirror = \"both-ways\"", {"none"}),
      placed("unknown frieze", gap, "gap = 6\nfrieze = \"glid\"", {"did you mean 'glide'?"}),
      placed("frieze and mirror",
             gap,
             "gap = 6\nfrieze = \"glide\"\nmirror = \"both\"",
             {"remove one"}),
      placed("key of another style",
             gap,
             "gap = 6\nradius = 40",
             {"does not go with style band", "remove it"}),
      placed("rows in a band", gap, "gap = 6\nrows = 2", {"does not go with style band"}),
      placed("cut gap in front", gap, "gap = 6\ncut_gap = 0.3", {"behind = true"}),
      placed(
          "heights for other motifs", height, "height = [20, 21, 22]", {"3 numbers for 2 motifs"}),
      placed("height of nothing", height, "height = 0", {"1 to 5000 mm"}),
      placed("height in words", height, "height = \"tall\"", {"without quotes"}),
      placed("gap below zero", gap, "gap = -1", {"0 to 5000 mm"}),
      placed("gap of NaN", gap, "gap = nan", {"0 to 5000 mm"}),
      placed("count of a thousand", gap, "gap = 6\ncount = 1000", {"1000"}, "run"),
      placed("half-drop that cannot close", band, "style = \"half-drop\"\ncount = 3", {"3"}, "run"),
      placed("more rows than fit", band, "style = \"rows\"\nrows = 40", {"40"}, "sheet"),
      placed("motif higher than its face", height, "height = 90", {"90"}, "run"),
      placed("motif wider than its face", height, "height = 69\nedge = 30", {"mm"}, "run"),
      placed("gap wider than the piece", gap, "gap = 900", {"mm"}, "run"),
      placed(
          "ring as wide as a street", band, "style = \"ring\"\nradius = 40000", {"0 to 20000 mm"}),
      placed("centre off the face",
             band,
             "style = \"centre\"\ncentre = [10, 900]",
             {"not a point of the face", "0 to 70.0 mm"},
             "run"),
      placed(
          "centre of three numbers", band, "style = \"centre\"\ncentre = [10, 20, 30]", {"centre"}),
      placed("band off the face", gap, "gap = 6\nat = 300", {"300"}, "run"),
      placed("scatter of no coverage", band, "style = \"scatter\"\ncoverage = 0", {"coverage"}),
      placed(
          "scatter by a broken seed", band, "style = \"scatter\"\nseed = 1.5", {"a whole number"}),
      placed("scatter with weights for others",
             band,
             "style = \"scatter\"\nweights = [1, 2, 3]",
             {"3 numbers for 2 motifs"}),
      placed("sizes that give too much", gap, "gap = 6\nsize_give = 90", {"percent"}),
      {"cut-outs larger than the paper in too many parts",
       {"run", "tea-bowl"},
       1,
       {"60"},
       [](const Harbour& desk) {
         desk.replace("tea-bowl/piece.toml", "size = \"A4\"", "size = [60, 60]");
         desk.replace("tea-bowl/piece.toml", "height = 20", "height = 60");
       }},
  };
}

}  // namespace underdraw::test
