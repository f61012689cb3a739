#pragma once

#include <memory>
#include <string>
#include <string_view>

namespace lashband::io {

/// SHA-256 (FIPS 180-4) of bytes that come in parts, for files that are never whole in memory.
class Sha256 {
 public:
  Sha256();
  Sha256(const Sha256&) = delete;
  Sha256& operator=(const Sha256&) = delete;
  Sha256(Sha256&&) = delete;
  Sha256& operator=(Sha256&&) = delete;
  ~Sha256();

  void add(std::string_view bytes);

  /// The digest of all bytes so far, as 64 lower-case hexadecimal digits; more may be added after.
  [[nodiscard]] std::string in_hexadecimal() const;

 private:
  struct State;
  std::unique_ptr<State> state_;
};

/// SHA-256 (FIPS 180-4) of the bytes, as 64 lower-case hexadecimal digits.
[[nodiscard]] std::string sha256_in_hexadecimal(std::string_view bytes);

}  // namespace lashband::io
