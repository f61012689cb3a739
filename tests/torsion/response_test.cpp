#include "torsion/response.hpp"

#include <algorithm>
#include <cmath>
#include <functional>
#include <limits>
#include <string>

#include "catch.hpp"
#include "lashband/error.hpp"
#include "made_systems.hpp"
#include "torsion/modes.hpp"

using namespace lashband;
using namespace lashband::test;
using namespace lashband::torsion::kernel;

namespace {

// Of few inertias.
constexpr double rounding = 1e-12;
// Promised in the header, relative to the norm of the angles.
constexpr double promised = 1e-10;
// Powers in and dissipated, relative.
constexpr double balance_slack = 1e-10;
// Six digits from a difference quotient.
constexpr double difference_quotient = 1e-6;

Excitation torque_on(const System& system, std::size_t inertia, Complex torque) {
  Excitation excitation;
  excitation.torques.assign(system.inertias.size(), Complex{});
  excitation.torques[inertia] = torque;
  return excitation;
}

Excitation random_excitation(const System& system, unsigned seed) {
  Draw draw(seed);
  Excitation excitation;
  for (std::size_t i = 0; i < system.inertias.size(); ++i) {
    excitation.torques.push_back(draw.phasor(10.0));
  }
  for (std::size_t e = 0; e < system.elements.size(); ++e) {
    excitation.displacements.push_back(draw.phasor(1e-5));
  }
  return excitation;
}

double norm(const std::vector<Complex>& vector) {
  double sum = 0.0;
  for (const Complex& value : vector) {
    sum += std::norm(value);
  }
  return std::sqrt(sum);
}

double distance(const std::vector<Complex>& one, const std::vector<Complex>& other) {
  double sum = 0.0;
  for (std::size_t i = 0; i < one.size(); ++i) {
    sum += std::norm(one[i] - other[i]);
  }
  return std::sqrt(sum);
}

// Angles from the whole matrix in long double.
std::vector<Complex> dense_angles(const System& system, double omega,
                                  const Excitation& excitation) {
  std::vector<LongComplex> right(system.inertias.size());
  for (std::size_t i = 0; i < excitation.torques.size(); ++i) {
    right[i] = {excitation.torques[i].real(), excitation.torques[i].imag()};
  }
  for (std::size_t e = 0; e < excitation.displacements.size(); ++e) {
    const Element& element = system.elements[e];
    const Complex given = excitation.displacements[e];
    const LongComplex force = stiffness_at(element.law, {0.0L, static_cast<long double>(omega)}) *
                              LongComplex{given.real(), given.imag()};
    right[element.first] += static_cast<long double>(element.arm_1) * force;
    if (element.second) {
      right[*element.second] += static_cast<long double>(element.arm_2) * force;
    }
  }
  const auto angles =
      solved(dynamic_matrix(system, {0.0L, static_cast<long double>(omega)}), right);
  std::vector<Complex> result;
  for (const LongComplex& angle : angles) {
    result.emplace_back(static_cast<double>(angle.real()), static_cast<double>(angle.imag()));
  }
  return result;
}

// Torques from the elements' own equations in long double, for inertias above 0 and trees: angles
// follow from torques, theta = (B^T M - T) / (omega^2 J), so that no great stiffness hides a small
// inertia: (B (omega^2 J)^-1 B^T - K^-1) M = e + B (omega^2 J)^-1 T.
std::vector<Complex> torques_of_tree(const System& tree, double omega,
                                     const Excitation& excitation) {
  const auto arm = [&tree](std::size_t e, std::size_t i) -> long double {
    const Element& element = tree.elements[e];
    return element.first == i ? element.arm_1 : element.second == i ? element.arm_2 : 0.0;
  };
  const auto wide = [](Complex z) { return LongComplex{z.real(), z.imag()}; };
  const long double square = static_cast<long double>(omega) * omega;
  const std::size_t m = tree.elements.size();
  Dense<LongComplex> matrix(m, std::vector<LongComplex>(m));
  std::vector<LongComplex> right(m);
  for (std::size_t e = 0; e < m; ++e) {
    matrix[e][e] -= 1.0L / stiffness_at(tree.elements[e].law, {0.0L, omega});
    right[e] = wide(excitation.displacements[e]);
    for (std::size_t i = 0; i < tree.inertias.size(); ++i) {
      const long double turned = arm(e, i) / (square * tree.inertias[i]);
      right[e] += turned * wide(excitation.torques[i]);
      for (std::size_t other = 0; other < m; ++other) {
        matrix[e][other] += turned * arm(other, i);
      }
    }
  }
  std::vector<Complex> result;
  for (const LongComplex& torque : solved(matrix, right)) {
    result.emplace_back(static_cast<double>(torque.real()), static_cast<double>(torque.imag()));
  }
  return result;
}

// The greatest value of a function with one peak between the ends, by golden section.
double peak_between(const std::function<double(double)>& f, double low, double high) {
  const double ratio = 0.5 * (std::sqrt(5.0) - 1.0);
  // The value at the peak has the digits of the square of what is left of the distance, 1e-8.
  for (int i = 0; i < 40; ++i) {
    const double a = high - ratio * (high - low);
    const double b = low + ratio * (high - low);
    const bool before = f(a) > f(b);
    (before ? high : low) = before ? b : a;
  }
  return f(0.5 * (low + high));
}

// Over several peaks: from a grid of ratios 0.3 to 3.
double peak_of(const std::function<double(double)>& f) {
  constexpr int points = 600;
  const auto at = [](int i) { return 0.3 * std::pow(10.0, static_cast<double>(i) / points); };
  std::vector<double> values;
  for (int i = 0; i <= points; ++i) {
    values.push_back(f(at(i)));
  }
  double best = 0.0;
  for (int i = 1; i < points; ++i) {
    const auto place = static_cast<std::size_t>(i);
    if (values[place] >= values[place - 1] && values[place] >= values[place + 1]) {
      best = std::max(best, peak_between(f, at(i - 1), at(i + 1)));
    }
  }
  return best;
}

// An undamped main inertia of 1 on a spring of 1, with a damper of inertia mu beside it.
double main_amplitude(double mu, const Law& law, double g) {
  const System system{{1.0, mu}, {to_case(0, spring(1.0)), shaft(0, 1, law)}};
  return std::abs(response(system, g, torque_on(system, 0, 1.0)).angles[0]);
}

double tuned_peak(double mu, double f, double zeta) {
  // zeta relative to the damper's own frequency.
  const Law law{mu * f * f, 2.0 * zeta * mu * f, 0.0, {}};
  return peak_of([&](double g) { return main_amplitude(mu, law, g); });
}

double hysteretic_peak(double mu, double f, double eta) {
  const Law law{mu * f * f, 0.0, eta, {}};
  return peak_of([&](double g) { return main_amplitude(mu, law, g); });
}

double untuned_peak(double mu, double zeta) {
  // zeta relative to the frequency of the main system.
  const Law law = damper(2.0 * zeta * mu);
  return peak_of([&](double g) { return main_amplitude(mu, law, g); });
}

}  // namespace

