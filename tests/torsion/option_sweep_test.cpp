#include "torsion/option_sweep.hpp"

#include <hwy/targets.h>

#include <algorithm>
#include <boost/multiprecision/cpp_bin_float.hpp>
#include <cmath>
#include <complex>
#include <cstdint>
#include <functional>
#include <limits>
#include <random>
#include <stdexcept>
#include <string>
#include <utility>
#include <vector>

#include "catch.hpp"
#include "lashband/error.hpp"
#include "only_target.hpp"

using namespace lashband;
using namespace lashband::torsion::kernel;

namespace {

using Complex = std::complex<double>;

// What the header states.
constexpr double stated = 1e-10;

const double not_a_number = std::numeric_limits<double>::quiet_NaN();

struct Solve {
  std::vector<Complex> torques{};
  double energy = 0.0;
};

// Everything that a sweep says, [option][order][speed].
struct Answers {
  std::vector<std::vector<std::vector<Solve>>> at{};
  SweepCount count{};
};

Answers answers(const OptionSweep& asked) {
  Answers result;
  result.at.assign(asked.options.size(),
                   std::vector<std::vector<Solve>>(asked.shaken.size(),
                                                   std::vector<Solve>(asked.speeds.size())));
  result.count = sweep(asked, [&](const OptionAnswers& got) {
    for (std::size_t order = 0; order < got.orders; ++order) {
      for (std::size_t speed = 0; speed < got.speeds; ++speed) {
        Solve& solve = result.at[got.option][order][got.first_speed + speed];
        solve.energy = got.kinetic_energy(order, speed);
        for (std::size_t w = 0; w < got.watched; ++w) {
          solve.torques.push_back(got.torque(order, w, speed));
        }
      }
    }
  });
  return result;
}

System with(const OptionSweep& asked, std::size_t option) {
  System system = asked.system;
  system.elements[asked.varied].law = asked.options[option];
  return system;
}

Excitation at_speed(const ShakenOrder& shaken, double speed) {
  double factor = 1.0;
  for (int i = 0; i < shaken.speed_exponent; ++i) {
    factor *= speed / shaken.reference_speed;
  }
  Excitation result = shaken.excitation;
  for (auto* list : {&result.torques, &result.displacements}) {
    for (Complex& amplitude : *list) {
      amplitude *= factor;
    }
  }
  return result;
}

// Some roundings of what the elements would carry if their ends moved by themselves: what
// response() may leave of a torque that is 0, as of an element to a free end without inertia.
double rounding_of_torque(const System& system, double omega, const Response& response) {
  double sum = 0.0;
  for (const Element& element : system.elements) {
    double moved = std::abs(element.arm_1 * response.angles[element.first]);
    if (element.second) {
      moved += std::abs(element.arm_2 * response.angles[*element.second]);
    }
    sum += std::abs(dynamic_stiffness(element.law, omega)) * moved;
  }
  return 4.0 * std::numeric_limits<double>::epsilon() * sum;
}

// Greatest difference to response(), relative: in the root of the energy, and in the torques.
struct Difference {
  double motion = 0.0, torques = 0.0;
};

Difference difference(const OptionSweep& asked, const Answers& got) {
  Difference greatest;
  for (std::size_t option = 0; option < asked.options.size(); ++option) {
    const System system = with(asked, option);
    for (std::size_t order = 0; order < asked.shaken.size(); ++order) {
      for (std::size_t speed = 0; speed < asked.speeds.size(); ++speed) {
        const double omega = asked.shaken[order].order * asked.speeds[speed];
        const Response right =
            response(system, omega, at_speed(asked.shaken[order], asked.speeds[speed]));
        const Solve& solve = got.at[option][order][speed];
        double energy = 0.0;
        for (std::size_t i = 0; i < right.angles.size(); ++i) {
          energy += 0.25 * omega * omega * system.inertias[i] * std::norm(right.angles[i]);
        }
        double torques = 0.0;
        double off = 0.0;
        for (std::size_t w = 0; w < asked.watched.size(); ++w) {
          const Complex torque = right.torques[asked.watched[w]];
          torques += std::norm(torque);
          off += std::norm(torque - solve.torques[w]);
        }
        const auto keep = [](double value, double& place) {
          // A number that is none counts as well.
          place = value <= place ? place : value;
        };
        keep(std::abs(std::sqrt(solve.energy) / std::sqrt(energy) - 1.0), greatest.motion);
        const double beyond = std::sqrt(off) - rounding_of_torque(system, omega, right);
        if (!(beyond <= 0.0)) {
          keep(beyond / std::sqrt(torques), greatest.torques);
        }
      }
    }
  }
  return greatest;
}

void check_against_response(const OptionSweep& asked, const Answers& got) {
  const Difference greatest = difference(asked, got);
  CHECK(greatest.motion < stated);
  CHECK(greatest.torques < stated);
}

// Values of any size within decades around one.
class Made {
 public:
  explicit Made(unsigned seed) : bits_(seed) {}

