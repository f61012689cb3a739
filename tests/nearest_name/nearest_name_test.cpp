#include "lashband/nearest_name.hpp"

#include <string>
#include <vector>

#include "catch.hpp"

namespace {

using lashband::edit_distance;
using lashband::nearest_name;

TEST_CASE("edit distance of known pairs") {
  // The usual examples of V. I. Levenshtein's distance (1965), counted by hand.
  CHECK(edit_distance("kitten", "sitting") == 3);
  CHECK(edit_distance("saturday", "sunday") == 3);
  CHECK(edit_distance("", "abc") == 3);
  CHECK(edit_distance("abc", "") == 3);
  CHECK(edit_distance("", "") == 0);
  CHECK(edit_distance("flaw", "lawn") == 2);
}

TEST_CASE("edit distance is the same either way and takes no notice of case") {
  const std::vector<std::string> words = {"C45", "42CrMo4", "EN AC-43500", "", "en_ac_43500"};
  for (const std::string& a : words) {
    for (const std::string& b : words) {
      CAPTURE(a, b);
      CHECK(edit_distance(a, b) == edit_distance(b, a));
      for (const std::string& c : words) {
        CHECK(edit_distance(a, c) <= edit_distance(a, b) + edit_distance(b, c));
      }
    }
  }
  CHECK(edit_distance("c45", "C45") == 0);
}

TEST_CASE("the nearest name is the one a slip of the pen away") {
  const std::vector<std::string> names = {"C45", "EN AC-43500", "EN AC-46000", "42CrMo4"};
  CHECK(nearest_name("c45", names) == "C45");
  CHECK(nearest_name("EN-AC 43500", names) == "EN AC-43500");
  CHECK(nearest_name("ENAC-46000", names) == "EN AC-46000");
  CHECK(nearest_name("42CrMoS4", names) == "42CrMo4");
}

TEST_CASE("nothing is suggested for a text that is like none") {
  const std::vector<std::string> names = {"C45", "EN AC-43500"};
  CHECK_FALSE(nearest_name("brass", names));
  CHECK_FALSE(nearest_name("", names));
  CHECK_FALSE(nearest_name("C45", {}));
  // A third of six letters is two.
  CHECK(nearest_name("abcdef", {"abcdxy"}) == "abcdxy");
  CHECK_FALSE(nearest_name("abcdef", {"abcxyz"}));
}

TEST_CASE("of two that are as near, the first is suggested") {
  CHECK(nearest_name("EN AW-6071", {"EN AW-6061", "EN AW-6081"}) == "EN AW-6061");
}

}  // namespace