TEST_CASE("an elastic coupling between two machines") {
  // Exact, derived: J_A 0.2, J_L 0.6, k 5000, psi 1; coupling torque over T_A = J_L/(J_A+J_L) V.
  const double psi = 1.0;
  Law law = spring(5000.0);
  law.loss_factor = psi / (2.0 * pi);
  const System system{{0.2, 0.6}, {shaft(0, 1, law)}};
  const double own = std::sqrt(5000.0 * (1.0 / 0.2 + 1.0 / 0.6));
  const std::pair<double, double> rows[] = {
      {0.5, 0.990528956}, {1.0, 4.771698849}, {2.0, 0.2527909989}};
  for (const auto& [i, expected] : rows) {
    const Response at = response(system, i * own, torque_on(system, 0, 1.0));
    CHECK_THAT(std::abs(at.torques[0]), WithinAbs(expected, 1e-9));
    const double e2 = law.loss_factor * law.loss_factor;
    const double V = std::sqrt((1.0 + e2) / (std::pow(1.0 - i * i, 2) + e2));
    CHECK_THAT(std::abs(at.torques[0]), WithinRel(0.75 * V, rounding));
  }
  // Exact, derived: V at i = 1 beside the common estimate 2 pi / psi.
  struct Row {
    double psi, estimate, exact;
  };
  for (const Row& row : {Row{0.75, 8.37758, 8.43705}, Row{0.8, 7.85398, 7.91739},
                         Row{1.0, 6.28319, 6.36227}, Row{1.2, 5.23599, 5.33063}}) {
    System coupling = system;
    coupling.elements[0].law.loss_factor = row.psi / (2.0 * pi);
    const double torque =
        std::abs(response(coupling, own, torque_on(coupling, 0, 1.0)).torques[0]) / 0.75;
    CHECK_THAT(torque, WithinAbs(row.exact, 5e-6));
    CHECK_THAT(2.0 * pi / row.psi, WithinAbs(row.estimate, 5e-6));
  }
}

