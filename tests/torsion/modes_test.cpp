#include "torsion/modes.hpp"

#include <cmath>
#include <limits>

#include "catch.hpp"
#include "lashband/error.hpp"
#include "made_systems.hpp"

using namespace lashband;
using namespace lashband::test;
using namespace lashband::torsion::kernel;

namespace {

// Digits of a frequency of few inertias.
constexpr double rounding = 1e-13;
// The r-th mode lies within this distance, relative, if at most r are below the one end and more
// than r below the other.
constexpr double count_distance = 1e-11;
// Promised in the header, relative to |K| |theta|.
constexpr double promised_residual = 1e-10;
// Six digits from a difference quotient of functions of thirteen digits.
constexpr double difference_quotient = 1e-6;

double hertz(double omega) {
  return omega / (2.0 * pi);
}

std::vector<double> omegas(const System& system) {
  std::vector<double> result;
  for (const Mode& mode : modes(system)) {
    result.push_back(mode.omega);
  }
  return result;
}

// k of a piece of shaft, N m/rad.
double shaft_stiffness(double shear_modulus, double diameter, double length) {
  return shear_modulus * pi * std::pow(diameter, 4) / 32.0 / length;
}

System chain(const std::vector<double>& inertias, const std::vector<double>& stiffnesses) {
  System system{inertias, {}};
  for (std::size_t i = 0; i < stiffnesses.size(); ++i) {
    system.elements.push_back(shaft(i, i + 1, spring(stiffnesses[i])));
  }
  return system;
}

System three_rotors(double factor) {
  const double G = 84e9;
  return chain({0.15 * factor, 0.30 * factor, 0.09 * factor},
               {shaft_stiffness(G, 0.07, 1.5), shaft_stiffness(G, 0.07, 1.0)});
}

long double norm(const Dense<long double>& A) {
  long double greatest = 0.0L;
  for (const auto& row : A) {
    long double sum = 0.0L;
    for (const long double value : row) {
      sum += std::fabs(value);
    }
    greatest = std::max(greatest, sum);
  }
  return greatest;
}

// |K phi - omega^2 M phi| / (|K| |phi|) with the storage stiffness at the mode's frequency.
double residual(const System& system, const Mode& mode) {
  const auto whole = storage_matrix(system, mode.omega > 0.0 ? mode.omega : 1e-6L);
  System weightless = system;
  weightless.inertias.assign(system.inertias.size(), 0.0);
  const long double K = norm(storage_matrix(weightless, mode.omega > 0.0 ? mode.omega : 1e-6L));
  long double greatest = 0.0L;
  long double most = 0.0L;
  for (std::size_t i = 0; i < whole.size(); ++i) {
    long double sum = 0.0L;
    for (std::size_t j = 0; j < whole.size(); ++j) {
      sum += whole[i][j] * mode.shape[j];
    }
    greatest = std::max(greatest, std::fabs(sum));
    most = std::max(most, std::fabs(static_cast<long double>(mode.shape[i])));
  }
  return static_cast<double>(greatest / (K * most));
}

double inertia_product(const System& system, const Mode& one, const Mode& other) {
  double sum = 0.0;
  for (std::size_t i = 0; i < system.inertias.size(); ++i) {
    sum += system.inertias[i] * one.shape[i] * other.shape[i];
  }
  return sum;
}

// Shares, signs and norms that every mode has.
void check_shape(const System& system, const Mode& mode) {
  CHECK_THAT(inertia_product(system, mode, mode), WithinRel(1.0, rounding));
  double greatest = 0.0;
  for (const double angle : mode.shape) {
    greatest = std::fabs(angle) > std::fabs(greatest) ? angle : greatest;
  }
  CHECK(greatest > 0.0);
  double kinetic = 0.0;
  for (const double share : mode.kinetic) {
    CHECK(share >= 0.0);
    kinetic += share;
  }
  CHECK_THAT(kinetic, WithinRel(1.0, rounding));
  double strain = 0.0;
  for (const double share : mode.strain) {
    CHECK(share >= 0.0);
    strain += share;
  }
  if (mode.strain.empty()) {  // a free motion
    CHECK(mode.omega == 0.0);
  } else {
    CHECK(mode.strain.size() == system.elements.size());
    CHECK_THAT(strain, WithinRel(1.0, rounding));
  }
}

}  // namespace

