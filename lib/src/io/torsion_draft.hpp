#pragma once

#include <cstddef>
#include <optional>
#include <string>
#include <string_view>
#include <utility>
#include <vector>

#include "io/design_draft.hpp"

/// The section `torsion` while it is read. What cannot be read is reported and left at its default:
/// a file with a problem makes no design.
namespace lashband::io {

struct TorsionDraft {
  Draft& draft;
  design::TorsionSettings settings{};
  Names stations{"station", "stations"};
  /// Whether something scales with speed, and so needs a speed to scale from.
  bool scales = false;
};

/// Entries of a list that each name something, which may be named once.
class NamedOnce {
 public:
  /// `kind` is the word in messages: "gear".
  explicit NamedOnce(std::string_view kind) : kind_(kind) {}

  /// The index of the name that stands in `field`; reports a name that an entry before has.
  [[nodiscard]] std::optional<std::size_t> find(const Names& names, const Field& field);

 private:
  std::string_view kind_;
  std::vector<std::pair<std::size_t, std::size_t>> seen_;  ///< sorted: index, and where it stands
};

inline constexpr ValueRule inertia_rule{"a moment of inertia above 0", rules::above_zero};
inline constexpr ValueRule diameter_rule{"a diameter above 0", rules::above_zero};
inline constexpr ValueRule bore_rule{"a diameter of at least 0", rules::not_below_zero};
inline constexpr ValueRule stiffness_rule{"a torsional stiffness above 0", rules::above_zero};
inline constexpr ValueRule damping_rule{"a torsional damping constant above 0", rules::above_zero};
inline constexpr ValueRule loss_factor_rule{
    "a loss factor, a number from 0 to 3",
    [](double factor) { return factor >= 0.0 && factor <= 3.0; }};

/// The key `phase` and others like it: any angle, 0 if left out.
[[nodiscard]] units::Angle read_phase(const Field& field);

/// The list `shafts`: stations of every shaft, and what joins them. `self` is the whole section.
void read_stations(TorsionDraft& torsion, const Field& list, const Field& self);

/// The keys `id` and `station` of what stands on a shaft; `what` is "the drag's name".
[[nodiscard]] std::pair<std::string, std::size_t> read_place(TorsionDraft& torsion,
                                                             ObjectReader& object, Names& names,
                                                             const std::string& what);

/// The list `segments` of a shaft: pieces that join all of its stations, those from `first` on,
/// each by one way. `stations` is the list of these; of an unknown shaft there is no index. Whether
/// all are joined is not looked at where there are more problems than `problems_before`.
void read_segments(TorsionDraft& torsion, const std::optional<std::size_t>& shaft,
                   const Field& segments, const Field& stations, std::size_t first,
                   std::size_t problems_before);

/// A round body or a piece of shaft: `outside_diameter`, `bore`, `length`, and `material` and
/// `zone`, which are those of the shaft where they are left out.
[[nodiscard]] design::Cylinder read_cylinder(Draft& draft, ObjectReader& object, std::size_t shaft,
                                             const std::string& user, const MaterialNeeds& needs);

/// `user` is "elastomer of gear \"gB\"".
[[nodiscard]] std::optional<design::Elastomer> read_elastomer(Draft& draft, const Field& field,
                                                              const std::string& user);

/// The bodies of gears, and how meshes answer.
void read_gear_bodies(TorsionDraft& torsion, const Field& list);
void read_mesh_dynamics(TorsionDraft& torsion, const Field& list);

/// Wheels that damp, and what brakes. After the stations.
void read_dampers(TorsionDraft& torsion, const Field& list);
void read_drags(TorsionDraft& torsion, const Field& list, const Field& oil);

/// What drives, loads and shakes. After the stations.
void read_torques(TorsionDraft& torsion, const Field& list);

/// A piston on a crank.
[[nodiscard]] std::optional<design::CrankMechanism> read_crank(TorsionDraft& torsion,
                                                               const Field& field);

}  // namespace lashband::io
