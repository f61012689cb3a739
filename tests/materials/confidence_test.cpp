#include "lashband/materials/confidence.hpp"

#include "catch.hpp"
#include "lashband/error.hpp"

namespace {

using lashband::DomainError;
using lashband::materials::Confidence;
using lashband::materials::confidence_named;
using lashband::materials::confidence_word;

TEST_CASE("every confidence has its word and comes back from it") {
  // The words of the material files.
  CHECK(confidence_word(Confidence::seen) == "seen");
  CHECK(confidence_word(Confidence::seen_proxy) == "seen_proxy");
  CHECK(confidence_word(Confidence::seen2) == "seen2");
  CHECK(confidence_word(Confidence::memory) == "memory");
  CHECK(confidence_word(Confidence::derived) == "derived");
  for (const Confidence confidence : {Confidence::seen, Confidence::seen_proxy, Confidence::seen2,
                                      Confidence::memory, Confidence::derived}) {
    CHECK(confidence_named(confidence_word(confidence)) == confidence);
  }
}

TEST_CASE("other words are no confidence") {
  CHECK_FALSE(confidence_named("sure"));
  CHECK_FALSE(confidence_named("Seen"));
  CHECK_FALSE(confidence_named(""));
  CHECK_THROWS_MATCHES(confidence_word(static_cast<Confidence>(9)), DomainError,
                       Message("confidence 9 is none of the five that exist"));
}

}  // namespace
