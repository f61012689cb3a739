#include <algorithm>
#include <utility>

#include "io/design_draft.hpp"
#include "lashband/error.hpp"

// From a draft without problems to the design.
namespace lashband::io {
namespace {

template <class Act>
void for_each_solid(thermal::PlainCarrier& plain, const Act& act) {
  act(plain.solid);
}

template <class Act>
void for_each_solid(thermal::PathCarrier& path, const Act& act) {
  for (thermal::PathSegment& segment : path.segments) {
    act(segment.solid);
  }
}

template <class Act>
void for_each_solid(thermal::InsertCarrier& insert, const Act& act) {
  act(insert.insert.solid);
  act(insert.case_part.solid);
}

template <class Act>
void for_each_solid(thermal::WallsCarrier& walls, const Act& act) {
  for (thermal::Wall* wall : {&walls.first, &walls.second}) {
    std::visit([&act](auto& build) { for_each_solid(build, act); }, wall->build);
  }
}

template <class Act>
void for_each_elastomer(design::TorsionSettings& torsion, const Act& act) {
  for (design::GearBody& gear : torsion.gears) {
    if (gear.elastomer) {
      act(*gear.elastomer);
    }
  }
  for (design::Damper& damper : torsion.dampers) {
    if (damper.elastomer) {
      act(*damper.elastomer);
    }
  }
}

template <class Act>
void for_each_solid(design::Shaft& shaft, const Act& act) {
  const auto act_if_given = [&act](std::optional<thermal::Solid>& solid) {
    if (solid) {
      act(*solid);
    }
  };
  act_if_given(shaft.solid);
  for (design::Bearing& bearing : shaft.bearings) {
    act_if_given(bearing.rings);
    act_if_given(bearing.seat);
  }
  if (shaft.preload) {
    act(shaft.preload->case_solid);
  }
}

template <class Act>
void for_each_solid(design::TorsionSettings& torsion, const Act& act) {
  const auto act_if_given = [&act](std::optional<thermal::Solid>& solid) {
    if (solid) {
      act(*solid);
    }
  };
  for (design::Station& station : torsion.stations) {
    for (design::Cylinder& body : station.bodies) {
      act_if_given(body.solid);
    }
  }
  for (design::ShaftSegment& segment : torsion.segments) {
    if (auto* shape = std::get_if<design::Cylinder>(&segment.build)) {
      act_if_given(shape->solid);
    }
  }
  for_each_elastomer(torsion, [&](design::Elastomer& elastomer) { act_if_given(elastomer.solid); });
}

/// Calls `act` with every zone that the settings name beside those of solids.
template <class Act>
void for_each_zone(design::TorsionSettings& torsion, const Act& act) {
  for_each_elastomer(torsion, [&act](design::Elastomer& elastomer) {
    if (elastomer.zone) {
      act(*elastomer.zone);
    }
  });
  if (torsion.oil) {
    act(torsion.oil->zone);
  }
}

/// Calls `act` with every solid of the design.
template <class Act>
void for_each_solid(design::Design& design, const Act& act) {
  for (thermal::Carrier& carrier : design.carriers) {
    std::visit([&act](auto& build) { for_each_solid(build, act); }, carrier.build);
  }
  for (design::Shaft& shaft : design.shafts) {
    for_each_solid(shaft, act);
  }
  for (design::Gear& gear : design.gears) {
    act(gear.solid);
  }
  if (design.torsion) {
    for_each_solid(*design.torsion, act);
  }
}

template <class T>
T&& present(std::optional<T>& entry) {
  if (!entry) {
    throw Error("an entry of the input was lost without a problem being reported");
  }
  return std::move(*entry);
}

bool history_gives(const Draft& draft, const HistoryDraft& history, std::size_t zone) {
  const auto* record = std::get_if<RecordDraft>(&history.course);
  return record != nullptr ? record->by_zone[zone].has_value()
                           : draft.network->zones.contains(zone);
}

bool has_every_level(const Draft& draft, std::size_t zone) {
  return std::all_of(
             draft.conditions.begin(), draft.conditions.end(),
             [zone](const auto& condition) { return condition->by_zone[zone].has_value(); }) &&
         std::all_of(draft.histories.begin(), draft.histories.end(),
                     [&](const auto& history) { return history_gives(draft, *history, zone); });
}

/// Zones that nothing is in and that a condition or a history leaves out: they have no temperature
/// to show.
std::set<std::size_t> zones_to_leave_out(const Draft& draft) {
  std::set<std::size_t> used;
  for (const SolidUse& use : draft.solids) {
    used.insert(static_cast<std::size_t>(use.solid.zone));
  }
  for (const ZoneUse& use : draft.zone_uses) {
    used.insert(use.zone);
  }
  std::set<std::size_t> left_out;
  for (std::size_t zone = 0; zone < draft.zones.size(); ++zone) {
    if (!used.contains(zone) && !has_every_level(draft, zone)) {
      left_out.insert(zone);
    }
  }
  return left_out;
}

design::Condition finished_condition(const Draft& draft, ConditionDraft condition,
                                     const std::set<std::size_t>& left_out) {
  std::vector<units::Temperature> by_zone;
  for (std::size_t zone = 0; zone < draft.zones.size(); ++zone) {
    if (!left_out.contains(zone)) {
      by_zone.push_back(present(condition.by_zone[zone]));
    }
  }
  design::Condition result{.id = condition.id,
                           .temperatures = thermal::TemperatureState(std::move(by_zone)),
                           .speed = condition.speed,
                           .speeds = std::move(condition.speeds)};
  if (!condition.mesh_force.empty()) {
    result.mesh_force.resize(draft.meshes.size());
    for (const auto& [mesh, force] : condition.mesh_force) {
      result.mesh_force[mesh] = force;
    }
  }
  return result;
}

/// The network with its zones by those of the design; `kept` are the draft's zones that it has.
std::optional<design::ThermalNetwork> finished_network(NetworkDraft& draft,
                                                       const std::vector<std::size_t>& kept) {
  design::ThermalNetwork result{std::move(present(draft.network)), {}, {}, {}};
  result.zones.reserve(kept.size());
  for (const std::size_t zone : kept) {
    const auto place = draft.zones.find(zone);
    result.zones.push_back(place != draft.zones.end() ? std::optional(place->second)
                                                      : std::nullopt);
  }
  if (draft.oil.body && draft.oil.viscosity && draft.oil.density) {
    result.oil = design::Oil{*draft.oil.body, *draft.oil.viscosity, *draft.oil.density};
  }
  result.sources.reserve(draft.sources.size());
  for (auto& source : draft.sources) {
    result.sources.push_back(present(source));
  }
  return result;
}

design::TemperatureRecord finished_record(RecordDraft record,
                                          const std::vector<std::size_t>& kept) {
  design::TemperatureRecord result{std::move(record.file), std::move(record.times), {}};
  result.rows.reserve(result.times.size());
  for (std::size_t row = 0; row < result.times.size(); ++row) {
    std::vector<units::Temperature> by_zone;
    by_zone.reserve(kept.size());
    for (const std::size_t zone : kept) {
      by_zone.push_back(units::celsius((*record.by_zone[zone])[row]));
    }
    result.rows.emplace_back(std::move(by_zone));
  }
  return result;
}

design::History finished_history(HistoryDraft history, const std::vector<std::size_t>& kept) {
  if (auto* record = std::get_if<RecordDraft>(&history.course)) {
    return {history.id, finished_record(std::move(*record), kept), history.interval};
  }
  return {history.id, std::get<design::NetworkRun>(std::move(history.course)), history.interval};
}

}  // namespace

design::Design finished(Draft& draft) {
  design::Design design;
  design.title = draft.title;
  design.reference_temperature = draft.reference_temperature;

  const std::set<std::size_t> left_out = zones_to_leave_out(draft);
  std::vector<std::size_t> new_index(draft.zones.size(), 0);
  std::vector<std::size_t> kept;
  for (std::size_t zone = 0; zone < draft.zones.size(); ++zone) {
    if (!left_out.contains(zone)) {
      new_index[zone] = design.zones.size();
      design.zones.push_back(draft.zones.name(zone));
      kept.push_back(zone);
    }
  }
  add_notes(draft, design, left_out);

  for (auto& entry : draft.carriers) {
    design.carriers.push_back(present(entry));
  }
  design.carrier_in_use = draft.carrier_in_use;
  for (auto& entry : draft.shafts) {
    design.shafts.push_back(present(entry).shaft);
  }
  for (auto& entry : draft.gears) {
    design.gears.push_back(present(entry).gear);
  }
  design.torsion = std::move(draft.torsion);
  for_each_solid(design, [&new_index](thermal::Solid& solid) {
    solid.zone = thermal::ZoneIndex{new_index[static_cast<std::size_t>(solid.zone)]};
  });
  if (design.torsion) {
    for_each_zone(*design.torsion, [&new_index](std::size_t& zone) { zone = new_index[zone]; });
  }
  for (auto& entry : draft.meshes) {
    design.meshes.push_back(present(entry));
  }
  design.train = std::move(draft.train.settings);
  design.excitations = std::move(draft.excitations);
  design.expansion_groups = std::move(draft.expansion_groups);
  for (const CorrelationDraft& entry : draft.correlations) {
    design.correlations.push_back(entry.correlation);
  }
  for (auto& entry : draft.conditions) {
    design.conditions.push_back(finished_condition(draft, present(entry), left_out));
  }
  if (draft.soak) {
    design.soak = draft.soak->soak;
  }
  if (draft.network) {
    design.thermal_network = finished_network(*draft.network, kept);
  }
  for (auto& entry : draft.histories) {
    design.histories.push_back(finished_history(present(entry), kept));
  }
  return design;
}

}  // namespace lashband::io
