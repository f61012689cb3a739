#include "condition.hpp"

#include <algorithm>
#include <cmath>
#include <numbers>

#include "lashband/elastomer/bonded_ring.hpp"
#include "lashband/error.hpp"
#include "torsion/modes.hpp"
#include "torsion/torque_gradient.hpp"

namespace lashband::design {
namespace {

namespace kernel = torsion::kernel;
using units::from_si;

constexpr double turn = 2.0 * std::numbers::pi;

double half_range(const kernel::ForceCourse& course) {
  const kernel::CourseEnds ends = kernel::ends(course);
  return 0.5 * (ends.greatest.value - ends.least.value);
}

class ConditionRun {
 public:
  ConditionRun(const TorsionJob& job, const TorsionState& state, double speed)
      : job_(job),
        layout_(job.layout),
        state_(state),
        at_(state.at(speed)),
        vibration_(job.lines, job.layout, at_) {}

  TorsionCondition result(const std::vector<ElastomerHeat>& heat) const {
    TorsionCondition condition;
    condition.speed = from_si<units::AngularVelocity>(at_.speed);
    condition.balance = from_si<units::Torque>(at_.flow.balance);
    condition.modes = modes();
    condition.crossings = crossings(condition.modes);
    condition.power = power();
    condition.reaction = reaction();
    // Without a full cycle nothing has a greatest or a least.
    condition.elements = elements();
    if (!job_.lines.cycle_too_long) {
      condition.meshes = meshes();
    }
    condition.wind_up = wind_up();
    condition.elastomers = elastomers(heat);
    return condition;
  }

  SweepPoint point() const {
    SweepPoint point;
    point.speed = from_si<units::AngularVelocity>(at_.speed);
    for (std::size_t e = 0; e < layout_.elements.size(); ++e) {
      point.dynamic.push_back(half_range(vibration_.course(e)));
    }
    for (const std::size_t e : job_.mesh_elements) {
      const kernel::RattleIndex rattle = kernel::rattle_index(vibration_.course(e));
      point.rattle_index.push_back(rattle.unloaded ? std::nullopt : std::optional(rattle.index));
      point.least_force.push_back(from_si<units::Force>(rattle.least_force));
    }
    return point;
  }

 private:
  [[nodiscard]] bool cycle_known() const { return !job_.lines.cycle_too_long; }

  [[nodiscard]] std::vector<ElementState> elements() const {
    std::vector<ElementState> rows;
    for (std::size_t e = 0; e < layout_.elements.size(); ++e) {
      ElementState row;
      row.stiffness = at_.system.elements[e].law.stiffness;
      row.mean = at_.flow.torques[e];
      row.greatest = row.mean;
      row.least = row.mean;
      if (cycle_known()) {
        const kernel::CourseEnds ends = kernel::ends(vibration_.course(e));
        row.greatest = ends.greatest.value;
        row.least = ends.least.value;
      }
      rows.push_back(row);
    }
    return rows;
  }

  [[nodiscard]] std::vector<NaturalMode> modes() const {
    const std::vector<kernel::Mode> undamped = kernel::modes(at_.system);
    std::vector<NaturalMode> rows;
    rows.reserve(undamped.size());
    for (std::size_t m = 0; m < undamped.size(); ++m) {
      rows.push_back(mode_row(undamped, m));
    }
    pair_with_damped(rows);
    return rows;
  }

  [[nodiscard]] NaturalMode mode_row(const std::vector<kernel::Mode>& all, std::size_t m) const {
    const kernel::Mode& mode = all[m];
    NaturalMode row;
    row.frequency = from_si<units::Frequency>(mode.omega / turn);
    double greatest = 0.0;
    for (const double angle : mode.shape) {
      greatest = std::max(greatest, std::abs(angle));
    }
    for (const double angle : mode.shape) {
      row.shape.push_back(greatest > 0.0 ? angle / greatest : 0.0);
    }
    if (!(mode.omega > 0.0)) {
      return row;
    }
    row.strain_share = mode.strain;
    for (std::size_t e = 0; e < layout_.elements.size(); ++e) {
      const TorsionElement& element = layout_.elements[e];
      if (element.inertia_2 && layout_.arm_1[e] * mode.shape[element.inertia_1] * layout_.arm_2[e] *
                                       mode.shape[*element.inertia_2] >
                                   0.0) {
        row.nodes.push_back(e);
      }
    }
    try {
      const kernel::ModeSensitivity by = kernel::sensitivity(at_.system, all, m);
      for (const double change : by.by_stiffness) {
        row.frequency_by_stiffness.push_back(change / mode.omega);
      }
      for (const double change : by.by_inertia) {
        row.frequency_by_inertia.push_back(change / mode.omega);
      }
    } catch (const ComputationError&) {
      // Two modes of one frequency have no derivatives of their own: the lists stay empty.
      row.frequency_by_stiffness.clear();
      row.frequency_by_inertia.clear();
    }
    return row;
  }

