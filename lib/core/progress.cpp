#include "core/progress.h"

namespace underdraw {

void report(const Progress& progress, const std::string& step, double share) {
  if (progress) progress(step, share);
}

}  // namespace underdraw
