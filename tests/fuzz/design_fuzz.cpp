// Any bytes, read as JSON and as an input file. What must hold for every input:
//   each value of the tree begins, at its place, with the character that its kind begins with, and
//   each key with a quotation mark;
//   an input is either refused with problems that lie within the text, each of one harmless line,
//   or gives a design whose references all lead somewhere.
// Nothing but InputErrors may be thrown. A breach ends the program.

#include <cstddef>
#include <cstdint>
#include <cstdio>
#include <cstdlib>
#include <optional>
#include <string>
#include <string_view>
#include <variant>
#include <vector>

#include "../../lib/src/io/json_document.hpp"
#include "lashband/design/design.hpp"
#include "lashband/io/design_file.hpp"
#include "lashband/io/input_error.hpp"

extern "C" int LLVMFuzzerTestOneInput(const std::uint8_t* data, std::size_t size);

namespace {

namespace io = lashband::io;
namespace json = lashband::io::json;
namespace design = lashband::design;
namespace heat = lashband::heat;
namespace thermal = lashband::thermal;

constexpr const char* name_of_input = "fuzz.json";
/// Where no files are, so that a run does not depend on what lies about.
constexpr const char* empty_folder = "no such folder";

void require(bool holds, const char* what, std::string_view text) {
  if (!holds) {
    std::fprintf(stderr, "breach: %s\ntext: %.*s\n", what, static_cast<int>(text.size()),
                 text.data());
    std::abort();
  }
}

void check_place(const json::Value& value, std::string_view text) {
  require(value.offset < text.size(), "a value lies beyond the text", text);
  require(value.offset + value.length <= text.size(), "a value ends beyond the text", text);
  const char first = text[value.offset];
  if (const auto* object = std::get_if<json::Object>(&value.data)) {
    require(first == '{', "an object does not begin with a brace", text);
    for (const json::Member& member : *object) {
      require(text[member.key_offset] == '"', "a key does not begin with a quotation mark", text);
      check_place(member.value, text);
    }
  } else if (const auto* list = std::get_if<json::List>(&value.data)) {
    require(first == '[', "a list does not begin with a bracket", text);
    for (const json::Value& entry : *list) {
      check_place(entry, text);
    }
  } else if (std::holds_alternative<std::string>(value.data)) {
    require(first == '"' && text[value.offset + value.length - 1] == '"', "a string is misplaced",
            text);
  } else if (std::holds_alternative<double>(value.data)) {
    require(first == '-' || (first >= '0' && first <= '9'), "a number is misplaced", text);
  } else if (const auto* truth = std::get_if<bool>(&value.data)) {
    require(text.substr(value.offset, value.length) == (*truth ? "true" : "false"),
            "a truth value is misplaced", text);
  } else {
    require(text.substr(value.offset, value.length) == "null", "a null is misplaced", text);
  }
}

void check_problems(const std::vector<io::InputProblem>& problems, std::string_view text) {
  require(!problems.empty(), "refused without a problem", text);
  constexpr std::size_t longest_line = 20'000;
  for (const io::InputProblem& problem : problems) {
    require(!problem.message.empty(), "a problem without a message", text);
    if (problem.file == name_of_input) {  // and no file that the input names
      require(problem.line >= 1 && problem.column >= 1, "a problem without a place", text);
      require(problem.line + problem.column <= text.size() + 3, "a place beyond the text", text);
    }
    const std::string line = io::one_line(problem);
    require(line.size() < longest_line, "a message without end", text);
    for (const char c : line) {
      require(static_cast<unsigned char>(c) >= 0x20, "a control character in a message", text);
    }
  }
}

void check_solid(const thermal::Solid& solid, const design::Design& train, std::string_view text) {
  require(solid.material && static_cast<std::size_t>(solid.zone) < train.zones.size(),
          "a solid without zone or material", text);
}

void check_shaft(const design::Shaft& shaft, const design::Design& train, std::string_view text) {
  const auto check_given = [&](const std::optional<thermal::Solid>& solid) {
    if (solid) {
      check_solid(*solid, train, text);
    }
  };
  check_given(shaft.solid);
  for (const design::Bearing& bearing : shaft.bearings) {
    check_given(bearing.rings);
    check_given(bearing.seat);
    require(bearing.rings || (!bearing.outer_fit && !bearing.inner_fit), "a fit without a ring",
            text);
    require(shaft.solid || !bearing.inner_fit, "an inner fit without a shaft", text);
  }
  if (shaft.preload) {
    check_solid(shaft.preload->case_solid, train, text);
    require(shaft.solid && shaft.bearings.empty(), "a preload without shaft, or with bearings",
            text);
  }
}

void check_network(const design::ThermalNetwork& network, const design::Design& train,
                   std::string_view text) {
  const std::size_t bodies = network.network.bodies().size();
  const std::size_t boundaries = network.network.boundaries().size();
  require(network.zones.size() == train.zones.size(), "a network without all zones", text);
  for (const auto& place : network.zones) {
    require(!place || place->index < (place->kind == heat::Place::Kind::body ? bodies : boundaries),
            "a zone without a body", text);
  }
  require(!network.oil || network.oil->body < bodies, "an oil without a body", text);
  for (const design::HeatSource& source : network.sources) {
    require(source.body < bodies, "heat into nothing", text);
    const auto* mesh = std::get_if<design::MeshLoss>(&source.kind);
    require(
        mesh == nullptr || (mesh->mesh < train.meshes.size() && (mesh->friction || network.oil)),
        "a tooth friction without mesh or oil", text);
    require(network.oil || !std::holds_alternative<design::BearingLoss>(source.kind),
            "a bearing without oil", text);
  }
}

void check_history(const design::History& history, const design::Design& train,
                   std::string_view text) {
  if (const auto* record = std::get_if<design::TemperatureRecord>(&history.course)) {
    require(record->times.size() >= 2 && record->times.size() == record->rows.size(),
            "a record without rows", text);
    return;
  }
  const auto& run = std::get<design::NetworkRun>(history.course);
  require(train.thermal_network.has_value(), "a run without a network", text);
  const heat::Network& network = train.thermal_network->network;
  require(run.start.size() == network.bodies().size() &&
              run.boundaries.size() == network.boundaries().size() &&
              run.shaft_speed.size() == train.shafts.size() &&
              run.shaft_power.size() == train.shafts.size() &&
              run.source_power.size() == train.thermal_network->sources.size(),
          "a run without all temperatures, shafts or sources", text);
  for (const heat::Throttle& throttle : run.throttles) {
    require(throttle.index < (throttle.of == heat::Throttle::Of::stream
                                  ? network.streams().size()
                                  : network.conductances().size()),
            "a throttle of nothing", text);
  }
  require(run.duration.value() > 0.0 && run.cycles >= 1, "a run without time", text);
}

void check_design(const design::Design& train, std::string_view text) {
  require(train.carrier_in_use < train.carriers.size(), "no carrier in use", text);
  require(!train.meshes.empty() && train.digest.size() == 64, "an incomplete design", text);
  for (const thermal::Carrier& carrier : train.carriers) {
    for (const thermal::Solid& solid : thermal::solids_of(carrier)) {
      check_solid(solid, train, text);
    }
  }
  for (const design::Shaft& shaft : train.shafts) {
    check_shaft(shaft, train, text);
  }
  for (const design::Gear& gear : train.gears) {
    require(gear.shaft < train.shafts.size(), "a gear without shaft", text);
    check_solid(gear.solid, train, text);
  }
  for (const design::Mesh& mesh : train.meshes) {
    require(mesh.gear_1 < train.gears.size() && mesh.gear_2 < train.gears.size() &&
                mesh.gear_1 != mesh.gear_2,
            "a mesh without gears", text);
  }
  for (const design::Condition& condition : train.conditions) {
    require(condition.temperatures.by_zone().size() == train.zones.size(),
            "a condition without all temperatures", text);
    require(condition.mesh_force.empty() || condition.mesh_force.size() == train.meshes.size(),
            "forces for some meshes only", text);
  }
  require(!train.conditions.empty() || train.soak || !train.histories.empty(),
          "a design without a state", text);
  if (train.thermal_network) {
    check_network(*train.thermal_network, train, text);
  }
  for (const design::History& history : train.histories) {
    check_history(history, train, text);
  }
}

}  // namespace

int LLVMFuzzerTestOneInput(const std::uint8_t* data, std::size_t size) {
  const std::string_view text(reinterpret_cast<const char*>(data), size);
  const json::Parsed parsed = json::parse(text);
  require(parsed.root || !parsed.problems.empty(), "neither a tree nor a problem", text);
  if (parsed.root) {
    check_place(*parsed.root, text);
  }
  try {
    check_design(io::read_design_text(text, name_of_input, empty_folder), text);
  } catch (const io::InputErrors& errors) {
    check_problems(errors.problems(), text);
  }
  return 0;
}
