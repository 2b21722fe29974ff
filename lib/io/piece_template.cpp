#include <map>

#include <fmt/format.h>

#include "core/error.h"
#include "io/piece_file.h"
#include "io/text_file.h"
#include "io/toml_table.h"

namespace underdraw {
namespace {

constexpr const char* kHead =
    R"(# Everything about this piece. Lengths are in mm. Text after a # is for you and is not read.

schema = 1
name = "{}"

[clay]                       # shrinkage in percent of length, from a test bar of this clay
drying = 6.0                 # from wet to dry
bisque = 1.0                 # in the bisque firing
glaze = 5.5                  # in the glaze firing
measured_at = "bisque"       # when the tape was used: wet, leather-hard, dry, bisque or glazed
transfer_at = "bisque"       # when the lines go on

[measure]
tape = 1.0                   # how far off a reading may be; the fit report says what that does

[paper]
size = "A4"                  # A3, A4, Letter, Legal, Tabloid, or [width, height]
margin = 8.0                 # what the printer leaves white at the edges
turn = "none"                # cut-outs on a sheet: none (upright), half or free; free saves paper
# printer = "studio-laser"   # whose error of scale the sheets make up for; see underdraw printer

[transfer]
method = "carbon"            # carbon, shaded-back, both-sides, face-down, pricked or tissue
# pitch = 1.75               # from hole to hole when pricked

[line]
width = 0.5                  # what the pencil, pen or brush lays down
gap = 0.8                    # closest that two drawings may come
clear = 0.1                  # white that must stay between two lines of one drawing

[[page]]
file = "pages/sketches.png"  # PNG, JPEG, TIFF, PDF or HEIC
names = ["thistle", "kelp"]  # of the sketches, left to right, top to bottom
# dpi = 300                  # only when the scan does not say, or says it wrongly
# page = 1                   # of a file with several pages
# captions = "skip"          # leaves out names written beside the sketches

# A motif that is linework already:
# [[motif]]
# name = "stripes"
# file = "stripes.svg"

)";

// What is measured of each form, and zones of it that stay free.
const std::map<std::string, const char*>& face_texts() {
  static const std::map<std::string, const char*> kTexts = {{"flat", R"([[face]]
name = "front"
form = "flat"
width = 150.0
height = 100.0
# outline = "front.svg"      # instead of width and height: one closed line, true to size
# joint = 3.0                # tiles in a run: patterns go on over a joint this wide
# Zones that stay free: x from the left edge, y from the top edge.
# keep_out = [{ x = [65, 85], y = [0, 12], why = "hanging hole" }]
)"},
                                                            {"cylinder", R"([[face]]
name = "wall"
form = "cylinder"            # round or oval
circumference = 314.0        # tape once round; or diameter
height = 120.0               # along the wall, from the foot upward
# Zones that stay free: a in degrees from the seam tick to the right, s in mm from the foot upward.
# keep_out = [{ a = [170, 190], s = [20, 80], why = "handle" }]
)"},
                                                            {"cone", R"([[face]]
name = "wall"
form = "cone"                # straight sides, round or oval
foot = 250.0                 # tape once round at the foot; or foot_diameter
rim = 314.0                  # tape once round at the rim; or rim_diameter
slant = 120.0                # tape along the wall from foot to rim; or height, straight up
# Zones that stay free: a in degrees from the seam tick to the right, s in mm from the foot upward.
# keep_out = [{ a = [170, 190], s = [20, 80], why = "handle" }]
)"},
                                                            {"turned", R"([[face]]
name = "wall"
form = "turned"              # anything from the wheel: bellied, waisted, flared
profile = [[0, 250], [60, 372], [120, 300]]   # height above the foot, tape round there
# wall_profile = [[0, 250], [66, 372], [128, 300]]   # instead: tape along the wall, tape round
# between = "straight"       # straight between readings; leave out: smooth
# Zones that stay free: a in degrees from the seam tick to the right, s in mm from the foot upward.
# keep_out = [{ a = [170, 190], s = [20, 80], why = "handle" }]
)"},
                                                            {"ring", R"([[face]]
name = "rim"
form = "ring"                # a plate's rim or a lid
outer = 270.0                # diameters
inner = 180.0
# slant = 48.0               # tape from edge to edge; or height. Leave out: flat
# Zones that stay free: a in degrees from the seam tick counter-clockwise, s from the outer edge.
# keep_out = [{ a = [170, 190], s = [0, 20], why = "hanging hole" }]
)"},
                                                            {"ball", R"([[face]]
name = "body"
form = "ball"
circumference = 380.0        # tape once round at the widest; or diameter
# Zones that stay free: a in degrees from the seam tick to the right, s along the wall from below.
# keep_out = [{ a = [0, 360], s = [0, 45], why = "foot" }]
)"},
                                                            {"patch", R"([[face]]
name = "side"
form = "patch"               # a part of a free-form body
across = 140.0               # tape over the surface, left to right through the middle
across_chord = 132.0         # straight line between the same two ends
up = 150.0                   # tape over the surface, up through the middle
up_chord = 144.0             # straight line between the same two ends
# saddle = true              # bulges one way and is hollow the other
# Zones that stay free: x from the left edge, y from the top edge.
# keep_out = [{ x = [60, 80], y = [0, 20], why = "eye" }]
)"}};
  return kTexts;
}

// Filled in: face, height, at, where that is counted from, gap.
constexpr const char* kBand = R"(
[[arrange]]
face = "{}"
style = "band"               # band, rows, brick, half-drop, ring, scatter, or centre: once
motifs = ["thistle", "kelp"]
mirror = "alternate"         # none: A B, alternate: A B A' B', both: A A' B B'
height = {}                  # of every motif on the finished piece; leave out: as drawn
# at = {}                    # middle of the band, {}; leave out: middle of the face
gap = {}                      # least gap between neighbours on the finished piece
)";

constexpr const char* kCentre = R"(
[[arrange]]
face = "{}"
style = "centre"             # centre: once; band, rows, brick, half-drop, ring or scatter
motifs = ["thistle", "kelp"]
mirror = "none"              # none: A B, alternate: A B A' B', both: A A' B B'
height = {}                  # of every motif on the finished piece; leave out: as drawn
# at = {}                    # middle of the row, {}; leave out: middle of the face
gap = {}                      # least gap between neighbours on the finished piece
)";