  double within(double low, double high) {
    return std::uniform_real_distribution<double>(low, high)(bits_);
  }
  double about(double middle, double decades) {
    return middle * std::pow(10.0, within(-decades, decades));
  }
  std::size_t below(std::size_t count) {
    return std::uniform_int_distribution<std::size_t>(0, count - 1)(bits_);
  }
  bool one_in(std::size_t count) { return below(count) == 0; }
  Complex amplitude(double size) { return {within(-size, size), within(-size, size)}; }

  Law law(double stiffness) {
    Law law;
    law.stiffness = about(stiffness, 1.0);
    law.damping = one_in(2) ? about(1e-3 * stiffness, 1.0) : 0.0;
    law.loss_factor = one_in(2) ? within(0.0, 0.2) : 0.0;
    for (std::size_t branches = below(3); branches > 0; --branches) {
      law.branches.push_back({about(stiffness, 0.5), about(1e-3, 2.0)});
    }
    return law;
  }

  /// `first` tied to `second`, arms of a mesh or of a shaft; the stiffness is that of a torque.
  Element element(std::size_t first, std::size_t second, double stiffness) {
    Element element;
    element.first = first;
    element.second = second;
    if (one_in(2)) {
      element.arm_1 = within(0.02, 0.2);
      element.arm_2 = within(0.02, 0.2) * (one_in(2) ? -1.0 : 1.0);
      stiffness *= 100.0;
    }
    if (one_in(2)) {
      std::swap(element.first, element.second.value());
      std::swap(element.arm_1, element.arm_2);
    }
    element.law = law(stiffness);
    return element;
  }

  OptionSweep tree(std::size_t inertias);

