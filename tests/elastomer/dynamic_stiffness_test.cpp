#include "lashband/elastomer/dynamic_stiffness.hpp"

#include <algorithm>
#include <boost/numeric/odeint/integrate/integrate_n_steps.hpp>
#include <boost/numeric/odeint/stepper/runge_kutta_fehlberg78.hpp>
#include <cmath>
#include <cstddef>
#include <numbers>
#include <vector>

#include "catch.hpp"
#include "lashband/error.hpp"
#include "made_quantities.hpp"

using namespace lashband;
using namespace lashband::elastomer;
using namespace lashband::test;
using std::numbers::pi;
using units::from_si;

namespace {

// A handful of products and quotients.
constexpr double rounding = 1e-14;

units::TorsionalDamping newton_metre_second_per_radian(double value) {
  return from_si<units::TorsionalDamping>(value);
}

/// Zener's solid of the rows below: k 1000, k_1 1500 N m/rad, tau 10 ms.
GeneralisedMaxwell zener() {
  return {newton_metre_per_radian(1000.0), {{newton_metre_per_radian(1500.0), second(0.01)}}};
}

ComplexStiffness at_hertz(const ElastomerLaw& law, double f) {
  return dynamic_stiffness(law, radian_per_second(2.0 * pi * f));
}

/// What a chain does in time under a twist of the amplitude `theta`, once it has settled: its
/// torque's parts in phase with the twist and with its velocity, and the work of a cycle.
struct Measured {
  double storage = 0.0;
  double loss = 0.0;
  double work = 0.0;
};

/// Each branch by its dashpot's angle q, tau q' = twist - q; the last three states gather.
Measured swung(const GeneralisedMaxwell& chain, double omega, double theta) {
  using State = std::vector<double>;
  const std::size_t n = chain.branches.size();
  const auto torque = [&](const State& y, double twist) {
    double T = chain.relaxed_stiffness.value() * twist;
    for (std::size_t j = 0; j < n; ++j) {
      T += chain.branches[j].stiffness.value() * (twist - y[j]);
    }
    return T;
  };
  const auto slope = [&](const State& y, State& out, double t) {
    const double twist = theta * std::cos(omega * t);
    for (std::size_t j = 0; j < n; ++j) {
      out[j] = (twist - y[j]) / chain.branches[j].relaxation_time.value();
    }
    const double T = torque(y, twist);
    out[n] = T * std::cos(omega * t);
    out[n + 1] = -T * std::sin(omega * t);
    out[n + 2] = -T * theta * omega * std::sin(omega * t);
  };
  double slowest = 0.0;
  double fastest = 1.0 / omega;
  for (const MaxwellBranch& branch : chain.branches) {
    slowest = std::max(slowest, branch.relaxation_time.value());
    fastest = std::min(fastest, branch.relaxation_time.value());
  }
  const double period = 2.0 * pi / omega;
  // exp(-35) of the start is left.
  const double cycles = std::ceil(35.0 * slowest / period);
  const auto steps = static_cast<std::size_t>(std::ceil(std::max(100.0, 10.0 * period / fastest)));
  const double step = period / static_cast<double>(steps);
  boost::numeric::odeint::runge_kutta_fehlberg78<State> stepper;
  State y(n + 3, 0.0);
  boost::numeric::odeint::integrate_n_steps(stepper, slope, y, 0.0, step,
                                            steps * static_cast<std::size_t>(cycles));
  y[n] = y[n + 1] = y[n + 2] = 0.0;
  boost::numeric::odeint::integrate_n_steps(stepper, slope, y, cycles * period, step, steps);
  return {2.0 * y[n] / (theta * period), 2.0 * y[n + 1] / (theta * period), y[n + 2]};
}

}  // namespace

TEST_CASE("a cycle of a constant loss factor loses pi k'' theta^2") {
  // k 2000 N m/rad, eta 0.15, amplitude 0.01 rad: exact.
  const ElastomerLaw law(LossFactor{newton_metre_per_radian(2000.0), 0.15});
  const ComplexStiffness k = at_hertz(law, 37.0);
  CHECK_THAT(energy_per_cycle(k, radian(0.01)).value(), WithinRel(0.09424777960769379, rounding));
  CHECK_THAT(k.relative_damping(), WithinRel(0.9424777960769379, rounding));
  CHECK_THAT(k.loss_factor(), WithinRel(0.15, rounding));
  CHECK_THAT(k.magnitude().value(), WithinRel(2000.0 * std::sqrt(1.0225), rounding));
  // It is the same at every frequency.
  CHECK(at_hertz(law, 3700.0).loss == k.loss);
}