  // The damped mode nearest in frequency, each once, slowest first.
  void pair_with_damped(std::vector<NaturalMode>& rows) const {
    const std::vector<kernel::DampedMode> damped = kernel::damped_modes(at_.system);
    std::vector<bool> taken(damped.size(), false);
    for (NaturalMode& row : rows) {
      const double omega = row.frequency.value() * turn;
      if (!(omega > 0.0)) {
        continue;
      }
      std::optional<std::size_t> nearest;
      for (std::size_t d = 0; d < damped.size(); ++d) {
        if (!taken[d] && (!nearest || std::abs(damped[d].natural_omega - omega) <
                                          std::abs(damped[*nearest].natural_omega - omega))) {
          nearest = d;
        }
      }
      if (nearest) {
        taken[*nearest] = true;
        row.damping_ratio = damped[*nearest].damping_ratio;
        row.damped = from_si<units::Frequency>(damped[*nearest].natural_omega / turn);
      }
    }
  }

  // Gas and masses of one crank shake at the same orders, and meet a mode at the same speed.
  [[nodiscard]] bool told_before(std::size_t line) const {
    const auto& lines = job_.lines.lines;
    const auto end = lines.begin() + static_cast<std::ptrdiff_t>(line);
    return std::any_of(lines.begin(), end, [&](const TorsionLine& other) {
      return other.shown.id == lines[line].shown.id && other.order == lines[line].order;
    });
  }

  [[nodiscard]] std::vector<Crossing> crossings(const std::vector<NaturalMode>& modes) const {
    // What is near the speed counts, wherever the sweep ends.
    double low = 0.5 * at_.speed;
    double high = 2.0 * at_.speed;
    if (const auto& sweep = job_.design.torsion->sweep) {
      low = std::min(low, sweep->from.value());
      high = std::max(high, sweep->to.value());
    }
    std::vector<Crossing> rows;
    for (std::size_t l = 0; l < job_.lines.lines.size(); ++l) {
      const double order = job_.lines.lines[l].shown.order;
      if (told_before(l)) {
        continue;
      }
      for (std::size_t m = 0; m < modes.size(); ++m) {
        const double omega = modes[m].frequency.value() * turn;
        const double speed = omega / order;
        if (omega > 0.0 && speed >= low && speed <= high) {
          rows.push_back(
              {l, m, from_si<units::AngularVelocity>(speed), order * at_.speed / omega - 1.0});
        }
      }
    }
    std::stable_sort(rows.begin(), rows.end(), [](const Crossing& one, const Crossing& two) {
      return std::abs(*one.margin) < std::abs(*two.margin);
    });
    return rows;
  }

  [[nodiscard]] std::vector<MeshVibration> meshes() const {
    std::vector<MeshVibration> rows;
    for (const std::size_t e : job_.mesh_elements) {
      const kernel::ForceCourse force = vibration_.course(e);
      const kernel::RattleIndex rattle = kernel::rattle_index(force);
      MeshVibration row;
      row.mesh = layout_.sources[e].index;
      row.mean = from_si<units::Force>(force.mean);
      row.least = from_si<units::Force>(rattle.least_force);
      row.unloaded = rattle.unloaded;
      if (!rattle.unloaded) {
        row.rattle_index = rattle.index;
        add_gradient(e, force, rattle, row);
      }
      rows.push_back(std::move(row));
    }
    return rows;
  }

