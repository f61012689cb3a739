#include "network_operation.hpp"

#include <cmath>
#include <string>
#include <utility>

#include "lashband/error.hpp"
#include "lashband/geometry/contact.hpp"
#include "lashband/geometry/gear_pair.hpp"
#include "lashband/losses/bearing_torque.hpp"
#include "lashband/losses/mesh_loss.hpp"
#include "lashband/losses/oil_viscosity.hpp"
#include "lashband/units/rotation.hpp"

namespace lashband::design {
namespace {

using heat::Schedule;
using units::AngularVelocity;
using units::Power;
using units::Time;

template <class... Cases>
struct Overload : Cases... {
  using Cases::operator()...;
};
template <class... Cases>
Overload(Cases...) -> Overload<Cases...>;

Schedule<Power> scaled(const Schedule<Power>& schedule, double factor) {
  std::vector<heat::SchedulePoint<Power>> points;
  points.reserve(schedule.values().size());
  for (std::size_t i = 0; i < schedule.values().size(); ++i) {
    points.push_back({Time::from_value(schedule.times_in_seconds()[i]),
                      Power::from_value(factor * schedule.values()[i])});
  }
  return Schedule<Power>(points);
}

template <class Q>
void add_kinks(std::vector<Time>& kinks, const Schedule<Q>& schedule) {
  for (const double time : schedule.times_in_seconds()) {
    kinks.push_back(Time::from_value(time));
  }
}

// What the friction of a pair and its share of the power depend on.
struct MeshFigures {
  double loss_factor = 0.0;
  losses::MeshLubrication lubrication;  // all but force, velocity and viscosity
  units::Length driving_base_radius{};
  units::Length driving_pitch_radius{};
};

MeshFigures mesh_figures(const Design& design, const MeshLoss& loss) {
  const Mesh& mesh = design.meshes[loss.mesh];
  const Gear& gear_1 = design.gears[mesh.gear_1];
  const Gear& gear_2 = design.gears[mesh.gear_2];
  const units::Length a =
      mesh.centre_distance +
      (mesh.centre_distance_deviation ? mesh.centre_distance_deviation->mid() : units::Length());
  const geometry::GearPair pair(gear_1.body, gear_2.body, a);
  const geometry::ContactRatio contact = geometry::contact_ratio(pair);
  const units::Angle beta_b = gear_1.body.base_helix_angle();
  MeshFigures figures;
  const int z_2 = gear_2.body.internal() ? -gear_2.body.teeth() : gear_2.body.teeth();
  figures.loss_factor =
      losses::tooth_loss_factor({gear_1.body.teeth(), z_2, contact.eps_1, contact.eps_2, beta_b});
  figures.lubrication.face_width = std::min(gear_1.body.face_width(), gear_2.body.face_width());
  figures.lubrication.working_pressure_angle = pair.working_pressure_angle();
  figures.lubrication.reduced_radius =
      losses::reduced_radius(a, gear_1.body.teeth(), z_2, pair.working_pressure_angle(), beta_b);
  figures.lubrication.roughness = loss.roughness;
  figures.lubrication.lubricant_factor = loss.lubricant_factor;
  const geometry::ToothedBody& driving = gear_1.shaft == loss.shaft ? gear_1.body : gear_2.body;
  figures.driving_base_radius = 0.5 * driving.base_diameter();
  figures.driving_pitch_radius =
      figures.driving_base_radius / std::cos(pair.working_pressure_angle().value());
  return figures;
}

// Adds the heat of each source of the network to an operation.
class Sources {
 public:
  Sources(const Design& design, const NetworkRun& run, heat::Operation& operation)
      : design_(design), network_(*design.thermal_network), run_(run), operation_(operation) {}

  void add(std::size_t index) {
    const HeatSource& source = network_.sources[index];
    std::visit(Overload{[&](const GivenPower& given) { add(source, given, index); },
                        [&](const PowerShare& share) {
                          operation_.inputs.push_back(
                              {source.id, source.body,
                               scaled(power_of(source, share.shaft), share.share)});
                        },
                        [&](const MeshLoss& loss) { add(source, loss); },
                        [&](const BearingLoss& loss) { add(source, loss); }},
               source.kind);
  }

 private:
  void add(const HeatSource& source, const GivenPower& given, std::size_t index) {
    if (index < run_.source_power.size() && run_.source_power[index]) {
      operation_.inputs.push_back({source.id, source.body, *run_.source_power[index]});
    } else if (given.always) {
      operation_.inputs.push_back({source.id, source.body, Schedule<Power>(*given.always)});
    } else {
      throw DomainError("heat input " + source.id + " has no power in this history");
    }
  }

