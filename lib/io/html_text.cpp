#include "io/html_text.h"

#include <cstddef>
#include <stdexcept>

#include <openssl/evp.h>

#include "io/text_file.h"

namespace underdraw {
namespace {

constexpr const char* kReplacement = "\xEF\xBF\xBD";

}  // namespace

std::string html_escaped(const std::string& text) {
  std::string out;
  for (std::size_t i = 0; i < text.size();) {
    const std::size_t size = utf8_character_bytes(std::string_view(text).substr(i));
    const char c = text[i];
    if (size == 0) {
      out += kReplacement;
      ++i;
      continue;
    }
    if (size > 1) {
      out.append(text, i, size);
    } else if (c == '&') {
      out += "&amp;";
    } else if (c == '<') {
      out += "&lt;";
    } else if (c == '>') {
      out += "&gt;";
    } else if (c == '"') {
      out += "&quot;";
    } else if (c == '\'') {
      out += "&#39;";
    } else if ((c >= 0 && c < ' ' && c != '\n' && c != '\t') || c == 0x7F) {
      out += kReplacement;
    } else {
      out += c;
    }
    i += size;
  }
  return out;
}

std::string jpeg_data_uri(const std::string& jpeg) {
  std::string text(4 * ((jpeg.size() + 2) / 3) + 1, '\0');
  const int size = EVP_EncodeBlock(reinterpret_cast<unsigned char*>(text.data()),
                                   reinterpret_cast<const unsigned char*>(jpeg.data()),
                                   static_cast<int>(jpeg.size()));
  text.resize(static_cast<std::size_t>(size));
  return "data:image/jpeg;base64," + text;
}

std::string filled_page(std::string_view text, const std::map<std::string, std::string>& words) {
  std::string out;
  for (std::size_t at = 0; at < text.size();) {
    const std::size_t open = text.find("{{", at);
    if (open == std::string_view::npos) return out.append(text.substr(at));
    const std::size_t close = text.find("}}", open);
    const auto found = close == std::string_view::npos
                           ? words.end()
                           : words.find(std::string(text.substr(open + 2, close - open - 2)));
    if (found == words.end()) throw std::logic_error("the page has an unknown word");
    out.append(text.substr(at, open - at)).append(found->second);
    at = close + 2;
  }
  return out;
}

}  // namespace underdraw
