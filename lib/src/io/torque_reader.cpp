#include <cmath>
#include <tuple>
#include <utility>

#include "io/key_choice.hpp"
#include "io/pressure_trace_table.hpp"
#include "io/torsion_draft.hpp"

// Torques on stations: what drives and loads, and what swings.
namespace lashband::io {
namespace {

constexpr double highest_order = 1000.0;
/// Orders are multiples of 1 over this, so that a course is over after so many revolutions.
constexpr double parts_of_an_order = 10000.0;
/// Of a multiple; what rounding leaves of 1000 is some 1e-9.
constexpr double order_slack = 1e-6;

constexpr ValueRule order_rule{
    "an order, a number above 0 and up to 1000 with no more than four decimals, so that the torque "
    "repeats after 10000 revolutions or fewer",
    [](double order) {
      const double parts = order * parts_of_an_order;
      return order > 0.0 && order <= highest_order &&
             std::abs(parts - std::round(parts)) <= order_slack;
    }};
/// A rod that is longer by no more than this, relative, is as long: the rest is rounding.
constexpr double rod_slack = 1e-9;

constexpr ValueRule length_above_zero{"a length above 0", rules::above_zero};

design::SpeedScaling read_scaling(TorsionDraft& torsion, const Field& field) {
  if (!field.given()) {
    return design::SpeedScaling::constant;
  }
  const auto scaling = read_choice<design::SpeedScaling>(
                           field, {{"constant", design::SpeedScaling::constant},
                                   {"proportional", design::SpeedScaling::proportional},
                                   {"squared", design::SpeedScaling::squared}})
                           .value_or(design::SpeedScaling::constant);
  torsion.scales = torsion.scales || scaling != design::SpeedScaling::constant;
  return scaling;
}

std::vector<design::TorqueOrder> read_orders(TorsionDraft& torsion, const Field& list) {
  std::vector<design::TorqueOrder> orders;
  const auto entries = read_list(list, "a list of 1 to 1000 orders", 1, most_entries);
  for (const Field& entry : entries.value_or(std::vector<Field>{})) {
    auto object = read_object(entry, "an object with order, amplitude, phase and scaling");
    if (!object) {
      continue;
    }
    design::TorqueOrder order;
    order.order = read_number(object->required("order"), order_rule).value_or(1.0);
    order.amplitude =
        read_quantity<units::Torque>(object->required("amplitude"),
                                     {"a torque of at least 0", rules::not_below_zero})
            .value_or(units::Torque());
    order.phase = read_phase(object->optional("phase"));
    order.scaling = read_scaling(torsion, object->optional("scaling"));
    object->refuse_unknown_keys();
    orders.push_back(order);
  }
  return orders;
}

/// Reports a trace that is too coarse for the orders that are asked for.
void check_fine_enough(const excitation::PressureTrace& trace, int greatest_order,
                       const Field& field) {
  const auto least = 2 * static_cast<std::size_t>(greatest_order) *
                     static_cast<std::size_t>(trace.revolutions_per_cycle());
  if (trace.size() <= least) {
    field.report("the trace in " + field.as_read() + " has " + std::to_string(trace.size()) +
                 " points a cycle, which tell nothing of orders up to " +
                 std::to_string(greatest_order) + "; needed are more than " +
                 std::to_string(least) + ", or a lower \"greatest_order\"");
  }
}

/// The trace in the file that `field` names, of a known cycle.
std::optional<excitation::PressureTrace> read_trace(TorsionDraft& torsion, const Field& field,
                                                    int revolutions_per_cycle) {
  MeasuredFiles& files = torsion.draft.measured;
  const MeasuredTable* table = files.find(field);
  if (table == nullptr) {
    return std::nullopt;
  }
  try {
    auto trace = pressure_trace(*table, revolutions_per_cycle);
    check_fine_enough(trace, torsion.settings.greatest_order, field);
    return trace;
  } catch (const InputErrors& errors) {
    files.add_problems(errors);
    return std::nullopt;
  }
}

/// The keys of a crank that go with a pressure.
void read_gas(TorsionDraft& torsion, ObjectReader& object, design::CrankMechanism& crank) {
  const Field pressure_field = object.optional("pressure");
  const Field bore_field = object.optional("bore");
  const Field ambient_field = object.optional("ambient");
  const Field cycle_field = object.optional("revolutions_per_cycle");
  crank.bore = read_quantity<units::Length>(bore_field, diameter_rule);
  crank.ambient = read_quantity<units::Pressure>(
                      ambient_field, {"a pressure of at least 0", rules::not_below_zero})
                      .value_or(crank.ambient);
  const auto cycle = cycle_field.given() ? read_whole_number(cycle_field, "a whole number", 1, 2)
                                         : std::optional(1);
  const auto file = read_file_name(pressure_field);
  if (file && cycle) {
    crank.pressure = read_trace(torsion, pressure_field, *cycle);
    crank.pressure_file = *file;
  }
  const KeyChoice beside = choice_of(object, {"bore", "ambient", "revolutions_per_cycle"});
  if (pressure_field.given() && !bore_field.given()) {
    object.self().report(
        "the key \"bore\" is missing; needed is a diameter above 0, such as \"80 mm\", since the "
        "crank has a \"pressure\"");
  }
  if (!pressure_field.given() && !beside.present.empty()) {
    object.self().report("read " + listed(beside.present) + " without \"pressure\"; allowed is " +
                         listed(beside.present) + " beside a \"pressure\" alone");
  }
}

void read_mean(TorsionDraft& torsion, ObjectReader& object, design::ShaftTorque& torque) {
  const Field mean_field = object.optional("mean");
  const Field scaling_field = object.optional("mean_scaling");
  torque.mean =
      read_quantity<units::Torque>(mean_field, {"a torque", rules::any}).value_or(units::Torque());
  torque.mean_scaling = read_scaling(torsion, scaling_field);
  if (scaling_field.given() && !mean_field.given()) {
    scaling_field.report(R"(read "mean_scaling" without "mean"; allowed is one beside a "mean")");
  }
}

void read_torque(TorsionDraft& torsion, Names& names, const Field& entry) {
  auto object =
      read_object(entry, "a torque, an object with id, station, and mean, orders or crank");
  if (!object) {
    return;
  }
  design::ShaftTorque torque;
  std::tie(torque.id, torque.station) = read_place(torsion, *object, names, "the torque's name");
  const KeyChoice parts = choice_of(*object, {"mean", "orders", "crank"});
  if (parts.present.empty()) {
    entry.report("read none of " + listed(parts.all) + "; needed is at least one of them");
  }
  read_mean(torsion, *object, torque);
  torque.orders = read_orders(torsion, object->optional("orders"));
  torque.crank = read_crank(torsion, object->optional("crank"));
  object->refuse_unknown_keys();
  torsion.settings.torques.push_back(std::move(torque));
}

}  // namespace

std::optional<design::CrankMechanism> read_crank(TorsionDraft& torsion, const Field& field) {
  auto object =
      read_object(field, "a crank, an object with crank_radius, rod_length and reciprocating_mass");
  if (!object) {
    return std::nullopt;
  }
  design::CrankMechanism crank;
  const Field rod_field = object->required("rod_length");
  const auto radius =
      read_quantity<units::Length>(object->required("crank_radius"), length_above_zero);
  const auto rod = read_quantity<units::Length>(rod_field, length_above_zero);
  const Field offset_field = object->optional("offset");
  const auto offset = read_quantity<units::Length>(offset_field, {"a length", rules::any});
  const auto mass = read_quantity<units::Mass>(object->required("reciprocating_mass"),
                                               {"a mass of at least 0", rules::not_below_zero});
  crank.top_dead_centre = read_phase(object->optional("top_dead_centre"));
  read_gas(torsion, *object, crank);
  object->refuse_unknown_keys();
  crank.crank_radius = radius.value_or(units::Length());
  crank.rod_length = rod.value_or(units::Length());
  crank.offset = offset.value_or(units::Length());
  crank.reciprocating_mass = mass.value_or(units::Mass());
  if (radius && rod && (offset || !offset_field.given())) {
    const auto least =
        units::from_si<units::Length>(radius->value() + std::abs(crank.offset.value()));
    if (!(rod->value() > least.value() * (1.0 + rod_slack))) {
      rod_field.report("read " + rod_field.as_read() +
                       "; allowed is a length above the crank_radius and the offset together, " +
                       in_mm(least) + ", or the crank cannot turn");
    }
  }
  return crank;
}

void read_torques(TorsionDraft& torsion, const Field& list) {
  Names names("torque", "torques");
  const auto entries = read_list(list, "a list of up to 1000 torques", 0, most_entries);
  for (const Field& entry : entries.value_or(std::vector<Field>{})) {
    read_torque(torsion, names, entry);
  }
}

}  // namespace lashband::io
