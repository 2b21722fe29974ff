// What the two makers of pictures share: Cairo's objects, the house font, and paths.
//
// Stage:   io. Pure, but for the font that is looked up on the machine.
// In/out:  the context's own units, which the caller has scaled.
// Refuses: a machine without the font, and what Cairo cannot do (OutputError).
#pragma once

#include <memory>
#include <string>

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

// Adds to the context's current path. A dot is a line of no length: round caps make it visible.
void add_path(cairo_t* context, const Path& path);

std::string png_of_surface(cairo_surface_t* surface);

// For Cairo's writers to streams: `sink` is a std::string*.
cairo_status_t append_to_string(void* sink, const unsigned char* data, unsigned int length);

}  // namespace underdraw
