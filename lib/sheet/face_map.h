// The map of one face: every placement numbered, zones, seam, edges and scales round it.
//
// Stage:   sheet. Pure.
// In/out:  placements on their face; marks in the frame of the box that they are to fill, mm.
#pragma once

#include <string>
#include <vector>

#include "sheet/drawing.h"
#include "sheet/map_chart.h"
#include "sheet/map_notes.h"
#include "sheet/sheet_plan.h"

namespace underdraw {

// What was drawn, and how high and at which scale it came out.
struct FaceMap {
  std::vector<Mark> marks;
  std::vector<MapNote> notes;  // not drawn
  double height_mm = 0.0;
  double scale = 1.0;
};

// An area of the face laid under the drawing in a grey.
struct FaceTint {
  Rings on_face;  // even-odd, face points; empty: all of the face
  Grey tint;
};

// As large as fits the box, never above true size.
FaceMap face_map(const PlacedFace& face,
                 const std::vector<Motif>& motifs,
                 const Box& box,
                 const std::vector<FaceTint>& tints = {});

}  // namespace underdraw