TEST_CASE("three rotors on a stepped shaft") {
  const std::vector<Mode> found = modes(three_rotors(1.0));
  REQUIRE(found.size() == 3);
  CHECK(found[0].omega == 0.0);
  // Published (textbook question on web pages, the book not identified): 171 Hz and 277 Hz, whole
  // numbers rounded; 171 is 0.18 % above the exact 170.69.
  CHECK_THAT(hertz(found[1].omega), WithinRel(171.0, 0.002));
  CHECK_THAT(hertz(found[2].omega), WithinRel(277.0, 0.002));
  // Computed once more beside them, six and seven digits.
  CHECK_THAT(hertz(found[1].omega), WithinAbs(170.6877, 5e-5));
  CHECK_THAT(hertz(found[2].omega), WithinAbs(277.0340, 5e-5));
  // Published (the same pages, the power of ten misprinted as +6): 2.36e-6 m4;
  // computed 2.357176e-6.
  const double second_moment = shaft_stiffness(1.0, 0.07, 1.0);
  CHECK_THAT(second_moment, WithinAbs(2.36e-6, 0.005e-6));
  CHECK_THAT(second_moment, WithinAbs(2.357176e-6, 5e-13));
  // Computed: shapes with the left rotor at 1.
  const auto shape = [&found](std::size_t mode, std::size_t i) {
    return found[mode].shape[i] / found[mode].shape[0];
  };
  CHECK_THAT(shape(1, 1), WithinAbs(-0.307000, 5e-7));
  CHECK_THAT(shape(1, 2), WithinAbs(-0.643335, 5e-7));
  CHECK_THAT(shape(2, 1), WithinAbs(-2.443000, 5e-7));
  CHECK_THAT(shape(2, 2), WithinAbs(6.476668, 5e-7));
  // Published (the same pages): nodes at 1.146 m, and at 0.4356 m and 0.726 m from the ends; the
  // pages round as they go, up to 0.15 %. Computed 1.147667, 0.435667, 0.726111.
  const auto node = [](double length, double left, double right) {
    return length * left / (left - right);
  };
  CHECK_THAT(node(1.5, 1.0, shape(1, 1)), WithinRel(1.146, 0.0016));
  CHECK_THAT(node(1.5, 1.0, shape(1, 1)), WithinAbs(1.147667, 5e-7));
  CHECK_THAT(node(1.5, 1.0, shape(2, 1)), WithinRel(0.4356, 0.0003));
  CHECK_THAT(node(1.5, 1.0, shape(2, 1)), WithinAbs(0.435667, 5e-7));
  CHECK_THAT(node(1.0, shape(2, 2), shape(2, 1)), WithinRel(0.726, 0.0003));
  CHECK_THAT(node(1.0, shape(2, 2), shape(2, 1)), WithinAbs(0.726111, 5e-7));
  // Exact: twice the inertias lower every frequency by the root of two.
  const std::vector<double> heavy = omegas(three_rotors(2.0));
  CHECK_THAT(hertz(heavy[1]), WithinAbs(120.6944, 5e-5));
  CHECK_THAT(hertz(heavy[2]), WithinAbs(195.8926, 5e-5));
}

TEST_CASE("a chain of three by Holzer's method") {
  // Exact: roots of 5e5 and 1.5e6, shapes 1, 0, -2 and 1, -2, 1. The inputs are from memory (Rao,
  // Mechanical Vibrations, example of Holzer's method).
  const std::vector<Mode> found = modes(chain({8.0, 6.0, 4.0}, {4e6, 2e6}));
  CHECK_THAT(found[1].omega, WithinRel(std::sqrt(5e5), rounding));
  CHECK_THAT(found[2].omega, WithinRel(std::sqrt(1.5e6), rounding));
  CHECK_THAT(found[1].omega, WithinAbs(707.1068, 5e-5));
  CHECK_THAT(found[2].omega, WithinAbs(1224.7449, 5e-5));
  CHECK_THAT(found[1].shape[1] / found[1].shape[2], WithinAbs(0.0, rounding));
  CHECK_THAT(found[1].shape[0] / found[1].shape[2], WithinRel(-0.5, rounding));
  CHECK_THAT(found[2].shape[0] / found[2].shape[1], WithinRel(-0.5, rounding));
  CHECK_THAT(found[2].shape[2] / found[2].shape[1], WithinRel(-0.5, rounding));
}

