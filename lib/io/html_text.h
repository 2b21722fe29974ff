// What pages for a browser are put together from.
//
// Stage:   io, internal to it. Pure.
// Source:  HTML Living Standard (WHATWG); data URLs: RFC 2397.
#pragma once

#include <map>
#include <string>
#include <string_view>

namespace underdraw {

// Text for an HTML element or a quoted attribute: & < > " ' as references, other control
// characters and broken UTF-8 as U+FFFD.
std::string html_escaped(const std::string& text);

std::string jpeg_data_uri(const std::string& jpeg);

// Each {{word}} of the template replaced; what is put in is not looked at again.
std::string filled_page(std::string_view text, const std::map<std::string, std::string>& words);

}  // namespace underdraw