 private:
  std::mt19937 bits_;
};

OptionSweep Made::tree(std::size_t inertias) {
  OptionSweep asked;
  System& system = asked.system;
  for (std::size_t i = 0; i < inertias; ++i) {
    system.inertias.push_back(about(1e-2, 1.0));
    // Some trains fall into parts.
    if (i > 0 && !one_in(12)) {
      system.elements.push_back(element(below(i), i, 1e3));
    }
  }
  while (system.elements.empty() || one_in(2)) {
    Element tie;
    tie.first = below(inertias);
    tie.arm_1 = within(0.1, 2.0);
    tie.law = law(1e3);
    system.elements.push_back(tie);
  }
  // Some side by side with others, turned round or with other units.
  for (std::size_t more = below(4); more > 0; --more) {
    Element beside = system.elements[below(system.elements.size())];
    const double scale = one_in(2) ? 1.0 : -within(0.5, 2.0);
    beside.arm_1 *= scale;
    beside.arm_2 *= scale;
    if (beside.second && one_in(2)) {
      std::swap(beside.first, beside.second.value());
      std::swap(beside.arm_1, beside.arm_2);
    }
    beside.law = law(1e3);
    system.elements.push_back(beside);
  }
  std::shuffle(system.elements.begin(), system.elements.end(), bits_);
  // A light body that something holds may be taken as without inertia.
  if (one_in(3)) {
    const std::size_t light = below(inertias);
    double touching = 0.0;
    for (const Element& element : system.elements) {
      touching += element.first == light || element.second == light ? 1.0 : 0.0;
    }
    if (touching > 0.0) {
      system.inertias[light] = 0.0;
    }
  }
  asked.varied = below(system.elements.size());
  for (std::size_t e = 0; e < system.elements.size(); ++e) {
    asked.watched.push_back(e);
  }
  const bool small_arms = std::abs(system.elements[asked.varied].arm_1) < 0.2;
  for (int i = 0; i < 4; ++i) {
    asked.options.push_back(law(small_arms ? 1e5 : 1e3));
  }
  for (int exponent = 0; exponent < 3; ++exponent) {
    ShakenOrder shaken;
    shaken.order = exponent == 1 ? 2.5 : 1.0 + exponent;
    shaken.speed_exponent = exponent;
    shaken.reference_speed = 150.0;
    for (std::size_t i = 0; exponent != 1 && i < inertias; ++i) {
      shaken.excitation.torques.push_back(one_in(2) ? amplitude(10.0) : 0.0);
    }
    for (std::size_t e = 0; exponent > 0 && e < system.elements.size(); ++e) {
      shaken.excitation.displacements.push_back(amplitude(1e-3));
    }
    if (exponent != 1) {
      shaken.excitation.torques[0] = amplitude(10.0);
    }
    asked.shaken.push_back(std::move(shaken));
  }
  for (std::size_t count = 1 + below(20); count > 0; --count) {
    asked.speeds.push_back(about(200.0, 1.0));
  }
  return asked;
}

// A side branch of 0.01 kg m2 on 400 N m/rad, in resonance at 200 rad/s with the rest held fast;
// the rest has damping.
OptionSweep with_undamped_branch() {
  OptionSweep asked;
  asked.system.inertias = {0.03, 0.01, 0.02};
  asked.system.elements = {
      {0, 1.0, 1, -1.0, {400.0}}, {0, 1.0, 2, -1.0, {}}, {0, 1.0, {}, -1.0, {50.0, 0.5}}};
  asked.varied = 1;
  asked.watched = {0, 1, 2};
  asked.speeds = {90.0, 100.0, 101.0};
  asked.options = {{100.0, 0.1}, {0.0}, {1e4, 1.0, 0.1}};
  asked.shaken = {{2.0, {{1.0, Complex{0.5, 2.0}, 0.3}, {}}}, {1.0, {{0.0, 0.0, 1.0}, {}}}};
  return asked;
}

}  // namespace

TEST_CASE("a sweep of trees agrees with the response by LU") {
  Made made(1);
  std::size_t direct = 0;
  for (int i = 0; i < 150; ++i) {
    INFO("train " << i);
    const OptionSweep asked = made.tree(2 + made.below(29));
    const Answers got = answers(asked);
    check_against_response(asked, got);
    REQUIRE(got.count.solves == asked.options.size() * asked.shaken.size() * asked.speeds.size());
    direct += got.count.direct;
  }
  // All have some damping: elimination is good enough for them, or this would test response().
  CHECK(direct == 0);
}

TEST_CASE("a sweep of trees without damping agrees with the response by LU") {
  Made made(2);
  std::size_t direct = 0;
  std::size_t solves = 0;
  for (int i = 0; i < 100; ++i) {
    INFO("train " << i);
    OptionSweep asked = made.tree(2 + made.below(15));
    for (Element& element : asked.system.elements) {
      element.law = {element.law.stiffness};
    }
    for (Law& option : asked.options) {
      option = {option.stiffness};
    }
    const Answers got = answers(asked);
    check_against_response(asked, got);
    direct += got.count.direct;
    solves += got.count.solves;
  }
  CHECK(direct < solves / 100);
}

