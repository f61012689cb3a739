#include <tuple>
#include <utility>

#include "io/key_choice.hpp"
#include "io/torsion_draft.hpp"
#include "io/viscosity_reader.hpp"
#include "lashband/error.hpp"

// Wheels that damp, and what brakes.
namespace lashband::io {
namespace {

std::optional<design::Drag::BearingTorque> read_bearing_torque(const Field& field) {
  auto object = read_object(field, "a bearing, an object with f_0 and mean_diameter");
  if (!object) {
    return std::nullopt;
  }
  const auto f_0 = read_number(object->required("f_0"), {"a number above 0", rules::above_zero});
  const auto diameter =
      read_quantity<units::Length>(object->required("mean_diameter"), diameter_rule);
  object->refuse_unknown_keys();
  return f_0 && diameter ? std::optional(design::Drag::BearingTorque{*f_0, *diameter})
                         : std::nullopt;
}

void note_bearing_torque(Draft& draft, const std::string& id,
                         const design::Drag::BearingTorque& bearing) {
  note_from_memory(draft, "drag " + id, "no-load torque of a bearing by ISO/TR 14179-2",
                   "1e-7 f_0 d_m^3 max((nu n)^(2/3), 160) N mm with f_0 " +
                       number_text(bearing.f_0) + " and d_m " + in_mm(bearing.mean_diameter));
}

/// The key of a drag that says what it is; true where it needs oil.
bool read_drag_kind(Draft& draft, ObjectReader& object, const std::string& form,
                    design::Drag& drag) {
  if (form == "torque") {
    drag.kind = read_quantity<units::Torque>(object.required("torque"),
                                             {"a torque of at least 0", rules::not_below_zero})
                    .value_or(units::Torque());
    return false;
  }
  if (form == "viscous") {
    drag.kind = read_quantity<units::TorsionalDamping>(
                    object.required("viscous"),
                    {"a torsional damping constant of at least 0", rules::not_below_zero})
                    .value_or(units::TorsionalDamping());
    return false;
  }
  if (const auto bearing = read_bearing_torque(object.required("bearing"))) {
    note_bearing_torque(draft, drag.id, *bearing);
    drag.kind = *bearing;
  }
  return true;
}

void read_drag_oil(TorsionDraft& torsion, const Field& field) {
  auto object = read_object(field, "an object with zone and viscosity");
  if (!object) {
    return;
  }
  const auto zone = torsion.draft.zones.find(object->required("zone"));
  auto viscosity = read_viscosity(object->required("viscosity"));
  object->refuse_unknown_keys();
  if (!zone || !viscosity) {
    return;
  }
  torsion.draft.zone_uses.push_back(
      {*zone, "oil of the torsional model",
       [oil = *viscosity](units::Temperature level, const Field& place, const std::string& where) {
         try {
           static_cast<void>(oil.kinematic_viscosity(level));
         } catch (const Error& error) {
           place.report("the oil of the torsional model cannot be used at " + units::format(level) +
                        where + ": " + error.what());
         }
       }});
  torsion.settings.oil = design::DragOil{*std::move(viscosity), *zone};
}

}  // namespace

void read_dampers(TorsionDraft& torsion, const Field& list) {
  Names names("damper", "dampers");
  const auto entries = read_list(list, "a list of up to 1000 dampers", 0, most_entries);
  for (const Field& entry : entries.value_or(std::vector<Field>{})) {
    auto object = read_object(
        entry, "a damper, an object with id, station, inertia, and viscous or elastomer");
    if (!object) {
      continue;
    }
    design::Damper damper;
    std::tie(damper.id, damper.station) = read_place(torsion, *object, names, "the damper's name");
    damper.inertia = read_quantity<units::Inertia>(object->required("inertia"), inertia_rule)
                         .value_or(units::Inertia());
    const Field viscous_field = object->optional("viscous");
    const Field elastomer_field = object->optional("elastomer");
    damper.viscous = read_quantity<units::TorsionalDamping>(viscous_field, damping_rule);
    damper.elastomer = read_elastomer(torsion.draft, elastomer_field,
                                      "elastomer of damper " + in_quotes(damper.id));
    if (!viscous_field.given() && !elastomer_field.given()) {
      entry.report(
          R"(read neither "viscous" nor "elastomer"; needed is one of them or both, or nothing )"
          "carries the damper along");
    }
    object->refuse_unknown_keys();
    torsion.settings.dampers.push_back(std::move(damper));
  }
}

void read_drags(TorsionDraft& torsion, const Field& list, const Field& oil) {
  Names names("drag", "drags");
  const auto entries = read_list(list, "a list of up to 1000 drags", 0, most_entries);
  for (const Field& entry : entries.value_or(std::vector<Field>{})) {
    auto object =
        read_object(entry, "a drag, an object with id, station, and torque, viscous or bearing");
    if (!object) {
      continue;
    }
    design::Drag drag;
    std::tie(drag.id, drag.station) = read_place(torsion, *object, names, "the drag's name");
    const auto form = exactly_one(entry, choice_of(*object, {"torque", "viscous", "bearing"}));
    if (form && read_drag_kind(torsion.draft, *object, *form, drag) && !oil.given()) {
      entry.report(
          R"(the torsional model has no "oil"; needed is one with "zone" and "viscosity", since )"
          "the torque of a bearing depends on it");
    }
    object->refuse_unknown_keys();
    torsion.settings.drags.push_back(std::move(drag));
  }
  read_drag_oil(torsion, oil);
}

}  // namespace lashband::io
