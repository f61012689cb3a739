// The tree of JSON text and its places. What is JSON is RFC 8259; pointers are RFC 6901.
#include "io/json_document.hpp"

#include <string>

#include "catch.hpp"
#include "io/shown_text.hpp"

namespace {

namespace json = lashband::io::json;

const json::Object& object_of(const json::Value& value) {
  return std::get<json::Object>(value.data);
}
const json::List& list_of(const json::Value& value) {
  return std::get<json::List>(value.data);
}

/// The text that a value was read from.
std::string written(const std::string& text, const json::Value& value) {
  return text.substr(value.offset, value.length);
}

std::string only_problem(const std::string& text) {
  const json::Parsed parsed = json::parse(text);
  CHECK_FALSE(parsed.root);
  REQUIRE(parsed.problems.size() == 1);
  const json::LineAndColumn place = json::Places(text).at(parsed.problems[0].offset);
  return std::to_string(place.line) + ":" + std::to_string(place.column) + " " +
         parsed.problems[0].pointer + " " + parsed.problems[0].message;
}

}  // namespace

TEST_CASE("Values are read with their places", "[io]") {
  const std::string text =
      "\xEF\xBB\xBF // comment, with \"quotes\" {\r\n"
      "{ \"a\" /* : */ : [ 1, -2.5e-3 ,true,false , null, \"x\\\"y\\u00e9\" ], // ,\n"
      "  \"b\":{}, \"\":[[]] }\n/* end */";
  const json::Parsed parsed = json::parse(text);
  REQUIRE(parsed.root);
  CHECK(parsed.problems.empty());
  const json::Places places(text);
  CHECK(places.at(parsed.root->offset).line == 2);
  CHECK(places.at(parsed.root->offset).column == 1);

  const json::Object& root = object_of(*parsed.root);
  REQUIRE(root.size() == 3);
  CHECK(root[0].key == "a");
  CHECK(places.at(root[0].key_offset).column == 3);
  const json::List& list = list_of(root[0].value);
  REQUIRE(list.size() == 6);
  CHECK(std::get<double>(list[0].data) == 1.0);
  CHECK(std::get<double>(list[1].data) == -2.5e-3);
  CHECK(written(text, list[1]) == "-2.5e-3");
  CHECK(std::get<bool>(list[2].data));
  CHECK_FALSE(std::get<bool>(list[3].data));
  CHECK(std::holds_alternative<json::Null>(list[4].data));
  CHECK(std::get<std::string>(list[5].data) == "x\"y\u00e9");
  CHECK(written(text, list[2]) == "true");
  CHECK(written(text, list[5]) == "\"x\\\"y\\u00e9\"");
  CHECK(places.at(list[5].offset).column == 50);
  CHECK(object_of(root[1].value).empty());
  CHECK(places.at(root[1].value.offset).line == 3);
  CHECK(json::find(root, "")->key.empty());
  CHECK(json::find(root, "c") == nullptr);
}

TEST_CASE("Whole numbers beyond 64 bits are numbers too", "[io]") {
  const json::Parsed parsed = json::parse("[9007199254740993, -9223372036854775809, 1e-400, 1E+2]");
  REQUIRE(parsed.root);
  const json::List& list = list_of(*parsed.root);
  CHECK(std::get<double>(list[0].data) == 9007199254740992.0);
  CHECK(std::get<double>(list[1].data) == -9223372036854775808.0);
  CHECK(std::get<double>(list[2].data) == 0.0);
  CHECK(std::get<double>(list[3].data) == 100.0);
}

TEST_CASE("Columns count characters, not bytes", "[io]") {
  const std::string text = "{ \"\u00e4\u2744\U0001F6E0\": 1 }";
  const json::Parsed parsed = json::parse(text);
  REQUIRE(parsed.root);
  const json::Places places(text);
  CHECK(places.at(object_of(*parsed.root)[0].value.offset).column == 10);
  CHECK(places.at(text.size()).column == 13);
  CHECK(places.at(0).column == 1);
}

TEST_CASE("The byte order mark takes no column", "[io]") {
  const std::string text = "\xEF\xBB\xBF{";
  CHECK(json::Places(text).at(0).column == 1);
  CHECK(json::Places(text).at(3).column == 1);
  CHECK(json::Places(text).at(4).column == 2);
}