  void add(const HeatSource& source, const MeshLoss& loss) {
    const MeshFigures figures = mesh_figures(design_, loss);
    const Schedule<Power>& power = power_of(source, loss.shaft);
    if (loss.friction) {
      operation_.inputs.push_back(
          {source.id, source.body, scaled(power, *loss.friction * figures.loss_factor)});
      return;
    }
    const Oil& oil = oil_of(source);
    const Schedule<AngularVelocity>& speed = speed_of(source, loss.shaft);
    heat::TemperatureDependentInput input{
        source.id,
        source.body,
        {heat::Place::Kind::body, oil.body},
        [figures, power, speed, &oil, shaft = design_.shafts[loss.shaft].id](
            Time time, units::Temperature temperature) {
          const Power transmitted = power.at(time);
          if (transmitted.value() == 0.0) {
            return Power();
          }
          const AngularVelocity omega = speed.at(time);
          if (!(omega.value() > 0.0)) {
            throw ComputationError("shaft " + shaft + " is given " +
                                   std::to_string(transmitted.value()) +
                                   " W while it stands still; power needs a speed");
          }
          losses::MeshLubrication at = figures.lubrication;
          // P = F v, at the base circle.
          at.base_tangent_force =
              transmitted / units::circumferential_velocity(figures.driving_base_radius, omega);
          at.pitch_velocity = units::circumferential_velocity(figures.driving_pitch_radius, omega);
          at.viscosity = losses::dynamic_viscosity(oil.viscosity.kinematic_viscosity(temperature),
                                                   oil.density);
          return losses::mesh_loss(transmitted, losses::mean_friction(at).coefficient,
                                   figures.loss_factor);
        },
        {}};
    add_kinks(input.kinks, power);
    add_kinks(input.kinks, speed);
    operation_.dependent_inputs.push_back(std::move(input));
  }

  void add(const HeatSource& source, const BearingLoss& loss) {
    const Oil& oil = oil_of(source);
    const Schedule<AngularVelocity>& speed = speed_of(source, loss.shaft);
    heat::TemperatureDependentInput input{
        source.id,
        source.body,
        {heat::Place::Kind::body, oil.body},
        [loss, speed, &oil](Time time, units::Temperature temperature) {
          const AngularVelocity omega = speed.at(time);
          return units::power(
              losses::no_load_torque(loss.f_0, oil.viscosity.kinematic_viscosity(temperature),
                                     omega, loss.mean_diameter),
              omega);
        },
        {}};
    add_kinks(input.kinks, speed);
    operation_.dependent_inputs.push_back(std::move(input));
  }

  [[nodiscard]] const Schedule<Power>& power_of(const HeatSource& source, std::size_t shaft) const {
    return given(run_.shaft_power, source, shaft, "power");
  }
  [[nodiscard]] const Schedule<AngularVelocity>& speed_of(const HeatSource& source,
                                                          std::size_t shaft) const {
    return given(run_.shaft_speed, source, shaft, "speed");
  }

  template <class Q>
  [[nodiscard]] const Schedule<Q>& given(const std::vector<std::optional<Schedule<Q>>>& by_shaft,
                                         const HeatSource& source, std::size_t shaft,
                                         const char* what) const {
    if (shaft >= by_shaft.size() || !by_shaft[shaft]) {
      throw DomainError("heat input " + source.id + " needs the " + what + " of shaft " +
                        design_.shafts.at(shaft).id + ", which the history does not give");
    }
    return *by_shaft[shaft];
  }

  [[nodiscard]] const Oil& oil_of(const HeatSource& source) const {
    if (!network_.oil) {
      throw DomainError("heat input " + source.id + " needs the oil of the network");
    }
    return *network_.oil;
  }

  const Design& design_;
  const ThermalNetwork& network_;
  const NetworkRun& run_;
  heat::Operation& operation_;
};

}  // namespace

heat::Operation network_operation(const Design& design, const NetworkRun& run) {
  if (!design.thermal_network) {
    throw DomainError("the history needs a thermal network, and the design has none");
  }
  heat::Operation operation;
  operation.start = run.start;
  operation.boundaries = run.boundaries;
  operation.throttles = run.throttles;
  operation.duration = run.duration;
  operation.cycles = run.cycles;
  operation.until_periodic = run.until_periodic;
  Sources sources(design, run, operation);
  for (std::size_t i = 0; i < design.thermal_network->sources.size(); ++i) {
    sources.add(i);
  }
  return operation;
}

}  // namespace lashband::design
