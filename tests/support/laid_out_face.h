// A painted face laid out as if photos had shown it perfectly, then made as soft and noisy as
// photos do: what is read out of it does not depend on how photos are unrolled.
#pragma once

#include <cstdint>

#include "recover/unrolled.h"
#include "support/face_texture.h"

namespace underdraw::test {

struct LaidOut {
  double px_per_mm = 10.0;
  double blur_mm = 0.15;  // one sigma
  double noise = 0.02;    // of white
  std::uint32_t seed = 1;
};

Unrolled laid_out(const Surface& surface, const FaceTexture& texture, const LaidOut& how = {});

}  // namespace underdraw::test
