// The options of tracing, shared by the commands that trace bare pages.
#pragma once

#include "option_checks.h"
#include "trace/detail.h"

namespace underdraw::cli {

inline void declare_trace_options(CLI::App& app, TraceOptions& options) {
  app.add_option_function<std::string>(
         "--detail",
         [&options](const std::string& word) {
           options = with_detail(options, detail_named(word).value());
         },
         "how closely curves follow the hand")
      ->type_name("WORD")
      ->check(one_of(detail_words()))
      ->default_str("usual");
  app.add_option("--apart", options.apart_mm, "white space that separates two sketches")
      ->type_name("MM")
      ->check(number_between(1, 100, "mm"))
      ->capture_default_str();
  app.add_option_function<std::string>(
         "--captions",
         [&options](const std::string& word) {
           options.captions = word == "skip" ? Captions::skip : Captions::keep;
         },
         "writing beside the sketches")
      ->type_name("WORD")
      ->check(one_of({"keep", "skip"}))
      ->default_str("keep");
  app.add_option_function<std::string>(
         "--ruling",
         [&options](const std::string& word) { options.keep_ruling = word == "keep"; },
         "the paper's printed lines and coloured guides")
      ->type_name("WORD")
      ->check(one_of({"skip", "keep"}))
      ->default_str("skip");
}

}  // namespace underdraw::cli