TEST_CASE("a sweep of closed loops agrees with the response by LU") {
  Made made(3);
  std::size_t direct = 0;
  std::size_t solves = 0;
  for (int i = 0; i < 60; ++i) {
    INFO("train " << i);
    OptionSweep asked = made.tree(3 + made.below(10));
    for (std::size_t more = 1 + made.below(3); more > 0; --more) {
      const std::size_t first = made.below(asked.system.inertias.size() - 1);
      asked.system.elements.push_back(made.element(first, first + 1, 1e3));
      if (made.one_in(2)) {
        asked.varied = asked.system.elements.size() - 1;
      }
    }
    for (ShakenOrder& shaken : asked.shaken) {
      if (!shaken.excitation.displacements.empty()) {
        shaken.excitation.displacements.resize(asked.system.elements.size(), {1e-3, 2e-3});
      }
    }
    asked.options[made.below(asked.options.size())] = {};
    for (double& inertia : asked.system.inertias) {
      inertia = std::max(inertia, 1e-4);  // or nothing might hold it
    }
    const Answers got = answers(asked);
    check_against_response(asked, got);
    direct += got.count.direct;
    solves += got.count.solves;
  }
  CHECK(direct < solves / 10);
}

TEST_CASE("a sweep of two inertias agrees with the closed form") {
  const double J_1 = 0.02;
  const double J_2 = 0.005;
  const double T = 7.0;
  OptionSweep asked;
  asked.system.inertias = {J_1, J_2};
  asked.system.elements = {{0, 1.0, 1, -1.0, {}}};
  asked.speeds = {20.0, 300.0, 900.0};
  asked.shaken = {{1.5, {{T, 0.0}, {}}, 2, 100.0}};
  Law rubber{500.0, 0.1, 0.05};
  rubber.branches = {{200.0, 2e-3}};
  asked.options = {{1000.0, 0.0, 0.0}, rubber};
  asked.watched = {0};
  const Answers got = answers(asked);
  for (std::size_t option = 0; option < asked.options.size(); ++option) {
    for (std::size_t speed = 0; speed < asked.speeds.size(); ++speed) {
      const double omega = 1.5 * asked.speeds[speed];
      const double torque = T * std::pow(asked.speeds[speed] / 100.0, 2);
      const Complex wt{0.0, omega * 2e-3};
      const Complex k = option == 0 ? Complex{1000.0}
                                    : Complex{500.0, 25.0 + omega * 0.1} + 200.0 * wt / (1.0 + wt);
      const double both = J_1 * J_2 / (J_1 + J_2);
      const Complex M = k * (torque * both / J_1) / (k - both * omega * omega);
      const Complex theta_1 = (M - torque) / (J_1 * omega * omega);
      const Complex theta_2 = -M / (J_2 * omega * omega);
      const double energy =
          0.25 * omega * omega * (J_1 * std::norm(theta_1) + J_2 * std::norm(theta_2));
      const Solve& solve = got.at[option][0][speed];
      CHECK(std::abs(solve.torques[0] - M) < 1e-13 * std::abs(M));
      CHECK_THAT(solve.energy, WithinRel(energy, 1e-13));
    }
  }
  CHECK(got.count.direct == 0);
}

