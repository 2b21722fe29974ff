// A PDF as one printer puts it on paper: every page's content scaled about its middle.
//
// Stage:   io. Pure: bytes in, bytes out, by qpdf; write_drawing.h, which scales the other way so
//          that the print is true, does so in Cairo.
// In/out:  pages in the frame of what is sent; the same pages, of the same size, in that of what is
//          printed. Words and attachments stay.
// Refuses: what qpdf cannot read (InputError).
#pragma once

#include <string>
#include <string_view>

#include "sheet/printer_correction.h"

namespace underdraw {

// `file` is only named in complaints.
std::string as_printed(std::string_view pdf,
                       const PrinterCorrection& printer,
                       const std::string& file);

}  // namespace underdraw
