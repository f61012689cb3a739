#include "lashband/io/input_error.hpp"

#include <string>

#include "catch.hpp"

using lashband::io::InputErrors;
using lashband::io::InputProblem;
using lashband::io::one_line;

TEST_CASE("A problem is one line of what it has", "[io]") {
  CHECK(one_line({"train.json", 12, 34, "/gears/0/module", "read 2"}) ==
        "train.json:12:34: /gears/0/module: read 2");
  CHECK(one_line({"train.json", 1, 1, "", "read 2"}) == "train.json:1:1: read 2");
  CHECK(one_line({"train.json", 0, 0, "", "there is no such file"}) ==
        "train.json: there is no such file");
  CHECK(one_line({"a\nb", 1, 1, "/\x1b[m", "c\r\u202ed"}) ==
        "a\\u000ab:1:1: /\\u001b[m: c\\u000d\\u202ed");
}

TEST_CASE("Names and pointers are never cut", "[io]") {
  const std::string name(500, 'n');
  CHECK(one_line({name, 0, 0, "", "m"}) == name + ": m");
}

TEST_CASE("The error has every problem, one a line", "[io]") {
  const InputErrors errors({{"a", 1, 2, "/x", "one"}, {"a", 3, 4, "", "two"}});
  CHECK(std::string(errors.what()) == "a:1:2: /x: one\na:3:4: two");
  REQUIRE(errors.problems().size() == 2);
  CHECK(errors.problems()[1].message == "two");
}
