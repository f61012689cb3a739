#include "report/failure_probability.hpp"

#include "catch.hpp"
#include "made_results.hpp"

using namespace lashband;
using namespace lashband::report;

TEST_CASE("a probability is written as 0 or 1 only where it is that") {
  CHECK(probability_text(0.0, false) == "0");
  CHECK(probability_text(0.0, true) == "none");
  CHECK(probability_text(1e-13, false) == "<1e-12");
  CHECK(probability_text(1e-300, true) == "<1e-12");
  CHECK(probability_text(1e-12, false) == "1.0e-12");
  CHECK(probability_text(2.34e-8, false) == "2.3e-08");
  CHECK(probability_text(0.00125, false) == "0.0013");
  CHECK(probability_text(0.0312, false) == "0.031");
  CHECK(probability_text(0.5, false) == "0.500");
  CHECK(probability_text(0.99951, false) == ">0.999");
  CHECK(probability_text(1.0, false) == "1");
  // What no probability can be is shown as it is.
  CHECK(probability_text(-0.25, false) == "-2.5e-01");
}

TEST_CASE("a fault has no probability where no distribution was worked out") {
  const design::MeshResult bare = test::bare_mesh("m");
  for (const Fault fault : all_faults) {
    CHECK_FALSE(probability(bare.states[0], fault).has_value());
    CHECK_FALSE(most_likely(bare, fault).has_value());
    CHECK_FALSE(anywhere(bare, fault).has_value());
  }
  CHECK_FALSE(has_distribution(bare.states[0]));
}

TEST_CASE("a fault is most likely at the state of its greatest probability") {
  design::MeshResult mesh = test::full_mesh("m");
  mesh.states[2].failure = {0.25, 0.5, 0.125};
  const auto binds = most_likely(mesh, Fault::binds);
  REQUIRE(binds.has_value());
  CHECK(binds->probability == 0.25);
  CHECK(binds->state == 2);
  const auto below = most_likely(mesh, Fault::below_least);
  REQUIRE(below.has_value());
  CHECK(below->probability == 0.5);
  CHECK(below->state == 2);
  const auto above = most_likely(mesh, Fault::above_greatest);
  REQUIRE(above.has_value());
  CHECK(above->state == 0);
  mesh.anywhere->below_least.reset();
  CHECK_FALSE(anywhere(mesh, Fault::below_least).has_value());
  CHECK(anywhere(mesh, Fault::binds)->standard_error == mesh.anywhere->binds.standard_error);
}
