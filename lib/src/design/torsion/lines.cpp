#include "lines.hpp"

#include <algorithm>
#include <boost/multiprecision/cpp_int.hpp>
#include <cmath>
#include <map>
#include <numbers>

#include "lashband/design/frequencies.hpp"
#include "lashband/excitation/crank_mechanism.hpp"
#include "lashband/excitation/harmonics.hpp"

namespace lashband::design {
namespace {

using boost::multiprecision::cpp_int;
using std::complex;
using train::ExactRatio;

constexpr double turn = 2.0 * std::numbers::pi;

// Orders are read with at most this many decimals, so that full cycles are finite.
constexpr int decimals_of_orders = 10000;

// Any speed does to scale the inertia torque of a crank from, rad/s of the reference.
constexpr double crank_speed = 100.0;

ExactRatio exact(double order) {
  return ExactRatio(std::llround(order * decimals_of_orders)) / decimals_of_orders;
}

excitation::CrankMechanism mechanism_of(const CrankMechanism& crank) {
  return excitation::CrankMechanism({crank.crank_radius, crank.rod_length, crank.offset});
}

std::size_t crank_harmonics(const TorsionSettings& settings, int revolutions) {
  return static_cast<std::size_t>(settings.greatest_order) * static_cast<std::size_t>(revolutions);
}

excitation::CyclicTorque gas_torque(const TorsionSettings& settings, const CrankMechanism& crank) {
  const auto& trace = *crank.pressure;
  const std::size_t told = (trace.size() - 1) / 2;
  return excitation::gas_torque(
      trace, mechanism_of(crank), {*crank.bore, crank.ambient},
      std::min(crank_harmonics(settings, trace.revolutions_per_cycle()), told));
}

// How far each mesh is behind the first one it hangs together with, in mesh periods: known between
// meshes of one gear.
std::vector<double> periods_behind(const Design& design) {
  std::map<std::string, std::size_t> index;
  for (std::size_t m = 0; m < design.meshes.size(); ++m) {
    index.emplace(design.meshes[m].id, m);
  }
  std::vector<std::optional<double>> behind(design.meshes.size());
  const std::vector<MeshPhase> phases = frequencies(design).phases;
  for (std::size_t start = 0; start < behind.size(); ++start) {
    if (behind[start]) {
      continue;
    }
    behind[start] = 0.0;
    std::vector<std::size_t> open{start};
    while (!open.empty()) {
      const std::size_t mesh = open.back();
      open.pop_back();
      for (const MeshPhase& row : phases) {
        const std::size_t first = index.at(row.mesh_1);
        const std::size_t second = index.at(row.mesh_2);
        if (first == mesh && !behind[second]) {
          behind[second] = *behind[mesh] + row.phase;
          open.push_back(second);
        } else if (second == mesh && !behind[first]) {
          behind[first] = *behind[mesh] - row.phase;
          open.push_back(first);
        }
      }
    }
  }
  std::vector<double> result;
  result.reserve(behind.size());
  for (const auto& periods : behind) {
    result.push_back(periods.value_or(0.0));
  }
  return result;
}

class Collector {
 public:
  Collector(const Design& design, const TorsionLayout& layout, TorsionLines& into)
      : settings_(*design.torsion), design_(design), layout_(layout), into_(into) {}

  void add_torques() {
    for (const ShaftTorque& torque : settings_.torques) {
      const auto& inertia = layout_.station[torque.station];
      if (!inertia) {
        continue;
      }
      for (const TorqueOrder& order : torque.orders) {
        add(torque, *inertia, exact(order.order),
            std::polar(order.amplitude.value(), order.phase.value()), order.scaling,
            settings_.scaling_speed ? settings_.scaling_speed->value() : 0.0);
      }
      if (torque.crank) {
        add_crank(torque, *inertia);
      }
    }
  }

  void add_transmission_errors() {
    std::vector<double> behind;
    for (const MeshDynamics& mesh : settings_.meshes) {
      if (mesh.transmission_error.empty()) {
        continue;
      }
      if (behind.empty()) {
        behind = periods_behind(design_);
      }
      const auto element = element_of(mesh.mesh);
      if (!element) {
        continue;
      }
      const Gear& gear = design_.gears[design_.meshes[mesh.mesh].gear_1];
      const ExactRatio mesh_order =
          layout_.speed[layout_.elements[*element].inertia_1] * gear.body.teeth();
      for (const TransmissionError& error : mesh.transmission_error) {
        const double phase = error.phase.value() - turn * error.harmonic * behind[mesh.mesh];
        TorsionLine line;
        line.order = mesh_order * error.harmonic;
        line.shown = {"mesh " + design_.meshes[mesh.mesh].id, train::nearest_double(line.order),
                      static_cast<double>(error.harmonic)};
        line.element = *element;
        line.amplitude = std::polar(error.amplitude.value(), phase);
        into_.lines.push_back(std::move(line));
      }
    }
  }