  // d(mean force) / d ln k of every element: 0 but in closed loops.
  [[nodiscard]] std::vector<double> mean_by_stiffness(std::size_t element) const {
    const std::vector<double> x = kernel::elongations(at_.lasting, at_.flow.angles);
    std::vector<double> result;
    result.reserve(x.size());
    for (std::size_t j = 0; j < x.size(); ++j) {
      const kernel::Element& changed = at_.lasting.elements[j];
      const double strained = changed.law.stiffness * x[j];
      if (!(changed.law.stiffness > 0.0)) {
        result.push_back(0.0);
        continue;
      }
      std::vector<double> torques(at_.lasting.inertias.size(), 0.0);
      torques[changed.first] -= changed.arm_1 * strained;
      if (changed.second) {
        torques[*changed.second] -= changed.arm_2 * strained;
      }
      const kernel::MeanFlow flow = kernel::mean_flow(at_.lasting, torques, layout_.driver);
      result.push_back(flow.torques[element] + (j == element ? strained : 0.0));
    }
    return result;
  }

  void add_gradient(std::size_t element, const kernel::ForceCourse& force,
                    const kernel::RattleIndex& rattle, MeshVibration& row) const {
    std::vector<kernel::TorqueGradient> gradients;
    gradients.reserve(vibration_.orders());
    for (std::size_t i = 0; i < vibration_.orders(); ++i) {
      gradients.push_back(kernel::torque_gradient(at_.system, vibration_.omega(i),
                                                  vibration_.response(i), element));
    }
    const std::vector<double> means = mean_by_stiffness(element);
    kernel::ForceCourse change = force;
    for (std::size_t e = 0; e < layout_.elements.size(); ++e) {
      change.mean = means[e];
      for (std::size_t i = 0; i < gradients.size(); ++i) {
        change.harmonics[i].amplitude = gradients[i].by_stiffness[e];
      }
      row.index_by_stiffness.push_back(kernel::rattle_index_derivative(force, rattle, change));
    }
    change.mean = 0.0;
    for (std::size_t k = 0; k < layout_.inertias.size(); ++k) {
      for (std::size_t i = 0; i < gradients.size(); ++i) {
        change.harmonics[i].amplitude = gradients[i].by_inertia[k];
      }
      row.index_by_inertia.push_back(kernel::rattle_index_derivative(force, rattle, change));
    }
  }

  [[nodiscard]] std::optional<std::size_t> inertia_of(std::size_t shaft) const {
    return inertia_of_shaft(layout_, job_.design.shafts[shaft].id);
  }

  [[nodiscard]] std::vector<WindUp> wind_up() const {
    std::vector<WindUp> rows;
    const std::size_t reference = job_.design.train.reference;
    const auto add = [&](std::size_t shaft, std::size_t against) {
      const auto one = inertia_of(shaft);
      const auto other = inertia_of(against);
      if (one && other && *one != *other) {
        rows.push_back(wind_up(*one, *other));
      }
    };
    for (std::size_t shaft = 0; shaft < job_.design.shafts.size(); ++shaft) {
      add(shaft, reference);
    }
    for (const LostMotionPair& pair : job_.design.train.lost_motion) {
      if (pair.of != reference && pair.held != reference) {
        add(pair.of, pair.held);
      }
    }
    return rows;
  }

  [[nodiscard]] WindUp wind_up(std::size_t inertia, std::size_t against) const {
    std::vector<double> weights(layout_.inertias.size(), 0.0);
    weights[against] = train::nearest_double(layout_.speed[inertia] / layout_.speed[against]);
    weights[inertia] = -1.0;
    WindUp row;
    row.shaft = layout_.inertias[inertia].shaft;
    row.against = layout_.inertias[against].shaft;
    row.mean = from_si<units::Angle>(weights[against] * at_.flow.angles[against] -
                                     at_.flow.angles[inertia]);
    if (cycle_known()) {
      row.phase_error = from_si<units::Angle>(half_range(vibration_.motion(weights)));
    }
    return row;
  }

  [[nodiscard]] std::vector<ElastomerState> elastomers(
      const std::vector<ElastomerHeat>& heat) const {
    std::vector<ElastomerState> rows;
    for (std::size_t e = 0; e < layout_.elements.size(); ++e) {
      if (layout_.elements[e].kind == TorsionElement::Kind::elastomer) {
        rows.push_back(elastomer_row(e, heat[e]));
      }
    }
    return rows;
  }