TEST_CASE("equal rotors on equal shafts") {
  // Exact: 2 sqrt(k/J) sin(r pi / 2n); of six to six digits.
  const std::vector<double> six = omegas(chain(std::vector<double>(6, 1.0), {1, 1, 1, 1, 1}));
  const double printed[] = {0.0, 0.517638, 1.0, 1.414214, 1.732051, 1.931852};
  for (std::size_t r = 0; r < 6; ++r) {
    CHECK_THAT(six[r], WithinAbs(printed[r], 5.1e-7));
  }
  for (const std::size_t n : {2U, 3U, 6U, 40U, 200U}) {
    INFO(n << " rotors");
    const std::vector<double> found =
        omegas(chain(std::vector<double>(n, 2.0), std::vector<double>(n - 1, 50.0)));
    REQUIRE(found.size() == n);
    CHECK(found[0] == 0.0);
    for (std::size_t r = 1; r < n; ++r) {
      const double angle = static_cast<double>(r) * pi / (2.0 * static_cast<double>(n));
      CHECK_THAT(found[r], WithinRel(10.0 * std::sin(angle), rounding));
    }
  }
}

TEST_CASE("two rotors joined by gears") {
  const double G = 84e9;
  const double k1 = shaft_stiffness(G, 0.06, 0.3);
  const double k2 = shaft_stiffness(G, 0.1, 0.6);
  CHECK_THAT(k1, WithinAbs(356256.607, 5e-4));
  CHECK_THAT(k2, WithinAbs(1374446.786, 5e-4));
  // Two massless gears, which a mesh joins that is as good as rigid.
  System gears{{400.0, 0.0, 0.0, 1500.0}, {}};
  gears.elements = {
      shaft(0, 1, spring(k1)), {1, 0.1, 2, 0.3, spring(1e20)}, shaft(2, 3, spring(k2))};
  // Exact: J_eq = 1500/9, k_eq of the shafts in series, sqrt(k_eq (J1 + J_eq) / (J1 J_eq)).
  const std::vector<double> found = omegas(gears);
  REQUIRE(found.size() == 2);
  CHECK(found[0] == 0.0);
  CHECK_THAT(found[1], WithinAbs(30.142988, 5e-7));
  CHECK_THAT(hertz(found[1]), WithinAbs(4.797406, 5e-7));
  // Computed independently: elastic meshes between gears of 0.01 and 0.05 kg m2.
  gears.inertias[1] = 0.01;
  gears.inertias[2] = 0.05;
  const std::pair<double, double> rows[] = {{1e8, 4.559879}, {1e10, 4.794844}, {1e12, 4.797380}};
  for (const auto& [mesh, expected] : rows) {
    gears.elements[1].law = spring(mesh);
    CHECK_THAT(hertz(omegas(gears)[1]), WithinAbs(expected, 5e-7));
  }
}

TEST_CASE("two wheels on a mesh resonate at the main resonance speed") {
  // Exact: solid steel wheels of 30 and 60 teeth, module 3, 7830 kg/m3, c = 20 N/(mm um), b = 20
  // mm. m_red 0.02256446 kg/mm, n_E1 = 9476.6014 rpm, 4738.3007 Hz.
  const double density = 7830.0;
  const double width = 0.02;
  const auto disc = [&](double radius) { return 0.5 * pi * density * width * std::pow(radius, 4); };
  const double cosine = std::cos(20.0 * pi / 180.0);
  // Discs up to the pitch circle.
  const System pair{{disc(0.045), disc(0.09)},
                    {{0, 0.045 * cosine, 1, 0.09 * cosine, spring(20e9 * width)}}};
  const std::vector<double> found = omegas(pair);
  CHECK(found[0] == 0.0);
  CHECK_THAT(hertz(found[1]), WithinAbs(4738.3007, 5e-5));
  CHECK_THAT(60.0 * hertz(found[1]) / 30.0, WithinAbs(9476.6014, 5e-5));
}