 private:
  [[nodiscard]] std::optional<std::size_t> element_of(std::size_t mesh) const {
    for (std::size_t e = 0; e < layout_.sources.size(); ++e) {
      if (layout_.sources[e].kind == TorsionElement::Kind::mesh &&
          layout_.sources[e].index == mesh) {
        return e;
      }
    }
    return std::nullopt;
  }

  void add(const ShaftTorque& torque, std::size_t inertia, const ExactRatio& order,
           complex<double> amplitude, SpeedScaling scaling, double scales_from) {
    if (amplitude == 0.0) {
      return;
    }
    TorsionLine line;
    line.order = order * layout_.speed[inertia];
    line.shown = {"torque " + torque.id, train::nearest_double(line.order),
                  train::nearest_double(order)};
    line.inertia = inertia;
    line.amplitude = amplitude;
    line.scaling = scaling;
    line.scales_from = scales_from;
    into_.lines.push_back(std::move(line));
  }

  // The crank angle is the shaft's less that of top dead centre.
  void add_cyclic(const ShaftTorque& torque, std::size_t inertia,
                  const excitation::CyclicTorque& course, SpeedScaling scaling) {
    const excitation::CyclicTorque turned =
        excitation::delayed(course, torque.crank->top_dead_centre);
    for (std::size_t k = 1; k <= turned.harmonics(); ++k) {
      add(torque, inertia, ExactRatio(k) / turned.revolutions_per_cycle(),
          turned.amplitude_in_newton_metres(k), scaling, crank_speed);
    }
  }

  void add_crank(const ShaftTorque& torque, std::size_t inertia) {
    const CrankMechanism& crank = *torque.crank;
    if (crank.reciprocating_mass.value() > 0.0) {
      const double own = crank_speed * train::nearest_double(layout_.speed[inertia]);
      add_cyclic(torque, inertia,
                 excitation::inertia_torque(mechanism_of(crank), crank.reciprocating_mass,
                                            units::from_si<units::AngularVelocity>(own),
                                            crank_harmonics(settings_, 1)),
                 SpeedScaling::squared);
    }
    if (crank.pressure && crank.bore) {
      add_cyclic(torque, inertia, gas_torque(settings_, crank), SpeedScaling::constant);
    }
  }

  const TorsionSettings& settings_;
  const Design& design_;
  const TorsionLayout& layout_;
  TorsionLines& into_;
};

// Lines of one order belong together; the cycle is the least that all orders fit into.
void put_in_order(TorsionLines& result) {
  std::map<ExactRatio, std::vector<std::size_t>> by_order;
  for (std::size_t i = 0; i < result.lines.size(); ++i) {
    by_order[result.lines[i].order].push_back(i);
  }
  if (by_order.empty()) {
    return;
  }
  cpp_int common_numerator = 0;
  cpp_int common_denominator = 1;
  for (const auto& entry : by_order) {
    common_numerator = gcd(common_numerator, numerator(entry.first));
    common_denominator = lcm(common_denominator, denominator(entry.first));
  }
  const ExactRatio revolutions = ExactRatio(common_denominator) / common_numerator;
  result.revolutions = train::nearest_double(revolutions);
  for (auto& [order, lines] : by_order) {
    const ExactRatio whole = order * revolutions;
    ShakenOrder shaken{train::nearest_double(order), 0, std::move(lines)};
    if (whole <= most_whole_order) {
      shaken.whole = static_cast<long long>(numerator(whole));
    } else {
      result.cycle_too_long = true;
    }
    result.orders.push_back(std::move(shaken));
  }
}

}  // namespace

double scaling_at(const TorsionSettings& settings, SpeedScaling scaling, double speed) {
  return excitation::speed_factor(scaling, units::from_si<units::AngularVelocity>(speed),
                                  settings.scaling_speed.value_or(units::AngularVelocity()));
}

double mean_gas_torque(const TorsionSettings& settings, const ShaftTorque& torque) {
  if (!torque.crank || !torque.crank->pressure || !torque.crank->bore) {
    return 0.0;
  }
  return gas_torque(settings, *torque.crank).mean().value();
}

TorsionLines torsion_lines(const Design& design, const TorsionLayout& layout) {
  TorsionLines result;
  Collector collector(design, layout, result);
  collector.add_torques();
  collector.add_transmission_errors();
  put_in_order(result);
  return result;
}

torsion::kernel::Excitation excitation_at(const TorsionLines& lines, const ShakenOrder& order,
                                          const TorsionLayout& layout, double speed) {
  torsion::kernel::Excitation result;
  result.torques.resize(layout.inertias.size());
  result.displacements.resize(layout.elements.size());
  for (const std::size_t index : order.lines) {
    const TorsionLine& line = lines.lines[index];
    const complex<double> amplitude =
        line.amplitude *
        excitation::speed_factor(line.scaling, units::from_si<units::AngularVelocity>(speed),
                                 units::from_si<units::AngularVelocity>(line.scales_from));
    if (line.inertia) {
      result.torques[*line.inertia] += amplitude;
    } else {
      result.displacements[line.element] += amplitude;
    }
  }
  return result;
}

}  // namespace lashband::design
