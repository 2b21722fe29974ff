// Text of any origin as one line that a person can read: a file name or a library may put anything
// into it, and a terminal obeys control characters.
//
// Stage:   core. Pure.
// In/out:  any bytes, UTF-8 as a rule. Control characters (C0, DEL, and C1 in UTF-8) become spaces;
//          all else stays as it is.
// Source:  ECMA-48, 5th edition: the C0 and C1 sets; UTF-8: RFC 3629.
#pragma once

#include <cstddef>
#include <string>

namespace underdraw {

std::string one_line(std::string text);

// The text, or its beginning and "…" where it is longer than that many bytes; cut between
// characters.
std::string shortened(std::string text, std::size_t most_bytes);

}  // namespace underdraw