TEST_CASE("a rubber-sprung rim on a hub that is moved") {
  // Exact: J 0.0015, k 1800, c 0.35, 60 Hz: |(k + i w c) / (k + i w c - J w^2)| = 1.13347840.
  const System system{{0.0015}, {to_case(0, Law{1800.0, 0.35, 0.0, {}})}};
  Excitation excitation;
  excitation.displacements = {Complex{1.0, 0.0}};
  const Response at = response(system, 120.0 * pi, excitation);
  CHECK_THAT(std::abs(at.angles[0]), WithinAbs(1.13347840, 5e-9));
  CHECK_THAT(modes(system)[0].omega / (2.0 * pi), WithinAbs(174.3455, 5e-5));
}

TEST_CASE("tuned and untuned dampers reach their published peaks") {
  struct Row {
    double mu, f, zeta, fixed_height, peak, exact_f, exact_zeta, exact_peak, eta, hysteretic;
  };
  // f, zeta and the height of the fixed points: from memory (Den Hartog, Mechanical Vibrations,
  // 3.3). Exact optimum: formulas from memory (Nishihara and Asami, J. Vib. Acoust. 124, 2002; the
  // title is published), peaks computed. Hysteretic: exact, derived.
  const Row rows[] = {{0.02, 0.980392, 0.085749, 10.049876, 10.053169, 0.98039065, 0.08582905,
                       10.052963, 0.17378147, 10.099505},
                      {0.05, 0.952381, 0.133631, 6.403124, 6.408443, 0.95237204, 0.13393773,
                       6.407921, 0.27613403, 6.480741},
                      {0.10, 0.909091, 0.184637, 4.582576, 4.590220, 0.90905829, 0.18546984,
                       4.589166, 0.39370039, 4.690416},
                      {0.20, 0.833333, 0.250000, 3.316625, 3.327539, 0.83322299, 0.25217344,
                       3.325439, 0.56568542, 3.464102},
                      {0.50, 0.666667, 0.353553, 2.236068, 2.252978, 0.66622339, 0.36050708,
                       2.248030, 0.93541435, 2.449490}};
  constexpr double sixth_digit = 6e-7;
  for (const Row& row : rows) {
    INFO("mu " << row.mu);
    const double mu = row.mu;
    const double f = 1.0 / (1.0 + mu);
    const double zeta = std::sqrt(3.0 * mu / (8.0 * (1.0 + mu)));
    CHECK_THAT(f, WithinAbs(row.f, sixth_digit));
    CHECK_THAT(zeta, WithinAbs(row.zeta, sixth_digit));
    const double w = std::sqrt(4.0 + 3.0 * mu);
    CHECK_THAT(2.0 / (1.0 + mu) *
                   std::sqrt(2.0 * (16.0 + 23.0 * mu + 9.0 * mu * mu + 2.0 * (2.0 + mu) * w) /
                             (3.0 * (64.0 + 80.0 * mu + 27.0 * mu * mu))),
               WithinAbs(row.exact_f, 5.1e-9));
    CHECK_THAT(0.25 * std::sqrt((8.0 + 9.0 * mu - 4.0 * w) / (1.0 + mu)),
               WithinAbs(row.exact_zeta, 5.1e-9));
    CHECK_THAT(tuned_peak(mu, f, zeta), WithinAbs(row.peak, sixth_digit));
    // The fixed points, g^4 - 2 g^2 (1 + f^2 + mu f^2)/(2 + mu) + 2 f^2/(2 + mu) = 0: the same
    // height whatever the damping.
    const double half = (1.0 + f * f * (1.0 + mu)) / (2.0 + mu);
    const double root = std::sqrt(half * half - 2.0 * f * f / (2.0 + mu));
    for (const double g : {std::sqrt(half - root), std::sqrt(half + root)}) {
      for (const double damping : {0.01, zeta, 2.0}) {
        const Law law{mu * f * f, 2.0 * damping * mu * f, 0.0, {}};
        CHECK_THAT(main_amplitude(mu, law, g), WithinAbs(row.fixed_height, sixth_digit));
        CHECK_THAT(main_amplitude(mu, law, g), WithinRel(std::sqrt(1.0 + 2.0 / mu), 1e-9));
      }
    }
    // The exact optimum and its neighbours.
    const double exact = tuned_peak(mu, row.exact_f, row.exact_zeta);
    CHECK_THAT(exact, WithinAbs(row.exact_peak, sixth_digit));
    CHECK(exact < row.peak);
    for (const double factor : {0.999, 1.001}) {
      CHECK(tuned_peak(mu, factor * row.exact_f, row.exact_zeta) > exact);
    }
    for (const double factor : {0.99, 1.01}) {
      CHECK(tuned_peak(mu, row.exact_f, factor * row.exact_zeta) > exact);
    }
    const double hysteretic = hysteretic_peak(mu, f, row.eta);
    CHECK_THAT(hysteretic, WithinAbs(row.hysteretic, sixth_digit));
    CHECK_THAT(row.eta, WithinAbs(std::sqrt(0.5 * mu * (3.0 + mu)), 5e-9));
    CHECK_THAT(hysteretic, WithinAbs(std::sqrt(2.0 * (1.0 + mu) / mu), sixth_digit));
    for (const double factor : {0.999, 1.001}) {
      CHECK(hysteretic_peak(mu, factor * f, row.eta) > hysteretic);
    }
    for (const double factor : {0.99, 1.01}) {
      CHECK(hysteretic_peak(mu, f, factor * row.eta) > hysteretic);
    }
  }
  // Untuned viscous: from memory, verified: zeta = 1/sqrt(2 (1 + mu)(2 + mu)), peak 1 + 2/mu.
  struct Untuned {
    double mu, zeta, peak;
  };
  for (const Untuned& row : {Untuned{0.2, 0.4351941, 11.0}, Untuned{1.0, 0.2886751, 3.0}}) {
    INFO("untuned, mu " << row.mu);
    const double peak = untuned_peak(row.mu, row.zeta);
    CHECK_THAT(peak, WithinAbs(row.peak, sixth_digit));
    CHECK(untuned_peak(row.mu, 0.99 * row.zeta) > peak);
    CHECK(untuned_peak(row.mu, 1.01 * row.zeta) > peak);
    const double g = std::sqrt(2.0 / (2.0 + row.mu));
    CHECK_THAT(main_amplitude(row.mu, damper(2.0 * row.zeta * row.mu), g),
               WithinAbs(row.peak, sixth_digit));
  }
}

