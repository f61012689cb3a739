#include <algorithm>
#include <array>
#include <cmath>
#include <utility>

#include "io/design_draft.hpp"
#include "io/key_choice.hpp"
#include "io/viscosity_reader.hpp"
#include "lashband/error.hpp"

// The thermal network: bodies, surroundings, what joins them, the oil, and where heat comes from.
namespace lashband::io {
namespace {

constexpr std::string_view every_body = "all";
constexpr std::size_t most_opening_points = 1000;
/// How much more may flow out of a body than in: what rounding leaves of equal flows.
constexpr double flow_tolerance = 1e-9;

constexpr ValueRule conductance_rule{"a thermal conductance of at least 0", rules::not_below_zero};
constexpr ValueRule area_above_zero{"an area above 0", rules::above_zero};
constexpr ValueRule length_above_zero{"a length above 0", rules::above_zero};
constexpr ValueRule density_above_zero{"a density above 0", rules::above_zero};
constexpr ValueRule specific_heat_above_zero{"a specific heat capacity above 0", rules::above_zero};
constexpr ValueRule level_rule{"a temperature level", rules::any};

/// The material that `field` names, if it has the property.
MaterialPointer find_material(Draft& draft, const Field& field, std::string_view property,
                              std::string_view why) {
  MaterialPointer material = draft.materials.find(field);
  if (material && !materials::gives(material->record(), property)) {
    field.report("the material " + in_quotes(material->id()) + " has no " + std::string(property) +
                 "; needed is one that has, " + std::string(why));
    return nullptr;
  }
  return material;
}

// ---- bodies and boundaries ----------------------------------------------------------------------

heat::Place place_at(const NetworkDraft& network, std::size_t index) {
  const std::size_t bodies = network.bodies.size();
  using Kind = heat::Place::Kind;
  return index < bodies ? heat::Place{Kind::body, index}
                        : heat::Place{Kind::boundary, index - bodies};
}

const std::string& name_of(const NetworkDraft& network, const heat::Place& place) {
  return network.places.name(
      place.kind == heat::Place::Kind::body ? place.index : network.bodies.size() + place.index);
}

std::optional<heat::Place> find_place(const NetworkDraft& network, const Field& field) {
  const auto index = network.places.find(field);
  return index ? std::optional(place_at(network, *index)) : std::nullopt;
}

/// The body that `field` names; a boundary is reported.
std::optional<std::size_t> find_body(const NetworkDraft& network, const Field& field) {
  if (!field.readable("the name of a body")) {
    return std::nullopt;
  }
  const auto place = find_place(network, field);
  if (place && place->kind == heat::Place::Kind::boundary) {
    field.report("read " + field.as_read() +
                 ", which is a boundary, whose temperature is given; allowed is a body");
    return std::nullopt;
  }
  return place ? std::optional(place->index) : std::nullopt;
}

/// The key `zone` of a body or boundary.
void read_zone(Draft& draft, NetworkDraft& network, const Field& field, const heat::Place& place) {
  if (!field.given()) {
    return;
  }
  const auto zone = draft.zones.find(field);
  if (!zone) {
    network.zones_known = false;
    return;
  }
  const auto [first, is_new] = network.zones_written.emplace(*zone, field);
  if (!is_new) {
    field.report("read the zone " + in_quotes(draft.zones.name(*zone)) +
                 " again, which stands at " + field.file().place(first->second.offset()) +
                 " already; allowed is one body or boundary for each zone");
    return;
  }
  network.zones.emplace(*zone, place);
}

std::optional<heat::Body> read_body(Draft& draft, NetworkDraft& network, const Field& entry,
                                    std::size_t index) {
  auto object = read_object(entry, "a body, an object with id and its capacity or mass");
  if (!object) {
    network.places.add(std::nullopt, entry);
    network.zones_known = false;
    return std::nullopt;
  }
  const Field id_field = object->required("id");
  const auto id = read_name(id_field, "the body's name");
  network.places.add(id, id_field);
  if (id && *id == every_body) {
    id_field.report("read \"all\", which stands for every body; allowed is another name");
  }
  heat::Body body{id.value_or(""), {}};
  bool good = id.has_value();
  const bool has_capacity = object->has("capacity");
  const bool has_mass = object->has("mass");
  const bool has_material = object->has("material");
  if (has_capacity == (has_mass || has_material)) {
    entry.report(
        has_capacity
            ? R"(read "capacity" beside "mass" or "material"; )"
              R"(allowed is "capacity" alone, or "mass" and "material")"
            : R"(read neither "capacity" nor "mass" and "material"; needed is one of both)");
    good = false;
  } else if (has_capacity) {
    const auto capacity = read_quantity<units::HeatCapacity>(
        object->required("capacity"), {"a heat capacity above 0", rules::above_zero});
    good = good && capacity;
    body.capacity = capacity.value_or(units::HeatCapacity());
  } else {
    const auto mass =
        read_quantity<units::Mass>(object->required("mass"), {"a mass above 0", rules::above_zero});
    auto material =
        find_material(draft, object->required("material"), "specific_heat", "to store heat");
    good = good && mass && material;
    body.capacity = heat::MassOfMaterial{mass.value_or(units::Mass()), std::move(material)};
  }
  read_zone(draft, network, object->optional("zone"), {heat::Place::Kind::body, index});
  object->refuse_unknown_keys();
  return good ? std::optional(std::move(body)) : std::nullopt;
}

std::optional<heat::Boundary> read_boundary(Draft& draft, NetworkDraft& network, const Field& entry,
                                            std::size_t index) {
  auto object = read_object(entry, "a boundary, an object with id");
  if (!object) {
    network.places.add(std::nullopt, entry);
    network.zones_known = false;
    return std::nullopt;
  }
  const Field id_field = object->required("id");
  const auto id = read_name(id_field, "the boundary's name");
  network.places.add(id, id_field);
  read_zone(draft, network, object->optional("zone"), {heat::Place::Kind::boundary, index});
  object->refuse_unknown_keys();
  return id ? std::optional(heat::Boundary{*id}) : std::nullopt;
}

void read_places(Draft& draft, NetworkDraft& network, const Field& bodies,
                 const Field& boundaries) {
  const auto body_entries = read_list(bodies, "a list of 1 to 1000 bodies", 1, most_entries);
  if (body_entries) {
    for (std::size_t i = 0; i < body_entries->size(); ++i) {
      network.bodies.push_back(read_body(draft, network, (*body_entries)[i], i));
    }
  } else {
    network.places.mark_incomplete();
    network.zones_known = false;
  }
  const auto boundary_entries =
      read_list(boundaries, "a list of up to 1000 boundaries", 0, most_entries);
  if (boundary_entries) {
    for (std::size_t i = 0; i < boundary_entries->size(); ++i) {
      network.boundaries.push_back(read_boundary(draft, network, (*boundary_entries)[i], i));
    }
  } else if (boundaries.given()) {
    network.places.mark_incomplete();
    network.zones_known = false;
  }
}

// ---- oil ----------------------------------------------------------------------------------------

void read_oil(NetworkDraft& network, const Field& field) {
  if (!field.given()) {
    return;
  }
  network.oil_field = field;
  auto object = read_object(field, "an object with body, viscosity and density");
  if (!object) {
    return;
  }
  network.oil.body = find_body(network, object->required("body"));
  network.oil.viscosity = read_viscosity(object->optional("viscosity"));
  network.oil.density =
      read_quantity<units::Density>(object->optional("density"), density_above_zero);
  network.oil.specific_heat = read_quantity<units::SpecificHeat>(object->optional("specific_heat"),
                                                                 specific_heat_above_zero);
  object->refuse_unknown_keys();
}

/// Reports keys of the oil that are needed at `place` and lacking. False where the oil has them
/// not, or could not be read.
bool has_oil(const NetworkDraft& network, const Field& place,
             std::initializer_list<std::string_view> keys, std::string_view why) {
  if (!network.oil_field) {
    std::vector<std::string> names(keys.begin(), keys.end());
    place.report("the network has no \"oil\"; needed is one with " + listed(names) + ", " +
                 std::string(why));
    return false;
  }
  bool good = std::holds_alternative<json::Object>(network.oil_field->value().data);
  for (const std::string_view key : keys) {
    if (lacks(*network.oil_field, key)) {
      place.report("the network's oil has no " + in_quotes(key) + "; needed is one, " +
                   std::string(why));
      good = false;
    }
  }
  return good;
}

// ---- conductances and streams -------------------------------------------------------------------

std::optional<heat::Thermostat> read_thermostat(const NetworkDraft& network, const Field& field) {
  auto object = read_object(field, "an object with feels and opening");
  if (!object) {
    return std::nullopt;
  }
  const auto feels = find_place(network, object->required("feels"));
  const auto entries =
      read_list(object->required("opening"),
                R"(a list of 2 to 1000 points, such as [["78 degC", 0], ["88 degC", 1]])", 2,
                most_opening_points);
  object->refuse_unknown_keys();
  if (!entries) {
    return std::nullopt;
  }
  heat::Thermostat result;
  std::optional<units::Temperature> last;
  bool good = feels.has_value();
  for (const Field& entry : *entries) {
    const auto pair =
        read_list(entry, "a list of two: a temperature level and an opening from 0 to 1", 2, 2);
    if (!pair) {
      good = false;
      continue;
    }
    const Field& level_field = pair->front();
    const auto level = read_quantity<units::Temperature>(level_field, level_rule);
    const auto opening = read_number(
        pair->back(), {"a number from 0 to 1", [](double o) { return o >= 0.0 && o <= 1.0; }});
    if (level && last && !(level->value() > last->value())) {
      level_field.report("read " + level_field.as_read() +
                         "; allowed is a temperature level above the one before it, " +
                         units::format(*last));
      good = false;
    }
    last = level ? level : last;
    good = good && level && opening;
    if (level && opening) {
      result.points.push_back({*level, *opening});
    }
  }
  if (!good) {
    return std::nullopt;
  }
  result.feels = *feels;
  return result;
}

/// The two ends of a conductance.
std::optional<std::pair<heat::Place, heat::Place>> read_ends(const NetworkDraft& network,
                                                             const Field& field) {
  const auto entries = read_list(field, "a list of the names of two bodies or boundaries", 2, 2);
  if (!entries) {
    return std::nullopt;
  }
  const auto first = find_place(network, entries->front());
  const auto second = find_place(network, entries->back());
  if (!first || !second) {
    return std::nullopt;
  }
  if (*first == *second) {
    field.report("read " + entries->front().as_read() +
                 " twice; allowed are two different bodies or boundaries");
    return std::nullopt;
  }
  return std::pair(*first, *second);
}

using ConductanceValue = std::variant<units::ThermalConductance, heat::ConductingWall>;

std::optional<ConductanceValue> read_conductance_value(Draft& draft, ObjectReader& object) {
  const auto form = exactly_one(
      object.self(), choice_of(object, {"conductance", "heat_transfer_coefficient", "material"}));
  if (!form) {
    static_cast<void>(object.has("area"));
    static_cast<void>(object.has("length"));
    return std::nullopt;
  }
  if (*form == "conductance") {
    const auto value =
        read_quantity<units::ThermalConductance>(object.required("conductance"), conductance_rule);
    return value ? std::optional<ConductanceValue>(*value) : std::nullopt;
  }
  if (*form == "heat_transfer_coefficient") {
    const auto coefficient = read_quantity<units::HeatTransferCoefficient>(
        object.required("heat_transfer_coefficient"),
        {"a heat transfer coefficient of at least 0", rules::not_below_zero});
    const auto area = read_quantity<units::Area>(object.required("area"), area_above_zero);
    return coefficient && area
               ? std::optional<ConductanceValue>(units::ThermalConductance(*coefficient * *area))
               : std::nullopt;
  }
  auto material =
      find_material(draft, object.required("material"), "conductivity", "to conduct heat");
  const auto area = read_quantity<units::Area>(object.required("area"), area_above_zero);
  const auto length = read_quantity<units::Length>(object.required("length"), length_above_zero);
  if (!material || !area || !length) {
    return std::nullopt;
  }
  return heat::ConductingWall{std::move(material), *area, *length};
}

/// Enters the name of a conductance that has none of its own: that of its ends.
std::optional<std::string> add_name_of_ends(
    NetworkDraft& network, const Field& entry,
    const std::optional<std::pair<heat::Place, heat::Place>>& ends) {
  if (!ends) {
    network.ways.add(std::nullopt, entry);
    return std::nullopt;
  }
  std::string name = name_of(network, ends->first) + " to " + name_of(network, ends->second);
  network.ways.add(name, entry);
  return name;
}

std::optional<heat::Conductance> read_conductance(Draft& draft, NetworkDraft& network,
                                                  const Field& entry) {
  auto object = read_object(entry, "a conductance, an object with between and its value");
  if (!object) {
    network.ways.add(std::nullopt, entry);
    return std::nullopt;
  }
  const Field id_field = object->optional("id");
  const auto ends = read_ends(network, object->required("between"));
  std::optional<std::string> id;
  if (id_field.given()) {
    id = read_name(id_field, "the conductance's name");
    network.ways.add(id, id_field);
  } else {
    id = add_name_of_ends(network, entry, ends);
  }
  auto value = read_conductance_value(draft, *object);
  const Field thermostat_field = object->optional("thermostat");
  auto thermostat = read_thermostat(network, thermostat_field);
  object->refuse_unknown_keys();
  if (!id || !ends || !value || thermostat.has_value() != thermostat_field.given()) {
    return std::nullopt;
  }
  return heat::Conductance{*id, ends->first, ends->second, *std::move(value),
                           std::move(thermostat)};
}

/// rho c V of a stream.
std::optional<units::ThermalConductance> read_capacity_rate(const NetworkDraft& network,
                                                            ObjectReader& object) {
  const auto form = exactly_one(object.self(), choice_of(object, {"capacity_rate", "volume_flow"}));
  if (!form) {
    static_cast<void>(object.has("density"));
    static_cast<void>(object.has("specific_heat"));
    return std::nullopt;
  }
  if (*form == "capacity_rate") {
    return read_quantity<units::ThermalConductance>(object.required("capacity_rate"),
                                                    conductance_rule);
  }
  const auto flow = read_quantity<units::VolumeFlow>(
      object.required("volume_flow"), {"a volume flow of at least 0", rules::not_below_zero});
  if (object.has("density") || object.has("specific_heat")) {
    const auto density =
        read_quantity<units::Density>(object.required("density"), density_above_zero);
    const auto specific_heat = read_quantity<units::SpecificHeat>(object.required("specific_heat"),
                                                                  specific_heat_above_zero);
    return flow && density && specific_heat
               ? std::optional(units::ThermalConductance::from_value(
                     flow->value() * density->value() * specific_heat->value()))
               : std::nullopt;
  }
  const OilDraft& oil = network.oil;
  const bool known = has_oil(network, object.self(), {"density", "specific_heat"},
                             "since the stream gives neither");
  return flow && known && oil.density && oil.specific_heat
             ? std::optional(units::ThermalConductance::from_value(
                   flow->value() * oil.density->value() * oil.specific_heat->value()))
             : std::nullopt;
}

std::optional<heat::Stream> read_stream(NetworkDraft& network, const Field& entry) {
  auto object = read_object(entry, "a stream, an object with id, from, to and its flow");
  if (!object) {
    network.ways.add(std::nullopt, entry);
    return std::nullopt;
  }
  const Field id_field = object->required("id");
  const auto id = read_name(id_field, "the stream's name");
  network.ways.add(id, id_field);
  const auto from = find_place(network, object->required("from"));
  const Field to_field = object->required("to");
  const auto to = find_body(network, to_field);
  const auto rate = read_capacity_rate(network, *object);
  const Field thermostat_field = object->optional("thermostat");
  auto thermostat = read_thermostat(network, thermostat_field);
  object->refuse_unknown_keys();
  if (from && to && *from == heat::Place{heat::Place::Kind::body, *to}) {
    to_field.report("read " + to_field.as_read() +
                    ", where the stream comes from; allowed is another body");
    return std::nullopt;
  }
  if (!id || !from || !to || !rate || thermostat.has_value() != thermostat_field.given()) {
    return std::nullopt;
  }
  return heat::Stream{*id, *from, {heat::Place::Kind::body, *to}, *rate, std::move(thermostat)};
}

/// Reports each body from which more flows than to it, at the first stream that leaves it.
void check_flows(const NetworkDraft& network, const std::vector<Field>& entries) {
  if (!std::all_of(network.streams.begin(), network.streams.end(),
                   [](const auto& stream) { return stream.has_value(); })) {
    return;
  }
  struct Flow {
    double in = 0.0;
    double out = 0.0;
    std::optional<std::size_t> first_out;
  };
  std::vector<Flow> flows(network.bodies.size());
  for (std::size_t i = 0; i < network.streams.size(); ++i) {
    const heat::Stream& stream = *network.streams[i];
    flows[stream.to.index].in += stream.capacity_rate.value();
    if (stream.from.kind == heat::Place::Kind::body) {
      Flow& flow = flows[stream.from.index];
      flow.out += stream.capacity_rate.value();
      flow.first_out = flow.first_out.value_or(i);
    }
  }
  const auto in_watt_per_kelvin = [](double rate) {
    return units::format(units::ThermalConductance::from_value(rate), "W/K");
  };
  for (std::size_t body = 0; body < flows.size(); ++body) {
    const Flow& flow = flows[body];
    if (flow.first_out && !(flow.out <= flow.in * (1.0 + flow_tolerance))) {
      entries[*flow.first_out].report("the streams take " + in_watt_per_kelvin(flow.out) +
                                      " from the body " + in_quotes(network.places.name(body)) +
                                      " and bring " + in_watt_per_kelvin(flow.in) +
                                      " to it; allowed is to take no more than they bring");
    }
  }
}

void read_ways(Draft& draft, NetworkDraft& network, const Field& conductances,
               const Field& streams) {
  if (const auto entries =
          read_list(conductances, "a list of up to 1000 conductances", 0, most_entries)) {
    for (const Field& entry : *entries) {
      network.conductances.push_back(read_conductance(draft, network, entry));
    }
  } else if (conductances.given()) {
    network.ways.mark_incomplete();
  }
  if (const auto entries = read_list(streams, "a list of up to 1000 streams", 0, most_entries)) {
    for (const Field& entry : *entries) {
      network.streams.push_back(read_stream(network, entry));
    }
    check_flows(network, *entries);
  } else if (streams.given()) {
    network.ways.mark_incomplete();
  }
}

// ---- where heat comes from ----------------------------------------------------------------------

using SourceKind =
    std::variant<design::GivenPower, design::PowerShare, design::MeshLoss, design::BearingLoss>;

std::optional<SourceKind> read_given_power(ObjectReader& object) {
  const Field field = object.optional("power");
  design::GivenPower given;
  if (!take_given(given.always, field,
                  read_quantity<units::Power>(field, {"a power", rules::any}))) {
    return std::nullopt;
  }
  return given;
}

std::optional<SourceKind> read_power_share(const Draft& draft, ObjectReader& object) {
  const auto shaft = draft.shaft_names.find(object.required("shaft"));
  const auto share =
      read_number(object.required("share"), {"a share of the shaft's power, a number from 0 to 1",
                                             [](double s) { return s >= 0.0 && s <= 1.0; }});
  return shaft && share ? std::optional<SourceKind>(design::PowerShare{*shaft, *share})
                        : std::nullopt;
}

/// The shaft of a mesh whose power is meant: one of the two on which its gears sit.
std::optional<std::size_t> read_shaft_of_mesh(const Draft& draft, const Field& field,
                                              const std::optional<std::size_t>& mesh) {
  const auto shaft = draft.shaft_names.find(field);
  if (!shaft || !mesh || !draft.meshes[*mesh]) {
    return std::nullopt;
  }
  const design::Mesh& pair = *draft.meshes[*mesh];
  const std::size_t first = draft.gears[pair.gear_1]->gear.shaft;
  const std::size_t second = draft.gears[pair.gear_2]->gear.shaft;
  if (*shaft != first && *shaft != second) {
    field.report("read " + field.as_read() + ", on which the mesh " + in_quotes(pair.id) +
                 " has no gear; allowed are " + in_quotes(draft.shaft_names.name(first)) + " and " +
                 in_quotes(draft.shaft_names.name(second)));
    return std::nullopt;
  }
  return shaft;
}

void note_friction_formula(Draft& draft, const std::string& id, const design::MeshLoss& loss) {
  note_from_memory(draft, "heat input " + id, "friction coefficient of the teeth by ISO/TR 14179-2",
                   "0.048 (F_bt/b / (v_SigmaC rho_redC))^0.2 eta_oil^-0.05 R_a^0.25 X_L with R_a " +
                       in_um(loss.roughness) + " and X_L " + number_text(loss.lubricant_factor));
}

std::optional<SourceKind> read_mesh_loss(Draft& draft, const NetworkDraft& network,
                                         ObjectReader& object, const std::string& id) {
  design::MeshLoss loss;
  const auto mesh = draft.mesh_names.find(object.required("mesh"));
  const auto shaft = read_shaft_of_mesh(draft, object.required("shaft"), mesh);
  const auto form =
      exactly_one(object.self(), choice_of(object, {"friction_coefficient", "roughness"}));
  bool good = mesh && shaft && form;
  if (form && *form == "friction_coefficient") {
    loss.friction =
        read_number(object.required("friction_coefficient"),
                    {"a number from 0 to 1", [](double mu) { return mu >= 0.0 && mu <= 1.0; }});
    good = good && loss.friction;
  } else {
    const Field factor_field = object.optional("lubricant_factor");
    good = take_given(loss.lubricant_factor, factor_field,
                      read_number(factor_field, {"a number above 0", rules::above_zero})) &&
           good;
  }
  if (form && *form == "roughness") {
    const auto roughness =
        read_quantity<units::Length>(object.required("roughness"), length_above_zero);
    good = has_oil(network, object.self(), {"viscosity", "density"},
                   "since the friction coefficient depends on it") &&
           good && roughness;
    loss.roughness = roughness.value_or(units::Length());
  }
  if (!good) {
    return std::nullopt;
  }
  loss.mesh = *mesh;
  loss.shaft = *shaft;
  if (!loss.friction) {
    note_friction_formula(draft, id, loss);
  }
  return loss;
}

std::optional<SourceKind> read_bearing_loss(Draft& draft, const NetworkDraft& network,
                                            ObjectReader& object, const std::string& id) {
  const auto shaft = draft.shaft_names.find(object.required("bearing_on"));
  const auto f_0 = read_number(object.required("f_0"), {"a number above 0", rules::above_zero});
  const auto diameter =
      read_quantity<units::Length>(object.required("mean_diameter"), length_above_zero);
  const bool has_viscosity = has_oil(network, object.self(), {"viscosity", "density"},
                                     "since the torque of a bearing depends on it");
  if (!shaft || !f_0 || !diameter || !has_viscosity) {
    return std::nullopt;
  }
  note_from_memory(draft, "heat input " + id, "no-load torque of a bearing by ISO/TR 14179-2",
                   "1e-7 f_0 d_m^3 max((nu n)^(2/3), 160) N mm with f_0 " + number_text(*f_0) +
                       " and d_m " + in_mm(*diameter));
  return design::BearingLoss{*shaft, *f_0, *diameter};
}

std::optional<design::HeatSource> read_source(Draft& draft, NetworkDraft& network,
                                              const Field& entry) {
  auto object = read_object(entry, "a heat input, an object with id and into");
  if (!object) {
    network.source_names.add(std::nullopt, entry);
    return std::nullopt;
  }
  const Field id_field = object->required("id");
  const auto id = read_name(id_field, "the heat input's name");
  network.source_names.add(id, id_field);
  const auto body = find_body(network, object->required("into"));
  const KeyChoice choice = choice_of(*object, {"power", "share", "mesh", "bearing_on"});
  std::optional<SourceKind> kind;
  if (!at_most_one(entry, choice)) {
    return std::nullopt;  // which other keys are allowed depends on the kind
  }
  const std::string key = choice.present.empty() ? "power" : choice.present.front();
  if (key == "share") {
    kind = read_power_share(draft, *object);
  } else if (key == "mesh") {
    kind = read_mesh_loss(draft, network, *object, id.value_or(""));
  } else if (key == "bearing_on") {
    kind = read_bearing_loss(draft, network, *object, id.value_or(""));
  } else {
    kind = read_given_power(*object);
  }
  object->refuse_unknown_keys();
  if (!id || !body || !kind) {
    return std::nullopt;
  }
  return design::HeatSource{*id, *body, *std::move(kind)};
}

void read_sources(Draft& draft, NetworkDraft& network, const Field& list) {
  const auto entries = read_list(list, "a list of up to 1000 heat inputs", 0, most_entries);
  if (!entries) {
    if (list.given()) {
      network.source_names.mark_incomplete();
    }
    return;
  }
  for (const Field& entry : *entries) {
    network.sources.push_back(read_source(draft, network, entry));
  }
}

/// The entries of a list, where all could be read.
template <class T>
std::optional<std::vector<T>> complete(const std::vector<std::optional<T>>& entries) {
  std::vector<T> result;
  result.reserve(entries.size());
  for (const std::optional<T>& entry : entries) {
    if (!entry) {
      return std::nullopt;
    }
    result.push_back(*entry);
  }
  return result;
}

/// Puts the network together, unless something of it is wrong.
void build(NetworkDraft& network, std::size_t problems_before) {
  const auto bodies = complete(network.bodies);
  const auto boundaries = complete(network.boundaries);
  const auto conductances = complete(network.conductances);
  const auto streams = complete(network.streams);
  if (!bodies || !boundaries || !conductances || !streams ||
      network.self.file().problem_count() > problems_before) {
    return;
  }
  try {
    network.network.emplace(*bodies, *boundaries, *conductances, *streams);
  } catch (const DomainError& error) {
    network.self.report("these parts make no network: " + std::string(error.what()));
  }
}

}  // namespace

bool is_first_of_its_name(const Names& names, std::size_t index) {
  const auto end = names.all().begin() + static_cast<std::ptrdiff_t>(index);
  return std::find(names.all().begin(), end, names.name(index)) == end;
}

void read_thermal_network(Draft& draft, const Field& field) {
  if (!field.given()) {
    return;
  }
  const std::size_t problems_before = draft.file.problem_count();
  draft.network.emplace(NetworkDraft{.self = field});
  NetworkDraft& network = *draft.network;
  auto object = read_object(field, "an object with bodies and what joins them");
  if (!object) {
    network.places.mark_incomplete();
    network.zones_known = false;
    network.ways.mark_incomplete();
    network.source_names.mark_incomplete();
    return;
  }
  // One by one: the order in which keys are asked for is that in which a message lists them.
  const Field bodies = object->required("bodies");
  const Field boundaries = object->optional("boundaries");
  const Field conductances = object->optional("conductances");
  const Field streams = object->optional("streams");
  read_places(draft, network, bodies, boundaries);
  read_oil(network, object->optional("oil"));
  read_ways(draft, network, conductances, streams);
  read_sources(draft, network, object->optional("heat_inputs"));
  object->refuse_unknown_keys();
  build(network, problems_before);
}

}  // namespace lashband::io
