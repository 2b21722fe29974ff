// Polygons by a second library (GEOS), to hold the first one's results against.
//
// Used by tests only. Any plane frame; areas in its unit squared.
#pragma once

#include <memory>

#include "geometry/outline.h"

namespace underdraw::test {

class SecondPolygons {
 public:
  static SecondPolygons united(const Rings& rings);    // each ring filled
  static SecondPolygons even_odd(const Rings& rings);  // what an odd number of rings covers

  SecondPolygons plus(const SecondPolygons& other) const;
  SecondPolygons minus(const SecondPolygons& other) const;
  SecondPolygons common(const SecondPolygons& other) const;
  SecondPolygons grown(double by) const;  // round corners; smaller when negative
  SecondPolygons filled() const;          // without holes

  double area() const;
  double distance_to(const SecondPolygons& other) const;  // 0 when they overlap

 private:
  explicit SecondPolygons(void* shape);
  std::shared_ptr<void> shape_;
};

}  // namespace underdraw::test