TEST_CASE("modes of random trees are all there and where they belong") {
  for (unsigned seed = 1; seed <= 24; ++seed) {
    const std::size_t n = seed == 24 ? 200 : 2 + 4 * (seed % 12);
    const double span = seed % 3 == 1 ? 1.0 : 1e8;
    INFO("seed " << seed << ", " << n << " inertias, span " << span);
    const System tree = random_tree(seed, n, span);
    const std::vector<Mode> found = modes(tree);
    REQUIRE(found.size() == n);
    CHECK(found[0].omega == 0.0);
    CHECK(found[0].strain.empty());
    const auto free = free_motions(tree);
    const double factor = found[0].shape[0] / free[0][0];
    for (std::size_t i = 0; i < n; ++i) {
      CHECK_THAT(found[0].shape[i], WithinRel(factor * free[0][i], rounding));
    }
    for (std::size_t r = 0; r < n; ++r) {
      check_shape(tree, found[r]);
      CHECK(residual(tree, found[r]) < promised_residual);
      if (r > 0) {
        CHECK_THAT(inertia_product(tree, found[0], found[r]), WithinAbs(0.0, rounding));
        CHECK(modes_of_tree_below(tree, found[r].omega * (1.0 - count_distance)) <= r);
        CHECK(modes_of_tree_below(tree, found[r].omega * (1.0 + count_distance)) > r);
      }
    }
  }
}

TEST_CASE("modes of random closed trains are all there and where they belong") {
  for (unsigned seed = 1; seed <= 12; ++seed) {
    const std::size_t n = seed == 12 ? 60 : 3 + 3 * seed;
    const double span = 1e4;
    INFO("seed " << seed << ", " << n << " inertias");
    System train = closed_train(seed, n, 1 + n / 3, span);
    const bool held = seed % 3 == 0;
    if (held) {
      train.elements.push_back(to_case(n / 2, spring(1e4)));
    }
    const std::vector<Mode> found = modes(train);
    REQUIRE(found.size() == n);
    CHECK((found[0].omega == 0.0) == !held);
    for (std::size_t r = 0; r < n; ++r) {
      check_shape(train, found[r]);
      CHECK(residual(train, found[r]) < promised_residual);
      if (found[r].omega > 0.0) {
        // The dense count loses digits to great stiffnesses in sums.
        constexpr double distance = 1e-10;
        const double omega = found[r].omega;
        CHECK(negative_count(storage_matrix(train, omega * (1.0 - distance))) == r);
        CHECK(negative_count(storage_matrix(train, omega * (1.0 + distance))) == r + 1);
      }
    }
  }
}

TEST_CASE("equal branches of a star have equal modes") {
  // Six arms on a hub: exact, five modes of sqrt(k/J) and one with the hub against all.
  System star{{3.0}, {}};
  for (std::size_t i = 1; i <= 6; ++i) {
    star.inertias.push_back(0.5);
    star.elements.push_back(shaft(0, i, spring(200.0)));
  }
  const std::vector<Mode> found = modes(star);
  CHECK(found[0].omega == 0.0);
  for (std::size_t r = 1; r <= 5; ++r) {
    CHECK_THAT(found[r].omega, WithinRel(20.0, rounding));
    for (std::size_t s = 0; s < r; ++s) {
      CHECK_THAT(inertia_product(star, found[r], found[s]), WithinAbs(0.0, rounding));
    }
    CHECK_THROWS_AS(sensitivity(star, found, r), ComputationError);
  }
  CHECK_THAT(found[6].omega, WithinRel(20.0 * std::sqrt(2.0), rounding));
  CHECK(sensitivity(star, found, 6).by_stiffness.size() == 6);
}

TEST_CASE("a train in parts has a free motion for each") {
  System train = chain({1.0, 2.0, 3.0, 4.0}, {100.0, 0.0, 50.0});
  const std::vector<Mode> found = modes(train);
  REQUIRE(found.size() == 4);
  CHECK(found[0].omega == 0.0);
  CHECK(found[1].omega == 0.0);
  CHECK_THAT(found[2].omega, WithinRel(std::sqrt(50.0 * (1.0 / 3.0 + 0.25)), rounding));
  CHECK_THAT(found[3].omega, WithinRel(std::sqrt(150.0), rounding));
  CHECK_THAT(inertia_product(train, found[0], found[1]), WithinAbs(0.0, rounding));
  // Two great inertias on a soft shaft beside a free one, and nothing else.
  CHECK(omegas(System{{7.0}, {}}) == std::vector<double>{0.0});
}