TEST_CASE("a sweep says the same of a speed whatever stands beside it") {
  Made made(4);
  for (int i = 0; i < 10; ++i) {
    OptionSweep asked = made.tree(2 + made.below(10));
    asked.options.resize(3 + made.below(7), asked.options[0]);
    for (Law& option : asked.options) {
      option = made.law(1e3);
    }
    asked.speeds.resize(19, 100.0);
    for (double& speed : asked.speeds) {
      speed = made.about(200.0, 1.0);
    }
    const Answers all = answers(asked);
    for (std::size_t count = 1; count <= asked.speeds.size(); ++count) {
      OptionSweep fewer = asked;
      const std::size_t first = asked.speeds.size() - count;
      fewer.speeds.erase(fewer.speeds.begin(),
                         fewer.speeds.begin() + static_cast<std::ptrdiff_t>(first));
      fewer.options.resize(1 + count % asked.options.size());
      fewer.shaken.resize(1 + count % asked.shaken.size());
      const Answers some = answers(fewer);
      for (std::size_t option = 0; option < fewer.options.size(); ++option) {
        for (std::size_t order = 0; order < fewer.shaken.size(); ++order) {
          for (std::size_t speed = 0; speed < count; ++speed) {
            const Solve& one = some.at[option][order][speed];
            const Solve& other = all.at[option][order][first + speed];
            REQUIRE(one.energy == other.energy);
            REQUIRE(one.torques == other.torques);
          }
        }
      }
    }
  }
}

TEST_CASE("a sweep agrees with the response by LU on every instruction set") {
  const std::int64_t supported = hwy::SupportedTargets();
  std::vector<std::string> names;
  for (std::int64_t left = supported; left != 0; left &= left - 1) {
    const test::OnlyTarget only(left & -left);
    const std::string name = sweep_instruction_set();
    if (std::find(names.begin(), names.end(), name) != names.end()) {
      continue;  // one that this program has no code for falls back to another
    }
    names.push_back(name);
    INFO(name);
    Made made(5);
    for (int i = 0; i < 15; ++i) {
      const OptionSweep asked = made.tree(2 + made.below(10));
      check_against_response(asked, answers(asked));
    }
    // A lane apart from the others.
    OptionSweep asked = with_undamped_branch();
    for (std::size_t at = 0; at < 9; ++at) {
      asked.speeds.assign(9, 90.0);
      asked.speeds[at] = 100.0;
      const Answers got = answers(asked);
      CHECK(got.count.direct == asked.options.size());
      check_against_response(asked, got);
    }
  }
  CHECK(!names.empty());
}

namespace {

using Digits = boost::multiprecision::cpp_bin_float_50;

struct ComplexDigits {
  Digits re = 0;
  Digits im = 0;
};

// Torques of the elements by Gauss's elimination with 50 digits, from the equations as they stand.
// Laws without branches.
std::vector<Complex> torques_with_digits(const System& system, double omega,
                                         const Excitation& excitation) {
  const std::size_t n = system.inertias.size();
  // Real and imaginary parts one below the other.
  std::vector<std::vector<Digits>> rows(2 * n, std::vector<Digits>(2 * n + 1, Digits(0)));
  const auto add = [&rows, n](std::size_t i, std::size_t j, const ComplexDigits& value) {
    rows[i][j] += value.re;
    rows[i][n + j] -= value.im;
    rows[n + i][j] += value.im;
    rows[n + i][n + j] += value.re;
  };
  const Digits frequency(omega);
  const auto stiffness = [&](const Element& element) {
    const Digits k(element.law.stiffness);
    return ComplexDigits{k, k * Digits(element.law.loss_factor) + frequency * element.law.damping};
  };
  const auto displacement = [&](std::size_t e) {
    return excitation.displacements.empty() ? Complex{} : excitation.displacements[e];
  };
  for (std::size_t i = 0; i < n; ++i) {
    add(i, i, {-frequency * frequency * system.inertias[i], 0});
    if (!excitation.torques.empty()) {
      rows[i][2 * n] += excitation.torques[i].real();
      rows[n + i][2 * n] += excitation.torques[i].imag();
    }
  }
  for (std::size_t e = 0; e < system.elements.size(); ++e) {
    const Element& element = system.elements[e];
    const ComplexDigits k = stiffness(element);
    std::vector<std::pair<std::size_t, Digits>> ends{{element.first, element.arm_1}};
    if (element.second) {
      ends.emplace_back(*element.second, element.arm_2);
    }
    for (const auto& [i, arm] : ends) {
      for (const auto& [j, other] : ends) {
        add(i, j, {k.re * arm * other, k.im * arm * other});
      }
      const Complex x = displacement(e);
      rows[i][2 * n] += arm * (k.re * x.real() - k.im * x.imag());
      rows[n + i][2 * n] += arm * (k.re * x.imag() + k.im * x.real());
    }
  }
  for (std::size_t c = 0; c < 2 * n; ++c) {
    const auto top = std::max_element(
        rows.begin() + static_cast<std::ptrdiff_t>(c), rows.end(),
        [c](const auto& one, const auto& other) { return abs(one[c]) < abs(other[c]); });
    std::swap(rows[c], *top);
    for (std::size_t r = 0; r < 2 * n; ++r) {
      const Digits factor = rows[r][c] / rows[c][c];
      for (std::size_t j = c; r != c && j <= 2 * n; ++j) {
        rows[r][j] -= factor * rows[c][j];
      }
    }
  }
  const auto angle = [&](std::size_t i) { return Digits(rows[i][2 * n] / rows[i][i]); };
  std::vector<Complex> torques;
  for (std::size_t e = 0; e < system.elements.size(); ++e) {
    const Element& element = system.elements[e];
    const ComplexDigits k = stiffness(element);
    Digits re = element.arm_1 * angle(element.first) - displacement(e).real();
    Digits im = element.arm_1 * angle(n + element.first) - displacement(e).imag();
    if (element.second) {
      re += element.arm_2 * angle(*element.second);
      im += element.arm_2 * angle(n + *element.second);
    }
    torques.emplace_back(static_cast<double>(Digits(k.re * re - k.im * im)),
                         static_cast<double>(Digits(k.re * im + k.im * re)));
  }
  return torques;
}

}  // namespace

