#pragma once

#include <map>
#include <optional>
#include <string>
#include <utility>
#include <vector>

#include "io/decode.hpp"
#include "io/material_shelf.hpp"
#include "lashband/design/design.hpp"
#include "lashband/io/design_file.hpp"

/// A design while it is read. Lists run parallel to those of the file: an entry that could not be
/// read is empty, so that indexes stay right and the rest can still be checked.
namespace lashband::io {

/// Which way a helical gear's teeth lean.
enum class Hand { left, right };

struct GearDraft {
  design::Gear gear;
  std::optional<Hand> hand;
  Field self;
};

struct ConditionDraft {
  std::string id;
  std::vector<std::optional<units::Temperature>> by_zone;
  std::map<std::size_t, Field> written;  ///< where the temperature of a zone stands
  Field zones;
  std::optional<units::AngularVelocity> speed;
};

struct SoakDraft {
  design::Soak soak;
  Field from;
  Field to;
};

/// A solid and who it belongs to, for everything that is asked of its material.
struct SolidUse {
  thermal::Solid solid;
  std::string user;  ///< "gear \"gA\""
  bool needs_youngs_modulus = false;
  Field material_field;
};

/// What the file did not give, or gave for analyses to come: the subjects of notes.
struct Remarks {
  std::vector<std::string> without_allowance;                          ///< gears
  std::vector<std::string> without_deviation;                          ///< meshes
  std::vector<std::string> without_bearings;                           ///< shafts
  std::vector<std::string> with_bearings;                              ///< shafts
  std::vector<std::string> with_inertia;                               ///< shafts
  std::vector<std::string> without_class;                              ///< gears
  std::vector<std::string> with_class;                                 ///< gears
  std::vector<std::pair<std::string, std::string>> judged_worst_case;  ///< mesh and basis asked for
  std::vector<std::string> sections;                                   ///< that are not read
  std::vector<std::string> beyond_range;                               ///< sentences
};

struct Draft {
  Draft(SourceFile& source, const ReadOptions& read_options, MaterialShelf& shelf)
      : file(source), options(read_options), materials(shelf) {}

  SourceFile& file;
  const ReadOptions& options;
  MaterialShelf& materials;

  std::string title;
  units::Temperature reference_temperature = units::iso_1_reference();
  Names zones{"zone", "zones"};
  Names carrier_names{"carrier", "carriers"};
  Names shaft_names{"shaft", "shafts"};
  Names gear_names{"gear", "gears"};
  Names mesh_names{"mesh", "meshes"};
  Names condition_names{"condition", "conditions"};

  std::vector<std::optional<thermal::Carrier>> carriers;
  std::size_t carrier_in_use = 0;
  std::vector<std::optional<design::Shaft>> shafts;
  std::vector<std::optional<GearDraft>> gears;
  std::vector<std::optional<design::Mesh>> meshes;
  std::vector<std::optional<ConditionDraft>> conditions;
  std::optional<SoakDraft> soak;

  std::vector<SolidUse> solids;
  Remarks remarks;
};

/// The keys `material` and `zone` of an object. `user` is "gear \"gA\"".
[[nodiscard]] std::optional<thermal::Solid> read_solid(Draft& draft, ObjectReader& object,
                                                       const std::string& user,
                                                       bool needs_youngs_modulus = false);

void read_zones(Draft& draft, const Field& field);
void read_carriers(Draft& draft, const Field& list, const Field& in_use);
void read_shafts(Draft& draft, const Field& list);
void read_gears(Draft& draft, const Field& list);
void read_meshes(Draft& draft, const Field& list);
void read_states(Draft& draft, const Field& conditions, const Field& soak);

/// Checks, once everything is read, that every material that is used can be used at every
/// temperature.
void check_temperatures(Draft& draft);

/// The design of a draft without problems.
[[nodiscard]] design::Design finished(Draft& draft);

}  // namespace lashband::io
