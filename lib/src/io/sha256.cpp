#include "io/sha256.hpp"

#include <sha2.h>

#include <array>

namespace lashband::io {

std::string sha256_in_hexadecimal(std::string_view bytes) {
  SHA2_CTX context;
  SHA256Init(&context);
  const void* begin = bytes.data();
  SHA256Update(&context, static_cast<const uint8_t*>(begin), bytes.size());
  std::array<char, SHA256_DIGEST_STRING_LENGTH> digits{};
  SHA256End(&context, digits.data());
  return digits.data();
}

}  // namespace lashband::io
