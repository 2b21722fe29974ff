// What the two makers of pictures share: Cairo's objects, the house font, and paths.
//
// Stage:   io. Pure, but for the font that is looked up on the machine.
// In/out:  the context's own units, which the caller has scaled.
// Refuses: a machine without the font, and what Cairo cannot do (OutputError).
#pragma once

#include <memory>
#include <optional>
#include <string>
#include <vector>

#include <cairo.h>

#include "geometry/path.h"

namespace underdraw {

template <auto destroy>
struct CairoDeleter {
  template <typename T>
  void operator()(T* p) const {
    destroy(p);
  }
};
using CairoSurface = std::unique_ptr<cairo_surface_t, CairoDeleter<cairo_surface_destroy>>;
using CairoContext = std::unique_ptr<cairo_t, CairoDeleter<cairo_destroy>>;

void require_success(cairo_status_t status);

// The text with damaged UTF-8 and unprintable letters replaced by question marks: file names may
// hold any bytes.
std::string readable(const std::string& text);

// For text that has gone through readable(). Other fonts step in only for letters that the house
// font lacks.
void set_font(cairo_t* context, const std::string& readable_text, double height, bool bold);
double advance(cairo_t* context, const std::string& readable_text);

// Of a line of text 1 mm high that begins at (0, 0).
struct Letter {
  double at = 0.0, end = 0.0;  // where it and the line up to it begin and end
  std::vector<Path> outline;   // from its own origin; empty: a space
};
std::vector<Letter> letters_of_line(const std::string& text, bool bold);

// Adds to the context's current path. A dot is a line of no length: round caps make it visible.
void add_path(cairo_t* context, const Path& path);

// With its resolution inside (PNG, Third Edition, 11.3.4.3: pHYs) where there is one.
std::string png_of_surface(cairo_surface_t* surface, std::optional<double> dpi = {});

// For Cairo's writers to streams: `sink` is a std::string*.
cairo_status_t append_to_string(void* sink, const unsigned char* data, unsigned int length);

}  // namespace underdraw
