#include <fmt/format.h>

#include "core/error.h"
#include "io/piece_file.h"
#include "io/text_file.h"

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

[paper]
size = "A4"                  # A3, A4, Letter, Legal, Tabloid, or [width, height]
margin = 8.0                 # what the printer leaves white at the edges

[transfer]
method = "carbon"            # carbon, shaded-back, face-down, pricked or tissue: decides the flip

[line]
width = 0.5                  # what the pencil, pen or brush lays down
gap = 0.8                    # closest that two lines may come

[[page]]
file = "pages/sketches.png"  # PNG, JPEG, TIFF, PDF or HEIC
names = ["thistle", "kelp"]  # of the sketches, left to right, top to bottom
# dpi = 300                  # only when the scan does not say, or says it wrongly
# page = 1                   # of a file with several pages
# captions = "skip"          # leaves out names written beside the sketches

)";

constexpr const char* kCylinder = R"([[face]]
name = "wall"
form = "cylinder"
circumference = 314.0        # tape once round
height = 120.0               # along the wall, from the foot upward
# Zones that stay free: a in degrees from the seam tick to the right, s in mm from the foot upward.
# keep_out = [{{ a = [170, 190], s = [20, 80], why = "handle" }}]

[[arrange]]
face = "wall"
style = "band"               # centre: once; band: whole repeats round; rows: several bands
motifs = ["thistle", "kelp"]
mirror = "alternate"         # none: A B, alternate: A B A' B', both: A A' B B'
height = 40                  # of every motif on the finished piece; leave out: as drawn
at = 60                      # middle of the band, from the foot; leave out: middle of the wall
gap = 6                      # least gap between neighbours on the finished piece
)";

constexpr const char* kFlat = R"([[face]]
name = "front"
form = "flat"
width = 150.0
height = 100.0
# Zones that stay free: x from the left edge, y from the top edge.
# keep_out = [{{ x = [65, 85], y = [0, 12], why = "hanging hole" }}]

[[arrange]]
face = "front"
style = "centre"             # centre: once; band: a row from edge to edge; rows: several rows
motifs = ["thistle", "kelp"]
mirror = "none"              # none: A B, alternate: A B A' B', both: A A' B B'
height = 60                  # of every motif on the finished piece; leave out: as drawn
# at = 50                    # middle of the row, from the top edge; leave out: middle of the face
gap = 6                      # least gap between neighbours on the finished piece
)";

// Quotes and backslashes escaped as TOML wants them.
std::string quotable(const std::string& name) {
  std::string out;
  for (const char c : name) {
    if (static_cast<unsigned char>(c) < 0x20 || c == 0x7F) {
      throw OptionError({.file = {},
                         .line = {},
                         .found = "the piece's name has a control character in it",
                         .expected = "a name in plain letters",
                         .remedy = {}});
    }
    if (c == '"' || c == '\\') out += '\\';
    out += c;
  }
  return out;
}

}  // namespace

std::string piece_template(const std::string& form, const std::string& piece_name) {
  if (form != "flat" && form != "cylinder") {
    throw OptionError({.file = {},
                       .line = {},
                       .found = fmt::format("form '{}' is not supported yet", form),
                       .expected = "flat or cylinder",
                       .remedy = {}});
  }
  if (piece_name.empty() || piece_name.size() > 200 || first_bad_utf8(piece_name)) {
    throw OptionError({.file = {},
                       .line = {},
                       .found = "the piece's name is empty, very long or not UTF-8",
                       .expected = "a name of up to 200 bytes",
                       .remedy = {}});
  }
  const std::string head = fmt::format(fmt::runtime(kHead), quotable(piece_name));
  return head + fmt::format(fmt::runtime(form == "flat" ? kFlat : kCylinder));
}

}  // namespace underdraw