TEST_CASE("Keys that stand twice are reported with both places and the first is found", "[io]") {
  const std::string text = "{ \"a\": [ { \"x\": 1,\n \"x\": 2, \"x\": 3 } ], \"a\": 0 }";
  const json::Parsed parsed = json::parse(text);
  REQUIRE(parsed.root);
  REQUIRE(parsed.problems.size() == 3);
  CHECK(parsed.problems[0].pointer == "/a/0/x");
  CHECK(parsed.problems[0].message ==
        "read the key \"x\" again, which stands at line 1, column 12 already; allowed is each key "
        "once");
  CHECK(json::Places(text).at(parsed.problems[1].offset).column == 10);
  CHECK(parsed.problems[2].pointer == "/a");
  CHECK(std::get<double>(
            json::find(object_of(list_of(object_of(*parsed.root)[0].value)[0]), "x")->value.data) ==
        1.0);
}

TEST_CASE("What a key is decides its decoded text", "[io]") {
  const json::Parsed parsed = json::parse("{ \"a\": 1, \"\\u0061\": 2 }");
  CHECK(parsed.problems.size() == 1);
}

TEST_CASE("Pointers escape what RFC 6901 escapes", "[io]") {
  CHECK(json::pointer_to("/gears", std::size_t{3}) == "/gears/3");
  CHECK(json::pointer_to("", "a/b~c") == "/a~1b~0c");
  CHECK(json::pointer_to("/x", "") == "/x/");
}

TEST_CASE("Syntax errors name what a person sees", "[io]") {
  // One row for each branch that no file of tests/data/invalid reaches.
  CHECK_THAT(only_problem("\xEF\xBB"), ContainsText("read a byte that is no text"));
  CHECK_THAT(only_problem("{\"a\": \xE4}"), ContainsText("1:7 /a read the byte \\xe4"));
  CHECK_THAT(only_problem("{\"a\": truex}"), ContainsText("1:11  read x where a comma is missing"));
  CHECK_THAT(only_problem("{\"a\": tru}"), ContainsText("1:7 /a read tru; allowed are"));
  CHECK_THAT(only_problem("{\"a\": 1 \"b\": 2}"), ContainsText("1:9  read \"b\" where a comma"));
  CHECK_THAT(only_problem("{\"a\": 1 ]"), ContainsText("read ]; allowed is a comma or }"));
  CHECK_THAT(only_problem("[1, 2}"), ContainsText("read }; allowed is a comma or ]"));
  CHECK_THAT(only_problem("[,1]"), ContainsText("1:2  read ,; allowed is a value"));
  CHECK_THAT(only_problem("[1,,1]"), ContainsText("1:4  read ,; allowed is a value"));
  CHECK_THAT(only_problem("[1,"), ContainsText("the file ends within the list"));
  CHECK_THAT(only_problem("{\"a\""), ContainsText("the file ends within the object"));
  CHECK_THAT(only_problem("{\"a\":"), ContainsText("the file ends within the object"));
  CHECK_THAT(only_problem("{\"a\": 1,"), ContainsText("the file ends within the object"));
  CHECK_THAT(only_problem("{1: 2}"),
             ContainsText("read 1; allowed is a key in double quotes or }"));
  CHECK_THAT(only_problem("{\"a\": 1, b: 2}"), ContainsText("read b; allowed is a key in double"));
  CHECK_THAT(only_problem("{\"a\"= 1}"), ContainsText("read =; allowed is a colon"));
  CHECK_THAT(only_problem("{\"a\": .5}"), ContainsText("read .5, which is not a number"));
  CHECK_THAT(only_problem("{\"a\": -}"), ContainsText("read -, which is not a number"));
  CHECK_THAT(only_problem("{\"a\": 1e}"), ContainsText("read 1e, which is not a number"));
  CHECK_THAT(only_problem("{\"a\": 0x10}"), ContainsText("read 0x10, which is not a number"));
  CHECK_THAT(only_problem("{\"a\": -01}"), ContainsText("read -01, which is not a number"));
  CHECK_THAT(only_problem("{\"a\": 12abc}"), ContainsText("read 12abc, which is not a number"));
  CHECK_THAT(only_problem("{\"a\": -1e999}"),
             ContainsText("read -1e999; allowed are numbers up to"));
  CHECK_THAT(only_problem("{\"a\": / 1}"), ContainsText("read /; allowed are comments"));
  CHECK_THAT(only_problem("{\"a\": 1, / }"), ContainsText("read /; allowed are comments"));
  CHECK_THAT(only_problem("/* open"), ContainsText("1:1  the comment that begins here"));
  CHECK_THAT(only_problem("{} x"), ContainsText("read x after the end"));
  CHECK_THAT(only_problem("\u201ca\u201d"), ContainsText("read \u201c; allowed is one object"));
  CHECK_THAT(only_problem("[\"a"), ContainsText("the file ends within the string"));
  CHECK_THAT(only_problem("[\"a\\"), ContainsText("read \\ in a string"));
  CHECK_THAT(only_problem("[\"\\u12\"]"), ContainsText("in a string; allowed are the escapes"));
  CHECK_THAT(only_problem("[\"\\u12g4\"]"), ContainsText("in a string; allowed are the escapes"));
  CHECK_THAT(only_problem("[\"\\udc00\"]"), ContainsText("read \\udc00, half of a character"));
  CHECK_THAT(only_problem("[\"\\ud800\\ud800\"]"), ContainsText("1:3 "));
  CHECK_THAT(only_problem("[\"\\ud800\\n\"]"), ContainsText("half of a character"));
  CHECK_THAT(only_problem("[\"\\ud800"), ContainsText("the file ends within the string"));
  CHECK_THAT(only_problem("[\"\xC0\xAF\"]"), ContainsText("the byte \\xc0 in a string"));
  CHECK_THAT(only_problem("[\"\xED\xA0\x80\"]"), ContainsText("the byte \\xed in a string"));
  CHECK_THAT(only_problem(std::string("[1, \0]", 6)), ContainsText("read a zero byte"));
  CHECK_THAT(only_problem(std::string("[\"\0\"]", 5)), ContainsText("read a zero byte"));
  CHECK_THAT(only_problem(std::string("{} // \0", 7)), ContainsText("read a zero byte"));
  CHECK_THAT(only_problem(std::string("{}\0x", 4)), ContainsText("read a zero byte"));
}