TEST_CASE("a sweep of a stiff train keeps the digits at low speeds") {
  // Meshes of 1e9 N/m on 3 cm against light wheels at 1 Hz: the stiffness of a mesh is 2e8 times
  // what the inertias hold against it. The torques on the train are in balance.
  OptionSweep asked;
  asked.system.inertias = {1e-4, 2e-4, 1e-4, 3e-4, 5e-3};
  asked.system.elements = {{0, 0.03, 1, 0.03, {1e9, 0.0, 0.0}},
                           {1, 0.03, 2, 0.03, {1e9, 1e3, 0.0}},
                           {2, 1.0, 3, -1.0, {5e4, 0.0, 0.01}},
                           {3, 1.0, 4, -1.0, {}}};
  asked.varied = 3;
  asked.watched = {0, 1, 2, 3};
  asked.speeds = {2.0, 6.3, 70.0, 800.0};
  asked.options = {{100.0, 0.1}, {1e5, 1.0}, {1e8, 0.0, 0.02}};
  SECTION("balanced torques") {
    asked.shaken = {{1.0, {{1.0, 0.0, 0.0, -1.0, 0.0}, {}}}};
  }
  SECTION("errors of the meshes") {
    asked.shaken = {{1.0, {{}, {1e-6, Complex{0.0, 2e-6}, 1e-5, 1e-4}}}};
  }
  SECTION("tied to the case, which moves") {
    asked.system.elements.push_back({1, 1.0, {}, -1.0, {1e9}});
    asked.watched.push_back(4);
    asked.shaken = {{1.0, {{}, {1e-6, 0.0, 0.0, 0.0, 1e-3}}},
                    {1.0, {{}, {0.0, 0.0, 0.0, 0.0, Complex{2e-3, 1e-3}}}}};
  }
  SECTION("tied to the case at the varied element") {
    asked.system.elements.push_back({3, 1.0, {}, -1.0, {1e9}});
    asked.system.elements.push_back({4, 0.5, {}, -1.0, {10.0}});
    asked.system.elements.push_back({4, -2.0, 3, 2.0, {10.0}});
    asked.watched = {0, 1, 2, 3, 4, 5, 6};
    asked.shaken = {{1.0, {{}, {0.0, 0.0, 0.0, 0.0, 1e-3, 0.0, 0.0}}},
                    {1.0, {{}, {0.0, 0.0, 0.0, 2e-3, 0.0, Complex{2e-3, 1e-3}, 1e-3}}}};
  }
  const Answers got = answers(asked);
  CHECK(got.count.direct == 0);
  for (std::size_t option = 0; option < asked.options.size(); ++option) {
    for (std::size_t order = 0; order < asked.shaken.size(); ++order) {
      for (std::size_t speed = 0; speed < asked.speeds.size(); ++speed) {
        INFO("option " << option << ", order " << order << ", speed " << speed);
        const std::vector<Complex> right = torques_with_digits(
            with(asked, option), asked.speeds[speed], asked.shaken[order].excitation);
        for (std::size_t e = 0; e < right.size(); ++e) {
          // Of each torque by itself.
          INFO("element " << e);
          const Complex torque = got.at[option][order][speed].torques[e];
          CHECK(std::abs(torque - right[e]) <= stated * std::abs(right[e]));
        }
      }
    }
  }
}

