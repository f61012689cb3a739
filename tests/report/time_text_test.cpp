#include "report/time_text.hpp"

#include <limits>

#include "catch.hpp"
#include "report/state_text.hpp"
#include "report/terminal_table.hpp"

using namespace lashband;

namespace {

std::string words(double seconds) {
  return report::time_words(units::from_si<units::Time>(seconds));
}

design::State moment(const std::string& history, const std::string& number, double seconds) {
  return {history + " at " + number + " s",
          history,
          0,
          thermal::TemperatureState::uniform(1, units::celsius(20.0)),
          units::from_si<units::Time>(seconds),
          {}};
}

}  // namespace

TEST_CASE("a time in words has the units that it needs and no more digits than matter") {
  CHECK(words(0.0) == "0 s");
  CHECK(words(0.004) == "0.004 s");
  CHECK(words(12.345) == "12.345 s");
  CHECK(words(60.0) == "1 min");
  CHECK(words(140.25) == "2 min 20.3 s");
  CHECK(words(843.4) == "14 min 3 s");
  CHECK(words(3600.0) == "1 h");
  CHECK(words(8430.0) == "2 h 20 min 30 s");
  CHECK(words(3.0 * 3600.0 + 7.0) == "3 h 7 s");
  CHECK(words(47.0 * 3600.0) == "47 h");
  CHECK(words(48.0 * 3600.0) == "2 d");
  CHECK(words(86400.0 * 3.0 + 4.0 * 3600.0) == "3 d 4 h");
  CHECK(words(-90.0) == "-1 min 30 s");
}

TEST_CASE("rounding a time goes on into the next unit") {
  CHECK(words(59.9996) == "1 min");
  CHECK(words(119.96) == "2 min");
  CHECK(words(599.97) == "10 min");
  CHECK(words(3599.6) == "1 h");
  CHECK(words(-0.0001) == "0 s");
}

TEST_CASE("a time that no history has is a number of seconds") {
  CHECK(words(1e13) == "10000000000000 s");
}

TEST_CASE("the name of a moment keeps its time and cuts that of its history") {
  const design::State state = moment("cold start", "140.25", 140.25);
  CHECK(report::state_label(state, 22) == "cold start at 140.25 s");
  CHECK(report::state_label(state, 19) == "cold start 140 s   ");
  CHECK(report::state_label(state, 13) == "cold s… 140 s");
  CHECK(report::state_label(moment("cold start", "1.5", 1.5), 14) == "cold st… 1.5 s");
  CHECK(report::state_label(moment("cold start", "86400", 86400.0), 9) == "86400 s  ");
  for (std::size_t width = 2; width < 40; ++width) {
    CHECK(report::columns_of(report::state_label(state, width)) == width);
  }
}

TEST_CASE("the name of any other state is cut at its end") {
  design::State state = moment("x", "1", 1.0);
  state.id = "running hot, gears lead the case";
  state.condition = state.id;
  state.time.reset();
  CHECK(report::state_label(state, 13) == "running hot,…");
  CHECK(report::state_label({state}, state.id, 13) == "running hot,…");
  CHECK(report::state_label({state}, "unknown", 9) == "unknown  ");
  CHECK(report::state_of({state}, "unknown") == nullptr);
}