TEST_CASE("massless inertias follow the others") {
  // Exact: springs in series, 1/(1/300 + 1/600 + 1/200) = 100, between 2 and 3 kg m2.
  const std::vector<Mode> found = modes(chain({2.0, 0.0, 0.0, 3.0}, {300.0, 600.0, 200.0}));
  REQUIRE(found.size() == 2);
  CHECK(found[0].omega == 0.0);
  CHECK_THAT(found[1].omega, WithinRel(std::sqrt(100.0 * (0.5 + 1.0 / 3.0)), rounding));
  // The force is the same along the chain.
  CHECK_THAT(found[1].strain[0], WithinRel(1.0 / 3.0, rounding));
  CHECK_THAT(found[1].strain[1], WithinRel(1.0 / 6.0, rounding));
  CHECK_THAT(found[1].strain[2], WithinRel(0.5, rounding));
  for (unsigned seed = 1; seed <= 10; ++seed) {
    INFO("seed " << seed);
    System tree = random_tree(seed, 30, 1e8);
    std::size_t massless = 0;
    for (std::size_t i = seed % 3; i < tree.inertias.size(); i += 3) {
      tree.inertias[i] = 0.0;
      ++massless;
    }
    const std::vector<Mode> all = modes(tree);
    REQUIRE(all.size() == 30 - massless);
    CHECK(all[0].omega == 0.0);
    for (std::size_t r = 0; r < all.size(); ++r) {
      check_shape(tree, all[r]);
      CHECK(residual(tree, all[r]) < promised_residual);
      if (r > 0) {
        CHECK(modes_of_tree_below(tree, all[r].omega * (1.0 - count_distance)) <= r);
        CHECK(modes_of_tree_below(tree, all[r].omega * (1.0 + count_distance)) > r);
      }
    }
  }
}

TEST_CASE("a massless inertia that nothing holds is an error") {
  const auto refused = [](const System& system, const std::string& part) {
    CHECK_THROWS_AS(modes(system), ComputationError);
    CHECK_THROWS_WITH(modes(system), ContainsText(part));
    CHECK_THROWS_AS(damped_modes(system), ComputationError);
  };
  refused({{1.0, 0.0}, {}}, "inertia 1: it is 0 kg m2, and no stiffness holds it");
  refused({{1.0, 0.0}, {shaft(0, 1, damper(3.0))}}, "inertia 1");
  refused({{1.0, 0.0, 0.0}, {shaft(1, 2, spring(3.0)), shaft(0, 1, spring(0.0))}}, "inertia 1");
  CHECK(omegas({{1.0, 0.0}, {shaft(0, 1, spring(3.0))}}) == std::vector<double>{0.0});
  CHECK(modes({{0.0, 0.0}, {shaft(0, 1, spring(3.0)), to_case(0, spring(3.0))}}).empty());
  CHECK(damped_modes({{0.0}, {to_case(0, spring(3.0)), to_case(0, damper(3.0))}}).empty());
}

TEST_CASE("modes with branches stand at their own frequencies") {
  for (unsigned seed = 1; seed <= 40; ++seed) {
    const std::size_t n = seed == 40 ? 80 : 2 + seed / 2;
    INFO("seed " << seed << ", " << n << " inertias");
    System tree = random_tree(seed, n, seed % 2 == 0 ? 1e8 : 10.0);
    Draw draw(seed + 50);
    for (Element& element : tree.elements) {
      // Some hold by branches alone; rates all over the range of the modes.
      const double k = element.law.stiffness;
      if (draw.below(3) != 0) {
        element.law.branches = {{k * draw.over(0.1, 100.0), draw.over(1e-8, 10.0)},
                                {k * draw.over(0.1, 100.0), draw.over(1e-8, 10.0)}};
        element.law.stiffness *= draw.below(6) == 0 ? 0.0 : 1.0;
      }
    }
    if (seed % 4 == 1) {
      tree.inertias[n / 2] = 0.0;
    }
    const std::vector<Mode> found = modes(tree);
    REQUIRE(found.size() == (seed % 4 == 1 ? n - 1 : n));
    CHECK(found[0].omega == 0.0);
    for (std::size_t r = 1; r < found.size(); ++r) {
      check_shape(tree, found[r]);
      if (found[r].omega == 0.0) {
        // Held by branches alone: below any frequency.
        CHECK(modes_of_tree_below(tree, 1e-6 * found.back().omega) > r);
        continue;
      }
      CHECK(residual(tree, found[r]) < promised_residual);
      CHECK(modes_of_tree_below(tree, found[r].omega * (1.0 - count_distance)) <= r);
      CHECK(modes_of_tree_below(tree, found[r].omega * (1.0 + count_distance)) > r);
    }
  }
}

