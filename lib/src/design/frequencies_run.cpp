#include <algorithm>
#include <cmath>
#include <numbers>
#include <string>
#include <utility>

#include "drawn_pair.hpp"
#include "lashband/design/frequencies.hpp"
#include "lashband/error.hpp"
#include "lashband/geometry/involute.hpp"
#include "lashband/units/plain_number.hpp"
#include "train_model.hpp"

namespace lashband::design {
namespace {

using spectrum::Line;
using train::ExactRatio;
using train::Train;
using units::AngularVelocity;
using units::from_si;

constexpr double turn = 2.0 * std::numbers::pi;
// More coincidences than this are counted, not told one by one.
constexpr std::size_t most_told = 25;

struct Turning {
  train::SpeedOrders orders;
  spectrum::Machine machine;
};

Turning turning(const Design& design, const Train& train, std::size_t reference) {
  Turning result{orders_by(design, train, reference), {}};
  const train::SpeedOrders& orders = result.orders;
  spectrum::Machine& machine = result.machine;
  for (std::size_t i = 0; i < design.shafts.size(); ++i) {
    spectrum::TurningShaft shaft;
    shaft.id = design.shafts[i].id;
    if (orders.shaft[i]) {
      shaft.order = orders.shaft[i];
      shaft.order_against_bores = *orders.shaft[i] - orders.arm;
    }
    machine.shafts.push_back(std::move(shaft));
  }
  if (design.train.arm) {
    machine.shafts.push_back({design.train.arm->id, orders.arm, orders.arm});
  }
  for (const train::Mesh& mesh : train.meshes()) {
    machine.meshes.push_back({mesh.id, mesh.shaft_1, mesh.shaft_2, mesh.teeth_1, mesh.teeth_2});
  }
  for (std::size_t i = 0; i < design.shafts.size(); ++i) {
    for (const Bearing& bearing : design.shafts[i].bearings) {
      if (bearing.inside) {
        machine.bearings.push_back({bearing.id, i, *bearing.inside});
      }
    }
  }
  machine.excitations = design.excitations;
  return result;
}

std::vector<NamedSpeed> speeds_of(const Design& design, const Train& train, std::size_t reference,
                                  const FrequencyQuestion& question) {
  std::vector<NamedSpeed> speeds;
  for (const AngularVelocity& speed : question.speeds) {
    if (!(speed > AngularVelocity()) || !std::isfinite(speed.value())) {
      throw DomainError("a speed must be above 0 rpm, not " +
                        units::fixed_number(speed.value() * 60.0 / turn, 3) + " rpm");
    }
    speeds.push_back({"", speed});
  }
  if (question.range && (speeds.size() != 2 || !(speeds[0].speed < speeds[1].speed))) {
    throw DomainError("a range of speeds must have two ends, the lower first");
  }
  if (!speeds.empty()) {
    return speeds;
  }
  for (const Condition& condition : design.conditions) {
    for (const ShaftSpeed& given : condition.speeds) {
      if (given.speed == AngularVelocity() || train.group(given.shaft) != train.group(reference)) {
        continue;
      }
      const auto order = orders_by(design, train, given.shaft).shaft[reference];
      if (order && *order != 0) {
        const double value = std::abs(train::nearest_double(*order) * given.speed.value());
        speeds.push_back({condition.id, from_si<AngularVelocity>(value)});
      }
    }
  }
  return speeds;
}

std::vector<MeshMeeting> meetings(const spectrum::Machine& machine) {
  std::vector<MeshMeeting> rows;
  rows.reserve(machine.meshes.size());
  for (const spectrum::MeshOnShafts& mesh : machine.meshes) {
    MeshMeeting row;
    row.mesh = mesh.id;
    row.teeth_1 = mesh.teeth_1;
    row.teeth_2 = mesh.teeth_2;
    row.meeting = spectrum::tooth_meeting(mesh.teeth_1, mesh.teeth_2);
    const auto& order = machine.shafts[mesh.shaft_1].order_against_bores;
    if (order && *order != 0) {
      const ExactRatio mesh_order = abs(*order) * mesh.teeth_1;
      const ExactRatio N = row.meeting.common_factor;
      row.mesh_order = train::nearest_double(mesh_order);
      row.hunting_tooth_order = train::nearest_double(
          mesh_order * N / (ExactRatio(mesh.teeth_1) * ExactRatio(mesh.teeth_2)));
      row.assembly_phase_order = train::nearest_double(mesh_order / N);
    }
    rows.push_back(std::move(row));
  }
  return rows;
}

// Phases between the meshes of one gear.
class Phases {
 public:
  Phases(const Design& design, const Train& train, const spectrum::Machine& machine,
         std::size_t reference)
      : design_(design), machine_(machine), driven_by_(design.shafts.size()) {
    for (std::size_t shaft = 0; shaft < design.shafts.size(); ++shaft) {
      if (shaft != reference && train.group(shaft) == train.group(reference)) {
        driven_by_[shaft] = train.way(reference, shaft).back().mesh;
      }
    }
  }

