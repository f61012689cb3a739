#include "io/tolerance_reader.hpp"

#include <algorithm>
#include <string>
#include <utility>
#include <vector>

#include "lashband/error.hpp"

namespace lashband::io {
namespace {

using tolerance::Shape;
using tolerance::Toleranced;
using units::Band;
using units::Length;
using Kind = Shape::Kind;

constexpr std::size_t fewest_points = 2;
constexpr std::size_t most_points = 1000;

constexpr ValueRule capability_rule{"a number from 1e-6 to 1e6",
                                    [](double number) { return number >= 1e-6 && number <= 1e6; }};

constexpr std::string_view with_normal_kinds = R"(it with "normal" and "truncated_normal")";

/// The words of messages about bands of one kind of quantity.
struct BandWords {
  std::string_view one;       ///< "a length"
  std::string_view band;      ///< "a band of lengths"
  std::string_view examples;  ///< as in a file
};

template <class Q>
constexpr BandWords words_of() {
  if constexpr (std::is_same_v<Q, Length>) {
    return {"a length", "a band of lengths", "[\"-110 um\", \"-70 um\"] or \"±15 um\""};
  } else {
    return {"a ratio", "a band of ratios", "[\"0.2 %\", \"0.5 %\"] or \"±0.1 %\""};
  }
}

template <class Q>
std::string band_form(std::string_view also) {
  constexpr BandWords words = words_of<Q>();
  return std::string(words.band) + ", such as " + std::string(words.examples) + std::string(also);
}

template <class Q>
std::optional<Band<Q>> read_band_or(const Field& field, std::string_view also) {
  constexpr BandWords words = words_of<Q>();
  const std::string allowed = band_form<Q>(also);
  if (!field.readable(allowed)) {
    return std::nullopt;
  }
  if (const auto* text = std::get_if<std::string>(&field.value().data)) {
    const auto band = units::try_parse_symmetric_band<Q>(*text);
    if (!band) {
      detail::refuse_quantity(field, band.failure(), words.band,
                              std::string(words.examples) + std::string(also));
      return std::nullopt;
    }
    return band.value();
  }
  const auto ends = read_list(field, allowed, 2, 2);
  if (!ends) {
    return std::nullopt;
  }
  const ValueRule any{words.one, rules::any};
  const auto low = read_quantity<Q>((*ends)[0], any);
  const auto high = read_quantity<Q>((*ends)[1], any);
  if (!low || !high) {
    return std::nullopt;
  }
  if (!(*low <= *high)) {
    field.report("read " + (*ends)[0].as_read() + " before " + (*ends)[1].as_read() +
                 "; allowed is the lower end first");
    return std::nullopt;
  }
  return Band<Q>{*low, *high};
}

std::string_view word_of(Kind kind) {
  switch (kind) {
    case Kind::normal:
      return "normal";
    case Kind::uniform:
      return "uniform";
    case Kind::truncated_normal:
      return "truncated_normal";
    case Kind::triangular:
      return "triangular";
    case Kind::tabulated:
      break;
  }
  return "tabulated";
}

std::optional<Kind> read_kind(const Field& field, Kind unless_given, bool may_be_tabulated) {
  if (!field.given()) {
    return unless_given;
  }
  if (!may_be_tabulated) {
    return read_choice<Kind>(field, {{"normal", Kind::normal},
                                     {"uniform", Kind::uniform},
                                     {"truncated_normal", Kind::truncated_normal},
                                     {"triangular", Kind::triangular}});
  }
  return read_choice<Kind>(field, {{"normal", Kind::normal},
                                   {"uniform", Kind::uniform},
                                   {"truncated_normal", Kind::truncated_normal},
                                   {"triangular", Kind::triangular},
                                   {"tabulated", Kind::tabulated}});
}

/// Reports a key that does not go with the distribution; false if it is given.
bool refuse_beside(const Field& field, std::string_view key, Kind kind, std::string_view allowed) {
  if (field.given()) {
    field.report("read the key " + in_quotes(key) + " with the distribution " +
                 in_quotes(word_of(kind)) + "; allowed is " + std::string(allowed));
  }
  return !field.given();
}

/// The place of `value` on [-1, 1] over the band: 0 where the band has no width.
template <class Q>
double place_in(const Band<Q>& band, Q value) {
  const double width = band.high.value() - band.low.value();
  if (!(width > 0.0)) {
    return 0.0;
  }
  // The value lies within the band; what passes the ends is rounding.
  return std::clamp(
      ((value.value() - band.low.value()) - (band.high.value() - value.value())) / width, -1.0,
      1.0);
}

/// The keys `capability` and, unless it is taken for known that the mode is amid, `mode`.
template <class Q>
std::optional<Shape> read_shape(ObjectReader& object, Kind kind,
                                const std::optional<Band<Q>>& band) {
  const Field capability_field = object.optional("capability");
  const Field mode_field = object.optional("mode");
  bool good = true;
  double capability = 1.0;
  if (kind == Kind::normal || kind == Kind::truncated_normal) {
    if (const auto given = read_number(capability_field, capability_rule)) {
      capability = *given;
    } else {
      good = !capability_field.given();
    }
  } else {
    good = refuse_beside(capability_field, "capability", kind, with_normal_kinds);
  }
  double mode = 0.0;
  if (kind != Kind::triangular) {
    good = refuse_beside(mode_field, "mode", kind, "it with \"triangular\"") && good;
  } else if (mode_field.given()) {
    const auto given = read_quantity<Q>(mode_field, {words_of<Q>().one, rules::any});
    good = good && given;
    if (given && band && !(*given >= band->low && *given <= band->high)) {
      mode_field.report("read " + mode_field.as_read() + "; allowed is " +
                        std::string(words_of<Q>().one) + " within the band");
      good = false;
    } else if (given && band) {
      mode = place_in(*band, *given);
    }
  }
  if (!good) {
    return std::nullopt;
  }
  switch (kind) {
    case Kind::uniform:
      return Shape::uniform();
    case Kind::truncated_normal:
      return Shape::truncated_normal(capability);
    case Kind::triangular:
      return Shape::triangular(mode);
    case Kind::normal:
    case Kind::tabulated:  // read from its table
      break;
  }
  return Shape::normal(capability);
}

/// A table of relative densities over places.
template <class Q>
std::optional<Toleranced<Q>> read_table(const Field& field) {
  const std::string allowed =
      "a list of 2 to 1000 points [place, relative density] with rising places";
  const auto rows = read_list(field, allowed, fewest_points, most_points);
  if (!rows) {
    return std::nullopt;
  }
  std::vector<std::pair<Q, double>> points;
  bool good = true;
  double greatest = 0.0;
  for (const Field& row : *rows) {
    const auto entries = read_list(row, "a point of two entries, [place, relative density]", 2, 2);
    if (!entries) {
      good = false;
      continue;
    }
    const auto place = read_quantity<Q>((*entries)[0], {words_of<Q>().one, rules::any});
    const auto density = read_number((*entries)[1], {"a relative density, a number of at least 0",
                                                     [](double number) { return number >= 0.0; }});
    if (!place || !density) {
      good = false;
      continue;
    }
    if (!points.empty() && !(*place > points.back().first)) {
      (*entries)[0].report("read " + (*entries)[0].as_read() +
                           ", which is not above the place before it; allowed are rising places");
      good = false;
    }
    greatest = std::max(greatest, *density);
    points.emplace_back(*place, *density);
  }
  if (good && !(greatest > 0.0)) {
    field.report("every density of the table is 0; allowed is a table with some density above 0");
    good = false;
  }
  if (!good) {
    return std::nullopt;
  }
  const Band<Q> band{points.front().first, points.back().first};
  std::vector<Shape::Point> shape_points;
  shape_points.reserve(points.size());
  for (const auto& [place, density] : points) {
    // Densities are relative: the greatest as 1 keeps their sums within the range of a double.
    shape_points.push_back({place_in(band, place), density / greatest});
  }
  try {
    return Toleranced<Q>{band, Shape::tabulated(std::move(shape_points))};
  } catch (const DomainError& error) {
    field.report(error.what());  // places closer to each other than numbers can tell
    return std::nullopt;
  }
}

/// An object with `distribution`. `read_ends` reads the keys that give the band and makes them
/// known; `unless_given` is the distribution where none is named.
template <class Q, class ReadEnds>
std::optional<Toleranced<Q>> read_spread(ObjectReader& object, Kind unless_given,
                                         const ReadEnds& read_ends) {
  const auto kind = read_kind(object.optional("distribution"), unless_given, true);
  if (!kind) {
    return std::nullopt;  // which keys are allowed depends on the distribution
  }
  if (*kind == Kind::tabulated) {
    auto result = read_table<Q>(object.required("table"));
    for (const std::string_view key : {"band", "limit", "capability", "mode"}) {
      if (object.has(key) && !refuse_beside(object.optional(key), key, *kind,
                                            "\"table\" alone, whose ends are the band")) {
        result.reset();
      }
    }
    object.refuse_unknown_keys();
    return result;
  }
  const Field table_field = object.optional("table");
  bool good = refuse_beside(table_field, "table", *kind, "it with \"tabulated\"");
  const std::optional<Band<Q>> band = read_ends(object);
  const auto shape = read_shape<Q>(object, *kind, band);
  object.refuse_unknown_keys();
  good = good && band && shape;
  return good ? std::optional(Toleranced<Q>{*band, *shape}) : std::nullopt;
}

bool is_object(const Field& field) {
  return field.given() && std::holds_alternative<json::Object>(field.value().data);
}

/// Whether a band holds nothing below 0; reports where it does.
bool starts_at_zero_or_above(const Field& field, const Band<Length>& band) {
  const bool good = band.low >= Length();
  if (!good) {
    field.report("the band begins below 0; allowed are lengths of at least 0");
  }
  return good;
}

constexpr ValueRule limit_rule{"a length of at least 0", rules::not_below_zero};
constexpr ValueRule limit_or_object{
    "a length of at least 0 (or an object with limit and distribution)", rules::not_below_zero};

}  // namespace

template <class Q>
std::optional<Band<Q>> read_band(const Field& field) {
  return read_band_or<Q>(field, "");
}

template <class Q>
std::optional<Toleranced<Q>> read_tolerance(const Field& field, std::string_view also) {
  const std::string object_form = ", or an object with band and distribution" + std::string(also);
  if (!is_object(field)) {
    const auto band = read_band_or<Q>(field, object_form);
    return band ? std::optional(Toleranced<Q>{*band, Shape::normal()}) : std::nullopt;
  }
  auto object = read_object(field, band_form<Q>(object_form));
  return read_spread<Q>(*object, Kind::normal, [](ObjectReader& keys) {
    return read_band_or<Q>(keys.required("band"), "");
  });
}

std::optional<Toleranced<Length>> read_magnitude(const Field& field) {
  if (!is_object(field)) {
    const auto limit = read_quantity<Length>(field, limit_or_object);
    return limit ? std::optional(tolerance::magnitude_up_to(*limit)) : std::nullopt;
  }
  auto object = read_object(field, limit_or_object.allowed);
  auto result = read_spread<Length>(
      *object, Kind::truncated_normal, [&field](ObjectReader& keys) -> std::optional<Band<Length>> {
        const bool has_limit = keys.has("limit");
        const bool has_band = keys.has("band");
        if (has_limit == has_band) {
          field.report(std::string("read ") + (has_limit ? "both" : "neither") +
                       R"( of "limit" and "band"; allowed is exactly one of them)");
          return std::nullopt;
        }
        if (has_band) {
          return read_band_or<Length>(keys.required("band"), "");
        }
        const auto limit = read_quantity<Length>(keys.required("limit"), limit_rule);
        return limit ? std::optional(Band<Length>{Length(), *limit}) : std::nullopt;
      });
  if (result && !starts_at_zero_or_above(field, result->band)) {
    return std::nullopt;
  }
  return result;
}

std::optional<Toleranced<Length>> read_extent(const Field& field) {
  constexpr std::string_view allowed = "a length of at least 0 (or a tolerance of such lengths)";
  if (!field.readable(allowed, "0.2 mm")) {
    return std::nullopt;
  }
  const auto* text = std::get_if<std::string>(&field.value().data);
  const bool is_band = text != nullptr && units::try_parse_symmetric_band<Length>(*text);
  if (!is_band && !std::holds_alternative<json::List>(field.value().data) && !is_object(field)) {
    const auto length = read_quantity<Length>(field, {allowed, rules::not_below_zero});
    return length ? std::optional(Toleranced<Length>{{*length, *length}, Shape::normal()})
                  : std::nullopt;
  }
  auto result = read_tolerance<Length>(field);
  if (result && !starts_at_zero_or_above(field, result->band)) {
    return std::nullopt;
  }
  return result;
}

std::optional<Toleranced<Length>> read_signed_limit(const Field& field) {
  if (!is_object(field)) {
    const auto limit = read_quantity<Length>(field, limit_or_object);
    return limit ? std::optional(tolerance::symmetrical(*limit)) : std::nullopt;
  }
  auto object = read_object(field, limit_or_object.allowed);
  return read_spread<Length>(
      *object, Kind::normal, [](ObjectReader& keys) -> std::optional<Band<Length>> {
        const auto limit = read_quantity<Length>(keys.required("limit"), limit_rule);
        return limit ? std::optional(Band<Length>{-*limit, *limit}) : std::nullopt;
      });
}

std::optional<Shape> read_shape_keys(ObjectReader& object,
                                     const std::optional<Band<Length>>& band) {
  const auto kind = read_kind(object.optional("distribution"), Kind::normal, false);
  if (!kind) {
    static_cast<void>(object.has("capability"));
    static_cast<void>(object.has("mode"));
    return std::nullopt;
  }
  return read_shape<Length>(object, *kind, band);
}

std::optional<Shape> read_shape_about_zero(ObjectReader& object) {
  const auto kind = read_kind(object.optional("distribution"), Kind::normal, false);
  const Field capability_field = object.optional("capability");
  if (!kind) {
    return std::nullopt;
  }
  if (*kind == Kind::uniform || *kind == Kind::triangular) {
    const bool good = refuse_beside(capability_field, "capability", *kind, with_normal_kinds);
    return !good                    ? std::nullopt
           : *kind == Kind::uniform ? std::optional(Shape::uniform())
                                    : std::optional(Shape::triangular());
  }
  const auto capability = read_number(capability_field, capability_rule);
  if (!capability && capability_field.given()) {
    return std::nullopt;
  }
  return *kind == Kind::normal ? Shape::normal(capability.value_or(1.0))
                               : Shape::truncated_normal(capability.value_or(1.0));
}

template std::optional<Band<Length>> read_band<Length>(const Field&);
template std::optional<Toleranced<Length>> read_tolerance<Length>(const Field&, std::string_view);
template std::optional<Toleranced<units::Ratio>> read_tolerance<units::Ratio>(const Field&,
                                                                              std::string_view);

}  // namespace lashband::io
