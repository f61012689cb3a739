#include "io/sha256.hpp"

#include <sha2.h>

#include <array>

namespace lashband::io {

struct Sha256::State {
  SHA2_CTX context{};
};

Sha256::Sha256() : state_(std::make_unique<State>()) {
  SHA256Init(&state_->context);
}

Sha256::~Sha256() = default;

void Sha256::add(std::string_view bytes) {
  const void* begin = bytes.data();
  SHA256Update(&state_->context, static_cast<const uint8_t*>(begin), bytes.size());
}

std::string Sha256::in_hexadecimal() const {
  SHA2_CTX ended = state_->context;  // the end changes it
  std::array<char, SHA256_DIGEST_STRING_LENGTH> digits{};
  SHA256End(&ended, digits.data());
  return digits.data();
}

std::string sha256_in_hexadecimal(std::string_view bytes) {
  Sha256 digest;
  digest.add(bytes);
  return digest.in_hexadecimal();
}

}  // namespace lashband::io
