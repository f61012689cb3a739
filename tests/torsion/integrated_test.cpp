// Steady responses against SUNDIALS, whose CVODE integrates the equations of motion themselves:
// torques over time, dampers and the inner states of branches, no complex number anywhere.
#include <algorithm>
#include <cmath>
#include <cstddef>
#include <vector>

#include "catch.hpp"
#include "made_systems.hpp"
#include "sundials.hpp"
#include "torsion/force_course.hpp"
#include "torsion/mean_flow.hpp"
#include "torsion/response.hpp"

using namespace lashband;
using namespace lashband::test;
using namespace lashband::torsion::kernel;

namespace {

// Angles and torques, relative to their greatest of the cycle: what CVODE keeps over some hundred
// swings. Reached: 2e-10 from the steady motion, 2e-9 from rest.
constexpr double integrated = 1e-8;
// Ends of torques, relative to the same: the parabola through three samples. Reached: 4e-8.
constexpr double parabola = 1e-7;
// Asked of CVODE, relative to the greatest of each state.
constexpr double tolerance = 1e-13;

struct Order {
  long long number = 1;  // over the cycle
  Excitation excitation{};
};

struct Made {
  const char* name = "";
  System system{};
  double base = 0.0;  // omega of the order 1
  std::vector<Order> orders{};
  std::vector<double> mean_torques{};
  std::size_t balancing = 0;
};

// Mean and phasors of one quantity.
struct Course {
  double mean = 0.0;
  std::vector<Complex> phasors{};  // by place in `orders`
};

double value_at(const Made& made, const Course& course, double time) {
  double sum = course.mean;
  for (std::size_t n = 0; n < course.phasors.size(); ++n) {
    const double phase = static_cast<double>(made.orders[n].number) * made.base * time;
    sum += course.phasors[n].real() * std::cos(phase) - course.phasors[n].imag() * std::sin(phase);
  }
  return sum;
}

double greatest(const Course& course) {
  double sum = std::fabs(course.mean);
  for (const Complex& phasor : course.phasors) {
    sum += std::abs(phasor);
  }
  return sum;
}

Course slope(const Made& made, const Course& course) {
  Course result{0.0, course.phasors};
  for (std::size_t n = 0; n < result.phasors.size(); ++n) {
    result.phasors[n] *= Complex{0.0, static_cast<double>(made.orders[n].number) * made.base};
  }
  return result;
}

// What acts: the outer torques by inertia and the displacements by element.
struct Acting {
  std::vector<Course> torques{};
  std::vector<Course> displacements{};
  std::vector<Course> displacement_rates{};
};

Acting acting(const Made& made, const MeanFlow& flow) {
  Acting result;
  const std::size_t orders = made.orders.size();
  result.torques.assign(made.system.inertias.size(), {0.0, std::vector<Complex>(orders)});
  result.displacements.assign(made.system.elements.size(), {0.0, std::vector<Complex>(orders)});
  for (std::size_t i = 0; i < result.torques.size(); ++i) {
    result.torques[i].mean = made.mean_torques[i] + (i == made.balancing ? flow.balance : 0.0);
  }
  for (std::size_t n = 0; n < orders; ++n) {
    const Excitation& excitation = made.orders[n].excitation;
    for (std::size_t i = 0; i < excitation.torques.size(); ++i) {
      result.torques[i].phasors[n] = excitation.torques[i];
    }
    for (std::size_t e = 0; e < excitation.displacements.size(); ++e) {
      result.displacements[e].phasors[n] = excitation.displacements[e];
    }
  }
  for (const Course& displacement : result.displacements) {
    result.displacement_rates.push_back(slope(made, displacement));
  }
  return result;
}

// What the library says: angles, torques, and the elongations of the dampers in branches.
struct Steady {
  std::vector<Course> angles{};
  std::vector<Course> torques{};
  std::vector<Course> inner{};
};

Steady steady(const Made& made, const MeanFlow& flow, const Acting& acts) {
  const System& system = made.system;
  std::vector<Response> responses;
  for (const Order& order : made.orders) {
    responses.push_back(
        response(system, static_cast<double>(order.number) * made.base, order.excitation));
  }
  Steady result;
  for (std::size_t i = 0; i < system.inertias.size(); ++i) {
    Course course{flow.angles[i], {}};
    for (const Response& at : responses) {
      course.phasors.push_back(at.angles[i]);
    }
    result.angles.push_back(course);
  }
  const std::vector<double> mean = elongations(system, flow.angles);
  for (std::size_t e = 0; e < system.elements.size(); ++e) {
    const Element& element = system.elements[e];
    Course torque{flow.torques[e], {}};
    for (const Response& at : responses) {
      torque.phasors.push_back(at.torques[e]);
    }
    result.torques.push_back(torque);
    for (const MaxwellBranch& branch : element.law.branches) {
      Course inner{mean[e], {}};
      for (std::size_t n = 0; n < responses.size(); ++n) {
        const double omega = static_cast<double>(made.orders[n].number) * made.base;
        Complex strain =
            element.arm_1 * responses[n].angles[element.first] - acts.displacements[e].phasors[n];
        strain += element.second ? element.arm_2 * responses[n].angles[*element.second] : 0.0;
        inner.phasors.push_back(strain / Complex{1.0, omega * branch.relaxation_time});
      }
      result.inner.push_back(inner);
    }
  }
  return result;
}

// Angles, speeds and inner elongations.
struct State {
  std::vector<double> angles{};
  std::vector<double> speeds{};
  std::vector<double> inner{};
};

double elongation(const Element& element, const std::vector<double>& angles) {
  return element.arm_1 * angles[element.first] +
         (element.second ? element.arm_2 * angles[*element.second] : 0.0);
}

// The torque of each element in time, and how fast its branches creep.
struct Torques {
  std::vector<double> torques{};
  std::vector<double> creep{};
};

Torques torques_at(const Made& made, const Acting& acts, const State& state, double time) {
  Torques result;
  std::size_t place = 0;
  for (std::size_t e = 0; e < made.system.elements.size(); ++e) {
    const Element& element = made.system.elements[e];
    const double strain =
        elongation(element, state.angles) - value_at(made, acts.displacements[e], time);
    const double rate =
        elongation(element, state.speeds) - value_at(made, acts.displacement_rates[e], time);
    double torque = element.law.stiffness * strain + element.law.damping * rate;
    for (const MaxwellBranch& branch : element.law.branches) {
      const double spring = strain - state.inner[place++];
      torque += branch.stiffness * spring;
      result.creep.push_back(spring / branch.relaxation_time);
    }
    result.torques.push_back(torque);
  }
  return result;
}

// The equations of motion, each state over its own size and time in cycles' radians.
class Motion {
 public:
  Motion(const Made& made, const Acting& acts, const Steady& answer) : made_(made), acts_(acts) {
    for (const Course& angle : answer.angles) {
      sizes_.push_back(greatest(angle));
    }
    for (const Course& angle : answer.angles) {
      sizes_.push_back(greatest(slope(made, angle)));
    }
    for (const Course& inner : answer.inner) {
      sizes_.push_back(greatest(inner));
    }
    for (double& size : sizes_) {
      size = size > 0.0 ? size : 1.0;
    }
  }