TEST_CASE("a loss factor leaves the fixed points of a tuned damper where they are") {
  // Exact, derived: they are those of viscous damping, sqrt(1 + 2/mu) high, and the squares of the
  // loss factors that make one or the other a peak have the mean mu (3 + 2 mu) / (2 + mu).
  for (const double mu : {0.02, 0.05, 0.10, 0.20, 0.50}) {
    INFO("mu " << mu);
    const double f = 1.0 / (1.0 + mu);
    const auto amplitude = [&](double g, double eta) {
      return main_amplitude(mu, Law{mu * f * f, 0.0, eta, {}}, g);
    };
    const double half = (1.0 + f * f * (1.0 + mu)) / (2.0 + mu);
    const double root = std::sqrt(half * half - 2.0 * f * f / (2.0 + mu));
    double squares = 0.0;
    for (const double g : {std::sqrt(half - root), std::sqrt(half + root)}) {
      for (const double eta : {0.02, 0.3, 2.0}) {
        CHECK_THAT(amplitude(g, eta), WithinRel(std::sqrt(1.0 + 2.0 / mu), 1e-9));
      }
      const auto slope = [&](double eta) {
        return slope_at([&](double h) { return amplitude(g + h, eta); }, 1e-3);
      };
      double low = 0.01;
      double high = 3.0;
      const bool rises = slope(low) > 0.0;
      REQUIRE(rises != (slope(high) > 0.0));
      for (int i = 0; i < 50; ++i) {
        const double middle = 0.5 * (low + high);
        ((slope(middle) > 0.0) == rises ? low : high) = middle;
      }
      squares += low * low;
    }
    CHECK_THAT(0.5 * squares, WithinRel(mu * (3.0 + 2.0 * mu) / (2.0 + mu), 1e-6));
  }
}

