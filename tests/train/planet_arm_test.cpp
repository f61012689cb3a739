#include "lashband/train/planet_arm.hpp"

#include "catch.hpp"
#include "lashband/error.hpp"
#include "made_trains.hpp"

using namespace lashband;
using namespace lashband::train;
using namespace lashband::train::test;

namespace {

enum Shaft : std::size_t { sun, planet, ring, second_ring };

// A simple planetary stage, seen from the arm: sun 24, planet 18, ring 60.
Train simple_stage() {
  return Train({"sun", "planet", "ring"},
               {mesh("sun-planet", sun, planet, 24, 18),
                mesh("planet-ring", planet, ring, 18, 60, Mesh::Kind::internal)});
}

}  // namespace

TEST_CASE("epicyclic ratios as textbooks have them") {
  // Every textbook of mechanisms has these of a simple stage (from memory), with z_s, z_r the teeth
  // of sun and ring:
  //   ring held   n_sun / n_arm  = 1 + z_r / z_s
  //   sun held    n_ring / n_arm = 1 + z_s / z_r
  //   arm held    n_sun / n_ring = -z_r / z_s
  const Train stage = simple_stage();
  const SpeedOrders ring_held = speed_orders(stage, PlanetArm{ring}, {});
  CHECK(ring_held.arm == 1);
  CHECK(*ring_held.shaft[sun] == 1 + ExactRatio(60, 24));
  CHECK(*ring_held.shaft[ring] == 0);
  // The planet, in the same books: n_planet / n_arm = 1 - z_r / z_p with the ring held.
  CHECK(*ring_held.shaft[planet] == 1 - ExactRatio(60, 18));

  const SpeedOrders sun_held = speed_orders(stage, PlanetArm{sun}, {});
  CHECK(*sun_held.shaft[ring] == 1 + ExactRatio(24, 60));
  CHECK(*sun_held.shaft[planet] == 1 + ExactRatio(24, 18));

  const SpeedOrders arm_held = speed_orders(stage, std::nullopt, {ring});
  CHECK(*arm_held.shaft[sun] == -ExactRatio(60, 24));
  CHECK(arm_held.arm == 0);
}

TEST_CASE("the same speeds referred to a shaft") {
  const SpeedOrders to_sun = speed_orders(simple_stage(), PlanetArm{ring}, {sun});
  CHECK(*to_sun.shaft[sun] == 1);
  CHECK(to_sun.arm == 1 / (1 + ExactRatio(60, 24)));
  CHECK(*to_sun.shaft[ring] == 0);
}

TEST_CASE("a differential with two rings is reduced by the difference of their ratios") {
  // Compound planet with two rings (textbook, from memory): ring held, n_ring2 / n_arm =
  // 1 - (z_r1 z_p2) / (z_p1 z_r2).
  const Train stage(
      {"sun", "planet", "ring", "ring 2"},
      {mesh("s", sun, planet, 24, 18), mesh("r1", planet, ring, 18, 60, Mesh::Kind::internal),
       mesh("r2", planet, second_ring, 19, 61, Mesh::Kind::internal)});
  const SpeedOrders orders = speed_orders(stage, PlanetArm{ring}, {});
  CHECK(*orders.shaft[second_ring] == 1 - ExactRatio(60 * 19, 18 * 61));
}

TEST_CASE("shafts of other groups have no speed") {
  const Train two(names(4), {mesh("a", 0, 1, 20, 40), mesh("b", 2, 3, 20, 60)});
  const SpeedOrders fixed = speed_orders(two, std::nullopt, {2});
  CHECK_FALSE(fixed.shaft[0].has_value());
  CHECK(*fixed.shaft[3] == ExactRatio(-1, 3));
  const SpeedOrders carried = speed_orders(two, PlanetArm{0}, {});
  CHECK(*carried.shaft[1] == 1 + ExactRatio(1, 2));
  CHECK_FALSE(carried.shaft[3].has_value());
}

TEST_CASE("speeds that nothing gives are refused") {
  const Train stage = simple_stage();
  CHECK_THROWS_MATCHES(speed_orders(stage, PlanetArm{ring}, {ring}), DomainError,
                       Message("speeds cannot be referred to shaft 'ring': it is held"));
  CHECK_THROWS_MATCHES(speed_orders(stage, std::nullopt, {}), DomainError,
                       Message("speeds cannot be referred to an arm: there is none"));
  CHECK_THROWS_MATCHES(speed_orders(stage, PlanetArm{3}, {}), DomainError,
                       Message("there is no shaft 3 among 3"));
  CHECK_THROWS_AS(speed_orders(stage, std::nullopt, {9}), DomainError);
  CHECK_THROWS_AS(speed_orders(stage, PlanetArm{0}, {9}), DomainError);
  const Train level({"sun", "planet", "sun 2"}, {mesh("a", 0, 1, 24, 18), mesh("b", 1, 2, 18, 24)});
  CHECK_THROWS_MATCHES(speed_orders(level, PlanetArm{0}, {2}), DomainError,
                       Message("nothing can turn: shaft 'sun 2' turns exactly as the held shaft "
                               "'sun' against the arm"));
  const Train two(names(4), {mesh("a", 0, 1, 20, 40), mesh("b", 2, 3, 20, 60)});
  CHECK_THROWS_MATCHES(speed_orders(two, PlanetArm{0}, {2}), DomainError,
                       Message("no way over meshes joins the held shaft 'S0' to shaft 'S2', to "
                               "which speeds are referred"));
}