  [[nodiscard]] std::vector<double> scaled(const Steady& answer, double time) const {
    std::vector<double> result;
    for (const Course& angle : answer.angles) {
      result.push_back(at(angle, time));
    }
    for (const Course& angle : answer.angles) {
      result.push_back(at(slope(made_, angle), time));
    }
    for (const Course& inner : answer.inner) {
      result.push_back(at(inner, time));
    }
    for (std::size_t i = 0; i < result.size(); ++i) {
      result[i] /= sizes_[i];
    }
    return result;
  }

  [[nodiscard]] State state(const double* scaled) const {
    const std::size_t n = made_.system.inertias.size();
    State result;
    for (std::size_t i = 0; i < sizes_.size(); ++i) {
      std::vector<double>& list = i < n ? result.angles : i < 2 * n ? result.speeds : result.inner;
      list.push_back(scaled[i] * sizes_[i]);
    }
    return result;
  }

  /// By phi, the radians of the cycle.
  void rates(double phi, const double* scaled, double* derivative) const {
    const std::size_t n = made_.system.inertias.size();
    const double time = phi / made_.base;
    const State now = state(scaled);
    const Torques torques = torques_at(made_, acts_, now, time);
    std::vector<double> sums;
    for (const Course& torque : acts_.torques) {
      sums.push_back(at(torque, time));
    }
    for (std::size_t e = 0; e < made_.system.elements.size(); ++e) {
      const Element& element = made_.system.elements[e];
      sums[element.first] -= element.arm_1 * torques.torques[e];
      if (element.second) {
        sums[*element.second] -= element.arm_2 * torques.torques[e];
      }
    }
    for (std::size_t i = 0; i < n; ++i) {
      derivative[i] = now.speeds[i];
      derivative[n + i] = sums[i] / made_.system.inertias[i];
    }
    std::copy(torques.creep.begin(), torques.creep.end(), derivative + 2 * n);
    for (std::size_t i = 0; i < sizes_.size(); ++i) {
      derivative[i] /= sizes_[i] * made_.base;
    }
  }

