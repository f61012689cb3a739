#pragma once

#include <nlohmann/json.hpp>
#include <optional>
#include <string>
#include <vector>

#include "lashband/design/results.hpp"
#include "lashband/report/view.hpp"
#include "lashband/units/format.hpp"

// What documents of several analyses are put together from.
namespace lashband::report {

using Json = nlohmann::ordered_json;

[[nodiscard]] Json quantity(double value, const char* unit);
[[nodiscard]] Json quantity(units::Length length);
[[nodiscard]] Json quantity(units::Force force);
[[nodiscard]] Json quantity(units::Time time);
[[nodiscard]] Json quantity(units::Energy heat);
[[nodiscard]] Json quantity(units::Angle rotation);
[[nodiscard]] Json quantity(units::Frequency frequency);
[[nodiscard]] Json quantity(units::AngularVelocity speed);

/// The numbers of bands and lists, whose unit stands beside them.
[[nodiscard]] double number(units::Length length);
[[nodiscard]] double number(units::Angle angle);

template <class Q>
[[nodiscard]] Json percentiles(const design::Percentiles<Q>& values) {
  return {
      {"0.135", number(values.low)}, {"50", number(values.mid)}, {"99.865", number(values.high)}};
}

/// Nominal, worst case and root sum square of any band.
template <class Q>
[[nodiscard]] Json plain_band(const design::ResultBand<Q>& values) {
  Json json = {{"nominal", number(values.nominal)},
               {"worst_case", {number(values.low), number(values.high)}}};
  if (values.rss_low && values.rss_high) {
    json["rss"] = {number(*values.rss_low), number(*values.rss_high)};
  }
  return json;
}

template <class Q>
[[nodiscard]] Json band(const design::ResultBand<Q>& values, const char* unit) {
  Json json = plain_band(values);
  if (values.least && values.greatest) {
    json["percentiles"] = {{"least", percentiles(*values.least)},
                           {"greatest", percentiles(*values.greatest)}};
  }
  json["unit"] = unit;
  return json;
}

using States = std::vector<design::State>;

/// A state is named by its condition; a moment by its history and the time beside it.
void put_state(Json& json, const design::State& state);
void put_state(Json& json, const States& states, const std::string& id);

void add_unless_empty(Json& json, const char* key, Json value);
void add_sampling(Json& json, const std::optional<design::Sampling>& sampling);
/// Under "failures", unless there are none.
void add_failures(Json& json, const std::vector<design::Failure>& rows, const States& states);

[[nodiscard]] Json requirement(const design::RequirementRow& row, const States& states);
[[nodiscard]] Json requirements(const std::vector<design::RequirementRow>& rows,
                                const States& states);
[[nodiscard]] Json warnings(const std::vector<design::Warning>& rows, const States& states);

/// What every document begins with.
[[nodiscard]] Json head(const char* analysis, const design::Provenance& input);

/// The loops that the view shows, with the states that it shows.
[[nodiscard]] Json loops_of(const design::BacklashResult& result, const View& view);
/// The same with the state of the least margin alone.
[[nodiscard]] Json least_of_loops(const design::BacklashResult& result, const View& view);

[[nodiscard]] std::string written(const Json& json);

}  // namespace lashband::report
