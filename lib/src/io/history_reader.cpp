#include <algorithm>
#include <cmath>
#include <utility>

#include "io/design_draft.hpp"
#include "io/schedule_reader.hpp"
#include "lashband/error.hpp"

// Temperatures over time: records of measured temperatures, and what the thermal network goes
// through.
namespace lashband::io {
namespace {

constexpr std::string_view every_body = "all";
constexpr std::string_view word_of_moments = " at ";
constexpr std::size_t most_histories = 100;
constexpr std::size_t fewest_record_rows = 2;
constexpr int most_cycles = 100000;
/// With `until_periodic`: a train that has not found its cycle by then will hardly do so later.
constexpr std::size_t default_most_cycles = 1000;
/// More moments than any chart can show or person can read.
constexpr double most_moments = 100000.0;

constexpr double seconds_per_hour = 3600.0;
/// Ten years of 365 days. More is a slip of unit.
constexpr double longest_in_hours = 87600.0;

constexpr ValueRule level_rule{"a temperature level", rules::any};
constexpr ValueRule speed_rule{"a speed of at least 0", rules::not_below_zero};
constexpr ValueRule shaft_power_rule{"a power of at least 0", rules::not_below_zero};
constexpr ValueRule heat_rule{"a power", rules::any};
constexpr ValueRule throttle_rule{"a number of at least 0", rules::not_below_zero};

/// Calls `act` with each member of the object that stands in `field`.
template <class Act>
void for_each_member(const Field& field, std::string_view allowed, const Act& act) {
  if (!read_object(field, allowed)) {
    return;
  }
  for (const json::Member& member : std::get<json::Object>(field.value().data)) {
    act(member, Field(field.file(), member.value, json::pointer_to(field.pointer(), member.key)));
  }
}

// ---- records ------------------------------------------------------------------------------------

/// Columns of a table by the zones that they are named after; a column of no zone is reported and
/// `good` becomes false.
std::vector<std::optional<std::size_t>> columns_of_zones(Draft& draft, const MeasuredTable& table,
                                                         bool& good) {
  std::vector<std::optional<std::size_t>> columns(draft.zones.size());
  const std::vector<std::string>& zones = draft.zones.all();
  std::size_t unknown = 0;
  for (std::size_t column = 0; column < table.heads.size(); ++column) {
    const std::string& name = table.heads[column].name;
    if (name == time_column_name) {
      continue;
    }
    const auto zone = std::find(zones.begin(), zones.end(), name);
    if (zone != zones.end()) {
      columns[static_cast<std::size_t>(zone - zones.begin())] = column;
      continue;
    }
    good = false;
    if (++unknown > most_table_problems) {
      continue;
    }
    std::vector<std::string> known = zones;
    known.emplace_back(time_column_name);
    draft.measured.add_problem({table.file, table.head_line, table.head_columns[column], "",
                                "read the column " + in_quotes(name) +
                                    ", which is no zone of the input" + nearest_hint(name, known) +
                                    "; allowed are " + listed(known)});
  }
  if (unknown > most_table_problems) {
    draft.measured.add_problem(
        {table.file, table.head_line, 1, "",
         std::to_string(unknown - most_table_problems) + " further columns are no zone either"});
  }
  return columns;
}

/// The coldest and the hottest row of a zone.
void add_levels_of_record(HistoryDraft& history, const Field& file_field,
                          const MeasuredTable& table, std::size_t zone,
                          const std::vector<double>& levels) {
  const auto [least, greatest] = std::minmax_element(levels.begin(), levels.end());
  for (const auto place : {least, greatest}) {
    const auto row = static_cast<std::size_t>(place - levels.begin());
    history.levels.push_back(
        {zone, units::celsius(*place), file_field,
         " (" + shown(table.file) + ", line " + std::to_string(table.line_of(row)) + ")"});
  }
}

std::optional<std::vector<units::Time>> read_record_times(MeasuredFiles& files,
                                                          const MeasuredTable& table) {
  const auto column = find_column(files, table, std::string(time_column_name));
  const auto seconds = column ? read_column<units::Time>(files, table, *column) : std::nullopt;
  if (table.rows() < fewest_record_rows) {
    files.add_problem({table.file, table.first_line, 1, "",
                       "the table has 1 row; needed are at least 2, so that time passes"});
    return std::nullopt;
  }
  if (!seconds) {
    return std::nullopt;
  }
  try {
    check_rising(table, *column);
  } catch (const InputErrors& errors) {
    files.add_problems(errors);
    return std::nullopt;
  }
  std::vector<units::Time> times;
  times.reserve(seconds->size());
  std::transform(seconds->begin(), seconds->end(), std::back_inserter(times),
                 [](double time) { return units::Time::from_value(time); });
  return times;
}

/// The record of a file; its levels go into `history`.
std::optional<RecordDraft> read_record(Draft& draft, HistoryDraft& history,
                                       const Field& file_field) {
  const auto name = read_file_name(file_field);
  const MeasuredTable* table = name ? draft.measured.find(file_field) : nullptr;
  if (table == nullptr) {
    return std::nullopt;
  }
  bool good = true;
  const auto columns = columns_of_zones(draft, *table, good);
  const auto times = read_record_times(draft.measured, *table);
  RecordDraft record{*name, {}, {}};
  record.by_zone.resize(columns.size());
  for (std::size_t zone = 0; zone < columns.size(); ++zone) {
    if (columns[zone]) {
      record.by_zone[zone] =
          read_column<units::Temperature>(draft.measured, *table, *columns[zone]);
      good = good && record.by_zone[zone];
    }
    if (record.by_zone[zone]) {
      add_levels_of_record(history, file_field, *table, zone, *record.by_zone[zone]);
    }
  }
  if (!times || !good) {
    return std::nullopt;
  }
  record.times = *times;
  return record;
}

// ---- runs of the network ------------------------------------------------------------------------

/// What is read of one run, and which names its sections have, whether or not their values could be
/// read.
struct RunReader {
  Draft& draft;
  const NetworkDraft& network;
  HistoryDraft& history;
  design::NetworkRun run{};
  std::set<std::size_t> shafts_with_speed{};
  std::set<std::size_t> shafts_with_power{};
  std::set<std::size_t> sources_with_power{};
  bool good = true;
};

/// The temperature at the start, as far as it is known: of a zone, and whether the body's material
/// stores heat there.
void check_start(RunReader& reader, std::size_t body, units::Temperature level,
                 const Field& field) {
  for (const auto& [zone, place] : reader.network.zones) {
    if (place == heat::Place{heat::Place::Kind::body, body}) {
      reader.history.levels.push_back({zone, level, field, ""});
    }
  }
  if (!reader.network.bodies[body]) {
    return;
  }
  const auto* made_of = std::get_if<heat::MassOfMaterial>(&reader.network.bodies[body]->capacity);
  if (made_of == nullptr) {
    return;
  }
  try {
    static_cast<void>(made_of->material->specific_heat(level, reader.draft.options.extrapolation));
  } catch (const MaterialError& error) {
    field.report("the body " + in_quotes(reader.network.bodies[body]->id) + " cannot start at " +
                 units::format(level) + ": " + error.what());
  }
}

/// The body that a key names; a boundary is reported.
std::optional<std::size_t> find_body_of_key(const NetworkDraft& network, const json::Member& member,
                                            const Field& value) {
  const auto index = network.places.find_key(member, value);
  if (index && *index >= network.bodies.size()) {
    value.file().report(member.key_offset, value.pointer(),
                        "read " + in_quotes(member.key) +
                            ", which is a boundary; allowed are bodies, and boundaries under "
                            "\"boundaries\"");
    return std::nullopt;
  }
  return index;
}

void read_start(RunReader& reader, const Field& field) {
  const NetworkDraft& network = reader.network;
  std::vector<std::optional<units::Temperature>> by_body(network.bodies.size());
  std::map<std::size_t, Field> written;
  std::optional<Field> all;
  std::optional<units::Temperature> level_of_all;
  for_each_member(field, "an object that gives each body its temperature, or \"all\" of them",
                  [&](const json::Member& member, const Field& value) {
                    const auto level = read_quantity<units::Temperature>(value, level_rule);
                    if (member.key == every_body) {
                      all = value;
                      level_of_all = level;
                    } else if (const auto body = find_body_of_key(network, member, value)) {
                      by_body[*body] = level;
                      written.emplace(*body, value);
                    }
                  });
  const bool is_object = field.given() && std::holds_alternative<json::Object>(field.value().data);
  for (std::size_t body = 0; body < by_body.size(); ++body) {
    const auto own = written.find(body);
    if (own == written.end() && !all) {
      if (is_object && network.bodies[body] && is_first_of_its_name(network.places, body)) {
        field.report("the body " + in_quotes(network.bodies[body]->id) +
                     " has no temperature here; needed is one for every body, or one for "
                     "\"all\"");
      }
      continue;
    }
    const auto level = own != written.end() ? by_body[body] : level_of_all;
    if (level) {
      check_start(reader, body, *level, own != written.end() ? own->second : *all);
      reader.run.start.push_back(*level);
    }
  }
  reader.good = reader.good && reader.run.start.size() == network.bodies.size();
}

/// The coldest and the hottest that a boundary gets within one cycle.
void add_levels_of_boundary(RunReader& reader, std::size_t boundary,
                            const heat::Schedule<units::Temperature>& schedule,
                            const Field& field) {
  const double end = reader.run.duration.value();
  // What is interpolated is rounded, so that it can be read in a message.
  constexpr double per_kelvin = 1e9;
  const auto rounded = [](units::Temperature level) {
    return std::round(level.value() * per_kelvin) / per_kelvin;
  };
  std::vector<double> levels{rounded(schedule.at(units::Time())),
                             rounded(schedule.before(reader.run.duration))};
  for (std::size_t i = 0; i < schedule.values().size(); ++i) {
    const double time = schedule.times_in_seconds()[i];
    if (time >= 0.0 && time <= end) {
      levels.push_back(schedule.values()[i]);
    }
  }
  const auto [least, greatest] = std::minmax_element(levels.begin(), levels.end());
  for (const auto& [zone, place] : reader.network.zones) {
    if (place == heat::Place{heat::Place::Kind::boundary, boundary}) {
      reader.history.levels.push_back({zone, units::celsius(*least), field, ""});
      if (*greatest > *least) {
        reader.history.levels.push_back({zone, units::celsius(*greatest), field, ""});
      }
    }
  }
}

void read_boundaries(RunReader& reader, const Field& field) {
  const NetworkDraft& network = reader.network;
  std::vector<std::optional<heat::Schedule<units::Temperature>>> schedules(
      network.boundaries.size());
  std::set<std::size_t> given;
  for_each_member(
      field, "an object that gives each boundary its temperature",
      [&](const json::Member& member, const Field& value) {
        auto schedule = read_schedule<units::Temperature>(reader.draft.measured, value, level_rule);
        const auto index = network.places.find_key(member, value);
        if (index && *index < network.bodies.size()) {
          value.file().report(member.key_offset, value.pointer(),
                              "read " + in_quotes(member.key) +
                                  ", which is a body; allowed are boundaries, and bodies under "
                                  "\"start\"");
        } else if (index) {
          const std::size_t boundary = *index - network.bodies.size();
          given.insert(boundary);
          if (schedule && reader.run.duration > units::Time()) {
            add_levels_of_boundary(reader, boundary, *schedule, value);
          }
          schedules[boundary] = std::move(schedule);
        }
      });
  const Field& place = field.given() ? field : reader.history.self;
  for (std::size_t boundary = 0; boundary < schedules.size(); ++boundary) {
    if (schedules[boundary]) {
      reader.run.boundaries.push_back(*schedules[boundary]);
    } else if (!given.contains(boundary) && network.boundaries[boundary] &&
               is_first_of_its_name(network.places, network.bodies.size() + boundary)) {
      place.report("the boundary " + in_quotes(network.boundaries[boundary]->id) +
                   " has no temperature here; needed is one under \"boundaries\"");
    }
  }
  reader.good = reader.good && reader.run.boundaries.size() == schedules.size();
}

/// A section that gives shafts their speed or power.
template <class Q>
void read_shafts(RunReader& reader, const Field& field, const ValueRule& rule,
                 std::vector<std::optional<heat::Schedule<Q>>>& by_shaft,
                 std::set<std::size_t>& given) {
  by_shaft.resize(reader.draft.shaft_names.size());
  for_each_member(field, "an object that gives shafts " + std::string(rule.allowed),
                  [&](const json::Member& member, const Field& value) {
                    auto schedule = read_schedule<Q>(reader.draft.measured, value, rule);
                    if (const auto shaft = reader.draft.shaft_names.find_key(member, value)) {
                      given.insert(*shaft);
                      by_shaft[*shaft] = std::move(schedule);
                    }
                  });
}

void read_heat(RunReader& reader, const Field& field) {
  const NetworkDraft& network = reader.network;
  reader.run.source_power.resize(network.sources.size());
  for_each_member(
      field, "an object that gives heat inputs their power",
      [&](const json::Member& member, const Field& value) {
        auto power = read_schedule<units::Power>(reader.draft.measured, value, heat_rule);
        const auto source = network.source_names.find_key(member, value);
        if (!source) {
          return;
        }
        reader.sources_with_power.insert(*source);
        if (network.sources[*source] &&
            !std::holds_alternative<design::GivenPower>(network.sources[*source]->kind)) {
          value.file().report(member.key_offset, value.pointer(),
                              "read " + in_quotes(member.key) +
                                  ", whose power follows from a shaft; allowed are heat inputs "
                                  "whose power is given");
          return;
        }
        reader.run.source_power[*source] = std::move(power);
      });
}

void read_throttles(RunReader& reader, const Field& field) {
  const NetworkDraft& network = reader.network;
  for_each_member(field, "an object that gives conductances and streams their share",
                  [&](const json::Member& member, const Field& value) {
                    auto share =
                        read_schedule<units::Ratio>(reader.draft.measured, value, throttle_rule);
                    const auto way = network.ways.find_key(member, value);
                    if (!share || !way) {
                      return;
                    }
                    using Of = heat::Throttle::Of;
                    const std::size_t conductances = network.conductances.size();
                    const bool is_conductance = *way < conductances;
                    reader.run.throttles.push_back({is_conductance ? Of::conductance : Of::stream,
                                                    is_conductance ? *way : *way - conductances,
                                                    *std::move(share)});
                  });
}

void report_needed(const RunReader& reader, const std::string& what, std::size_t shaft,
                   const std::string& source) {
  reader.history.self.report("the history gives no " + what + " of the shaft " +
                             in_quotes(reader.draft.shaft_names.name(shaft)) +
                             "; needed is one, since the heat input " + in_quotes(source) +
                             " depends on it");
}

/// Reports what the network's heat inputs need of the history and it does not give.
void check_sources(const RunReader& reader) {
  const auto need_power = [&](std::size_t shaft, const std::string& source) {
    if (!reader.shafts_with_power.contains(shaft)) {
      report_needed(reader, "shaft_power", shaft, source);
    }
  };
  const auto need_speed = [&](std::size_t shaft, const std::string& source) {
    if (!reader.shafts_with_speed.contains(shaft)) {
      report_needed(reader, "shaft_speed", shaft, source);
    }
  };
  for (std::size_t i = 0; i < reader.network.sources.size(); ++i) {
    const auto& source = reader.network.sources[i];
    if (!source || !is_first_of_its_name(reader.network.source_names, i)) {
      continue;
    }
    if (const auto* given = std::get_if<design::GivenPower>(&source->kind)) {
      if (!given->always && !reader.sources_with_power.contains(i)) {
        reader.history.self.report(
            "the history gives no power of the heat input " + in_quotes(source->id) +
            R"(; needed is one under "heat", since the heat input has no "power" of its own)");
      }
    } else if (const auto* share = std::get_if<design::PowerShare>(&source->kind)) {
      need_power(share->shaft, source->id);
    } else if (const auto* mesh = std::get_if<design::MeshLoss>(&source->kind)) {
      need_power(mesh->shaft, source->id);
      if (!mesh->friction) {
        need_speed(mesh->shaft, source->id);
      }
    } else if (const auto* bearing = std::get_if<design::BearingLoss>(&source->kind)) {
      need_speed(bearing->shaft, source->id);
    }
  }
}

void read_cycles(RunReader& reader, ObjectReader& object) {
  const Field cycles_field = object.optional("cycles");
  const Field periodic_field = object.optional("until_periodic");
  const Field accuracy_field = object.optional("accuracy");
  const auto cycles = read_whole_number(cycles_field, "a whole number", 1, most_cycles);
  reader.good =
      take_given(reader.run.until_periodic, periodic_field,
                 read_quantity<units::TemperatureDifference>(
                     periodic_field, {"a temperature difference above 0", rules::above_zero})) &&
      reader.good;
  reader.good = take_given(reader.run.accuracy, accuracy_field,
                           read_quantity<units::TemperatureDifference>(
                               accuracy_field,
                               {"a temperature difference from 1 uK to 10 K",
                                [](double kelvin) { return kelvin >= 1e-6 && kelvin <= 10.0; }})) &&
                reader.good;
  reader.good = reader.good && cycles.has_value() == cycles_field.given();
  reader.run.cycles = cycles                   ? static_cast<std::size_t>(*cycles)
                      : periodic_field.given() ? default_most_cycles
                                               : 1;
}

std::optional<design::NetworkRun> read_run(Draft& draft, HistoryDraft& history,
                                           ObjectReader& object) {
  RunReader reader{draft, *draft.network, history};
  const Field start = object.required("start");
  const Field boundaries = object.optional("boundaries");
  const auto duration = read_quantity<units::Time>(
      object.required("duration"),
      {"a time above 0 and up to 87600 h, which are 10 years", [](double seconds) {
         return seconds > 0.0 && seconds <= longest_in_hours * seconds_per_hour;
       }});
  reader.run.duration = duration.value_or(units::Time());
  read_start(reader, start);
  read_boundaries(reader, boundaries);
  read_shafts<units::AngularVelocity>(reader, object.optional("shaft_speed"), speed_rule,
                                      reader.run.shaft_speed, reader.shafts_with_speed);
  read_shafts<units::Power>(reader, object.optional("shaft_power"), shaft_power_rule,
                            reader.run.shaft_power, reader.shafts_with_power);
  read_heat(reader, object.optional("heat"));
  read_throttles(reader, object.optional("throttles"));
  read_cycles(reader, object);
  check_sources(reader);
  return duration && reader.good ? std::optional(std::move(reader.run)) : std::nullopt;
}

// ---- both ---------------------------------------------------------------------------------------

/// From the first moment to the last, of all cycles.
units::Time length_of(const std::variant<RecordDraft, design::NetworkRun>& course) {
  if (const auto* record = std::get_if<RecordDraft>(&course)) {
    return record->times.back() - record->times.front();
  }
  const auto& run = std::get<design::NetworkRun>(course);
  return static_cast<double>(run.cycles) * run.duration;
}

/// Reports an interval that makes more moments than anyone looks at.
void check_interval(const Field& field, units::Time interval, units::Time length) {
  if (!(length.value() / interval.value() <= most_moments)) {
    field.report("read " + field.as_read() + ", which makes more than 100000 moments of the " +
                 units::format(length, "s") + " that the history may last; allowed is " +
                 units::format(units::Time::from_value(length.value() / most_moments), "s") +
                 " or more");
  }
}

/// Reports a name that something else has, or with which the names of moments would be those of
/// something else.
void check_name(const Draft& draft, const std::string& id, const Field& field) {
  const std::vector<std::string>& conditions = draft.condition_names.all();
  if (is_name_of_soak(id)) {
    field.report("read " + in_quotes(id) +
                 ", which names points of the soak; allowed is a name that is not \"soak\" and "
                 "does not begin with \"soak \"");
  }
  if (std::find(conditions.begin(), conditions.end(), id) != conditions.end()) {
    field.report("read " + in_quotes(id) +
                 ", which a condition is called; allowed is a name that no condition has");
  }
}

void check_names_of_moments(const Draft& draft, const std::vector<Field>& id_fields) {
  std::vector<std::string> names = draft.condition_names.all();
  const std::vector<std::string>& histories = draft.history_names.all();
  names.insert(names.end(), histories.begin(), histories.end());
  for (std::size_t i = 0; i < histories.size(); ++i) {
    if (histories[i].empty()) {
      continue;
    }
    const std::string begin = histories[i] + std::string(word_of_moments);
    const auto taken = std::find_if(names.begin(), names.end(), [&begin](const std::string& name) {
      return name.rfind(begin, 0) == 0;
    });
    if (taken != names.end()) {
      id_fields[i].report("read " + in_quotes(histories[i]) +
                          ", whose moments are named \"… at 140 s\", as " + in_quotes(*taken) +
                          " is; allowed is a name with which no other name begins so");
    }
  }
}

std::optional<HistoryDraft> read_history(Draft& draft, const Field& entry,
                                         std::vector<Field>& id_fields) {
  auto object =
      read_object(entry, "a history, an object with id and file, or id, start and duration");
  if (!object) {
    draft.history_names.add(std::nullopt, entry);
    id_fields.push_back(entry);
    return std::nullopt;
  }
  const Field id_field = object->required("id");
  const auto id = read_name(id_field, "the history's name");
  draft.history_names.add(id, id_field);
  id_fields.push_back(id_field);
  if (id) {
    check_name(draft, *id, id_field);
  }
  HistoryDraft history{id.value_or(""), entry, {}, {}, {}};
  const Field file_field = object->optional("file");
  const Field interval_field = object->optional("interval");
  const auto interval =
      read_quantity<units::Time>(interval_field, {"a time above 0", rules::above_zero});
  bool good = id && take_given(history.interval, interval_field, interval);
  if (file_field.given()) {
    auto record = read_record(draft, history, file_field);
    good = good && record;
    if (record) {
      history.course = *std::move(record);
    }
  } else if (draft.network) {
    auto run = read_run(draft, history, *object);
    good = good && run;
    if (run) {
      history.course = *std::move(run);
    }
  } else {
    entry.report(
        "the history has no \"file\", and the input has no \"thermal_network\"; needed is one of "
        "both");
    return std::nullopt;  // which keys are allowed depends on it
  }
  object->refuse_unknown_keys();
  if (!good) {
    return std::nullopt;
  }
  if (history.interval) {
    check_interval(interval_field, *history.interval, length_of(history.course));
  }
  return history;
}

}  // namespace

/// `file` of each history, and of each schedule.
std::vector<Field> files_of_histories(const Field& list) {
  std::vector<Field> names;
  const auto* histories = list.given() ? std::get_if<json::List>(&list.value().data) : nullptr;
  if (histories == nullptr || histories->size() > most_histories) {
    return names;
  }
  const auto add_file_of = [&names](const Field& object) {
    const Field file = member_of(object, "file");
    if (file.given()) {
      names.push_back(file);
    }
  };
  for (std::size_t i = 0; i < histories->size(); ++i) {
    const Field history(list.file(), (*histories)[i], json::pointer_to(list.pointer(), i));
    add_file_of(history);
    for (const std::string_view section :
         {"boundaries", "shaft_speed", "shaft_power", "heat", "throttles"}) {
      const Field field = member_of(history, section);
      const auto* schedules =
          field.given() ? std::get_if<json::Object>(&field.value().data) : nullptr;
      if (schedules == nullptr) {
        continue;
      }
      for (const json::Member& member : *schedules) {
        add_file_of(
            Field(field.file(), member.value, json::pointer_to(field.pointer(), member.key)));
      }
    }
  }
  return names;
}

void read_histories(Draft& draft, const Field& list) {
  const auto entries = read_list(list, "a list of up to 100 histories", 0, most_histories);
  if (!entries) {
    return;
  }
  std::vector<Field> id_fields;
  for (const Field& entry : *entries) {
    draft.histories.push_back(read_history(draft, entry, id_fields));
  }
  check_names_of_moments(draft, id_fields);
}

}  // namespace lashband::io
