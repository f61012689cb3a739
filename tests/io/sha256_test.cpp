#include "io/sha256.hpp"

#include <string>

#include "catch.hpp"

using lashband::io::sha256_in_hexadecimal;

TEST_CASE("SHA-256 gives the published digests", "[io]") {
  // NIST, examples with intermediate values for FIPS 180-4 (SHA256.pdf) and the long message of
  // FIPS 180-2, B.3; the empty message: NIST CAVP SHA256ShortMsg, Len = 0. All from memory, and the
  // same from sha256sum of GNU coreutils.
  CHECK(sha256_in_hexadecimal("") ==
        "e3b0c44298fc1c149afbf4c8996fb92427ae41e4649b934ca495991b7852b855");
  CHECK(sha256_in_hexadecimal("abc") ==
        "ba7816bf8f01cfea414140de5dae2223b00361a396177a9cb410ff61f20015ad");
  CHECK(sha256_in_hexadecimal("abcdbcdecdefdefgefghfghighijhijkijkljklmklmnlmnomnopnopq") ==
        "248d6a61d20638b8e5c026930c3e6039a33ce45964ff2167f6ecedd419db06c1");
  CHECK(sha256_in_hexadecimal(std::string(1'000'000, 'a')) ==
        "cdc76e5c9914fb9281a1c7e284d73e67f1809a48a497200e046d39ccc7112cd0");
}

TEST_CASE("SHA-256 of parts is that of the whole, at every length so far", "[io]") {
  const std::string text = "abcdbcdecdefdefgefghfghighijhijkijkljklmklmnlmnomnopnopq";
  lashband::io::Sha256 digest;
  std::string whole;
  for (int i = 0; i < 5; ++i) {
    CHECK(digest.in_hexadecimal() == sha256_in_hexadecimal(whole));
    digest.add(text);
    digest.add("");
    whole += text;
  }
  CHECK(digest.in_hexadecimal() == sha256_in_hexadecimal(whole));
}