  [[nodiscard]] ElastomerState elastomer_row(std::size_t e, const ElastomerHeat& heat) const {
    const Elastomer& rubber = state_.elastomer_of(e);
    const kernel::Law& law = at_.system.elements[e].law;
    ElastomerState row;
    row.element = e;
    row.temperature = *state_.elastomer_temperatures()[e];
    row.status = heat.status;
    row.stiffness = from_si<units::TorsionalStiffness>(law.stiffness);
    const std::vector<double> lasting = kernel::elongations(at_.lasting, at_.flow.angles);
    row.mean_twist = from_si<units::Angle>(lasting[e]);
    kernel::ForceCourse twist;
    twist.mean = lasting[e];
    double greatest = 0.0;
    for (std::size_t i = 0; i < vibration_.orders(); ++i) {
      const std::complex<double> x =
          kernel::elongations(at_.system, vibration_.response(i).angles)[e];
      twist.harmonics.push_back({job_.lines.orders[i].whole, x});
      row.heat += from_si<units::Power>(elastomer_heat(law, vibration_.omega(i), std::abs(x)));
      if (std::abs(x) > greatest) {
        greatest = std::abs(x);
        const std::complex<double> k = kernel::dynamic_stiffness(law, vibration_.omega(i));
        row.loss_factor = k.imag() / k.real();
      }
    }
    double reach = std::abs(lasting[e]);
    if (cycle_known()) {
      const kernel::CourseEnds ends = kernel::ends(twist);
      reach = std::max(std::abs(ends.least.value), std::abs(ends.greatest.value));
    }
    row.greatest_twist = from_si<units::Angle>(reach);
    if (job_.lines.revolutions && at_.speed > 0.0) {
      row.heat_per_cycle =
          row.heat * from_si<units::Time>(*job_.lines.revolutions * turn / at_.speed);
    }
    if (rubber.ring) {
      row.shear_strain = elastomer::greatest_shear_strain(
          {rubber.ring->inner_diameter, rubber.ring->outer_diameter, rubber.ring->width},
          row.greatest_twist);
    }
    return row;
  }

  [[nodiscard]] CaseReaction reaction() const {
    CaseReaction result;
    std::vector<double> by_shaft(job_.design.shafts.size(), 0.0);
    std::vector<double> weights;
    double sum = 0.0;
    for (std::size_t i = 0; i < layout_.inertias.size(); ++i) {
      const double part = layout_.inertias[i].inertia.value() * layout_.inertias[i].ratio;
      by_shaft[layout_.shaft[i]] += part;
      weights.push_back(
          std::copysign(layout_.inertias[i].inertia.value(), layout_.inertias[i].ratio));
    }
    double greatest = 0.0;
    for (const double part : by_shaft) {
      sum += part;
      greatest = std::max(greatest, std::abs(part));
    }
    result.inertia = from_si<units::Inertia>(sum);
    result.greatest_part = from_si<units::Inertia>(greatest);
    for (std::size_t shaft = 0; shaft < by_shaft.size(); ++shaft) {
      const auto inertia = inertia_of(shaft);
      if (inertia && -sum / layout_.inertias[*inertia].ratio > 0.0) {
        result.cancelling.push_back(
            {job_.design.shafts[shaft].id,
             from_si<units::Inertia>(-sum / layout_.inertias[*inertia].ratio)});
      }
    }
    if (cycle_known()) {
      result.vibration = from_si<units::Torque>(half_range(vibration_.acceleration(weights)));
    }
    return result;
  }

  [[nodiscard]] TorsionPower power() const {
    const kernel::PowerBalance vibration = vibration_.power();
    return {from_si<units::Power>(at_.driven), from_si<units::Power>(at_.loads),
            from_si<units::Power>(at_.drag), from_si<units::Power>(vibration.in),
            from_si<units::Power>(vibration.dissipated)};
  }

  const TorsionJob& job_;
  const TorsionLayout& layout_;
  const TorsionState& state_;
  TorsionAtSpeed at_;
  TorsionVibration vibration_;
};

}  // namespace

TorsionCondition torsion_condition(const TorsionJob& job, const TorsionState& state,
                                   const std::vector<ElastomerHeat>& heat, double speed) {
  return ConditionRun(job, state, speed).result(heat);
}

SweepPoint sweep_point(const TorsionJob& job, const TorsionState& state, double speed) {
  return ConditionRun(job, state, speed).point();
}

}  // namespace lashband::design