TEST_CASE("a mode that a branch alone holds swings, or is too sluggish to") {
  // Exact: J omega^2 = k w^2/(1 + w^2), w = omega tau: omega^2 = k/J - 1/tau^2, if above 0.
  System system{{2.0}, {}};
  Law law;
  law.branches = {{50.0, 0.5}};
  system.elements = {to_case(0, law)};
  CHECK_THAT(omegas(system)[0], WithinRel(std::sqrt(25.0 - 4.0), rounding));
  system.elements[0].law.branches[0].relaxation_time = 0.2 * (1.0 + 1e-6);
  CHECK_THAT(omegas(system)[0], WithinRel(std::sqrt(25.0 - 25.0 / std::pow(1.0 + 1e-6, 2)), 1e-9));
  system.elements[0].law.branches[0].relaxation_time = 0.19;
  const std::vector<Mode> found = modes(system);
  REQUIRE(found.size() == 1);
  CHECK(found[0].omega == 0.0);
  // It strains its element: no free motion.
  CHECK(found[0].strain == std::vector<double>{1.0});
  CHECK(free_motions(system).empty());
  // Beside others it is counted and they are found.
  System both = chain({1.0, 2.0, 2.0}, {100.0, 300.0});
  law.branches = {{10.0, 1e-3}};
  both.elements.push_back(to_case(1, law));
  const std::vector<double> all = omegas(both);
  REQUIRE(all.size() == 3);
  CHECK(all[0] == 0.0);
  for (std::size_t r = 1; r < 3; ++r) {
    CHECK(negative_count(storage_matrix(both, all[r] * (1.0 - 1e-11))) == r);
    CHECK(negative_count(storage_matrix(both, all[r] * (1.0 + 1e-11))) == r + 1);
  }
}

TEST_CASE("equal modes with branches are found each") {
  // Exact: four arms on a hub; three modes of k'(omega) / J, the arms against each other.
  System star{{3.0}, {}};
  Law law = spring(200.0);
  law.branches = {{300.0, 0.04}};
  for (std::size_t i = 1; i <= 4; ++i) {
    star.inertias.push_back(0.5);
    star.elements.push_back(shaft(0, i, law));
  }
  const std::vector<Mode> found = modes(star);
  REQUIRE(found.size() == 5);
  CHECK(found[0].omega == 0.0);
  for (std::size_t r = 1; r < 5; ++r) {
    const double factor = r == 4 ? 1.0 + 4.0 * 0.5 / 3.0 : 1.0;
    const double omega = found[r].omega;
    CHECK_THAT(omega * omega * 0.5,
               WithinRel(factor * dynamic_stiffness(law, omega).real(), rounding));
  }
  CHECK_THAT(found[3].omega, WithinRel(found[1].omega, rounding));
  CHECK(found[4].omega > found[3].omega);
}

TEST_CASE("sensitivities of modes are slopes") {
  for (unsigned seed = 1; seed <= 8; ++seed) {
    INFO("seed " << seed);
    System system = closed_train(seed, 7, 2, 100.0);
    if (seed % 2 == 0) {
      for (Element& element : system.elements) {
        element.law.branches = {{element.law.stiffness, 1e-3}, {element.law.stiffness, 1e-4}};
      }
    }
    if (seed % 4 < 2) {
      system.inertias[2] = 0.0;
    }
    const std::vector<Mode> found = modes(system);
    for (std::size_t r = 1; r < found.size(); ++r) {
      const ModeSensitivity slopes = sensitivity(system, found, r);
      const auto near_to = [&found, r](double slope) {
        return WithinAbs(slope, difference_quotient * found[r].omega);
      };
      double sum = 0.0;
      for (std::size_t e = 0; e < system.elements.size(); ++e) {
        const auto omega = [&](double h) {
          return modes(with_stiffness(system, e, std::exp(h)))[r].omega;
        };
        CHECK_THAT(slopes.by_stiffness[e], near_to(slope_at(omega, 0.02)));
        sum += slopes.by_stiffness[e];
      }
      for (std::size_t i = 0; i < system.inertias.size(); ++i) {
        const auto omega = [&](double h) {
          return modes(with_inertia(system, i, std::exp(h)))[r].omega;
        };
        CHECK_THAT(slopes.by_inertia[i], near_to(slope_at(omega, 0.02)));
        sum += slopes.by_inertia[i];
      }
      // Scaling both alike changes nothing.
      CHECK_THAT(sum, WithinAbs(0.0, rounding * found[r].omega));
    }
    CHECK_THROWS_AS(sensitivity(system, found, 0), DomainError);
    CHECK_THROWS_AS(sensitivity(system, found, found.size()), DomainError);
  }
}
