// Prints what the reader of points.toml makes of a file: names, then a line a point.
#include <cstdio>

#include "core/error.h"
#include "io/points_file.h"

int main(int count, char** arguments) {
  if (count != 2) return 2;
  try {
    for (const underdraw::TappedPair& pair : underdraw::read_points(arguments[1])) {
      std::printf("%s | %s\n", pair.before.c_str(), pair.after.c_str());
      for (const underdraw::SpotPair& p : pair.points) {
        std::printf("%.1f %.1f %.1f %.1f\n", p.before.x, p.before.y, p.after.x, p.after.y);
      }
    }
  } catch (const underdraw::Error& error) {
    std::fprintf(stderr, "%s\n", error.what());
    return 1;
  }
  return 0;
}
