#include "torsion_words.hpp"

#include <algorithm>

#include "terminal_table.hpp"

namespace lashband::report {

using design::ElastomerState;
using design::TorsionElement;
using design::TorsionInertia;

const char* kind_word(TorsionInertia::Kind kind) {
  switch (kind) {
    case TorsionInertia::Kind::rim:
      return "rim";
    case TorsionInertia::Kind::damper:
      return "damper";
    case TorsionInertia::Kind::station:
      break;
  }
  return "station";
}

const char* kind_word(TorsionElement::Kind kind) {
  switch (kind) {
    case TorsionElement::Kind::mesh:
      return "mesh";
    case TorsionElement::Kind::elastomer:
      return "elastomer";
    case TorsionElement::Kind::damper:
      return "damper";
    case TorsionElement::Kind::drag:
      return "drag";
    case TorsionElement::Kind::segment:
      break;
  }
  return "segment";
}

const char* status_word(ElastomerState::Status status) {
  switch (status) {
    case ElastomerState::Status::settled:
      return "settled";
    case ElastomerState::Status::above_range:
      return "above_range";
    case ElastomerState::Status::runs_away:
      return "runs_away";
    case ElastomerState::Status::not_found:
      return "not_found";
    case ElastomerState::Status::given:
      break;
  }
  return "given";
}

std::string element_words(const TorsionElement& element) {
  const std::string id = printable(element.id);
  switch (element.kind) {
    case TorsionElement::Kind::mesh:
      return "mesh " + id;
    case TorsionElement::Kind::elastomer:
      return "elastomer of " + id;
    case TorsionElement::Kind::damper:
      return "damper " + id;
    case TorsionElement::Kind::drag:
      return "drag " + id;
    case TorsionElement::Kind::segment:
      break;
  }
  return "shaft " + id;
}

std::string inertia_words(const TorsionInertia& inertia) {
  return (inertia.kind == TorsionInertia::Kind::damper ? "wheel of " : "") + printable(inertia.id);
}

bool cycle_known(const design::TorsionResult& result, const design::TorsionCondition& condition) {
  return !condition.meshes.empty() ||
         std::none_of(result.warnings.begin(), result.warnings.end(),
                      [](const design::Warning& row) { return row.kind == "full_cycle"; });
}

bool shows_element(const View& view, const TorsionElement& element) {
  return !is_mesh(element) || !view.mesh || *view.mesh == element.id;
}

}  // namespace lashband::report
