#include <algorithm>
#include <iterator>
#include <numeric>
#include <utility>
#include <vector>

#include "io/key_choice.hpp"
#include "io/torsion_draft.hpp"

// Pieces of shaft between the stations of one shaft.
namespace lashband::io {
namespace {

constexpr MaterialNeeds needs_of_segment{.elongation = false,
                                         .density = true,
                                         .shear_stiffness = true,
                                         .why = "for the inertia and stiffness of the segment"};

/// What the segments of one shaft are read with.
struct SegmentReader {
  TorsionDraft& torsion;
  std::optional<std::size_t> shaft;   ///< empty: unknown, which is reported
  std::size_t first;                  ///< station of the shaft; the others follow it
  std::vector<std::size_t> leads_to;  ///< by station: another that it is joined to; itself at last

  [[nodiscard]] std::size_t root_of(std::size_t station) {
    std::size_t i = station - first;
    while (leads_to[i] != i) {
      leads_to[i] = leads_to[leads_to[i]];
      i = leads_to[i];
    }
    return i;
  }
};

/// The station of the shaft that `field` names.
std::optional<std::size_t> find_station_of_shaft(const SegmentReader& reader, const Field& field) {
  const TorsionDraft& torsion = reader.torsion;
  if (!field.readable("the name of a station")) {
    return std::nullopt;
  }
  const auto* name = std::get_if<std::string>(&field.value().data);
  if (name == nullptr) {
    field.refuse("the name of a station");
    return std::nullopt;
  }
  std::vector<std::string> names;
  const auto begin = torsion.settings.stations.begin() + static_cast<std::ptrdiff_t>(reader.first);
  const auto found = std::find_if(begin, torsion.settings.stations.end(),
                                  [name](const design::Station& s) { return s.id == *name; });
  if (found != torsion.settings.stations.end()) {
    return reader.first + static_cast<std::size_t>(found - begin);
  }
  std::transform(begin, torsion.settings.stations.end(), std::back_inserter(names),
                 [](const design::Station& station) { return station.id; });
  // An empty one could not be read, and may be the one that is meant.
  if (std::find(names.begin(), names.end(), "") == names.end()) {
    field.report("read " + in_quotes(*name) + ", which is no station of this shaft" +
                 nearest_hint(*name, names) +
                 (names.size() == 1 ? "; allowed is " : "; allowed are ") + listed(names));
  }
  return std::nullopt;
}

/// The two stations that `between` names; fewer where one could not be read, which is reported.
std::vector<std::size_t> find_ends(const SegmentReader& reader, const std::vector<Field>& names) {
  std::vector<std::size_t> stations;
  for (const Field& name : names) {
    if (const auto station = find_station_of_shaft(reader, name)) {
      stations.push_back(*station);
    }
  }
  return stations;
}

void read_segment(SegmentReader& reader, const Field& entry) {
  TorsionDraft& torsion = reader.torsion;
  auto object = read_object(
      entry, "a segment, an object with between, and stiffness or outside_diameter and length");
  if (!object) {
    return;
  }
  design::ShaftSegment segment;
  const Field between = object->required("between");
  const auto ends = read_list(between, "a list of the names of two stations", 2, 2);
  const std::vector<std::size_t> stations = find_ends(reader, ends.value_or(std::vector<Field>{}));
  const auto form = exactly_one(entry, choice_of(*object, {"stiffness", "outside_diameter"}));
  if (form && *form == "stiffness") {
    segment.build =
        read_quantity<units::TorsionalStiffness>(object->required("stiffness"), stiffness_rule)
            .value_or(units::TorsionalStiffness());
  } else if (form) {
    segment.build =
        read_cylinder(torsion.draft, *object, reader.shaft.value_or(torsion.draft.shafts.size()),
                      "segment " + (ends ? ends->front().as_read() + " to " + ends->back().as_read()
                                         : std::string()),
                      needs_of_segment);
  }
  segment.loss_factor =
      read_number(object->optional("loss_factor"), loss_factor_rule).value_or(0.0);
  if (form) {
    object->refuse_unknown_keys();
  }
  if (stations.size() < 2) {
    return;
  }
  segment.station_1 = stations.front();
  segment.station_2 = stations.back();
  if (segment.station_1 == segment.station_2) {
    between.report("read " + ends->front().as_read() +
                   " twice; allowed are two different stations");
    return;
  }
  const std::size_t root_1 = reader.root_of(segment.station_1);
  const std::size_t root_2 = reader.root_of(segment.station_2);
  if (root_1 == root_2) {
    between.report("the stations " + ends->front().as_read() + " and " + ends->back().as_read() +
                   " are joined by the segments before already, so that this one closes a ring; "
                   "allowed is one way between two stations");
    return;
  }
  reader.leads_to[root_1] = root_2;
  torsion.settings.segments.push_back(std::move(segment));
}

}  // namespace

design::Cylinder read_cylinder(Draft& draft, ObjectReader& object, std::size_t shaft,
                               const std::string& user, const MaterialNeeds& needs) {
  design::Cylinder result;
  const auto outside =
      read_quantity<units::Length>(object.required("outside_diameter"), diameter_rule);
  const Field bore_field = object.optional("bore");
  const auto bore = read_quantity<units::Length>(bore_field, bore_rule);
  const auto length = read_quantity<units::Length>(object.required("length"),
                                                   {"a length above 0", rules::above_zero});
  if (outside && bore && !(bore->value() < outside->value())) {
    bore_field.report("read " + bore_field.as_read() +
                      "; allowed is a length below the outside_diameter, " + in_mm(*outside));
  }
  result.outside_diameter = outside.value_or(units::Length());
  result.bore = bore.value_or(units::Length());
  result.length = length.value_or(units::Length());
  if (object.has("material") || object.has("zone")) {
    result.solid = read_solid(draft, object, user, needs);
    return result;
  }
  if (shaft >= draft.shafts.size() || !draft.shafts[shaft]) {
    return result;
  }
  const ShaftDraft& owner = *draft.shafts[shaft];
  if (owner.shaft.solid) {
    if (check_needs(*owner.shaft.solid->material, needs, object.self(), "the shaft's material")) {
      draft.solids.push_back({*owner.shaft.solid, user, needs, object.self()});
    }
  } else if (!member_of(owner.self, "material").given() && !member_of(owner.self, "zone").given()) {
    object.self().report(
        "the shaft " + in_quotes(owner.shaft.id) +
        R"( has no material; needed are "material" and "zone", of the shaft or here, )" +
        std::string(needs.why));
  }
  return result;
}

void read_segments(TorsionDraft& torsion, const std::optional<std::size_t>& shaft,
                   const Field& segments, const Field& stations, std::size_t first,
                   std::size_t problems_before) {
  const std::vector<design::Station>& all = torsion.settings.stations;
  SegmentReader reader{torsion, shaft, first, std::vector<std::size_t>(all.size() - first)};
  std::iota(reader.leads_to.begin(), reader.leads_to.end(), std::size_t{0});
  const auto entries = read_list(segments, "a list of up to 1000 segments", 0, most_entries);
  for (const Field& entry : entries.value_or(std::vector<Field>{})) {
    read_segment(reader, entry);
  }
  if (torsion.draft.file.problem_count() > problems_before) {
    return;
  }
  for (std::size_t station = first; station < all.size(); ++station) {
    if (reader.root_of(station) != reader.root_of(first)) {
      (segments.given() ? segments : stations)
          .report("no segments lead from the station " + in_quotes(all[first].id) + " to " +
                  in_quotes(all[station].id) +
                  "; needed are segments that join all stations of the shaft");
      return;
    }
  }
}

}  // namespace lashband::io
