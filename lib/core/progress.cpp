#include "core/progress.h"

namespace underdraw {

void report(const Progress& progress, const std::string& step, double share) {
  if (progress) progress(step, share);
}

Progress part_of(const Progress& progress, double from, double to) {
  return [&progress, from, to](const std::string& step, double share) {
    report(progress, step, from + (to - from) * share);
  };
}

}  // namespace underdraw
