#include "json_parts.hpp"

#include <cmath>

#include "lashband/version.hpp"
#include "loop_words.hpp"
#include "selection.hpp"
#include "state_text.hpp"

namespace lashband::report {

using units::Angle;
using units::Length;
using units::value_in;

Json quantity(double value, const char* unit) {
  return {{"value", value}, {"unit", unit}};
}
Json quantity(Length length) {
  return quantity(value_in(length, "mm"), "mm");
}
Json quantity(units::Force force) {
  return quantity(value_in(force, "N"), "N");
}
Json quantity(units::Time time) {
  return quantity(value_in(time, "s"), "s");
}
Json quantity(units::Energy heat) {
  return quantity(value_in(heat, "J"), "J");
}
Json quantity(Angle rotation) {
  return quantity(number(rotation), "rad");
}
Json quantity(units::Frequency frequency) {
  return quantity(value_in(frequency, "Hz"), "Hz");
}
Json quantity(units::AngularVelocity speed) {
  return quantity(value_in(speed, "rpm"), "rpm");
}

double number(Length length) {
  return value_in(length, "mm");
}
double number(Angle angle) {
  return value_in(angle, "rad");
}

void put_state(Json& json, const design::State& state) {
  json["condition"] = state.time ? state.condition : state.id;
  if (state.time) {
    json["time"] = quantity(*state.time);
  }
}

void put_state(Json& json, const States& states, const std::string& id) {
  if (const design::State* state = state_of(states, id)) {
    put_state(json, *state);
  } else {
    json["condition"] = id;
  }
}

void add_unless_empty(Json& json, const char* key, Json value) {
  if (!value.empty()) {
    json[key] = std::move(value);
  }
}

void add_sampling(Json& json, const std::optional<design::Sampling>& sampling) {
  if (sampling) {
    json["sampling"] = {{"seed", sampling->seed},
                        {"samples", sampling->samples},
                        {"instruction_set", sampling->instruction_set}};
  }
}

Json requirement(const design::RequirementRow& row, const States& states) {
  const auto value = [&row](double si) -> Json {
    switch (row.kind) {
      case design::RequirementRow::Kind::ratio:
        return si;
      case design::RequirementRow::Kind::angle:
        return quantity(units::from_si<Angle>(si));
      case design::RequirementRow::Kind::length:
        break;
    }
    return quantity(units::from_si<Length>(si));
  };
  Json json = {{"mesh", row.mesh}, {"what", row.what}, {"limit", value(row.limit)}};
  // A mesh without a mean force that parts has no finite rattle index.
  if (std::isfinite(row.found)) {
    json["found"] = value(row.found);
  }
  put_state(json, states, row.state);
  json["basis"] = basis_word(row.basis);
  json["met"] = row.met;
  return json;
}

Json requirements(const std::vector<design::RequirementRow>& rows, const States& states) {
  Json json = Json::array();
  for (const design::RequirementRow& row : rows) {
    json.push_back(requirement(row, states));
  }
  return json;
}

Json warnings(const std::vector<design::Warning>& rows, const States& states) {
  Json json = Json::array();
  for (const design::Warning& row : rows) {
    Json one = {{"kind", row.kind}};
    if (!row.carrier.empty()) {
      one["carrier"] = row.carrier;
    }
    if (!row.subject.empty()) {
      one["subject"] = row.subject;
    }
    if (!row.state.empty()) {
      put_state(one, states, row.state);
    }
    one["text"] = row.text;
    json.push_back(std::move(one));
  }
  return json;
}

void add_failures(Json& json, const std::vector<design::Failure>& rows, const States& states) {
  Json all = Json::array();
  for (const design::Failure& row : rows) {
    Json one = {{"subject", row.subject}};
    if (!row.state.empty()) {
      put_state(one, states, row.state);
    }
    one["text"] = row.text;
    all.push_back(std::move(one));
  }
  add_unless_empty(json, "failures", std::move(all));
}

Json head(const char* analysis, const design::Provenance& input) {
  return {{"lashband", 1},
          {"version", version()},
          {"analysis", analysis},
          {"input", {{"title", input.title}, {"digest", input.digest}}}};
}

std::string written(const Json& json) {
  // Ids and titles come from a checked file and are valid UTF-8; `replace` keeps a program error in
  // that check from becoming an exception here.
  return json.dump(2, ' ', false, Json::error_handler_t::replace) + "\n";
}

namespace {

Json loop_margin(Length nominal, Length worst_low, const std::optional<Length>& rss_low) {
  Json json = {{"nominal", number(nominal)}, {"worst_low", number(worst_low)}};
  if (rss_low) {
    json["rss_low"] = number(*rss_low);
  }
  json["unit"] = "mm";
  return json;
}

void put_margins(Json& json, const design::LoopState& at) {
  json["margin"] = loop_margin(at.margin, at.margin_low, at.margin_rss_low);
  json["margin_float_taken_up"] = loop_margin(at.taken_up, at.taken_up_low, at.taken_up_rss_low);
}

Json loop_state(const design::BacklashResult& result, const design::LoopResult& loop,
                const design::LoopState& at) {
  Json json;
  put_state(json, result.states[at.state]);
  put_margins(json, at);
  if (at.bore_reserve) {
    json["bore_reserve"] = {{"shaft", loop.shafts.at(at.bore)}, {"by", quantity(*at.bore_reserve)}};
  }
  return json;
}

void add_least(Json& json, const design::BacklashResult& result, const design::LoopResult& loop) {
  if (loop.least) {
    const design::LoopState& at = loop.states[*loop.least];
    Json& least = json["least"] = Json::object();
    put_state(least, result.states[at.state]);
    put_margins(least, at);
  }
}

}  // namespace

Json loops_of(const design::BacklashResult& result, const View& view) {
  Json json = Json::array();
  for (const design::LoopResult& loop : result.loops) {
    if (!shows_loop(view, loop)) {
      continue;
    }
    Json one = {{"shafts", loop.shafts},
                {"meshes", loop.meshes},
                {"closed_by", closed_word(loop.closed_by)},
                {"offset", loop.offset}};
    add_unless_empty(one, "set_on", loop.set_on);
    if (loop.can_be_assembled) {
      one["can_be_assembled"] = *loop.can_be_assembled;
    }
    one["basis"] = basis_word(loop.basis);
    Json& states = one["states"] = Json::array();
    for (const design::LoopState& at : loop.states) {
      if (shows_state(view, result.states[at.state])) {
        states.push_back(loop_state(result, loop, at));
      }
    }
    add_least(one, result, loop);
    json.push_back(std::move(one));
  }
  return json;
}

Json least_of_loops(const design::BacklashResult& result, const View& view) {
  Json json = Json::array();
  for (const design::LoopResult& loop : result.loops) {
    if (shows_loop(view, loop)) {
      Json one = {
          {"shafts", loop.shafts}, {"meshes", loop.meshes}, {"basis", basis_word(loop.basis)}};
      add_least(one, result, loop);
      json.push_back(std::move(one));
    }
  }
  return json;
}

}  // namespace lashband::report