TEST_CASE("Comments are skipped wherever blanks may stand", "[io]") {
  const std::string text = "/*a*/{/**//***/\"a\"/*b*/:/*c*/[/*d*/1/*e*/,//f\n2/*\ng\n*/]/*h*/}//i";
  const json::Parsed parsed = json::parse(text);
  REQUIRE(parsed.root);
  const json::List& list = list_of(object_of(*parsed.root)[0].value);
  CHECK(written(text, list[0]) == "1");
  CHECK(written(text, list[1]) == "2");
  // A comment to the end of its line ends at a carriage return as well.
  CHECK(json::parse("{ //a\r\"b\": 1 }").root);
}

TEST_CASE("Shown text is harmless and short", "[io]") {
  using lashband::io::in_quotes;
  using lashband::io::shown;
  CHECK(shown("plain \u00e9\u2744") == "plain \u00e9\u2744");
  CHECK(shown("a\tb\x1b\x7f") == "a\\u0009b\\u001b\\u007f");
  CHECK(shown("\u0085\u202e\u2028\ufeff") == "\\u0085\\u202e\\u2028\\ufeff");
  CHECK(shown("\xff\xc3") == "\\xff\\xc3");
  CHECK(in_quotes("x") == "\"x\"");
  CHECK(shown(std::string(61, 'x')) == std::string(60, 'x') + "\u2026");
  CHECK(shown(std::string(60, 'x')) == std::string(60, 'x'));
}

TEST_CASE("UTF-8 is told from other bytes", "[io]") {
  // Bounds of the forms of RFC 3629, section 4.
  const auto valid = [](const std::string& bytes) {
    const auto character = lashband::io::utf8_at(bytes, 0);
    return character.valid && character.bytes == bytes.size();
  };
  CHECK(valid("\x7f"));
  CHECK(valid("\xc2\x80"));
  CHECK(valid("\xdf\xbf"));
  CHECK(valid("\xe0\xa0\x80"));
  CHECK(valid("\xed\x9f\xbf"));
  CHECK(valid("\xee\x80\x80"));
  CHECK(valid("\xf0\x90\x80\x80"));
  CHECK(valid("\xf4\x8f\xbf\xbf"));
  CHECK_FALSE(valid("\x80"));
  CHECK_FALSE(valid("\xc1\xbf"));
  CHECK_FALSE(valid("\xe0\x9f\xbf"));
  CHECK_FALSE(valid("\xed\xa0\x80"));
  CHECK_FALSE(valid("\xf0\x8f\xbf\xbf"));
  CHECK_FALSE(valid("\xf4\x90\x80\x80"));
  CHECK_FALSE(valid("\xf8\x88\x80\x80"));
  CHECK_FALSE(valid("\xe2\x82"));
  CHECK_FALSE(valid("\xe2\x28\xa1"));
}
