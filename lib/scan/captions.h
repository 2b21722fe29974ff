// What becomes of writing found beside the drawings on a page.
//
// Stage:   scan. Pure.
#pragma once

namespace underdraw {

enum class Captions {
  keep,  // it is traced as part of the drawing that it stands beside
  skip,  // it is left out
};

}  // namespace underdraw
