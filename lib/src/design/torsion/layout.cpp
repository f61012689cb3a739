#include "layout.hpp"

#include <utility>
#include <variant>

#include "design/train_model.hpp"
#include "lashband/error.hpp"
#include "lashband/torsion/inertia.hpp"

namespace lashband::design {
namespace {

using train::ExactRatio;
using units::Inertia;
using units::Length;

// As the dimensions of the drawing: at the reference temperature. Mass does not change with it.
units::Density density_of(const thermal::Solid& solid, const thermal::Reference& reference) {
  return solid.material->density(reference.temperature, reference.extrapolation);
}

const thermal::Solid& solid_of(const Cylinder& body, const Shaft& shaft) {
  if (body.solid) {
    return *body.solid;
  }
  if (shaft.solid) {
    return *shaft.solid;
  }
  throw MaterialError("the shaft " + shaft.id + " has no material for its bodies");
}

Inertia inertia_of(const Cylinder& body, const Shaft& shaft, const thermal::Reference& reference) {
  return torsion::hollow_cylinder_inertia(body.outside_diameter, body.bore, body.length,
                                          density_of(solid_of(body, shaft), reference));
}

Inertia inertia_of(const GearBody& body, const Gear& gear, const thermal::Reference& reference) {
  if (const auto* given = std::get_if<Inertia>(&body.build)) {
    return *given;
  }
  const Length other = std::get<Length>(body.build);
  const units::Density density = density_of(gear.solid, reference);
  const Length width = gear.body.face_width();
  return gear.body.internal()
             ? torsion::ring_gear_inertia(other, gear.body.tip_diameter(),
                                          gear.body.root_diameter(), width, density)
             : torsion::gear_inertia(gear.body.tip_diameter(), gear.body.root_diameter(), other,
                                     width, density);
}

class Builder {
 public:
  Builder(const Design& design, const train::Train& train, const thermal::Reference& reference)
      : design_(design), settings_(*design.torsion), train_(train), reference_(reference) {
    layout_.station.resize(settings_.stations.size());
    layout_.teeth.resize(design.gears.size());
  }

  TorsionLayout built() {
    add_stations();
    add_segments();
    add_gears();
    add_meshes();
    add_dampers();
    add_drags();
    return std::move(layout_);
  }

 private:
  void add_stations() {
    const std::size_t reference = design_.train.reference;
    for (std::size_t shaft = 0; shaft < design_.shafts.size(); ++shaft) {
      if (train_.group(shaft) != train_.group(reference)) {
        layout_.left_out.push_back(shaft);
      }
    }
    bool driver_found = false;
    for (std::size_t i = 0; i < settings_.stations.size(); ++i) {
      const Station& station = settings_.stations[i];
      if (train_.group(station.shaft) != train_.group(reference)) {
        continue;
      }
      Inertia inertia = station.inertia.value_or(Inertia());
      for (const Cylinder& body : station.bodies) {
        inertia += inertia_of(body, design_.shafts[station.shaft], reference_);
      }
      layout_.station[i] =
          add_inertia(TorsionInertia::Kind::station, station.id, station.shaft, inertia);
      for (const std::size_t gear : station.gears) {
        layout_.teeth[gear] = layout_.station[i];
      }
      if (station.shaft == settings_.driver && !driver_found) {
        layout_.driver = *layout_.station[i];
        driver_found = true;
      }
    }
  }

  void add_segments() {
    for (std::size_t i = 0; i < settings_.segments.size(); ++i) {
      const ShaftSegment& segment = settings_.segments[i];
      const auto& one = layout_.station[segment.station_1];
      const auto& two = layout_.station[segment.station_2];
      if (!one || !two) {
        continue;
      }
      if (const auto* body = std::get_if<Cylinder>(&segment.build)) {
        const Shaft& shaft = design_.shafts[settings_.stations[segment.station_1].shaft];
        const Inertia half = 0.5 * inertia_of(*body, shaft, reference_);
        layout_.inertias[*one].inertia += half;
        layout_.inertias[*two].inertia += half;
      }
      add_element({TorsionElement::Kind::segment,
                   layout_.inertias[*one].id + " - " + layout_.inertias[*two].id, *one, two},
                  {TorsionElement::Kind::segment, i}, 1.0, -1.0);
    }
  }