  [[nodiscard]] std::vector<MeshPhase> all() const {
    std::vector<std::vector<std::size_t>> meshes(design_.gears.size());
    for (std::size_t m = 0; m < design_.meshes.size(); ++m) {
      meshes[design_.meshes[m].gear_1].push_back(m);
      meshes[design_.meshes[m].gear_2].push_back(m);
    }
    std::vector<MeshPhase> rows;
    for (std::size_t gear = 0; gear < meshes.size(); ++gear) {
      if (meshes[gear].size() > 1) {
        add(gear, std::move(meshes[gear]), rows);
      }
    }
    return rows;
  }

 private:
  void add(std::size_t gear, std::vector<std::size_t> meshes, std::vector<MeshPhase>& rows) const {
    const auto& order = machine_.shafts[design_.gears[gear].shaft].order_against_bores;
    if (!order || *order == 0) {
      return;  // nothing says which way it turns
    }
    const auto& driven_by = driven_by_[design_.gears[gear].shaft];
    const auto driving =
        driven_by ? std::find(meshes.begin(), meshes.end(), *driven_by) : meshes.end();
    const bool idler = driving != meshes.end();
    if (idler) {
      std::rotate(meshes.begin(), driving, driving + 1);
    }
    const auto first = direction(gear, meshes.front());
    const auto first_share = thickness_share(gear, meshes.front());
    for (std::size_t i = 1; i < meshes.size(); ++i) {
      const auto second = direction(gear, meshes[i]);
      const auto share = thickness_share(gear, meshes[i]);
      if (!first || !second || !first_share || !share) {
        continue;  // no places, no angle
      }
      const double sense = *order > 0 ? 1.0 : -1.0;
      const double turned = std::fmod(sense * (*second - *first) + 2.0 * turn, turn);
      MeshPhase row;
      row.gear = design_.gears[gear].id;
      row.mesh_1 = design_.meshes[meshes.front()].id;
      row.mesh_2 = design_.meshes[meshes[i]].id;
      row.turned = from_si<units::Angle>(turned);
      row.idler = idler;
      row.phase = phase(design_.gears[gear].body.teeth(), row, *first_share, *share);
      rows.push_back(std::move(row));
    }
  }

  // A gear that drives both meshes passes each pitch point with a leading flank, which is ahead of
  // the middle of its tooth by half the thickness there.
  static double phase(int teeth, const MeshPhase& meshes, double first_share, double share) {
    const double leaned = meshes.idler ? 0.0 : std::numbers::pi * (share - first_share) / teeth;
    return spectrum::mesh_phase({teeth, meshes.turned - from_si<units::Angle>(leaned), meshes.idler,
                                 0.5 * (first_share + share)});
  }

  // From the axis of the gear to where it meets its mate.
  [[nodiscard]] std::optional<double> direction(std::size_t gear, std::size_t index) const {
    const Mesh& mesh = design_.meshes[index];
    const bool is_first = mesh.gear_1 == gear;
    const auto& own = design_.shafts[design_.gears[gear].shaft].at;
    const auto& other =
        design_.shafts[design_.gears[is_first ? mesh.gear_2 : mesh.gear_1].shaft].at;
    if (!own || !other) {
      return std::nullopt;
    }
    // A gear in a ring gear meets it on the side away from the ring's axis.
    const double side = is_first ? side_of(design_, mesh) : 1.0;
    return std::atan2(side * (other->y - own->y).value(), side * (other->x - own->x).value());
  }

