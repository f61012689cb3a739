#include "band/random_counter.hpp"

#include <array>
#include <cmath>
#include <cstdint>
#include <vector>

#include "catch.hpp"

namespace {

using namespace lashband::band::kernel;

// A statistic this many standard deviations out comes once in 150000 trials; the seeds are fixed.
constexpr double sigmas = 4.5;

}  // namespace

TEST_CASE("the counter gives the numbers of SplitMix64") {
  // First outputs of SplitMix64 with the state 1234567, as published with many of its ports; from
  // memory.
  const std::array<std::uint64_t, 5> expected{6457827717110365317ULL, 3203168211198807973ULL,
                                              9817491932198370423ULL, 4593380528125082431ULL,
                                              16408922859458223821ULL};
  for (std::size_t i = 0; i < expected.size(); ++i) {
    CHECK(random_bits(1234567, i) == expected[i]);
  }
}

TEST_CASE("random numbers lie inside the unit interval and mirror exactly") {
  CHECK(unit_interval(0) == std::ldexp(1.0, -53));
  CHECK(unit_interval(~std::uint64_t{0}) == 1.0 - std::ldexp(1.0, -53));
  const std::uint64_t bits = random_bits(7, 3);
  CHECK(unit_interval(bits) + unit_interval(~bits) == 1.0);
}

TEST_CASE("random numbers are uniform and independent of their neighbours") {
  // Neighbours in the sequence, samples of one draw (a stride), and neighbouring seeds.
  constexpr std::uint64_t count = 1 << 18;
  const auto n = static_cast<double>(count);
  struct Order {
    const char* name;
    std::uint64_t stride;
    bool over_seeds;
  };
  for (const Order& order :
       {Order{"sequence", 1, false}, Order{"stride of 11", 11, false}, Order{"seeds", 1, true}}) {
    CAPTURE(order.name);
    std::vector<double> u;
    u.reserve(count);
    for (std::uint64_t i = 0; i < count; ++i) {
      u.push_back(unit_interval(order.over_seeds ? random_bits(key_of(i), 0)
                                                 : random_bits(key_of(42), i * order.stride)));
    }
    std::array<double, 3> moment{};
    std::array<double, 256> cell{};
    double serial = 0.0;
    for (std::uint64_t i = 0; i < count; ++i) {
      const double x = u[i] - 0.5;
      moment[0] += x;
      moment[1] += x * x;
      moment[2] += x * x * x;
      ++cell[static_cast<std::size_t>(u[i] * 256.0)];
      serial += x * (u[(i + 1) % count] - 0.5);
    }
    // Variances of x, x^2, x^3 and of a product of two x, x uniform over a unit length.
    CHECK(std::abs(moment[0]) < sigmas * std::sqrt(n / 12.0));
    CHECK(std::abs(moment[1] - n / 12.0) < sigmas * std::sqrt(n / 180.0));
    CHECK(std::abs(moment[2]) < sigmas * std::sqrt(n / 448.0));
    CHECK(std::abs(serial) < sigmas * std::sqrt(n / 144.0));
    double chi_square = 0.0;
    for (const double hits : cell) {
      chi_square += (hits - n / 256.0) * (hits - n / 256.0) / (n / 256.0);
    }
    // 255 degrees of freedom: mean 255, variance 510.
    CHECK(std::abs(chi_square - 255.0) < sigmas * std::sqrt(510.0));
  }
}