std::string arrangement_text(const std::string& form) {
  const auto write = [](const char* text, const char* face, int height, int at, const char* from) {
    return fmt::format(fmt::runtime(text), face, height, at, from, 6);
  };
  if (form == "flat") return write(kCentre, "front", 60, 50, "from the top edge");
  if (form == "patch") return write(kCentre, "side", 40, 75, "from the top edge");
  if (form == "ring") return write(kBand, "rim", 30, 22, "from the outer edge");
  if (form == "ball") return write(kBand, "body", 40, 95, "along the wall from below");
  return write(kBand, "wall", 40, 60, "from the foot");
}

// Quotes and backslashes escaped as TOML wants them.
std::string quotable(const std::string& name) {
  std::string out;
  for (const char c : name) {
    if (static_cast<unsigned char>(c) < 0x20 || c == 0x7F) {
      throw OptionError({.file = {},
                         .line = {},
                         .found = "the piece's name has a control character in it",
                         .expected = "a name in plain letters",
                         .remedy = "name it otherwise"});
    }
    if (c == '"' || c == '\\') out += '\\';
    out += c;
  }
  return out;
}

}  // namespace

std::string piece_template(const std::string& form, const std::string& piece_name) {
  const auto face = face_texts().find(form);
  if (face == face_texts().end()) {
    throw OptionError({.file = {},
                       .line = {},
                       .found = fmt::format("there is no form '{}'", form),
                       .expected = words_or(form_names()),
                       .remedy = {}});
  }
  if (piece_name.empty() || piece_name.size() > 200 || first_bad_utf8(piece_name)) {
    throw OptionError({.file = {},
                       .line = {},
                       .found = "the piece's name is empty, very long or not UTF-8",
                       .expected = "a name of up to 200 bytes",
                       .remedy = {}});
  }
  return fmt::format(fmt::runtime(kHead), quotable(piece_name)) + face->second +
         arrangement_text(form);
}

}  // namespace underdraw
