#include "mesh_loads.hpp"

#include <algorithm>
#include <array>
#include <cmath>

#include "design/train_model.hpp"
#include "lashband/elastomer/bonded_ring.hpp"
#include "laws.hpp"
#include "layout.hpp"
#include "speeds.hpp"
#include "state.hpp"

namespace lashband::design {
namespace {

using Vector = std::array<double, 2>;

Vector operator+(const Vector& one, const Vector& two) {
  return {one[0] + two[0], one[1] + two[1]};
}
Vector operator*(double factor, const Vector& vector) {
  return {factor * vector[0], factor * vector[1]};
}
double dot(const Vector& one, const Vector& two) {
  return one[0] * two[0] + one[1] * two[1];
}
double length(const Vector& vector) {
  return std::hypot(vector[0], vector[1]);
}

// One mesh with its mean force.
struct LoadedMesh {
  std::size_t mesh = 0;
  std::size_t element = 0;
  double force = 0.0;
  double alpha_wt = 0.0;
  /// From the axis of gear 1 to where the teeth meet; empty where the places are not given.
  std::optional<Vector> contact{};
  /// On gear 1; gear 2 feels the opposite.
  std::optional<Vector> force_on_1{};
};

std::optional<Vector> contact_direction(const Design& design, const Mesh& mesh) {
  const auto& one = design.shafts[design.gears[mesh.gear_1].shaft].at;
  const auto& two = design.shafts[design.gears[mesh.gear_2].shaft].at;
  if (!one || !two) {
    return std::nullopt;
  }
  const Vector apart{(two->x - one->x).value(), (two->y - one->y).value()};
  return (side_of(design, mesh) / length(apart)) * apart;
}

// Driving teeth feel a force against their motion; the teeth of both gears are pressed apart.
Vector force_on_gear_1(const LoadedMesh& loaded, double sense) {
  const Vector& contact = *loaded.contact;
  const Vector forward{-sense * contact[1], sense * contact[0]};
  return (-loaded.force * std::cos(loaded.alpha_wt)) * forward +
         (-std::abs(loaded.force) * std::sin(loaded.alpha_wt)) * contact;
}

class Loads {
 public:
  Loads(const Design& design, std::size_t condition, std::size_t state_index,
        const BacklashResult& results, const thermal::Reference& reference)
      : design_(design),
        reference_(reference),
        temperatures_(design.conditions[condition].temperatures),
        train_(train_model(design)),
        layout_(torsion_layout(design, train_, reference)) {
    const auto speed = condition_speed(design, design.conditions[condition], train_);
    if (!speed) {
      return;
    }
    const TorsionState state(design, layout_, temperatures_, reference,
                             contact_ratios(results, state_index));
    const TorsionAtSpeed at = state.at(*speed);
    for (std::size_t e = 0; e < layout_.elements.size(); ++e) {
      if (layout_.elements[e].kind == TorsionElement::Kind::mesh) {
        add_mesh(e, state_index, results, at);
      }
    }
  }

  [[nodiscard]] std::vector<std::optional<LoadedStance>> stances() const {
    if (meshes_.empty()) {
      return {};
    }
    std::vector<std::optional<LoadedStance>> result(design_.meshes.size());
    for (std::size_t i = 0; i < meshes_.size(); ++i) {
      result[meshes_[i].mesh] = stance(meshes_[i], deflection_[i]);
    }
    return result;
  }

 private:
  void add_mesh(std::size_t element, std::size_t state_index, const BacklashResult& results,
                const TorsionAtSpeed& at) {
    LoadedMesh loaded;
    loaded.mesh = layout_.sources[element].index;
    loaded.element = element;
    loaded.force = at.flow.torques[element];
    for (const MeshState& state : results.meshes[loaded.mesh].states) {
      if (state.state == state_index) {
        loaded.alpha_wt = state.alpha_wt.value();
      }
    }
    const Mesh& mesh = design_.meshes[loaded.mesh];
    loaded.contact = contact_direction(design_, mesh);
    if (loaded.contact) {
      const double ratio = layout_.inertias[layout_.elements[element].inertia_1].ratio;
      loaded.force_on_1 = force_on_gear_1(loaded, std::copysign(1.0, ratio));
    }
    deflection_.push_back(std::abs(loaded.force) / at.lasting.elements[element].law.stiffness);
    meshes_.push_back(loaded);
  }