TEST_CASE("the loss factor of Zener's solid has its peak where theory says") {
  const ElastomerLaw law(zener());
  // Exact: (k_u - k_r)/(2 sqrt(k_u k_r)) at sqrt(k_r/k_u)/tau, k_u = 2500 N m/rad.
  const double peak = std::sqrt(1000.0 / 2500.0) / 0.01;
  CHECK_THAT(peak, WithinAbs(63.2455532, 5e-8));
  const double at_peak = dynamic_stiffness(law, radian_per_second(peak)).loss_factor();
  CHECK_THAT(at_peak, WithinAbs(0.474341649, 5e-10));
  for (const double factor : {0.99, 1.01}) {
    CHECK(dynamic_stiffness(law, radian_per_second(factor * peak)).loss_factor() < at_peak);
  }
}

TEST_CASE("the stiffness of Zener's solid over frequency") {
  // Exact: k_r + k_1 i w tau / (1 + i w tau); nine digits after the point at most.
  struct Row {
    double f;
    double storage;
    double loss;
  };
  for (const Row& row : {Row{1, 1005.898476, 93.877167}, Row{10, 1424.564800, 675.715865},
                         Row{50, 2362.000497, 433.538223}, Row{100, 2462.943215, 232.834644},
                         Row{200, 2490.560913, 118.615069}}) {
    INFO(row.f << " Hz");
    const ComplexStiffness k = at_hertz(ElastomerLaw(zener()), row.f);
    CHECK_THAT(k.storage.value(), WithinAbs(row.storage, 5e-7));
    CHECK_THAT(k.loss.value(), WithinAbs(row.loss, 5e-7));
  }
  const ComplexStiffness k = at_hertz(ElastomerLaw(zener()), 50.0);
  CHECK_THAT(energy_per_cycle(k, radian(0.01)).value(), WithinAbs(0.1362000497, 5e-11));
}

TEST_CASE("chains integrated over time answer with the stiffness of the formula") {
  // Order 8 at a hundred steps a period or ten a relaxation time, whichever is finer.
  constexpr double integrated = 1e-9;
  const GeneralisedMaxwell three{newton_metre_per_radian(800.0),
                                 {{newton_metre_per_radian(300.0), second(0.05)},
                                  {newton_metre_per_radian(500.0), second(0.004)},
                                  {newton_metre_per_radian(900.0), second(0.0007)}}};
  for (const GeneralisedMaxwell& chain : {zener(), three}) {
    for (const double f : {2.0, 50.0, 300.0}) {
      INFO(chain.branches.size() << " branches, " << f << " Hz");
      const ComplexStiffness k = at_hertz(ElastomerLaw(chain), f);
      const Measured measured = swung(chain, 2.0 * pi * f, 0.01);
      CHECK_THAT(k.storage.value(), WithinRel(measured.storage, integrated));
      CHECK_THAT(k.loss.value(), WithinRel(measured.loss, integrated));
      CHECK_THAT(energy_per_cycle(k, radian(0.01)).value(), WithinRel(measured.work, integrated));
    }
  }
}

TEST_CASE("a dashpot in place of a loss factor loses as much at its frequency alone") {
  const LossFactor law{newton_metre_per_radian(1500.0), 0.2};
  const double wn = 324.037035;  // of the two rotors 0.02 and 0.05 kg m2 on this spring
  const KelvinVoigt twin = equivalent_kelvin_voigt(law, radian_per_second(wn));
  // By hand: 1500 * 0.2 / 324.037035.
  CHECK_THAT(twin.damping.value(), WithinAbs(0.92582, 5e-6));
  const ElastomerLaw law_in_time{ElastomerLaw::Form{twin}};
  const ElastomerLaw law_over_frequency{ElastomerLaw::Form{law}};
  CHECK_THAT(dynamic_stiffness(law_in_time, radian_per_second(wn)).loss.value(),
             WithinRel(300.0, rounding));
  CHECK_THAT(dynamic_stiffness(law_in_time, radian_per_second(2.0 * wn)).loss_factor(),
             WithinRel(0.4, rounding));
  CHECK(dynamic_stiffness(law_over_frequency, radian_per_second(2.0 * wn)).loss_factor() == 0.2);
}

TEST_CASE("static stiffness is that of slow swings") {
  const ElastomerLaw chain(zener());
  CHECK(static_stiffness(chain).value() == 1000.0);
  // k' - k_r goes as (omega tau)^2, 1e-12 here.
  CHECK_THAT(dynamic_stiffness(chain, radian_per_second(1e-4)).storage.value(),
             WithinRel(1000.0, 1e-11));
  CHECK(static_stiffness(ElastomerLaw(LossFactor{newton_metre_per_radian(7.0), 0.1})).value() ==
        7.0);
  CHECK(static_stiffness(ElastomerLaw(KelvinVoigt{newton_metre_per_radian(8.0),
                                                  newton_metre_second_per_radian(0.1)}))
            .value() == 8.0);
  // Nothing overflows far beyond the times.
  CHECK_THAT(dynamic_stiffness(chain, radian_per_second(1e250)).storage.value(),
             WithinRel(2500.0, rounding));
}

