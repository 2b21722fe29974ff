#include "support/second_polygons.h"

#include <stdexcept>

#include <geos_c.h>

namespace underdraw::test {
namespace {

constexpr int kArcSteps = 400;  // a quarter turn: 2e-6 of the radius

GEOSContextHandle_t context() {
  static const std::unique_ptr<GEOSContextHandle_HS, void (*)(GEOSContextHandle_t)> handle(
      GEOS_init_r(), GEOS_finish_r);
  return handle.get();
}

GEOSGeometry* geometry(const std::shared_ptr<void>& shape) {
  return static_cast<GEOSGeometry*>(shape.get());
}

GEOSGeometry* polygon(const std::vector<Vec2>& ring) {
  const auto count = static_cast<unsigned>(ring.size()) + 1U;
  GEOSCoordSequence* points = GEOSCoordSeq_create_r(context(), count, 2);
  for (unsigned i = 0; i < count; ++i) {
    const Vec2 p = ring[i % ring.size()];
    GEOSCoordSeq_setXY_r(context(), points, i, p.x, p.y);
  }
  return GEOSGeom_createPolygon_r(
      context(), GEOSGeom_createLinearRing_r(context(), points), nullptr, 0);
}

}  // namespace

SecondPolygons::SecondPolygons(void* shape)
    : shape_(shape, [](void* s) {
        if (s) GEOSGeom_destroy_r(context(), static_cast<GEOSGeometry*>(s));
      }) {
  if (!shape) throw std::runtime_error("the second library refused the shape");
}

SecondPolygons SecondPolygons::united(const Rings& rings) {
  std::vector<GEOSGeometry*> all;
  for (const auto& ring : rings) all.push_back(polygon(ring));
  const SecondPolygons together(GEOSGeom_createCollection_r(
      context(), GEOS_MULTIPOLYGON, all.data(), static_cast<unsigned>(all.size())));
  return SecondPolygons(GEOSUnaryUnion_r(context(), geometry(together.shape_)));
}

SecondPolygons SecondPolygons::even_odd(const Rings& rings) {
  SecondPolygons out(GEOSGeom_createEmptyPolygon_r(context()));
  for (const auto& ring : rings) {
    const SecondPolygons one(polygon(ring));
    out =
        SecondPolygons(GEOSSymDifference_r(context(), geometry(out.shape_), geometry(one.shape_)));
  }
  return out;
}

SecondPolygons SecondPolygons::plus(const SecondPolygons& other) const {
  return SecondPolygons(GEOSUnion_r(context(), geometry(shape_), geometry(other.shape_)));
}

SecondPolygons SecondPolygons::minus(const SecondPolygons& other) const {
  return SecondPolygons(GEOSDifference_r(context(), geometry(shape_), geometry(other.shape_)));
}

SecondPolygons SecondPolygons::common(const SecondPolygons& other) const {
  return SecondPolygons(GEOSIntersection_r(context(), geometry(shape_), geometry(other.shape_)));
}

SecondPolygons SecondPolygons::grown(double by) const {
  return SecondPolygons(GEOSBuffer_r(context(), geometry(shape_), by, kArcSteps));
}

SecondPolygons SecondPolygons::filled() const {
  Rings outer;
  const int parts = GEOSGetNumGeometries_r(context(), geometry(shape_));
  for (int i = 0; i < parts; ++i) {
    const GEOSGeometry* part = GEOSGetGeometryN_r(context(), geometry(shape_), i);
    const GEOSGeometry* ring = GEOSGetExteriorRing_r(context(), part);
    const GEOSCoordSequence* points = GEOSGeom_getCoordSeq_r(context(), ring);
    unsigned count = 0;
    GEOSCoordSeq_getSize_r(context(), points, &count);
    outer.emplace_back();
    for (unsigned k = 0; k + 1 < count; ++k) {
      Vec2 p;
      GEOSCoordSeq_getXY_r(context(), points, k, &p.x, &p.y);
      outer.back().push_back(p);
    }
  }
  return united(outer);
}

double SecondPolygons::area() const {
  double area = 0.0;
  GEOSArea_r(context(), geometry(shape_), &area);
  return area;
}

double SecondPolygons::distance_to(const SecondPolygons& other) const {
  double apart = 0.0;
  GEOSDistance_r(context(), geometry(shape_), geometry(other.shape_), &apart);
  return apart;
}

}  // namespace underdraw::test
