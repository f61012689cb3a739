#pragma once

#include <cstddef>
#include <optional>
#include <string>
#include <vector>

#include "lashband/design/torsion.hpp"
#include "lashband/thermal/solid.hpp"
#include "lashband/train/exact_ratio.hpp"
#include "lashband/train/train.hpp"

namespace lashband::design {

/// Which part of the input an element comes from.
struct ElementSource {
  TorsionElement::Kind kind{};
  /// Of a segment, mesh, damper or drag its place in its list; of an elastomer that of its gear in
  /// TorsionSettings::gears or, `of_damper`, of its damper.
  std::size_t index = 0;
  bool of_damper = false;
};

/// The bodies of the torsional model and what joins them: all that does not change with temperature
/// and speed. Shafts that no mesh joins to the reference are left out.
struct TorsionLayout {
  std::vector<TorsionInertia> inertias{};
  std::vector<train::ExactRatio> speed{};  ///< by inertia, |speed| over that of the reference
  std::vector<std::size_t> shaft{};        ///< by inertia
  std::vector<TorsionElement> elements{};
  std::vector<ElementSource> sources{};  ///< by element
  std::vector<double> arm_1{}, arm_2{};  ///< by element: base radii of meshes, else 1 and -1
  std::vector<std::optional<std::size_t>> station{};  ///< by station of the settings: its inertia
  std::vector<std::optional<std::size_t>> teeth{};    ///< by gear: the inertia that carries them
  std::size_t driver = 0;                             ///< inertia
  std::vector<std::size_t> left_out{};                ///< shafts
};

/// The elastomer that an element comes from.
[[nodiscard]] const Elastomer& elastomer_of(const Design& design, const ElementSource& source);

/// The inertia that stands for a shaft, its first; empty for a shaft that is left out.
[[nodiscard]] std::optional<std::size_t> inertia_of_shaft(const TorsionLayout& layout,
                                                          const std::string& shaft);

/// Throws MaterialError where a material lacks a density that a body needs.
[[nodiscard]] TorsionLayout torsion_layout(const Design& design, const train::Train& train,
                                           const thermal::Reference& reference);

}  // namespace lashband::design
