#pragma once

#include <string>

// Catch2 2 (Debian 12) and Catch2 3 (Debian 13) under one name. Both give TEST_CASE, SECTION,
// CHECK, REQUIRE, CHECK_THAT, CHECK_THROWS_AS, CHECK_THROWS_MATCHES, GENERATE and the matchers
// below.
#if __has_include(<catch2/catch_test_macros.hpp>)
#include <catch2/catch_message.hpp>
#include <catch2/catch_template_test_macros.hpp>
#include <catch2/catch_test_macros.hpp>
#include <catch2/catch_tostring.hpp>
#include <catch2/generators/catch_generators.hpp>
#include <catch2/generators/catch_generators_adapters.hpp>
#include <catch2/generators/catch_generators_range.hpp>
#include <catch2/matchers/catch_matchers.hpp>
#include <catch2/matchers/catch_matchers_exception.hpp>
#include <catch2/matchers/catch_matchers_floating_point.hpp>
#include <catch2/matchers/catch_matchers_predicate.hpp>
#include <catch2/matchers/catch_matchers_string.hpp>
#include <catch2/matchers/catch_matchers_vector.hpp>
#else
#include <catch2/catch.hpp>
#endif

using Catch::Matchers::EndsWith;
using Catch::Matchers::Equals;
using Catch::Matchers::Matches;
using Catch::Matchers::Message;
using Catch::Matchers::Predicate;
using Catch::Matchers::StartsWith;
using Catch::Matchers::WithinAbs;
using Catch::Matchers::WithinRel;

/// Text that contains another text. Catch2 3 calls the matcher of version 2 by a new name.
[[nodiscard]] inline auto ContainsText(const std::string& text) {
#if __has_include(<catch2/catch_test_macros.hpp>)
  return Catch::Matchers::ContainsSubstring(text);
#else
  return Catch::Matchers::Contains(text);
#endif
}