TEST_CASE("responses agree with whole matrices in long double") {
  for (unsigned seed = 1; seed <= 20; ++seed) {
    const std::size_t n = seed == 20 ? 120 : 1 + 2 * seed;
    INFO("seed " << seed << ", " << n << " inertias");
    System system = n < 4 ? random_tree(seed, n, 10.0)
                          : closed_train(seed, n, n / 4, seed % 2 == 0 ? 1e8 : 10.0);
    damp(system, seed);
    if (seed % 3 == 0) {
      system.inertias[n / 2] = 0.0;
    }
    const Excitation excitation = random_excitation(system, seed);
    for (const double omega : {3.0, 300.0, 3000.0, 1e5}) {
      INFO(omega << " rad/s");
      const Response found = response(system, omega, excitation);
      const std::vector<Complex> expected = dense_angles(system, omega, excitation);
      CHECK(distance(found.angles, expected) <= promised * norm(expected));
      const PowerBalance balance = power(system, omega, excitation, found);
      CHECK(balance.dissipated > 0.0);
      CHECK_THAT(balance.in, WithinRel(balance.dissipated, balance_slack));
    }
  }
}

TEST_CASE("an excitation left out is none") {
  System system = closed_train(2, 5, 2, 10.0);
  damp(system, 2);
  const Response still = response(system, 100.0, {});
  CHECK(norm(still.angles) == 0.0);
  CHECK(norm(still.torques) == 0.0);
  Excitation both = random_excitation(system, 4);
  Excitation torques = both;
  torques.displacements.clear();
  Excitation displacements = both;
  displacements.torques.clear();
  const Response one = response(system, 100.0, torques);
  const Response other = response(system, 100.0, displacements);
  Response sum = one;
  for (std::size_t i = 0; i < sum.angles.size(); ++i) {
    sum.angles[i] += other.angles[i];
  }
  const Response whole = response(system, 100.0, both);
  CHECK(distance(sum.angles, whole.angles) <= rounding * norm(whole.angles));
}

TEST_CASE("a stiff mesh at low frequency carries its torque to the last digits") {
  // Exact: both inertias turn as one; the mesh force is that which accelerates the second.
  for (const double stiffness : {1e9, 1e15, 1e25}) {
    const System system{{2.0, 3.0}, {shaft(0, 1, spring(stiffness))}};
    const double omega = 1e-3;
    const Response at = response(system, omega, torque_on(system, 0, 1.0));
    CHECK_THAT(at.torques[0].real(), WithinRel(0.6, rounding));
    CHECK_THAT(at.angles[0].real(), WithinRel(-1.0 / (omega * omega * 5.0), rounding));
  }
  // Far above its mode an element carries k over the inertia: k / (J omega^2).
  const System soft{{1e-8, 1.0}, {shaft(0, 1, spring(1e-9))}};
  const Response at = response(soft, 1e3, torque_on(soft, 1, 1.0));
  CHECK_THAT(std::abs(at.torques[0]), WithinRel(1e-9 / (1e6 - 1e-9 / 1e-8 - 1e-9), rounding));
}

TEST_CASE("an error of a stiff mesh at low frequency keeps its torque") {
  // 1 um on 1e9 N/m between gears of 20 g m2 and less: what is left of 1000 N is down to 1e-20 N.
  constexpr double error = 1e-6;
  for (const double omega : {1e-6, 1e-3, 1.0, 30.0, 1000.0}) {
    INFO(omega << " rad/s");
    Law law = spring(1e9);
    law.loss_factor = 0.02;
    const System pair{{2e-5, 3e-5}, {{0, 0.03, 1, 0.05, law}}};
    Excitation excitation;
    excitation.displacements = {error};
    const Response at = response(pair, omega, excitation);
    // Exact: both inertias in a row with the spring, M (R - 1/k*) = e.
    const double R = (0.03 * 0.03 / 2e-5 + 0.05 * 0.05 / 3e-5) / (omega * omega);
    const Complex expected = error / (R - 1.0 / dynamic_stiffness(law, omega));
    CHECK(std::abs(at.torques[0] - expected) <= rounding * std::abs(expected));
    CHECK(std::abs(at.angles[1] - at.torques[0] * 0.05 / (omega * omega * 3e-5)) <=
          rounding * std::abs(at.angles[1]));
  }
  for (unsigned seed = 1; seed <= 12; ++seed) {
    INFO("seed " << seed);
    System tree = random_tree(seed, 2 + seed, 10.0);
    damp(tree, seed);
    tree.elements.resize(tree.elements.size() - 2);  // free to turn
    Draw draw(seed);
    Excitation excitation = random_excitation(tree, seed);
    for (double& inertia : tree.inertias) {
      inertia = 1e-5 * draw.over(1.0, 100.0);
    }
    for (std::size_t e = 0; e < tree.elements.size(); ++e) {
      tree.elements[e].law.stiffness = draw.over(1e6, 1e9);
      excitation.displacements[e] = draw.phasor(error);
    }
    for (const double omega : {0.01, 1.0, 100.0}) {
      INFO(omega << " rad/s");
      for (const bool torques_too : {false, true}) {
        if (!torques_too) {
          excitation.torques.assign(tree.inertias.size(), Complex{});
        } else {
          excitation.torques = random_excitation(tree, seed).torques;
        }
        const Response at = response(tree, omega, excitation);
        const std::vector<Complex> expected = torques_of_tree(tree, omega, excitation);
        for (std::size_t e = 0; e < expected.size(); ++e) {
          INFO("element " << e);
          CHECK(std::abs(at.torques[e] - expected[e]) <= promised * std::abs(expected[e]));
        }
      }
    }
  }
}