TEST_CASE("an undamped part in resonance is left to the response by LU") {
  OptionSweep asked = with_undamped_branch();
  const Answers got = answers(asked);
  // One order at one speed, each option.
  CHECK(got.count.direct == asked.options.size());
  check_against_response(asked, got);
  // Nearly in resonance.
  for (const double off : {1e-12, 1e-8, 1e-6, 1e-5, 1e-4, 1e-3}) {
    asked.speeds = {100.0 * (1.0 + off)};
    check_against_response(asked, answers(asked));
  }
}

TEST_CASE("parts that fall off without the varied element may be in resonance") {
  // 0.01 kg m2 on 400 N m/rad against the case, in resonance by itself: no option has it so.
  OptionSweep asked;
  asked.system.inertias = {0.01, 0.03};
  asked.system.elements = {{0, 1.0, {}, -1.0, {400.0}}, {0, 1.0, 1, -1.0, {}}};
  asked.varied = 1;
  asked.watched = {0, 1};
  asked.speeds = {200.0};
  asked.options = {{100.0}, {900.0, 0.0, 0.1}};
  asked.shaken = {{1.0, {{1.0, 0.5}, {}}}};
  const Answers got = answers(asked);
  CHECK(got.count.direct == 0);
  check_against_response(asked, got);
}

TEST_CASE("a resonance without damping has no answer") {
  OptionSweep asked;
  // k = mu omega^2 at 300 rad/s for the second option.
  asked.system.inertias = {0.02, 0.02};
  asked.system.elements = {{0, 1.0, 1, -1.0, {}}};
  asked.speeds = {140.0, 150.0, 160.0};
  asked.options = {{800.0}, {900.0}};
  asked.shaken = {{1.0, {{1.0, 0.0}, {}}}, {2.0, {{1.0, 0.0}, {}}}};
  CHECK_THROWS_MATCHES(answers(asked), ComputationError,
                       Message("order 2 at 150 rad/s, option 1: resonance without damping at 300 "
                               "rad/s: the reciprocal condition of the dynamic stiffness is 0, and "
                               "must be 1e-13 or more"));
  asked.options.pop_back();
  CHECK(answers(asked).count.direct == 0);
  // The same of a closed loop, which the second path takes.
  asked.options = {{400.0}};
  asked.system.elements.push_back({0, 1.0, 1, -0.5, {}});
  asked.system.elements[1].law = {400.0};
  const Answers loop = answers(asked);
  check_against_response(asked, loop);
}

