// Motifs of a harbour town as true strokes, made to hold what is hard to trace: each stroke is one
// movement of the pen, what ends on a line ends exactly on it, and what forks shares its point.
//
// Frame:  each its own, mm, x right, y down; 25 to 60 mm across. pen_mm is every line's width.
#pragma once

#include "geometry/linework.h"

namespace underdraw::test {

// Plants (page_plants.cpp).
Linework thistle(double pen_mm);   // a lattice in the cup, florets with sharp tips, thorned stem
Linework sea_pink(double pen_mm);  // petals over each other, stamens with loose dots, long leaves
Linework kelp(double pen_mm, double closest_mm);  // veins side by side, down to closest_mm apart
Linework wrack(double pen_mm);                    // forks with little loops at their ends
Linework feather(double pen_mm, double barb_step_mm);  // barbs that end on a shaft

// Shore and harbour (page_shore.cpp).
Linework scallop_fan(double pen_mm);  // ribs that run together, growth lines across, cusps
Linework starfish(double pen_mm);     // dots of 0.3 to 0.9 mm, loops of 0.8 to 2 mm, a star point
Linework whelk(double pen_mm);        // a spiral with ribs between its turns
Linework waves(double pen_mm);        // curls that leave a line along it
Linework buoy(double pen_mm);         // hoops, a rope of two strands, straight edges
Linework fish_scales(double pen_mm, int rows, int across);
Linework net(double pen_mm);           // meshes that cross at every angle from steep to shallow
Linework knotted_rope(double pen_mm);  // two lines side by side that cross themselves

// Meetings one by one (page_rigging.cpp): crossings of 20 to 90 degrees, ends on lines, forks,
// tangents, lines 1.5 mm down to closest_mm apart, spirals, loops and dots.
Linework rigging(double pen_mm, double closest_mm);

}  // namespace underdraw::test
