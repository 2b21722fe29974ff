// Notices when a PDF page is nothing but one image, as scanners make them.
//
// Stage:   io, internal to it.
// In/out:  a page and its visible box in points -> the image and where it lies.
// Refuses: nothing; a page that is more than one upright image that fills it gives no result.
//          Invisible text (as text recognition adds it) is allowed, drawings and notes are not.
// Source:  ISO 32000-1, 8.3.2 (matrices), 8.5.4 (clipping), 9.3.6 (text rendering mode 3), annex A.
#pragma once

#include <optional>

#include <qpdf/QPDFObjectHandle.hh>
#include <qpdf/QPDFPageObjectHelper.hh>

namespace underdraw {

struct PdfBox {
  double left = 0.0;  // points, y up
  double bottom = 0.0;
  double right = 0.0;
  double top = 0.0;

  double width() const { return right - left; }
  double height() const { return top - bottom; }
};

struct SoleImage {
  QPDFObjectHandle image;
  PdfBox box;  // in the page's points; within 1 % of the page's own box at each edge
  int width_px = 0;
  int height_px = 0;
};

std::optional<SoleImage> find_sole_image(QPDFPageObjectHelper page, const PdfBox& visible);

}  // namespace underdraw
