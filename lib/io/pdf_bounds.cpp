#include "io/pdf_bounds.h"

#include <stdexcept>
#include <string_view>

#include <fmt/format.h>
#include <qpdf/Pipeline.hh>

#include "core/error.h"

namespace underdraw {
namespace {

// Counts what flows through, and how deep its words q and Q nest. qpdf stops a stream whose
// pipeline throws and goes on with the next, so what was exceeded is remembered here.
class Counter : public Pipeline {
 public:
  Counter() : Pipeline("counter", nullptr) {}

  void write(unsigned char const* data, std::size_t size) override {
    bytes_ += size;
    if (bytes_ > kMostUnpackedBytes) throw std::runtime_error("too large");
    for (const unsigned char c : std::string_view(reinterpret_cast<const char*>(data), size)) {
      const bool space = c <= ' ';
      if (!space) {
        word_ = word_length_ == 0 ? c : 0;
        ++word_length_;
        continue;
      }
      if (word_ == 'q') ++depth_;
      if (word_ == 'Q' && depth_ > 0) --depth_;
      word_ = 0;
      word_length_ = 0;
      if (depth_ > kDeepestGraphics) throw std::runtime_error("too deep");
    }
  }
  void finish() override {}

  bool too_large() const { return bytes_ > kMostUnpackedBytes; }
  bool too_deep() const { return depth_ > kDeepestGraphics; }

  // Pages may share the depth of several streams; files of many streams do not.
  void begin_stream() {
    depth_ = 0;
    word_ = 0;
    word_length_ = 0;
  }

 private:
  std::uint64_t bytes_ = 0;
  int depth_ = 0;
  unsigned char word_ = 0;  // the only letter of the word so far, else 0
  std::uint64_t word_length_ = 0;
};

bool is_image(QPDFObjectHandle dict) { return dict.getKey("/Subtype").isNameAndEquals("/Image"); }

std::uint64_t stated(QPDFObjectHandle dict, const char* key) {
  QPDFObjectHandle side = dict.getKey(key);
  return side.isInteger() && side.getIntValue() > 0 ? static_cast<std::uint64_t>(side.getIntValue())
                                                    : 0;
}

[[noreturn]] void refuse(const std::string& path, std::string found, std::string expected) {
  throw InputError({.file = path,
                    .line = {},
                    .found = std::move(found),
                    .expected = std::move(expected),
                    .remedy = "print or scan it to a new PDF"});
}

}  // namespace

void refuse_oversized_pdf(QPDF& pdf, const std::string& path) {
  Counter counter;
  for (QPDFObjectHandle object : pdf.getAllObjects()) {
    if (!object.isStream()) continue;
    QPDFObjectHandle dict = object.getDict();
    if (is_image(dict)) {
      const std::uint64_t width = stated(dict, "/Width");
      const std::uint64_t height = stated(dict, "/Height");
      if (height != 0 && width > kMostImagePx / height) {
        refuse(path,
               fmt::format("holds an image of {} x {} pixels", width, height),
               fmt::format("at most {} megapixels", kMostImagePx / 1'000'000));
      }
      continue;
    }
    counter.begin_stream();
    object.pipeStreamData(&counter, 0, qpdf_dl_generalized, true, true);
    if (counter.too_large()) {
      refuse(path,
             fmt::format("unpacks to more than {} MB", kMostUnpackedBytes / 1'000'000),
             "drawings as a page holds them");
    }
    if (counter.too_deep()) {
      refuse(path,
             fmt::format("nests its drawing more than {} deep", kDeepestGraphics),
             "drawings as a page holds them");
    }
  }
}

}  // namespace underdraw