TEST_CASE("an option of zero stiffness lets go of what it held") {
  OptionSweep asked = with_undamped_branch();
  asked.system.elements[0].law.damping = 0.2;
  asked.options = {{}, {0.0, 0.0, 0.5}};
  const Answers got = answers(asked);
  for (const auto& option : got.at) {
    for (std::size_t speed = 0; speed < asked.speeds.size(); ++speed) {
      CHECK(option[0][speed].torques[1] == 0.0);
      // The second order shakes the inertia that is let go of, alone.
      CHECK(option[1][speed].torques[0] == 0.0);
      const double omega = asked.speeds[speed];
      CHECK_THAT(option[1][speed].energy, WithinRel(0.25 / (0.02 * omega * omega), 1e-13));
    }
  }
  check_against_response(asked, got);
}

TEST_CASE("a sweep hands over one option after the other, eight speeds at a time") {
  OptionSweep asked = with_undamped_branch();
  asked.speeds.assign(17, 50.0);
  std::vector<std::size_t> calls;
  sweep(asked, [&calls](const OptionAnswers& got) {
    calls.insert(calls.end(), {got.first_speed, got.option, got.speeds});
    CHECK(got.orders == 2);
    CHECK(got.watched == 3);
  });
  CHECK(calls == std::vector<std::size_t>{0, 0, 8, 0, 1,  8, 0, 2,  8, 8, 0,  8, 8, 1,
                                          8, 8, 2, 8, 16, 0, 1, 16, 1, 1, 16, 2, 1});
  CHECK_THROWS_AS(sweep(asked, [](const OptionAnswers&) { throw std::runtime_error("stop"); }),
                  std::runtime_error);
  asked.watched.clear();
  CHECK(answers(asked).at[2][1][16].energy > 0.0);
  const auto fail = [](const OptionAnswers&) { FAIL("there is nothing to hand over"); };
  OptionSweep nothing = asked;
  nothing.speeds.clear();
  CHECK(sweep(nothing, fail).solves == 0);
  nothing = asked;
  nothing.options.clear();
  CHECK(sweep(nothing, fail).solves == 0);
}

TEST_CASE("what a sweep cannot be asked") {
  const OptionSweep good = with_undamped_branch();
  const auto wrong = [&good](const char* text, const std::function<void(OptionSweep&)>& change) {
    OptionSweep asked = good;
    change(asked);
    CHECK_THROWS_MATCHES(answers(asked), DomainError, Message(text));
  };
  wrong("varied element: it must be one of the system, not 3",
        [](OptionSweep& asked) { asked.varied = 3; });
  wrong("watched element: it must be one of the system, not 5",
        [](OptionSweep& asked) { asked.watched[1] = 5; });
  wrong("speed: it must be above 0 rad/s, not 0 rad/s",
        [](OptionSweep& asked) { asked.speeds[2] = 0.0; });
  wrong("speed: it must be above 0 rad/s, not nan rad/s",
        [](OptionSweep& asked) { asked.speeds[2] = not_a_number; });
  wrong("shaken order 1: an order must be above 0, not -1",
        [](OptionSweep& asked) { asked.shaken[1].order = -1.0; });
  wrong("shaken order 1: the exponent of the speed must be 0, 1 or 2, not 3",
        [](OptionSweep& asked) { asked.shaken[1].speed_exponent = 3; });
  wrong("shaken order 0: the reference speed must be above 0 rad/s, not 0 rad/s",
        [](OptionSweep& asked) { asked.shaken[0].reference_speed = 0.0; });
  wrong("torque: there must be 3, not 2",
        [](OptionSweep& asked) { asked.shaken[0].excitation.torques.pop_back(); });
  wrong("displacement: there must be 3, not 1",
        [](OptionSweep& asked) { asked.shaken[0].excitation.displacements = {1.0}; });
  wrong("option 2: the stiffness must be 0 or more, not -1",
        [](OptionSweep& asked) { asked.options[2].stiffness = -1.0; });
  wrong("torsional system: there must be at least one inertia",
        [](OptionSweep& asked) { asked.system.inertias.clear(); });
  wrong("omega: it must be above 0 rad/s, not inf rad/s",
        [](OptionSweep& asked) { asked.speeds[0] = asked.shaken[0].order = 1e200; });
}
