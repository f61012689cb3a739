#include <algorithm>
#include <map>
#include <set>
#include <utility>

#include "io/key_choice.hpp"
#include "io/torsion_draft.hpp"

// Stations: what of a shaft turns as one, and the pieces of shaft between them.
namespace lashband::io {
namespace {

constexpr MaterialNeeds needs_of_body{
    .elongation = false, .density = true, .why = "for the inertia of the body"};
/// A shaft as the section lists it.
struct ListedShaft {
  ObjectReader object;
  std::optional<std::size_t> shaft;
};

/// What the stations of one shaft are read with.
struct ShaftReader {
  TorsionDraft& torsion;
  std::optional<std::size_t> shaft;            ///< empty: unknown, which is reported
  const std::vector<std::size_t>& gears;       ///< of the shaft
  const std::set<std::string>& single;         ///< shafts that are one station
  std::map<std::size_t, std::size_t> seats{};  ///< gears that stand in a station, and where
};

std::vector<design::Cylinder> read_bodies(Draft& draft, const Field& list, std::size_t shaft,
                                          const std::string& station) {
  std::vector<design::Cylinder> bodies;
  const auto entries = read_list(list, "a list of up to 1000 bodies", 0, most_entries);
  for (const Field& entry : entries.value_or(std::vector<Field>{})) {
    auto object =
        read_object(entry, "a round body, an object with outside_diameter, bore and length");
    if (object) {
      bodies.push_back(read_cylinder(draft, *object, shaft, "body on station " + in_quotes(station),
                                     needs_of_body));
      object->refuse_unknown_keys();
    }
  }
  return bodies;
}

/// The keys `inertia` and `bodies`.
void read_masses(ShaftReader& reader, ObjectReader& object, design::Station& station) {
  station.inertia = read_quantity<units::Inertia>(object.optional("inertia"), inertia_rule);
  station.bodies =
      read_bodies(reader.torsion.draft, object.optional("bodies"),
                  reader.shaft.value_or(reader.torsion.draft.shafts.size()), station.id);
}

/// The gears that a station names, each of its shaft and in no station before.
std::vector<std::size_t> read_seats(ShaftReader& reader, const Field& list) {
  const Draft& draft = reader.torsion.draft;
  std::vector<std::size_t> gears;
  const auto entries = read_list(list, "a list of the names of gears", 0, most_parts);
  for (const Field& entry : entries.value_or(std::vector<Field>{})) {
    const auto gear = draft.gear_names.find(entry);
    if (!gear) {
      continue;
    }
    const auto [earlier, is_new] = reader.seats.emplace(*gear, entry.offset());
    if (!is_new) {
      entry.report("read the gear " + in_quotes(draft.gear_names.name(*gear)) +
                   " again, which stands at " + entry.file().place(earlier->second) +
                   " already; allowed is each gear in one station");
      continue;
    }
    if (reader.shaft && draft.gears[*gear] && draft.gears[*gear]->gear.shaft != *reader.shaft) {
      entry.report("the gear " + in_quotes(draft.gear_names.name(*gear)) + " sits on the shaft " +
                   in_quotes(draft.shaft_names.name(draft.gears[*gear]->gear.shaft)) +
                   "; allowed are gears on the shaft " +
                   in_quotes(draft.shaft_names.name(*reader.shaft)));
      continue;
    }
    gears.push_back(*gear);
  }
  return gears;
}

void read_station(ShaftReader& reader, const Field& entry) {
  TorsionDraft& torsion = reader.torsion;
  design::Station station;
  station.shaft = reader.shaft.value_or(0);
  auto object = read_object(entry, "a station, an object with id");
  if (!object) {
    torsion.stations.add(std::nullopt, entry);
    torsion.settings.stations.push_back(std::move(station));
    return;
  }
  const Field id_field = object->required("id");
  auto id = read_name(id_field, "the station's name");
  if (id && reader.single.contains(*id)) {
    id_field.report("read " + in_quotes(*id) +
                    ", which the one station of the shaft of that name is called; allowed is "
                    "another name");
    id.reset();
  }
  torsion.stations.add(id, id_field);
  station.id = id.value_or("");
  read_masses(reader, *object, station);
  station.gears = read_seats(reader, object->optional("gears"));
  object->refuse_unknown_keys();
  torsion.settings.stations.push_back(std::move(station));
}

/// Reports gears of the shaft that stand in no station.
void check_seats(const ShaftReader& reader, const Field& stations) {
  std::vector<std::string> without;
  for (const std::size_t gear : reader.gears) {
    if (!reader.seats.contains(gear)) {
      without.push_back(reader.torsion.draft.gear_names.name(gear));
    }
  }
  if (!without.empty()) {
    stations.report((without.size() == 1 ? "the gear " : "the gears ") + listed(without) +
                    (without.size() == 1 ? " stands" : " stand") +
                    " in no station; needed is each gear of the shaft in one, under \"gears\"");
  }
}

/// A shaft with a list of stations.
void read_jointed(ShaftReader& reader, ObjectReader& object) {
  TorsionDraft& torsion = reader.torsion;
  const std::size_t problems_before = torsion.draft.file.problem_count();
  const Field stations = object.required("stations");
  const Field segments = object.optional("segments");
  const std::size_t first = torsion.settings.stations.size();
  const auto entries = read_list(stations, "a list of 1 to 1000 stations", 1, most_entries);
  if (!entries) {
    torsion.stations.mark_incomplete();
    return;
  }
  for (const Field& entry : *entries) {
    read_station(reader, entry);
  }
  if (torsion.draft.file.problem_count() == problems_before) {
    check_seats(reader, stations);
  }
  read_segments(torsion, reader.shaft, segments, stations, first, problems_before);
}

/// A shaft that is one station, named after it.
void add_single(ShaftReader& reader, ObjectReader* object, const Field& place) {
  TorsionDraft& torsion = reader.torsion;
  const Names& shafts = torsion.draft.shaft_names;
  design::Station station;
  std::optional<std::string> id;
  if (reader.shaft) {
    station.shaft = *reader.shaft;
    station.id = shafts.name(*reader.shaft);
    // A name that two shafts have is reported there.
    if (!station.id.empty() && !torsion.stations.contains(station.id)) {
      id = station.id;
    }
  }
  torsion.stations.add(id, place);
  station.gears = reader.gears;
  if (object != nullptr) {
    read_masses(reader, *object, station);
  }
  torsion.settings.stations.push_back(std::move(station));
}

void read_listed(ShaftReader& reader, ObjectReader& object) {
  constexpr std::string_view stations = "stations";
  const KeyChoice whole = choice_of(object, {"inertia", "bodies"});
  const KeyChoice parts = choice_of(object, {stations, "segments"});
  if (!whole.present.empty() && !parts.present.empty()) {
    std::vector<std::string> present = whole.present;
    present.insert(present.end(), parts.present.begin(), parts.present.end());
    object.self().report("read " + listed(present) +
                         R"( together; allowed is "inertia" and "bodies" of a shaft that turns )"
                         R"(as one, or "stations" and "segments")");
  }
  if (!parts.present.empty()) {
    read_jointed(reader, object);
  } else {
    add_single(reader, &object, object.self());
  }
  object.refuse_unknown_keys();
}

/// Shafts that the list gives, each once; an unknown or repeated one has no index.
std::vector<ListedShaft> listed_shafts(TorsionDraft& torsion, const Field& list) {
  std::vector<ListedShaft> result;
  const auto entries = read_list(list, "a list of up to 10000 shafts", 0, most_parts);
  if (!entries) {
    if (list.given()) {
      torsion.stations.mark_incomplete();
    }
    return result;
  }
  NamedOnce shafts("shaft");
  for (const Field& entry : *entries) {
    auto object = read_object(entry, "an object with shaft, and inertia and bodies or stations");
    if (!object) {
      torsion.stations.mark_incomplete();
      continue;
    }
    const auto shaft = shafts.find(torsion.draft.shaft_names, object->required("shaft"));
    result.push_back({*std::move(object), shaft});
  }
  return result;
}

}  // namespace

std::pair<std::string, std::size_t> read_place(TorsionDraft& torsion, ObjectReader& object,
                                               Names& names, const std::string& what) {
  const Field id_field = object.required("id");
  const auto id = read_name(id_field, what);
  names.add(id, id_field);
  const auto station = torsion.stations.find(object.required("station"));
  return {id.value_or(""), station.value_or(0)};
}

void read_stations(TorsionDraft& torsion, const Field& list, const Field& self) {
  const std::size_t shafts = torsion.draft.shaft_names.size();
  std::vector<ListedShaft> read = listed_shafts(torsion, list);
  std::vector<ListedShaft*> by_shaft(shafts, nullptr);
  std::vector<ListedShaft*> unknown;
  for (ListedShaft& entry : read) {
    if (entry.shaft) {
      by_shaft[*entry.shaft] = &entry;
    } else {
      unknown.push_back(&entry);
    }
  }
  std::set<std::string> single;
  for (std::size_t i = 0; i < shafts; ++i) {
    if (by_shaft[i] == nullptr || lacks(by_shaft[i]->object.self(), "stations")) {
      single.insert(torsion.draft.shaft_names.name(i));
    }
  }
  std::vector<std::vector<std::size_t>> gears(shafts);
  for (std::size_t i = 0; i < torsion.draft.gears.size(); ++i) {
    if (torsion.draft.gears[i]) {
      gears[torsion.draft.gears[i]->gear.shaft].push_back(i);
    }
  }
  for (std::size_t i = 0; i < shafts; ++i) {
    ShaftReader reader{torsion, i, gears[i], single};
    if (by_shaft[i] != nullptr) {
      read_listed(reader, by_shaft[i]->object);
    } else {
      add_single(reader, nullptr, self);
    }
  }
  const std::vector<std::size_t> none;
  for (ListedShaft* entry : unknown) {
    ShaftReader reader{torsion, std::nullopt, none, single};
    read_listed(reader, entry->object);
  }
}

}  // namespace lashband::io