TEST_CASE("errors of parallel meshes and of ties to the case find their elements") {
  // Two equal elements side by side, of which one is no coordinate: exact, each carries half of the
  // difference of the errors, and their mean moves the inertia.
  const System pair{{1e-3}, {to_case(0, spring(1e9)), to_case(0, spring(1e9))}};
  Excitation excitation;
  excitation.displacements = {3e-6, 1e-6};
  const double omega = 2.0;
  const Response at = response(pair, omega, excitation);
  const double inertia = omega * omega * 1e-3;
  const double angle = 4e3 / (2e9 - inertia);
  CHECK_THAT(at.angles[0].real(), WithinRel(angle, rounding));
  CHECK_THAT(at.torques[0].real(), WithinRel(-1e3, 1e-9));
  CHECK_THAT(at.torques[1].real(), WithinRel(1e3, 1e-9));
  // With one error they carry together what the inertia takes.
  excitation.displacements = {2e-6, 2e-6};
  const Response together = response(pair, omega, excitation);
  const double expected = 0.5 * inertia * 4e3 / (2e9 - inertia);
  CHECK_THAT(together.torques[0].real(), WithinRel(expected, rounding));
  CHECK_THAT(together.torques[1].real(), WithinRel(expected, rounding));
}

TEST_CASE("resonance without damping is an error") {
  const auto refused = [](const System& system, double omega, const std::string& part) {
    const Excitation excitation = torque_on(system, 0, 1.0);
    CHECK_THROWS_AS(response(system, omega, excitation), ComputationError);
    CHECK_THROWS_WITH(response(system, omega, excitation), ContainsText(part));
  };
  refused({{2.0}, {to_case(0, spring(8.0))}}, 2.0, "resonance without damping at 2 rad/s");
  refused({{8.0, 6.0, 4.0}, {shaft(0, 1, spring(4e6)), shaft(1, 2, spring(2e6))}}, std::sqrt(5e5),
          "resonance without damping");
  for (unsigned seed = 1; seed <= 5; ++seed) {
    const System tree = random_tree(seed, 12, 100.0);
    for (const Mode& mode : modes(tree)) {
      if (mode.omega > 0.0) {
        refused(tree, mode.omega, "resonance without damping");
        // Beside it there is an answer.
        CHECK(response(tree, mode.omega * (1.0 + 1e-6), torque_on(tree, 0, 1.0)).angles.size() ==
              12);
      }
    }
    System damped = tree;
    damped.elements[0].law.damping = 1e-3;
    CHECK_NOTHROW(response(damped, modes(tree)[1].omega, torque_on(tree, 0, 1.0)));
  }
  refused({{1.0, 0.0}, {}}, 5.0, "nothing holds it");
  refused({{1.0, 0.0}, {shaft(0, 1, spring(0.0))}}, 5.0, "nothing holds it");
  refused({{1.0, 0.0, 0.0}, {shaft(1, 2, spring(5.0))}}, 5.0, "nothing holds it");
}

