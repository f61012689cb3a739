#include "report/terminal_table.hpp"

#include "catch.hpp"

using namespace lashband::report;

TEST_CASE("what would steer a terminal is made visible, the rest stays") {
  CHECK(printable("plain text, µm and ε_α") == "plain text, µm and ε_α");
  CHECK(printable("\x1b[31m") == "\xEF\xBF\xBD[31m");
  CHECK(printable("a\nb\tc\x7f") ==
        "a\xEF\xBF\xBD"
        "b\xEF\xBF\xBD"
        "c\xEF\xBF\xBD");
  CHECK(printable("\xE2\x80\xAE"
                  "abc") ==
        "\xEF\xBF\xBD"
        "abc");  // right-to-left override
  CHECK(printable("\xC2\x9B"
                  "2J") ==
        "\xEF\xBF\xBD"
        "2J");  // C1 control sequence introducer
}

TEST_CASE("columns are code points, not bytes") {
  CHECK(columns_of("α_wt") == 4);
  CHECK(columns_of("") == 0);
  CHECK(left("α", 3) == "α  ");
  CHECK(left("floating steel plate", 10) == "floating …");
  CHECK(columns_of(left("ααααααα", 4)) == 4);
  CHECK(right("1.5", 6) == "   1.5");
  CHECK(right("123456", 3) == "123456");  // a number is never cut
}

TEST_CASE("paragraphs break between words at 80 columns") {
  std::string text;
  for (int i = 0; i < 60; ++i) {
    text += i == 0 ? "word" : " word";
  }
  const std::string result = wrapped("  " + text, 4);
  CHECK(result.substr(0, 6) == "  word");
  std::size_t start = 0;
  for (std::size_t end = result.find('\n'); end != std::string::npos;
       start = end + 1, end = result.find('\n', start)) {
    CHECK(end - start <= terminal_width);
    if (start > 0) {
      CHECK(result.substr(start, 5) == "    w");
    }
  }
  CHECK(start == result.size());
  // A word longer than the line stands alone and is not cut.
  CHECK(wrapped(std::string(100, 'x'), 2) == std::string(100, 'x') + "\n");
  CHECK(wrapped("", 2) == "\n");
}
