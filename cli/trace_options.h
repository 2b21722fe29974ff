// The options of tracing, shared by the commands that trace bare pages.
#pragma once

#include "option_checks.h"
#include "trace/trace_page.h"

namespace underdraw::cli {

inline void declare_trace_options(CLI::App& app, TraceOptions& options) {
  app.add_option(
         "--tolerance", options.tolerance_mm, "largest distance of a curve from the pencil line")
      ->type_name("MM")
      ->check(number_between(0.005, 1, "mm"))
      ->capture_default_str();
  app.add_option("--apart", options.apart_mm, "white space that separates two sketches")
      ->type_name("MM")
      ->check(number_between(1, 100, "mm"))
      ->capture_default_str();
}

}  // namespace underdraw::cli
