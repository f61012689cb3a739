#pragma once

#include <cstddef>
#include <string>
#include <vector>

#include "lashband/design/design.hpp"
#include "lashband/geometry/centre_distance.hpp"
#include "lashband/units/quantities.hpp"

namespace lashband::design {

/// The train in the plane across its shafts: what a drawing of it needs, in numbers. Lengths hold
/// at the reference temperature. The indices are those of the design.
struct Layout {
  /// Shafts joined by meshes, with everything that turns with them.
  struct Group {
    std::size_t first_shaft = 0;
    /// A closed loop of an odd number of external meshes: no shaft of the group can turn.
    bool locked = false;
  };
  struct Shaft {
    std::string id{};
    geometry::Point place{};
    bool place_given = false;  ///< by the design; otherwise chosen here
    std::size_t group = 0;     ///< index into `groups`
    /// Sense of rotation relative to the first shaft of the group: +1 the same, -1 the opposite, 0
    /// in a locked group.
    int sense = 0;
  };
  struct Gear {
    std::string id{};
    std::size_t shaft = 0;
    units::Length reference_radius{};  ///< d/2
    units::Length tip_radius{};        ///< d_a/2, as drawn
    units::Length root_radius{};       ///< d_f/2, without the thickness allowance
    bool internal = false;             ///< a ring gear: its tips are inside
  };
  struct Mesh {
    std::string id{};
    std::size_t gear_1 = 0;
    std::size_t gear_2 = 0;
    /// The places of its shafts are its centre distance apart, within a thousandth.
    bool to_scale = true;
  };

  std::vector<Group> groups{};
  std::vector<Shaft> shafts{};
  std::vector<Gear> gears{};
  std::vector<Mesh> meshes{};
};

/// Where the shafts of a design are and which way they turn.
///
/// A given place is kept. The others are chosen from the centre distances, breadth-first from the
/// given ones of the group, or from its first shaft:
///   shafts that lead through meshes from one place to another (or back to the same) become
///   corners of a polygon whose corners lie on one circle: of the two sides it can be on, the one
///   farther from what is there. A shaft with two neighbours in place comes thus to where the two
///   circles of its centre distances meet;
///   the other neighbours of a shaft are spread evenly over the widest arc around it that is free,
///   so that a row stays a row; one that would lie on something there goes to where it stays
///   clear by most, of 72 directions.
/// Where distances cannot be kept, or places given contradict them, the mesh is not `to_scale`.
/// Groups without a given place are set to the right of the rest, in a row. Centre distances are
/// kept within 1e-9 relative. An external mesh reverses the sense of rotation, one with a ring gear
/// keeps it.
[[nodiscard]] Layout layout(const Design& design);

}  // namespace lashband::design
