// Pages of sketches as people lay them out, from a seed: near and far, level and not, with loose
// parts, borders and names written beside them.
//
// In/out:  linework in the page frame, mm, with the boxes that belong together.
// Source:  own construction; letters from the Hershey fonts (see support/hershey.h).
#pragma once

#include <string>
#include <vector>

#include "geometry/linework.h"
#include "support/pencil_page.h"

namespace underdraw::test {

struct LaidOutSketch {
  std::vector<Linework> parts;  // the drawing and its loose parts, page frame
  Linework caption;             // empty: has none

  Box box() const;  // of the parts' ink, without the caption
};

struct Layout {
  std::vector<LaidOutSketch> sketches;  // in reading order
  PencilOptions pencil;
  std::string what;  // for messages

  Linework lines() const;
};

// How words are written.
enum class Hand { block, capitals, script, running };

// Words in one line, the first letter's left edge at x = 0, the baseline at y = 0. Script is joined
// within words; so is running, with each word one line.
Linework write_words(const std::string& text, Hand hand, double capital_mm, unsigned seed);

// Drawings that are no writing, though they come in rows.
enum class Border { dots, scallops, waves, leaves, rings, tufts, rope };
Linework draw_border(Border kind, double length_mm, double height_mm, unsigned seed);

// A flower about that tall, its top left at (0, 0): stem, leaves and petals that touch.
Linework draw_flower(double height_mm, unsigned seed);

// A veined leaf that lies anywhere, its middle at (0, 0).
Linework draw_leaf(double length_mm, double turn_deg);

Layout random_layout(unsigned seed);

Linework moved(const Linework& lines, Vec2 by);

}  // namespace underdraw::test
