#pragma once

#include <cstddef>
#include <optional>
#include <utility>
#include <vector>

#include "contributors.hpp"
#include "lashband/geometry/centre_distance.hpp"

namespace lashband::design {

/// Where the bores of the shafts of some meshes stand: as drawn, and in a unit, which the draws of
/// their position tolerances have moved.
class ShaftPlaces {
 public:
  /// By shaft, in the order of `shafts`; empty where the design gives no place.
  using Places = std::vector<std::optional<geometry::Point>>;

  /// `meshes` are indices into Design::meshes. `contributors` must outlive the object.
  ShaftPlaces(const Design& design, const Contributors& contributors,
              const std::vector<std::size_t>& meshes);

  /// Indices into Design::shafts, rising.
  [[nodiscard]] const std::vector<std::size_t>& shafts() const { return shafts_; }

  /// The shafts of gear 1 and 2 of the mesh with this number in `meshes`, as places in `shafts`.
  [[nodiscard]] const std::pair<std::size_t, std::size_t>& ends(std::size_t number) const {
    return ends_[number];
  }

  [[nodiscard]] const Places& drawn() const { return drawn_; }

  /// Whether any bore differs from unit to unit.
  [[nodiscard]] bool any_moves() const { return !moved_.empty(); }

  /// In the unit with the draws `y`.
  [[nodiscard]] Places at(const std::vector<double>& y) const;

 private:
  struct Moved {
    std::size_t place;  // in `shafts_`
    std::size_t x;      // draws
    std::size_t y;
  };

  const Contributors& contributors_;
  std::vector<std::size_t> shafts_;
  std::vector<std::pair<std::size_t, std::size_t>> ends_;
  Places drawn_;
  std::vector<Moved> moved_;
};

}  // namespace lashband::design