TEST_CASE("a scaled law has its stiffness and loss times the factor at every frequency") {
  for (const ElastomerLaw& law :
       {ElastomerLaw(zener()), ElastomerLaw(LossFactor{newton_metre_per_radian(900.0), 0.12}),
        ElastomerLaw(
            KelvinVoigt{newton_metre_per_radian(900.0), newton_metre_second_per_radian(0.3)})}) {
    const ElastomerLaw softer = scaled(law, 0.44);
    CHECK_THAT(static_stiffness(softer).value(),
               WithinRel(0.44 * static_stiffness(law).value(), rounding));
    for (const double f : {5.0, 80.0}) {
      CHECK_THAT(at_hertz(softer, f).storage.value(),
                 WithinRel(0.44 * at_hertz(law, f).storage.value(), rounding));
      CHECK_THAT(at_hertz(softer, f).loss.value(),
                 WithinRel(0.44 * at_hertz(law, f).loss.value(), rounding));
    }
  }
}

TEST_CASE("Prony terms are branches in parts of the slow stiffness") {
  const GeneralisedMaxwell chain = chain_of_prony_terms(
      newton_metre_per_radian(400.0), {{0.5, second(0.02)}, {1.25, second(0.001)}});
  REQUIRE(chain.branches.size() == 2);
  CHECK(chain.relaxed_stiffness.value() == 400.0);
  CHECK(chain.branches[0].stiffness.value() == 200.0);
  CHECK(chain.branches[1].stiffness.value() == 500.0);
  CHECK(chain.branches[1].relaxation_time.value() == 0.001);
  CHECK_THROWS_AS(chain_of_prony_terms(newton_metre_per_radian(400.0), {{-0.5, second(0.02)}}),
                  DomainError);
}

TEST_CASE("laws without sense are refused") {
  const auto k = newton_metre_per_radian(100.0);
  CHECK_THROWS_MATCHES(ElastomerLaw(LossFactor{k, -0.1}), DomainError,
                       Message("the loss factor of an elastomer must be 0 or more, not -0.1"));
  CHECK_THROWS_AS(ElastomerLaw(LossFactor{newton_metre_per_radian(0.0), 0.1}), DomainError);
  CHECK_THROWS_AS(ElastomerLaw(KelvinVoigt{k, newton_metre_second_per_radian(-1.0)}), DomainError);
  CHECK_THROWS_AS(ElastomerLaw(GeneralisedMaxwell{newton_metre_per_radian(0.0), {}}), DomainError);
  CHECK_THROWS_AS(ElastomerLaw(GeneralisedMaxwell{k, {{k, second(0.0)}}}), DomainError);
  CHECK_THROWS_AS(
      ElastomerLaw(GeneralisedMaxwell{k, {{newton_metre_per_radian(0.0), second(1.0)}}}),
      DomainError);
  CHECK_NOTHROW(ElastomerLaw(GeneralisedMaxwell{newton_metre_per_radian(0.0), {{k, second(1.0)}}}));
  const ElastomerLaw law(LossFactor{k, 0.1});
  const ComplexStiffness stiffness = at_hertz(law, 1.0);
  CHECK_THROWS_AS(dynamic_stiffness(law, radian_per_second(0.0)), DomainError);
  CHECK_THROWS_AS(scaled(law, 0.0), DomainError);
  CHECK_THROWS_AS(energy_per_cycle(stiffness, radian(-0.1)), DomainError);
  CHECK_THROWS_AS(equivalent_kelvin_voigt({k, 0.1}, radian_per_second(0.0)), DomainError);
  CHECK_THROWS_AS(equivalent_kelvin_voigt({k, -0.1}, radian_per_second(1.0)), DomainError);
  for (const double bad : {not_a_number, infinite}) {
    CHECK_THROWS_AS(ElastomerLaw(LossFactor{newton_metre_per_radian(bad), 0.1}), DomainError);
    CHECK_THROWS_AS(ElastomerLaw(LossFactor{k, bad}), DomainError);
    CHECK_THROWS_AS(ElastomerLaw(KelvinVoigt{k, newton_metre_second_per_radian(bad)}), DomainError);
    CHECK_THROWS_AS(ElastomerLaw(GeneralisedMaxwell{newton_metre_per_radian(bad), {}}),
                    DomainError);
    CHECK_THROWS_AS(ElastomerLaw(GeneralisedMaxwell{k, {{k, second(bad)}}}), DomainError);
    CHECK_THROWS_AS(dynamic_stiffness(law, radian_per_second(bad)), DomainError);
    CHECK_THROWS_AS(scaled(law, bad), DomainError);
    CHECK_THROWS_AS(energy_per_cycle(stiffness, radian(bad)), DomainError);
  }
}
