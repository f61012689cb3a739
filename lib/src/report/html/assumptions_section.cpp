#include <algorithm>
#include <string>
#include <variant>

#include "lashband/units/format.hpp"
#include "report/selection.hpp"
#include "sections.hpp"

namespace lashband::report {
namespace {

using design::Design;

template <class Part>
bool any_part(const Design& design, const Part& part) {
  return std::any_of(design.carriers.begin(), design.carriers.end(), part);
}

template <class Build>
bool any_build(const Design& design) {
  return any_part(design, [](const thermal::Carrier& carrier) {
    if (const auto* walls = std::get_if<thermal::WallsCarrier>(&carrier.build)) {
      return std::holds_alternative<Build>(walls->first.build) ||
             std::holds_alternative<Build>(walls->second.build);
    }
    if constexpr (!std::is_same_v<Build, thermal::WallsCarrier>) {
      return std::holds_alternative<Build>(carrier.build);
    }
    return false;
  });
}

bool any_walls(const Design& design) {
  return any_part(design, [](const thermal::Carrier& carrier) {
    return std::holds_alternative<thermal::WallsCarrier>(carrier.build);
  });
}

template <class Joint>
bool any_joint(const Design& design) {
  const auto has = [](const thermal::Build& build) {
    const auto* insert = std::get_if<thermal::InsertCarrier>(&build);
    return insert != nullptr && std::holds_alternative<Joint>(insert->joint);
  };
  return any_part(design, [&has](const thermal::Carrier& carrier) {
    if (const auto* walls = std::get_if<thermal::WallsCarrier>(&carrier.build)) {
      return has(walls->first.build) || has(walls->second.build);
    }
    if (const auto* insert = std::get_if<thermal::InsertCarrier>(&carrier.build)) {
      return std::holds_alternative<Joint>(insert->joint);
    }
    return false;
  });
}

bool any_bearing(const Design& design) {
  return std::any_of(design.shafts.begin(), design.shafts.end(),
                     [](const design::Shaft& shaft) { return !shaft.bearings.empty(); });
}

bool any_distribution(const design::BacklashResult& result) {
  return std::any_of(result.meshes.begin(), result.meshes.end(), [](const auto& mesh) {
    return std::any_of(mesh.states.begin(), mesh.states.end(),
                       [](const auto& at) { return at.gap.j_wt.least.has_value(); });
  });
}

std::vector<std::string> on_temperature(const Design& design) {
  std::vector<std::string> texts = {
      "Dimensions of the drawing hold at " + units::format(design.reference_temperature) + ".",
      "Every zone has one temperature, and every part the temperature of its zone; parts expand "
      "freely and uniformly unless a joint holds them.",
      "Gears keep their angles: a uniform growth scales every length of a gear."};
  if (any_build<thermal::PathCarrier>(design)) {
    texts.emplace_back("A path carrier is a chain of solids; the same shares hold for every mesh.");
  }
  if (any_build<thermal::InsertCarrier>(design)) {
    texts.emplace_back(
        "An insert and its case are two springs side by side over the locating span; bending of "
        "plate and wall as a bimetal is not modelled.");
  }
  if (any_joint<thermal::FrictionJoint>(design)) {
    texts.emplace_back(
        "A friction joint remembers: the nominal is that of first loading, the worst case holds "
        "for whatever order the temperatures of this file come in" +
        std::string(
            design.histories.empty()
                ? "."
                : "; over a history the joint follows its order, from assembly and again."));
  }
  if (!design.histories.empty()) {
    texts.emplace_back(
        "Over time a mesh is where the temperatures of the moment put it at once; stresses of "
        "uneven temperature within a part are left out.");
  }
  if (design.thermal_network) {
    texts.emplace_back(
        "Each body of the thermal network has one temperature (its Biot number is below about "
        "0.1), and streams hold no heat between bodies.");
  }
  if (any_walls(design)) {
    texts.emplace_back(
        "With a carrier for each bearing wall the centre distance goes linearly along the shaft.");
  }
  return texts;
}

std::vector<std::string> on_tolerances(const design::Study& study) {
  std::vector<std::string> texts = {
      "What the file does not give adds nothing: no tolerance and no uncertainty is assumed.",
      "The worst case takes every tolerance at the end that hurts, all at once."};
  if (any_distribution(study.backlash())) {
    texts.emplace_back(
        "Percentiles and probabilities are over built units, each contributor independent unless "
        "the file correlates it; a normal one has its limits at ±3σ unless the file says "
        "otherwise, a magnitude such as run-out is a normal cut off at zero and at its limit.");
    texts.emplace_back(
        "Probabilities below about 1e-6 say that a thing is unlikely in this model, no more: real "
        "parts have faults that no tolerance describes.");
  }
  if (study.design.correlations.empty()) {
    texts.emplace_back("No correlation between contributors is given.");
  } else {
    texts.emplace_back(
        "Correlated contributors are sampled; correlations are those of the normal "
        "scores.");
  }
  if (any_bearing(study.design)) {
    texts.emplace_back(
        "Nominal backlash has every shaft amid its float; rings and seats are thick cylinders "
        "(Lamé), elastic, with one temperature each.");
  }
  return texts;
}

}  // namespace

Section assumptions_section(const PageInput& input) {
  HtmlWriter html;
  html.element("h3", "Temperature");
  write_list(html, on_temperature(input.study.design));
  html.element("h3", "Tolerances");
  write_list(html, on_tolerances(input.study));
  html.element("h3", "Teeth");
  write_list(
      html,
      {"Involute gears, external or in ring gears, with rigid teeth; backlash is followed over the "
       "mesh cycle "
       "where the base pitches differ. Tooth bending, tip relief and oil films are left out."});
  return {"assumptions", "Assumptions and simplifications", html.take()};
}

}  // namespace lashband::report
