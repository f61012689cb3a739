#include <set>
#include <utility>

#include "io/key_choice.hpp"
#include "io/torsion_draft.hpp"

// Bodies of gears, and how meshes answer.
namespace lashband::io {
namespace {

constexpr int greatest_harmonic = 100;
constexpr std::size_t most_harmonics = 100;

constexpr ValueRule linear_stiffness_rule{"a stiffness above 0", rules::above_zero};
constexpr ValueRule length_above_zero{"a length above 0", rules::above_zero};
constexpr ValueRule load_rule{"a load a width above 0", rules::above_zero, "10 N/mm"};
constexpr ValueRule damping_ratio_rule{"a damping ratio, a number from 0 to below 1",
                                       [](double ratio) { return ratio >= 0.0 && ratio < 1.0; }};

constexpr MaterialNeeds needs_of_gear{
    .elongation = false, .density = true, .why = "for the inertia of the gear's body"};

// ---- gears --------------------------------------------------------------------------------------

/// From the bore to the teeth, or from the teeth of a ring gear to its outside.
units::Length read_body_diameter(Draft& draft, const Field& field, const GearDraft& gear,
                                 const Field& self) {
  const auto diameter =
      read_quantity<units::Length>(field, gear.gear.body.internal() ? diameter_rule : bore_rule);
  const units::Length root = gear.gear.body.root_diameter();
  if (diameter && gear.gear.body.internal() && !(diameter->value() > root.value())) {
    field.report("read " + field.as_read() +
                 "; allowed is a diameter above the root diameter of the gear, " + in_mm(root));
  } else if (diameter && !gear.gear.body.internal() && !(diameter->value() < root.value())) {
    field.report("read " + field.as_read() +
                 "; allowed is a diameter below the root diameter of the gear, " + in_mm(root));
  }
  if (check_needs(*gear.gear.solid.material, needs_of_gear, self, "the gear's material")) {
    draft.solids.push_back(
        {gear.gear.solid, "body of gear " + in_quotes(gear.gear.id), needs_of_gear, field});
  }
  return diameter.value_or(units::Length());
}

/// The body of a gear that could be read.
std::variant<units::Inertia, units::Length> read_build(Draft& draft, ObjectReader& object,
                                                       const GearDraft& gear) {
  const bool internal = gear.gear.body.internal();
  const std::string_view wanted = internal ? "outside_diameter" : "bore";
  const std::string_view other = internal ? "bore" : "outside_diameter";
  const Field other_field = member_of(object.self(), other);
  if (other_field.given()) {
    static_cast<void>(object.has(other));
    other_field.report("read " + in_quotes(other) + " of the gear " + in_quotes(gear.gear.id) +
                       ", which is " + (internal ? "" : "not ") + "internal; allowed is " +
                       in_quotes(wanted) + " or \"inertia\"");
    static_cast<void>(choice_of(object, {"inertia", wanted}));
    return {};
  }
  const auto form = exactly_one(object.self(), choice_of(object, {"inertia", wanted}));
  if (form && *form == "inertia") {
    return read_quantity<units::Inertia>(object.required("inertia"), inertia_rule)
        .value_or(units::Inertia());
  }
  return form ? read_body_diameter(draft, object.required(wanted), gear, object.self())
              : units::Length();
}

// ---- meshes -------------------------------------------------------------------------------------

std::optional<design::Web> read_web(const Field& field) {
  auto object = read_object(field, "a web, an object with thickness and rim");
  if (!object) {
    return std::nullopt;
  }
  const auto thickness =
      read_quantity<units::Length>(object->required("thickness"), length_above_zero);
  const auto rim = read_quantity<units::Length>(object->required("rim"), length_above_zero);
  object->refuse_unknown_keys();
  return thickness && rim ? std::optional(design::Web{*thickness, *rim}) : std::nullopt;
}

std::vector<design::TransmissionError> read_transmission_error(const Field& list) {
  std::vector<design::TransmissionError> errors;
  std::set<int> seen;
  const auto entries = read_list(list, "a list of up to 100 harmonics", 0, most_harmonics);
  for (const Field& entry : entries.value_or(std::vector<Field>{})) {
    auto object = read_object(entry, "a harmonic, an object with harmonic, amplitude and phase");
    if (!object) {
      continue;
    }
    const Field harmonic_field = object->required("harmonic");
    const auto harmonic = read_whole_number(harmonic_field, "a whole number", 1, greatest_harmonic);
    const auto amplitude = read_quantity<units::Length>(
        object->required("amplitude"), {"a length of at least 0", rules::not_below_zero});
    const units::Angle phase = read_phase(object->optional("phase"));
    object->refuse_unknown_keys();
    if (harmonic && !seen.insert(*harmonic).second) {
      harmonic_field.report("read the harmonic " + std::to_string(*harmonic) +
                            " again; allowed is each harmonic once");
    }
    errors.push_back({harmonic.value_or(1), amplitude.value_or(units::Length()), phase});
  }
  return errors;
}

/// The stiffness, or what the standard makes it of.
void read_mesh_stiffness(ObjectReader& object, design::MeshDynamics& result) {
  const Field stiffness_field = object.optional("stiffness");
  result.stiffness = read_quantity<units::LinearStiffness>(stiffness_field, linear_stiffness_rule);
  const KeyChoice by_standard = choice_of(object, {"web_1", "web_2", "least_load_per_width"});
  result.web_1 = read_web(object.optional("web_1"));
  result.web_2 = read_web(object.optional("web_2"));
  const auto load =
      read_quantity<units::LinearStiffness>(object.optional("least_load_per_width"), load_rule);
  if (load) {
    constexpr double newton_per_metre = 1e3;  // in 1 N/mm
    result.least_load_per_width_in_newton_per_mm = load->value() / newton_per_metre;
  }
  if (stiffness_field.given() && !by_standard.present.empty()) {
    object.self().report("read \"stiffness\" beside " + listed(by_standard.present) +
                         "; allowed is \"stiffness\", or what ISO 6336-1 makes it of");
  }
}

}  // namespace

void read_gear_bodies(TorsionDraft& torsion, const Field& list) {
  Draft& draft = torsion.draft;
  NamedOnce gears("gear");
  const auto entries = read_list(list, "a list of up to 10000 gears", 0, most_parts);
  for (const Field& entry : entries.value_or(std::vector<Field>{})) {
    auto object = read_object(
        entry, "an object with gear, and inertia, bore or, of an internal gear, outside_diameter");
    if (!object) {
      continue;
    }
    const auto gear = gears.find(draft.gear_names, object->required("gear"));
    design::GearBody body;
    if (gear && draft.gears[*gear]) {
      body.gear = *gear;
      body.build = read_build(draft, *object, *draft.gears[*gear]);
    } else {
      static_cast<void>(
          exactly_one(entry, choice_of(*object, {"inertia", "bore", "outside_diameter"})));
    }
    const Field elastomer_field = object->optional("elastomer");
    body.elastomer = read_elastomer(
        draft, elastomer_field,
        "elastomer of gear " + in_quotes(gear ? draft.gear_names.name(*gear) : std::string()));
    object->refuse_unknown_keys();
    if (gear) {
      torsion.settings.gears.push_back(std::move(body));
    }
  }
}

void read_mesh_dynamics(TorsionDraft& torsion, const Field& list) {
  NamedOnce meshes("mesh");
  const auto entries = read_list(list, "a list of up to 10000 meshes", 0, most_parts);
  for (const Field& entry : entries.value_or(std::vector<Field>{})) {
    auto object = read_object(entry, "an object with mesh, and stiffness or webs");
    if (!object) {
      continue;
    }
    const auto mesh = meshes.find(torsion.draft.mesh_names, object->required("mesh"));
    design::MeshDynamics result;
    result.mesh = mesh.value_or(0);
    read_mesh_stiffness(*object, result);
    result.damping_ratio =
        read_number(object->optional("damping_ratio"), damping_ratio_rule).value_or(0.0);
    result.transmission_error = read_transmission_error(object->optional("transmission_error"));
    object->refuse_unknown_keys();
    torsion.settings.meshes.push_back(std::move(result));
  }
}

}  // namespace lashband::io