 private:
  [[nodiscard]] double at(const Course& course, double time) const {
    return value_at(made_, course, time);
  }

  const Made& made_;
  const Acting& acts_;
  std::vector<double> sizes_{};
};

// The greatest of even samples over a cycle, by the parabola through the three highest.
double peak(const std::vector<double>& samples, double sign) {
  const auto size = samples.size();
  std::size_t at = 0;
  for (std::size_t i = 0; i < size; ++i) {
    at = sign * samples[i] > sign * samples[at] ? i : at;
  }
  const double before = samples[(at + size - 1) % size];
  const double after = samples[(at + 1) % size];
  const double bend = before - 2.0 * samples[at] + after;
  const double lean = 0.5 * (after - before);
  return bend == 0.0 ? samples[at] : samples[at] - 0.5 * lean * lean / bend;
}

struct Differences {
  double angle = 0.0;
  double torque = 0.0;
  double end = 0.0;
};

// Integrates `before` cycles from rest, or from the steady motion if that is 0, and compares the
// next one.
Differences differences(const Made& made, int before) {
  const MeanFlow flow = mean_flow(made.system, made.mean_torques, made.balancing);
  const Acting acts = acting(made, flow);
  const Steady answer = steady(made, flow, acts);
  const Motion motion(made, acts, answer);
  std::vector<double> start = motion.scaled(answer, 0.0);
  if (before > 0) {
    std::fill(start.begin(), start.end(), 0.0);
  }
  StiffIntegrator integrator(
      [&motion](double phi, const double* state, double* derivative) {
        motion.rates(phi, state, derivative);
      },
      start, tolerance, tolerance);
  constexpr std::size_t points = 6000;
  std::vector<std::vector<double>> courses(made.system.elements.size());
  Differences most;
  for (std::size_t point = 0; point < points; ++point) {
    const double phi = 2.0 * pi * (before + static_cast<double>(point) / points);
    const State now = motion.state(integrator.at(phi).data());
    const double time = phi / made.base;
    for (std::size_t i = 0; i < answer.angles.size(); ++i) {
      const double off = std::fabs(now.angles[i] - value_at(made, answer.angles[i], time));
      most.angle = std::max(most.angle, off / greatest(answer.angles[i]));
    }
    const Torques torques = torques_at(made, acts, now, time);
    for (std::size_t e = 0; e < courses.size(); ++e) {
      courses[e].push_back(torques.torques[e]);
      const double off = std::fabs(torques.torques[e] - value_at(made, answer.torques[e], time));
      most.torque = std::max(most.torque, off / greatest(answer.torques[e]));
    }
  }
  for (std::size_t e = 0; e < courses.size(); ++e) {
    ForceCourse course{answer.torques[e].mean, {}};
    for (std::size_t n = 0; n < made.orders.size(); ++n) {
      course.harmonics.push_back({made.orders[n].number, answer.torques[e].phasors[n]});
    }
    const CourseEnds found = ends(course);
    const double size = greatest(answer.torques[e]);
    most.end = std::max({most.end, std::fabs(found.greatest.value - peak(courses[e], 1.0)) / size,
                         std::fabs(found.least.value - peak(courses[e], -1.0)) / size});
  }
  return most;
}

Law kelvin_voigt(double stiffness, double damping) {
  return {stiffness, damping, 0.0, {}};
}

Order torque_order(long long number, std::vector<Complex> torques) {
  return {number, {std::move(torques), {}}};
}

// Four inertias tied to the case.
Made springs_and_dampers() {
  Made made;
  made.name = "Kelvin-Voigt";
  made.system.inertias = {0.02, 0.05, 0.01, 0.04};
  made.system.elements = {to_case(0, kelvin_voigt(8e3, 3.0)), shaft(0, 1, kelvin_voigt(2e4, 4.0)),
                          shaft(1, 2, kelvin_voigt(1e4, 1.0)), shaft(1, 3, kelvin_voigt(5e3, 5.0))};
  made.base = 120.0;
  made.orders = {torque_order(1, {30.0, Complex{0.0, 5.0}, 0.0, 0.0}),
                 torque_order(2, {Complex{10.0, -10.0}, 0.0, 2.0, 0.0}),
                 torque_order(5, {4.0, 0.0, 0.0, Complex{1.0, 1.0}})};
  made.mean_torques = {20.0, 0.0, 0.0, -5.0};
  return made;
}

// A machine on a rubber coupling, relaxing over four decades.
Made chains() {
  Made made;
  made.name = "generalised Maxwell";
  Law two = kelvin_voigt(2e3, 0.0);
  two.branches = {{1.5e3, 1e-2}, {4e3, 4e-4}};
  Law four = kelvin_voigt(900.0, 0.2);
  four.branches = {{600.0, 0.2}, {500.0, 2e-2}, {800.0, 1.5e-3}, {2e3, 1e-4}};
  Law alone;  // holds the quick, lets go of the slow
  alone.branches = {{700.0, 5e-3}};
  made.system.inertias = {0.02, 0.05, 0.008};
  made.system.elements = {shaft(0, 1, two), to_case(1, four), shaft(2, 0, alone),
                          shaft(2, 0, kelvin_voigt(300.0, 0.0))};
  made.base = 60.0;
  made.orders = {torque_order(1, {10.0, 0.0, 0.0}),
                 torque_order(3, {Complex{0.0, 6.0}, 1.0, Complex{1.0, 0.5}}),
                 torque_order(4, {3.0, Complex{-2.0, 1.0}, 0.0}),
                 torque_order(10, {0.0, 0.0, Complex{0.5, -0.4}})};
  made.mean_torques = {12.0, -3.0, 1.0};
  return made;
}

// An inertia in oil on a crankshaft, which no spring holds.
Made untuned_damper() {
  Made made;
  made.name = "untuned damper";
  made.system.inertias = {0.05, 0.03, 0.03, 0.4};
  made.system.elements = {shaft(0, 1, damper(20.0)), shaft(1, 2, kelvin_voigt(2e5, 0.5)),
                          shaft(2, 3, kelvin_voigt(3e5, 0.5)), to_case(3, kelvin_voigt(50.0, 8.0))};
  made.base = 2.0 * pi * 25.0;
  for (const long long number : {1, 2, 3, 4, 6, 9}) {
    const double size = 200.0 / static_cast<double>(number);
    made.orders.push_back(
        torque_order(number, {0.0, std::polar(size, 0.3 * static_cast<double>(number)),
                              std::polar(size, 2.0 + 1.1 * static_cast<double>(number)), 0.0}));
  }
  made.mean_torques = {0.0, 40.0, 40.0, 0.0};
  return made;
}

// Crankshaft, external mesh, rubber, internal mesh, driven machine: free to turn, with torques of
// low orders and errors of both meshes.
Made geared_train() {
  Made made;
  made.name = "geared train";
  Law rubber = kelvin_voigt(8e3, 0.0);
  rubber.branches = {{6e3, 3e-3}, {9e3, 2e-4}};
  made.system.inertias = {0.3, 2e-3, 8e-3, 5e-3, 0.02, 0.9};
  made.system.elements = {shaft(0, 1, kelvin_voigt(6e4, 1.0)),
                          {1, 0.03, 2, 0.06, kelvin_voigt(3e8, 4e3)},
                          shaft(2, 3, rubber),
                          {3, 0.02, 4, -0.08, kelvin_voigt(2e8, 3e3)},
                          shaft(4, 5, kelvin_voigt(2e5, 20.0))};
  made.base = 2.0 * pi * 15.0;
  for (const long long number : {1, 2, 4}) {
    made.orders.push_back(torque_order(number, std::vector<Complex>(6)));
    made.orders.back().excitation.torques[0] =
        std::polar(80.0 / static_cast<double>(number), 0.7 * static_cast<double>(number));
  }
  for (const auto& [number, mesh, error] :
       {std::tuple{23LL, 1, 4e-6}, {46LL, 1, 1e-6}, {17LL, 3, 6e-6}, {34LL, 3, 2e-6}}) {
    Order order{number, {}};
    order.excitation.displacements.assign(5, 0.0);
    order.excitation.displacements[static_cast<std::size_t>(mesh)] =
        std::polar(error, static_cast<double>(number));
    made.orders.push_back(order);
  }
  made.mean_torques = {50.0, 0.0, 0.0, 0.0, -20.0, 0.0};
  made.balancing = 5;
  return made;
}

// Closed loops with everything at once.
Made random_train(unsigned seed) {
  Made made;
  made.name = "closed train";
  made.system = closed_train(seed, 8, 2, 4.0);
  damp(made.system, seed);
  for (Element& element : made.system.elements) {
    element.law.loss_factor = 0.0;  // it has no counterpart in time
  }
  Draw draw(seed);
  made.base = 400.0;
  for (const long long number : {1, 3, 7}) {
    Order order{number, {}};
    for (std::size_t i = 0; i < made.system.inertias.size(); ++i) {
      order.excitation.torques.push_back(draw.phasor(10.0));
    }
    for (std::size_t e = 0; e < made.system.elements.size(); ++e) {
      order.excitation.displacements.push_back(draw.phasor(1e-5));
    }
    made.orders.push_back(order);
  }
  for (std::size_t i = 0; i < made.system.inertias.size(); ++i) {
    made.mean_torques.push_back(draw.between(-10.0, 10.0));
  }
  made.balancing = 3;
  return made;
}

}  // namespace

TEST_CASE("a motion begun on the steady response stays on it, by CVODE") {
  const auto made = GENERATE(as<Made>{}, springs_and_dampers(), chains(), untuned_damper(),
                             geared_train(), random_train(3), random_train(4));
  const Differences off = differences(made, 0);
  INFO(made.name << ": angles " << off.angle << ", torques " << off.torque << ", ends " << off.end);
  CHECK(off.angle < integrated);
  CHECK(off.torque < integrated);
  CHECK(off.end < parabola);
}

TEST_CASE("a motion from rest settles on the steady response, by CVODE") {
  // Cycles until e^-25 of the start is left.
  for (const auto& [made, cycles] :
       {std::pair{springs_and_dampers(), 40}, std::pair{chains(), 60}}) {
    const Differences off = differences(made, cycles);
    INFO(made.name << ": angles " << off.angle << ", torques " << off.torque << ", ends "
                   << off.end);
    CHECK(off.angle < integrated);
    CHECK(off.torque < integrated);
    CHECK(off.end < parabola);
  }
}
