#include <algorithm>
#include <iterator>
#include <utility>

#include "io/torsion_draft.hpp"

// The torsional model as a whole: what drives it, how fast it turns, what is asked of it.
namespace lashband::io {
namespace {

constexpr int fewest_points = 2;
constexpr int most_points = 10000;
constexpr int greatest_order_of_cranks = 200;

constexpr ValueRule speed_rule{"a speed above 0", rules::above_zero};

std::optional<design::SpeedSweep> read_sweep(const Field& field) {
  auto object = read_object(field, "an object with from, to and points");
  if (!object) {
    return std::nullopt;
  }
  const Field from_field = object->required("from");
  const Field to_field = object->required("to");
  const auto from = read_quantity<units::AngularVelocity>(from_field, speed_rule);
  const auto to = read_quantity<units::AngularVelocity>(to_field, speed_rule);
  const auto points =
      read_whole_number(object->required("points"), "a whole number", fewest_points, most_points);
  object->refuse_unknown_keys();
  if (!from || !to || !points) {
    return std::nullopt;
  }
  if (!(to->value() > from->value())) {
    to_field.report("read " + to_field.as_read() + "; allowed is a speed above \"from\", " +
                    from_field.as_read());
    return std::nullopt;
  }
  return design::SpeedSweep{*from, *to, static_cast<std::size_t>(*points)};
}

design::TorsionRequirements read_torsion_requirements(const Field& field) {
  design::TorsionRequirements result;
  auto object = read_object(field, "an object with greatest_rattle_index, least_resonance_margin");
  if (!object) {
    return result;
  }
  result.greatest_rattle_index = read_number(object->optional("greatest_rattle_index"),
                                             {"a number above 0", rules::above_zero});
  const auto margin = read_quantity<units::Ratio>(
      object->optional("least_resonance_margin"),
      {"a ratio above 0 % and below 100 %", [](double m) { return m > 0.0 && m < 1.0; }});
  if (margin) {
    result.least_resonance_margin = margin->value();
  }
  object->refuse_unknown_keys();
  return result;
}

/// Reports a driver that no mesh joins to the shaft that speeds are referred to.
void check_driver(const TorsionDraft& torsion, const Field& field) {
  Draft& draft = torsion.draft;
  const train::Train* train = train_of(draft);
  const std::size_t reference = draft.train.settings.reference;
  const std::size_t driver = torsion.settings.driver;
  if (train != nullptr && train->group(driver) != train->group(reference)) {
    field.report("nothing joins the shafts " + in_quotes(draft.shaft_names.name(driver)) + " and " +
                 in_quotes(draft.shaft_names.name(reference)) +
                 ", which speeds are referred to; allowed is a shaft that meshes join to it");
  }
}

/// Reports a model without any inertia: whatever else it is, it cannot swing.
void check_inertia(const TorsionDraft& torsion, const Field& field) {
  const design::TorsionSettings& settings = torsion.settings;
  Draft& draft = torsion.draft;
  const train::Train* train = train_of(draft);
  if (train == nullptr) {
    return;
  }
  const std::size_t group = train->group(draft.train.settings.reference);
  const auto counts = [&](std::size_t shaft) { return train->group(shaft) == group; };
  const auto shaft_of = [&](std::size_t station) { return settings.stations[station].shaft; };
  const bool has_one =
      std::any_of(settings.stations.begin(), settings.stations.end(),
                  [&](const design::Station& station) {
                    return counts(station.shaft) && (station.inertia || !station.bodies.empty());
                  }) ||
      std::any_of(settings.segments.begin(), settings.segments.end(),
                  [&](const design::ShaftSegment& segment) {
                    return counts(shaft_of(segment.station_1)) &&
                           std::holds_alternative<design::Cylinder>(segment.build);
                  }) ||
      std::any_of(settings.gears.begin(), settings.gears.end(), [&](const design::GearBody& body) {
        return draft.gears[body.gear] && counts(draft.gears[body.gear]->gear.shaft);
      });
  if (!has_one) {
    field.report(
        "no station, segment or gear has an inertia; needed is at least one, by \"inertia\", "
        "\"bodies\", the dimensions of a segment or the \"bore\" of a gear, since the model cannot "
        "swing without");
  }
}

}  // namespace

std::optional<std::size_t> NamedOnce::find(const Names& names, const Field& field) {
  const auto index = names.find(field);
  if (!index) {
    return std::nullopt;
  }
  const auto place =
      std::lower_bound(seen_.begin(), seen_.end(), std::pair(*index, std::size_t{0}));
  if (place != seen_.end() && place->first == *index) {
    field.report("read the " + std::string(kind_) + " " + in_quotes(names.name(*index)) +
                 " again, which stands at " + field.file().place(place->second) +
                 " already; allowed is each " + std::string(kind_) + " once");
    return std::nullopt;
  }
  seen_.insert(place, {*index, field.offset()});
  return index;
}

units::Angle read_phase(const Field& field) {
  return read_quantity<units::Angle>(field, {"an angle", rules::any}).value_or(units::Angle());
}

void read_torsion(Draft& draft, const Field& field) {
  if (!field.given()) {
    return;
  }
  const std::size_t problems_before = draft.file.problem_count();
  auto object = read_object(field, "an object with shafts, gears, meshes and torques");
  if (!object) {
    return;
  }
  TorsionDraft torsion{draft};
  design::TorsionSettings& settings = torsion.settings;
  // One by one: the order in which keys are asked for is that in which a message lists them.
  const Field driver_field = object->optional("driver");
  const auto driver = driver_field.given() ? draft.shaft_names.find(driver_field) : std::nullopt;
  settings.driver = driver.value_or(draft.train.settings.reference);
  settings.sweep = read_sweep(object->optional("speed"));
  const Field scaling_field = object->optional("scaling_speed");
  settings.scaling_speed = read_quantity<units::AngularVelocity>(scaling_field, speed_rule);
  const Field order_field = object->optional("greatest_order");
  if (order_field.given()) {
    settings.greatest_order =
        read_whole_number(order_field, "a whole number", 1, greatest_order_of_cranks)
            .value_or(settings.greatest_order);
  }
  read_stations(torsion, object->optional("shafts"), field);
  read_gear_bodies(torsion, object->optional("gears"));
  read_mesh_dynamics(torsion, object->optional("meshes"));
  read_dampers(torsion, object->optional("dampers"));
  const Field drags = object->optional("drags");
  read_drags(torsion, drags, object->optional("oil"));
  read_torques(torsion, object->optional("torques"));
  settings.require = read_torsion_requirements(object->optional("require"));
  object->refuse_unknown_keys();
  if (torsion.scales && !scaling_field.given()) {
    field.report(
        "the key \"scaling_speed\" is missing; needed is a speed above 0, such as \"1500 rpm\", "
        "since a torque scales with speed");
  }
  if (draft.train.settings.arm || draft.train.arm_in_doubt) {
    field.report(
        "read \"torsion\" beside a planet arm in \"train\"; a train whose bores turn with an arm "
        "is not modelled in torsion; allowed is one of both");
  }
  if (driver) {
    check_driver(torsion, driver_field);
  }
  if (draft.file.problem_count() == problems_before) {
    check_inertia(torsion, field);
  }
  draft.torsion = std::move(settings);
}

std::vector<Field> files_of_torsion(const Field& field) {
  std::vector<Field> names;
  const Field list = member_of(field, "torques");
  const auto* torques = list.given() ? std::get_if<json::List>(&list.value().data) : nullptr;
  if (torques == nullptr || torques->size() > most_entries) {
    return names;
  }
  for (std::size_t i = 0; i < torques->size(); ++i) {
    const Field torque(list.file(), (*torques)[i], json::pointer_to(list.pointer(), i));
    const Field file = member_of(member_of(torque, "crank"), "pressure");
    if (file.given()) {
      names.push_back(file);
    }
  }
  return names;
}

}  // namespace lashband::io
