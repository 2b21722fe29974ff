// SHA-256 of bytes as they come, by OpenSSL.
//
// Stage:   io, internal to it.
// Source:  FIPS 180-4.
#pragma once

#include <cstdint>
#include <memory>
#include <span>
#include <string>

struct evp_md_ctx_st;

namespace underdraw {

class Sha256 {
 public:
  Sha256();
  void add(std::span<const std::uint8_t> bytes);
  std::string hex();  // 64 lower-case digits; ends it

 private:
  struct Free {
    void operator()(evp_md_ctx_st* context) const;
  };
  std::unique_ptr<evp_md_ctx_st, Free> context_;
};

}  // namespace underdraw
