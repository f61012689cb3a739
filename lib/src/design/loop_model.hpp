#pragma once

#include <cstddef>
#include <optional>
#include <utility>
#include <vector>

#include "band/gap_model.hpp"
#include "carrier_run.hpp"
#include "lashband/design/loops.hpp"
#include "lashband/train/closure.hpp"
#include "lashband/train/train.hpp"
#include "shaft_places.hpp"

namespace lashband::design {

/// One mesh of a loop at one state. SI doubles.
struct LoopMesh {
  std::size_t mesh = 0;  ///< index into Design::meshes
  const band::kernel::MeshModel* model = nullptr;
  const band::kernel::StateModel* state = nullptr;
  double direction = 1.0;  ///< +1 where the loop passes it from shaft 1 to shaft 2
  double pitches = 0.0;    ///< w_e, per revolution of the first shaft of the group
  double base_pitch = 0.0;
  // As drawn.
  double gap = 0.0;         ///< j_bt
  double slack = 0.0;       ///< what float and axial float add to it, all taken up
  double a = 0.0;           ///< negative with a ring gear
  double base_radii = 0.0;  ///< r_b1 + r_b2, as `a`
  double growth = 1.0;      ///< of the centre distance
};

/// A loop at one state, with the draws of a unit. With c_e = 1 / (2 p_bt |w_e|) a loop leaves
///   margin = min over both senses of (sum c_e j_e +- sum direction_e offset_e / w_e) / sum c_e
/// of j_bt in each of its meshes.
///
/// Bands: each draw at the end that its effect asks for, at fixed sense; the effect is found to
/// first order and the end worked out exactly.
class LoopModel {
 public:
  /// All arguments must outlive the object. `axial` is tan beta_b times the axial float of the
  /// shafts, by mesh of the loop, as a linear form of the draws.
  LoopModel(const Design& design, const CarrierRun& run, const train::Closure& closure,
            std::vector<LoopMesh> meshes, std::vector<band::kernel::LinearForm> axial);

  enum class Float { centred, taken_up };

  /// As drawn.
  [[nodiscard]] double nominal(Float floats) const;
  /// The low end of the worst case.
  [[nodiscard]] double worst_low(Float floats) const;
  /// Three standard deviations below the mean, by root sum square; empty where nothing varies.
  [[nodiscard]] std::optional<double> rss_low(Float floats) const;

  struct Reserve {
    double distance;
    std::size_t shaft;  ///< index into Design::shafts
  };
  /// The least displacement of one bore of the loop at which the margin as drawn, shafts in the
  /// middle of their float, is 0. Empty where it is below 0 without.
  [[nodiscard]] std::optional<Reserve> bore_reserve() const;

 private:
  // A unit: its draws, and |M| of each mesh.
  struct Unit {
    std::vector<double> y;
    std::vector<double> misalignment;
  };
  using Places = ShaftPlaces::Places;
  // First-order effects on the margin in one sense: (draw, effect over half its band).
  using Effects = std::vector<std::pair<std::size_t, double>>;

  [[nodiscard]] double margin(const Unit& unit, Float floats, double sense) const;
  [[nodiscard]] double drawn_margin(const Places& places, Float floats, double sense) const;
  [[nodiscard]] double offset_sum(const Places& places) const;
  [[nodiscard]] double own_length(std::size_t which, const Unit& unit, Float floats) const;
  [[nodiscard]] Effects effects(const Unit& unit, Float floats, double sense) const;
  [[nodiscard]] std::optional<double> reserve_of(std::size_t shaft) const;

  const CarrierRun& run_;
  const train::Closure& closure_;
  std::vector<LoopMesh> meshes_;
  std::vector<band::kernel::LinearForm> axial_;
  ShaftPlaces places_;                           // of `meshes_`
  std::vector<std::vector<std::size_t>> draws_;  // by mesh of the loop
  double weight_ = 0.0;                          // sum c_e
};

}  // namespace lashband::design