TEST_CASE("massless inertias and parts that nothing joins have answers") {
  // A massless inertia at the end follows; one that a damper alone holds is held at omega > 0.
  const System end{{2.0, 0.0}, {shaft(0, 1, spring(5.0))}};
  const Response at = response(end, 3.0, torque_on(end, 0, 1.0));
  CHECK(std::abs(at.angles[0] - Complex(-1.0 / 18.0)) <= rounding);
  CHECK(std::abs(at.angles[1] - at.angles[0]) <= rounding);
  CHECK(std::abs(at.torques[0]) <= rounding);
  const System held{{2.0, 0.0}, {shaft(0, 1, damper(5.0))}};
  const Response slip = response(held, 3.0, torque_on(held, 1, 1.0));
  CHECK(std::abs(slip.angles[1] - slip.angles[0] - 1.0 / Complex(0.0, 15.0)) <= rounding);
  // An element of no stiffness that divides the train.
  const System parts{{1.0, 2.0, 4.0}, {shaft(0, 1, spring(100.0)), shaft(1, 2, spring(0.0))}};
  const Response divided = response(parts, 3.0, torque_on(parts, 0, 1.0));
  CHECK(std::abs(divided.angles[2]) == 0.0);
  CHECK(std::abs(divided.torques[1]) == 0.0);
  const std::vector<Complex> expected = dense_angles(parts, 3.0, torque_on(parts, 0, 1.0));
  CHECK(distance(divided.angles, expected) <= rounding * norm(expected));
}

TEST_CASE("derivatives of responses are slopes") {
  for (unsigned seed = 1; seed <= 6; ++seed) {
    INFO("seed " << seed);
    System system = closed_train(seed, 6, 2, 100.0);
    damp(system, seed);
    const Excitation excitation = random_excitation(system, seed);
    const double omega = 500.0 * seed;
    const Response at = response(system, omega, excitation);
    const auto same_as_slope = [&](const Response& derivative,
                                   const std::function<System(double)>& changed) {
      const auto number = [&](double h, bool angle, std::size_t i) {
        const Response other = response(changed(std::exp(h)), omega, excitation);
        return angle ? other.angles[i] : other.torques[i];
      };
      for (std::size_t i = 0; i < at.angles.size(); ++i) {
        const Complex slope = slope_at([&](double h) { return number(h, true, i); }, 0.01);
        CHECK(std::abs(derivative.angles[i] - slope) <= difference_quotient * norm(at.angles));
      }
      for (std::size_t e = 0; e < at.torques.size(); ++e) {
        const Complex slope = slope_at([&](double h) { return number(h, false, e); }, 0.01);
        CHECK(std::abs(derivative.torques[e] - slope) <= difference_quotient * norm(at.torques));
      }
    };
    for (std::size_t e = 0; e < system.elements.size(); ++e) {
      same_as_slope(response_by_stiffness(system, omega, excitation, at, e),
                    [&](double factor) { return with_stiffness(system, e, factor); });
    }
    for (std::size_t i = 0; i < system.inertias.size(); ++i) {
      same_as_slope(response_by_inertia(system, omega, excitation, at, i),
                    [&](double factor) { return with_inertia(system, i, factor); });
    }
  }
}

TEST_CASE("arguments of a response are checked") {
  const double nan = std::numeric_limits<double>::quiet_NaN();
  const System system{{1.0, 2.0}, {shaft(0, 1, spring(3.0))}};
  const Excitation good = torque_on(system, 0, 1.0);
  const Response at = response(system, 1.0, good);
  for (const double omega : {0.0, -1.0, nan}) {
    CHECK_THROWS_AS(response(system, omega, good), DomainError);
    CHECK_THROWS_AS(power(system, omega, good, at), DomainError);
  }
  Excitation bad = good;
  bad.torques.pop_back();
  CHECK_THROWS_AS(response(system, 1.0, bad), DomainError);
  bad = good;
  bad.torques[1] = {0.0, nan};
  CHECK_THROWS_AS(response(system, 1.0, bad), DomainError);
  bad = good;
  bad.displacements = {1.0, 2.0};
  CHECK_THROWS_AS(response(system, 1.0, bad), DomainError);
  CHECK_THROWS_AS(power(system, 1.0, good, {}), DomainError);
  CHECK_THROWS_AS(response_by_stiffness(system, 1.0, good, at, 1), DomainError);
  CHECK_THROWS_AS(response_by_inertia(system, 1.0, good, at, 2), DomainError);
}