  // The sum of the tooth forces on the gears of a shaft, or on one gear of it; empty where a place
  // is lacking.
  [[nodiscard]] std::optional<Vector> force_on(std::size_t shaft,
                                               std::optional<std::size_t> gear) const {
    Vector sum{};
    for (const LoadedMesh& loaded : meshes_) {
      const Mesh& mesh = design_.meshes[loaded.mesh];
      for (const bool first : {true, false}) {
        const std::size_t own = first ? mesh.gear_1 : mesh.gear_2;
        if (design_.gears[own].shaft != shaft || (gear && own != *gear)) {
          continue;
        }
        if (!loaded.force_on_1) {
          return std::nullopt;
        }
        sum = sum + (first ? 1.0 : -1.0) * *loaded.force_on_1;
      }
    }
    return sum;
  }

  // How far a displacement of one unit along `force` on gear 1 or 2 opens the mesh.
  static double opening(const LoadedMesh& loaded, bool first, const Vector& force) {
    const double size = length(force);
    return size > 0.0 ? (first ? -1.0 : 1.0) * dot(force, *loaded.contact) / size : 0.0;
  }

  [[nodiscard]] double shaft_share(const LoadedMesh& loaded, bool first) const {
    const Mesh& mesh = design_.meshes[loaded.mesh];
    const std::size_t shaft = design_.gears[first ? mesh.gear_1 : mesh.gear_2].shaft;
    const auto force = force_on(shaft, std::nullopt);
    return force ? opening(loaded, first, *force) : std::sin(loaded.alpha_wt);
  }

  // The rim of a gear moves against its hub along the force on its teeth.
  void add_ring(const LoadedMesh& loaded, bool first, LoadedStance& stance) const {
    const Mesh& mesh = design_.meshes[loaded.mesh];
    const std::size_t gear = first ? mesh.gear_1 : mesh.gear_2;
    for (const GearBody& body : design_.torsion->gears) {
      if (body.gear != gear || !body.elastomer || !body.elastomer->ring) {
        continue;
      }
      const Elastomer::Ring& ring = *body.elastomer->ring;
      const auto force = force_on(design_.gears[gear].shaft, gear);
      const double size = force ? length(*force) : std::abs(loaded.force);
      const double share = force ? opening(loaded, first, *force) : std::sin(loaded.alpha_wt);
      const auto stiffness = elastomer::radial_stiffness(
          {ring.inner_diameter, ring.outer_diameter, ring.width},
          modulus_at(*body.elastomer,
                     zone_temperature_of(*body.elastomer, temperatures_, reference_), reference_));
      const double soft = share * size / stiffness.low.value();
      const double stiff = share * size / stiffness.high.value();
      stance.ring_least += std::min(soft, stiff);
      stance.ring_greatest += std::max(soft, stiff);
    }
  }

  [[nodiscard]] LoadedStance stance(const LoadedMesh& loaded, double deflection) const {
    LoadedStance result;
    result.force = loaded.force;
    result.deflection = deflection;
    result.share_1 = shaft_share(loaded, true);
    result.share_2 = shaft_share(loaded, false);
    add_ring(loaded, true, result);
    add_ring(loaded, false, result);
    return result;
  }

  const Design& design_;
  const thermal::Reference& reference_;
  const thermal::TemperatureState& temperatures_;
  train::Train train_;
  TorsionLayout layout_;
  std::vector<LoadedMesh> meshes_;
  std::vector<double> deflection_;
};

}  // namespace

std::vector<std::optional<LoadedStance>> loaded_stances(const Design& design, std::size_t condition,
                                                        std::size_t state,
                                                        const BacklashResult& results,
                                                        const thermal::Reference& reference) {
  if (!design.torsion) {
    return {};
  }
  return Loads(design, condition, state, results, reference).stances();
}

}  // namespace lashband::design