  void add_gears() {
    for (std::size_t i = 0; i < settings_.gears.size(); ++i) {
      const GearBody& body = settings_.gears[i];
      const Gear& gear = design_.gears[body.gear];
      const auto hub = layout_.teeth[body.gear];
      if (!hub) {
        continue;
      }
      const Inertia inertia = inertia_of(body, gear, reference_);
      if (!body.elastomer) {
        layout_.inertias[*hub].inertia += inertia;
        continue;
      }
      const std::size_t rim =
          add_inertia(TorsionInertia::Kind::rim, "rim of " + gear.id, gear.shaft, inertia);
      layout_.teeth[body.gear] = rim;
      add_element({TorsionElement::Kind::elastomer, gear.id, *hub, rim},
                  {TorsionElement::Kind::elastomer, i}, 1.0, -1.0);
    }
  }

  void add_meshes() {
    for (std::size_t m = 0; m < design_.meshes.size(); ++m) {
      const Mesh& mesh = design_.meshes[m];
      const auto& one = layout_.teeth[mesh.gear_1];
      const auto& two = layout_.teeth[mesh.gear_2];
      if (!one || !two) {
        continue;
      }
      // Each shaft counts in its own sense, so that the sides of external and internal meshes
      // differ alike.
      add_element({TorsionElement::Kind::mesh, mesh.id, *one, two}, {TorsionElement::Kind::mesh, m},
                  0.5 * design_.gears[mesh.gear_1].body.base_diameter().value(),
                  -0.5 * design_.gears[mesh.gear_2].body.base_diameter().value());
    }
  }

  void add_dampers() {
    for (std::size_t i = 0; i < settings_.dampers.size(); ++i) {
      const Damper& damper = settings_.dampers[i];
      const auto& at = layout_.station[damper.station];
      if (!at) {
        continue;
      }
      const std::size_t wheel =
          add_inertia(TorsionInertia::Kind::damper, damper.id, layout_.shaft[*at], damper.inertia);
      if (damper.elastomer) {
        add_element({TorsionElement::Kind::elastomer, damper.id, *at, wheel},
                    {TorsionElement::Kind::elastomer, i, true}, 1.0, -1.0);
      }
      if (damper.viscous) {
        add_element({TorsionElement::Kind::damper, damper.id, *at, wheel},
                    {TorsionElement::Kind::damper, i}, 1.0, -1.0);
      }
    }
  }

  // Constant drag does not vibrate.
  void add_drags() {
    for (std::size_t i = 0; i < settings_.drags.size(); ++i) {
      const Drag& drag = settings_.drags[i];
      const auto& at = layout_.station[drag.station];
      if (at && std::holds_alternative<units::TorsionalDamping>(drag.kind)) {
        add_element({TorsionElement::Kind::drag, drag.id, *at, std::nullopt},
                    {TorsionElement::Kind::drag, i}, 1.0, 0.0);
      }
    }
  }

  std::size_t add_inertia(TorsionInertia::Kind kind, const std::string& id, std::size_t shaft,
                          Inertia inertia) {
    const ExactRatio ratio = train_.ratio(shaft, design_.train.reference);
    layout_.inertias.push_back(
        {kind, id, design_.shafts[shaft].id, train::nearest_double(ratio), inertia});
    layout_.speed.emplace_back(abs(ratio));
    layout_.shaft.push_back(shaft);
    return layout_.inertias.size() - 1;
  }

  void add_element(TorsionElement element, ElementSource source, double arm_1, double arm_2) {
    layout_.elements.push_back(std::move(element));
    layout_.sources.push_back(source);
    layout_.arm_1.push_back(arm_1);
    layout_.arm_2.push_back(arm_2);
  }

  const Design& design_;
  const TorsionSettings& settings_;
  const train::Train& train_;
  const thermal::Reference& reference_;
  TorsionLayout layout_;
};

}  // namespace

const Elastomer& elastomer_of(const Design& design, const ElementSource& source) {
  return source.of_damper ? *design.torsion->dampers[source.index].elastomer
                          : *design.torsion->gears[source.index].elastomer;
}

std::optional<std::size_t> inertia_of_shaft(const TorsionLayout& layout, const std::string& shaft) {
  for (std::size_t i = 0; i < layout.inertias.size(); ++i) {
    if (layout.inertias[i].shaft == shaft) {
      return i;
    }
  }
  return std::nullopt;
}

TorsionLayout torsion_layout(const Design& design, const train::Train& train,
                             const thermal::Reference& reference) {
  return Builder(design, train, reference).built();
}

}  // namespace lashband::design