  // s_w / p_w of the gear at the working pitch circle of the mesh, as drawn.
  [[nodiscard]] std::optional<double> thickness_share(std::size_t gear, std::size_t index) const {
    try {
      const Mesh& mesh = design_.meshes[index];
      const geometry::GearPair pair = drawn_pair(design_, mesh);
      const geometry::ToothedBody& own = mesh.gear_1 == gear ? pair.gear_1() : pair.gear_2();
      const double growing = geometry::involute(own.transverse_pressure_angle()) -
                             geometry::involute(pair.working_pressure_angle());
      const double half_angle =
          own.thickness_half_angle().value() + (own.internal() ? -growing : growing);
      return own.teeth() * half_angle / std::numbers::pi;
    } catch (const Error&) {
      return std::nullopt;
    }
  }

  const Design& design_;
  const spectrum::Machine& machine_;
  std::vector<std::optional<std::size_t>> driven_by_;  // by shaft
};

std::string name_of(const Line& line) {
  std::string name = line.kind == spectrum::LineKind::excitation ? "excitation " : "mesh ";
  name += line.source;
  if (line.kind != spectrum::LineKind::excitation && line.harmonic > 1) {
    name += ", harmonic " + std::to_string(line.harmonic);
  }
  return name;
}

void warn_of_coincidences(FrequenciesResult& result) {
  std::size_t told = 0;
  for (const spectrum::Coincidence& pair : result.coincidences) {
    if (told == most_told) {
      break;
    }
    ++told;
    const Line& one = result.lines[pair.line_1];
    const Line& two = result.lines[pair.line_2];
    result.warnings.push_back({"coincidence", "", name_of(one), "",
                               "order " + units::fixed_number(one.order, 3) + " lies " +
                                   units::fixed_number(100.0 * pair.apart, 2) + " % from " +
                                   name_of(two) + ", order " + units::fixed_number(two.order, 3)});
  }
  const std::size_t left = result.coincidences.size() - told + result.coincidences.more;
  if (left > 0) {
    result.warnings.push_back(
        {"coincidence", "", "", "",
         std::to_string(left) + " more lines fall together within " +
             units::fixed_number(100.0 * result.coincidence_options.within, 2) + " %"});
  }
}

void warn_of_untied(const spectrum::Machine& machine, FrequenciesResult& result) {
  std::string shafts;
  for (const spectrum::TurningShaft& shaft : machine.shafts) {
    if (!shaft.order) {
      shafts += (shafts.empty() ? "" : ", ") + shaft.id;
    }
  }
  if (!shafts.empty()) {
    result.warnings.push_back(
        {"untied", "", shafts, "",
         "no mesh joins them to " + result.reference +
             ", so they have no orders here; refer to one of them for theirs"});
  }
}

MeasuredResult measured_result(const MeasuredQuestion& question, const std::vector<Line>& lines) {
  MeasuredResult result;
  result.file = question.input.file;
  result.axis = question.input.axis;
  result.speed_given = question.speed;
  result.spectrum = question.input.spectrum;
  const std::vector<spectrum::Peak> peaks =
      spectrum::peaks(question.input.spectrum, question.peaks);
  result.attribution = spectrum::attribution(peaks, question.input.spectrum, lines, question.speed,
                                             question.attribution);
  result.unexplained = static_cast<std::size_t>(
      std::count_if(result.attribution.peaks.begin(), result.attribution.peaks.end(),
                    [](const spectrum::AttributedPeak& peak) { return peak.candidates.empty(); }));
  return result;
}

}  // namespace

units::Frequency frequency_of(const Line& line, AngularVelocity speed) {
  return from_si<units::Frequency>(line.order * speed.value() / turn);
}

FrequenciesResult frequencies(const Design& design, const FrequencyQuestion& question,
                              const std::optional<MeasuredQuestion>& measured) {
  const Train train = train_model(design);
  const std::size_t reference = question.reference.value_or(design.train.reference);
  const Turning at = turning(design, train, reference);
  FrequenciesResult result;
  result.input = {design.title, design.digest};
  result.reference = design.shafts.at(reference).id;
  result.speeds = speeds_of(design, train, reference, question);
  result.range = question.range;
  result.lines = spectrum::lines(at.machine, question.lines);
  result.meshes = meetings(at.machine);
  result.phases = Phases(design, train, at.machine, reference).all();
  result.coincidence_options = question.coincidences;
  result.coincidences = spectrum::coincidences(result.lines, question.coincidences);
  if (measured) {
    result.measured = measured_result(*measured, result.lines);
  }
  warn_of_coincidences(result);
  warn_of_untied(at.machine, result);
  return result;
}

}  // namespace lashband::design
