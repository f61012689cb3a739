#pragma once

#include <string>

#include "lashband/design/torsion.hpp"
#include "lashband/report/view.hpp"

// What is what in a torsional model, in words, and what a view shows of it.
namespace lashband::report {

/// The words of the input and of JSON.
[[nodiscard]] const char* kind_word(design::TorsionInertia::Kind kind);
[[nodiscard]] const char* kind_word(design::TorsionElement::Kind kind);
[[nodiscard]] const char* status_word(design::ElastomerState::Status status);

/// "mesh A-B", "elastomer of gB", "shaft pulley - seat".
[[nodiscard]] std::string element_words(const design::TorsionElement& element);
/// "pulley", "rim of gB", "wheel of tuned damper".
[[nodiscard]] std::string inertia_words(const design::TorsionInertia& inertia);

[[nodiscard]] inline bool is_mesh(const design::TorsionElement& element) {
  return element.kind == design::TorsionElement::Kind::mesh;
}

/// What brakes against the case has a mean torque too, but not as a part of the model: it counts
/// among the powers.
[[nodiscard]] inline bool has_mean(const design::TorsionElement& element) {
  return element.kind != design::TorsionElement::Kind::drag;
}

/// The id of a mesh by its place in TorsionResult::meshes.
[[nodiscard]] inline const std::string& mesh_id(const design::TorsionResult& result,
                                                std::size_t place) {
  return result.elements[result.meshes[place]].id;
}

/// Without a speed natural frequencies alone are worked out.
[[nodiscard]] inline bool has_speed(const design::TorsionCondition& condition) {
  return condition.speed.value() > 0.0;
}

/// Whether greatest and least over a full cycle were worked out: not where the cycle is too long.
[[nodiscard]] bool cycle_known(const design::TorsionResult& result,
                               const design::TorsionCondition& condition);

/// With a mesh chosen no other mesh is shown; what is no mesh is.
[[nodiscard]] bool shows_element(const View& view, const design::TorsionElement& element);

}  // namespace lashband::report
