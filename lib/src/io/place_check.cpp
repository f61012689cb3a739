#include <algorithm>

#include "io/design_draft.hpp"

// Places along the shafts: needed where a shaft has two bearings, and where a carrier has walls.
namespace lashband::io {
namespace {

constexpr std::string_view place_of_bearing =
    "the key \"at\" is missing; needed is the place of the bearing along the shaft, a length, such "
    "as \"-20 mm\", since ";
constexpr std::string_view place_of_gear =
    "the key \"at\" is missing; needed is the place of the middle of the face along the shaft, a "
    "length, such as \"12 mm\", since ";

/// The name of the first carrier with walls; null without one.
const std::string* carrier_with_walls(const Draft& draft) {
  const auto found =
      std::find_if(draft.carriers.begin(), draft.carriers.end(), [](const auto& carrier) {
        return carrier && std::holds_alternative<thermal::WallsCarrier>(carrier->build);
      });
  return found != draft.carriers.end() ? &(*found)->id : nullptr;
}

void check_bearings(const ShaftDraft& shaft, const std::string* walls) {
  const bool has_two = shaft.bearings.size() > 1;
  for (const Field& bearing : shaft.bearings) {
    if (!lacks(bearing, "at")) {
      continue;
    }
    if (has_two) {
      bearing.report(std::string(place_of_bearing) + "the shaft has two");
    } else if (walls != nullptr && !lacks(bearing, "outer_fit") && lacks(bearing, "seat")) {
      bearing.report(std::string(place_of_bearing) + "it sits in a wall of the carrier " +
                     in_quotes(*walls));
    }
  }
  const auto& read = shaft.shaft.bearings;
  if (read.size() > 1 && read[0].at && read[1].at && *read[0].at == *read[1].at) {
    shaft.bearings.back().report("both bearings of the shaft stand at " +
                                 units::format(*read[1].at, "mm") +
                                 "; allowed are bearings at different places");
  }
}

}  // namespace

void check_places_along_shafts(const Draft& draft) {
  const std::string* walls = carrier_with_walls(draft);
  for (const auto& shaft : draft.shafts) {
    if (shaft) {
      check_bearings(*shaft, walls);
    }
  }
  std::set<std::size_t> meshed;
  for (const auto& mesh : draft.meshes) {
    if (mesh) {
      meshed.insert({mesh->gear_1, mesh->gear_2});
    }
  }
  for (std::size_t i = 0; i < draft.gears.size(); ++i) {
    const auto& entry = draft.gears[i];
    if (!entry || !lacks(entry->self, "at")) {
      continue;
    }
    const auto& shaft = draft.shafts[entry->gear.shaft];
    if (shaft && shaft->bearings.size() > 1) {
      entry->self.report(std::string(place_of_gear) + "its shaft " + in_quotes(shaft->shaft.id) +
                         " has two bearings");
    } else if (walls != nullptr && meshed.contains(i)) {
      entry->self.report(std::string(place_of_gear) + "the carrier " + in_quotes(*walls) +
                         " has walls at different places");
    }
  }
}

}  // namespace lashband::io
