#pragma once

#include <cstddef>
#include <map>
#include <optional>
#include <string>
#include <vector>

#include "band/gap_model.hpp"
#include "lashband/design/design.hpp"

namespace lashband::design {

/// One thing that differs from one built unit to the next.
struct Contributor {
  enum class Kind {
    dimension,   ///< may go either way about the mid of its band
    magnitude,   ///< a deviation without sign, from 0 to its limit
    elongation,  ///< of a material, a relative scatter; or a strain
    assembly,    ///< chance of assembly, no tolerance: the phase of run-outs
  };
  std::string id;         ///< "E_sn gA"
  std::string what;       ///< "tooth thickness of gear gA"
  std::string tolerance;  ///< its band as text
  Kind kind = Kind::dimension;
  tolerance::Shape shape = tolerance::Shape::normal();
  double mid = 0.0;    ///< SI
  double reach = 0.0;  ///< half the band, SI
};

using Draw = std::optional<std::size_t>;

/// What makes the elongation of a solid differ.
struct SolidDraws {
  Draw elongation, permanent, moisture;
};

struct GearDraws {
  Draw thickness, run_out, pitch, helix;
  SolidDraws solid;
};

struct BearingDraws {
  Draw clearance, outer_bore, outer_ring, inner_ring, inner_shaft;
  SolidDraws rings, seat;
};

struct ShaftDraws {
  Draw position_x, position_y, axial_float;
  SolidDraws solid, preload_case;
  std::vector<BearingDraws> bearings;
};

struct MeshDraws {
  Draw deviation, f_sigma_delta, f_sigma_beta, wear, run_out_phase;
  std::vector<Draw> own_terms;
};

/// Every contributor of a design with one of its carriers, in a fixed order, and who owns which.
class Contributors {
 public:
  Contributors(const Design& design, const thermal::Carrier& carrier);

  [[nodiscard]] const std::vector<Contributor>& all() const { return all_; }
  [[nodiscard]] const GearDraws& gear(std::size_t index) const { return gears_.at(index); }
  [[nodiscard]] const ShaftDraws& shaft(std::size_t index) const { return shafts_.at(index); }
  [[nodiscard]] const MeshDraws& mesh(std::size_t index) const { return meshes_.at(index); }
  /// By the carrier's solids, in the order of thermal::solids_of.
  [[nodiscard]] const std::vector<SolidDraws>& carrier() const { return carrier_; }

  /// What the analyses of the band need to know of them, correlations of the design included.
  [[nodiscard]] band::kernel::Draws draws(const Design& design) const;

 private:
  template <class Q>
  Draw add(const std::string& id, const std::string& what,
           const std::optional<tolerance::Toleranced<Q>>& value, Contributor::Kind kind);
  SolidDraws add_solid(const Design& design, const std::string& user, const thermal::Solid& solid);

  std::vector<Contributor> all_;
  std::map<std::string, Draw> elongations_;  ///< by material or group
  std::vector<GearDraws> gears_;
  std::vector<ShaftDraws> shafts_;
  std::vector<MeshDraws> meshes_;
  std::vector<SolidDraws> carrier_;
};

}  // namespace lashband::design
