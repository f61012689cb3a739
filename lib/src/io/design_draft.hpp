#pragma once

#include <functional>
#include <map>
#include <optional>
#include <set>
#include <string>
#include <string_view>
#include <utility>
#include <variant>
#include <vector>

#include "io/decode.hpp"
#include "io/material_shelf.hpp"
#include "io/measured_files.hpp"
#include "lashband/design/design.hpp"
#include "lashband/io/design_file.hpp"
#include "lashband/train/planet_arm.hpp"
#include "lashband/train/train.hpp"

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

struct ShaftDraft {
  design::Shaft shaft;
  Field self;
  std::vector<Field> bearings;  ///< in the file, read or not
  bool has_bearings = false;    ///< likewise
  std::optional<Field> position_tolerance;
};

struct ConditionDraft {
  std::string id;
  std::vector<std::optional<units::Temperature>> by_zone;
  std::map<std::size_t, Field> written;  ///< where the temperature of a zone stands
  Field zones;
  std::optional<units::AngularVelocity> speed;     ///< of the reference shaft
  std::vector<design::ShaftSpeed> speeds;          ///< one a group
  std::map<std::size_t, units::Force> mesh_force;  ///< by mesh
};

/// The train as far as the file describes it.
struct TrainDraft {
  design::TrainSettings settings;
  /// Whether every mesh could be read and every loop can turn.
  bool turns = false;
  std::optional<train::Train> train;  ///< once it was asked for; see `train_of`
  /// Speeds by the teeth and the planet arm; empty without an arm and where it is not possible.
  std::optional<train::SpeedOrders> orders;
  /// A planet arm is given, which no speeds can be told of.
  bool arm_in_doubt = false;
};

struct SoakDraft {
  design::Soak soak;
  Field from;
  Field to;
};

/// The oil of a thermal network as far as the file describes it.
struct OilDraft {
  std::optional<std::size_t> body;
  std::optional<losses::OilViscosity> viscosity;
  std::optional<units::Density> density;
  std::optional<units::SpecificHeat> specific_heat;
};

struct NetworkDraft {
  Field self;
  /// Bodies first, then boundaries: what a conductance or a stream joins.
  Names places{"body or boundary", "bodies and boundaries"};
  /// Conductances first, then streams: what a throttle acts on.
  Names ways{"conductance or stream", "conductances and streams"};
  Names source_names{"heat input", "heat inputs"};
  std::vector<std::optional<heat::Body>> bodies{};
  std::vector<std::optional<heat::Boundary>> boundaries{};
  std::vector<std::optional<heat::Conductance>> conductances{};
  std::vector<std::optional<heat::Stream>> streams{};
  std::vector<std::optional<design::HeatSource>> sources{};
  std::map<std::size_t, heat::Place> zones{};    ///< what has the temperature of a zone
  std::map<std::size_t, Field> zones_written{};  ///< where that stands
  bool zones_known = true;                       ///< whether all zones that it names could be read
  std::optional<Field> oil_field{};              ///< where an oil is given
  OilDraft oil{};
  std::optional<heat::Network> network{};  ///< where everything could be read
};

/// A temperature that a zone takes in a history.
struct HistoryLevel {
  std::size_t zone = 0;
  units::Temperature level;
  Field place;
  std::string where;  ///< " (cold_start.csv, line 14)", may be empty
};

/// Columns of a record, by zone of the draft.
struct RecordDraft {
  std::string file;
  std::vector<units::Time> times;
  std::vector<std::optional<std::vector<double>>> by_zone;  ///< in degC
};

struct HistoryDraft {
  std::string id;
  Field self;
  std::variant<RecordDraft, design::NetworkRun> course;
  std::optional<units::Time> interval;
  std::vector<HistoryLevel> levels;
};

/// Two contributors that vary together, as the file names them.
struct CorrelationDraft {
  design::Correlation correlation;
  Field first;
  Field second;
};

/// What is asked of a solid's material.
struct MaterialNeeds {
  bool elongation = true;
  bool youngs_modulus = false;
  bool poissons_ratio = false;   ///< of 0 or more
  bool density = false;          ///< at the reference temperature
  bool shear_stiffness = false;  ///< a shear modulus, or Young's modulus and Poisson's ratio
  // Of an elastomer. What it gives is looked up; only the modulus or hardness is needed.
  bool elastomer_modulus = false;  ///< a shear modulus, or a hardness, at the reference temperature
  bool elastomer_loss = false;
  bool elastomer_factor = false;  ///< of temperature
  std::string_view why;           ///< "where a section is given"
};

/// A solid and who it belongs to, for everything that is asked of its material.
struct SolidUse {
  thermal::Solid solid;
  std::string user;  ///< "gear \"gA\""
  MaterialNeeds needs;
  Field material_field;
  units::TemperatureDifference excess{};  ///< by which it is warmer than its zone
};

/// Something that has the temperature of a zone and is no solid with a material.
struct ZoneUse {
  std::size_t zone = 0;
  std::string user;  ///< "oil of the bearings"
  /// Reports at the place what cannot be at the level; empty where everything can.
  std::function<void(units::Temperature level, const Field& place, const std::string& where)> check;
};

/// What the file did not give, or gave for analyses to come: the subjects of notes.
struct Remarks {
  std::vector<std::string> without_allowance;    ///< gears
  std::vector<std::string> without_deviation;    ///< meshes
  std::vector<std::string> without_parallelism;  ///< meshes
  std::vector<std::string> without_bearings;     ///< shafts
  std::vector<std::string> without_outer_fit;    ///< bearings
  std::vector<std::string> without_inner_fit;    ///< bearings
  std::vector<std::string> with_inertia;         ///< shafts
  std::vector<std::string> without_class;        ///< gears
  std::vector<std::string> without_run_out;      ///< gears that give other deviations of the flanks
  std::vector<std::string> without_pitch_deviation;  ///< likewise
  std::vector<std::string> without_helix_deviation;  ///< likewise
  std::vector<std::string> sections;                 ///< that are not read
  std::vector<std::string> beyond_range;             ///< sentences
  std::vector<design::Note> looked_up;               ///< values of standards that need a word
};

struct Draft {
  Draft(SourceFile& source, const ReadOptions& read_options, MaterialShelf& shelf,
        MeasuredFiles& tables)
      : file(source), options(read_options), materials(shelf), measured(tables) {}

  SourceFile& file;
  const ReadOptions& options;
  MaterialShelf& materials;
  MeasuredFiles& measured;

  std::string title;
  units::Temperature reference_temperature = units::iso_1_reference();
  Names zones{"zone", "zones"};
  Names carrier_names{"carrier", "carriers"};
  Names shaft_names{"shaft", "shafts"};
  Names gear_names{"gear", "gears"};
  Names mesh_names{"mesh", "meshes"};
  Names condition_names{"condition", "conditions"};
  Names history_names{"history", "histories"};
  Names bearing_names{"bearing", "bearings"};
  Names own_term_names{"contribution", "contributions"};

  std::vector<std::optional<thermal::Carrier>> carriers;
  std::size_t carrier_in_use = 0;
  std::vector<std::optional<ShaftDraft>> shafts;
  std::vector<std::optional<GearDraft>> gears;
  std::vector<std::optional<design::Mesh>> meshes;
  std::vector<Field> meshes_written;
  /// What each mesh joins; known for some that could not be read otherwise.
  std::vector<std::optional<train::Mesh>> joined;
  TrainDraft train;
  std::vector<spectrum::Excitation> excitations;
  std::vector<std::optional<ConditionDraft>> conditions;
  std::optional<SoakDraft> soak;
  std::optional<NetworkDraft> network;
  std::vector<std::optional<HistoryDraft>> histories;
  std::vector<design::ExpansionGroup> expansion_groups;
  std::vector<CorrelationDraft> correlations;
  std::map<std::string, Field> own_terms;  ///< ids of contributions and where they stand
  std::set<std::string> ids_of_bearings;   ///< that the file gives, known before they are read

  std::optional<design::TorsionSettings> torsion;

  std::vector<SolidUse> solids;
  std::vector<ZoneUse> zone_uses;
  /// Carriers and bores (a carrier with walls has two) of which a fit has asked already.
  std::set<std::pair<std::size_t, std::size_t>> bores_asked;
  Remarks remarks;
};

/// A length that was computed, to a tenth of a micrometre: "106.6080 mm".
[[nodiscard]] std::string in_mm(units::Length length);

/// A deviation, to a tenth of a micrometre: "8.5 um", "27 um".
[[nodiscard]] std::string in_um(units::Length length);

/// A band as it stands in a file, to a tenth of a micrometre: ["-145 um", "-95 um"].
[[nodiscard]] std::string band_text(const units::Band<units::Length>& band);

/// A note on a value of a standard that nobody has looked up: "<what>, from memory, verify before
/// use: <found>".
void note_from_memory(Draft& draft, const std::string& subject, const std::string& what,
                      const std::string& found);

/// Takes a value over its default where the key is given; false where it cannot be read.
template <class T>
[[nodiscard]] bool take_given(T& place, const Field& field, const std::optional<T>& value) {
  if (value) {
    place = *value;
  }
  return value.has_value() || !field.given();
}

/// The same for a value that may be left out.
template <class T>
[[nodiscard]] bool take_given(std::optional<T>& place, const Field& field,
                              const std::optional<T>& value) {
  place = value;
  return value.has_value() || !field.given();
}

/// The keys `material` and `zone` of an object. `user` is "gear \"gA\"".
[[nodiscard]] std::optional<thermal::Solid> read_solid(Draft& draft, ObjectReader& object,
                                                       const std::string& user,
                                                       const MaterialNeeds& needs = {});

/// The same with the keys `permanent_strain` and `moisture_strain`.
[[nodiscard]] std::optional<thermal::Solid> read_strained_solid(Draft& draft, ObjectReader& object,
                                                                const std::string& user,
                                                                const MaterialNeeds& needs = {});

/// Reports at `place` each property that is needed of a material and lacking; false if there is
/// one. `whose` begins the message: "the material" or "the seat in carrier \"c\", of material".
bool check_needs(const materials::Material& material, const MaterialNeeds& needs,
                 const Field& place, const std::string& whose);

/// The bearings of one shaft. `has_solid`: the shaft gives its material.
void read_bearings(Draft& draft, ShaftDraft& shaft, const Field& list, bool has_solid);

/// Requirements of one mesh; `distance` and `module` are what a recommended backlash depends on,
/// empty where they could not be read.
[[nodiscard]] design::MeshRequirements read_requirements(
    Draft& draft, const Field& field, const std::string& mesh,
    const std::optional<units::Length>& distance, const std::optional<units::Length>& module);

/// What a requirement is judged on; the worst case where it is left out or cannot be read.
[[nodiscard]] design::Basis read_basis(const Field& field);

void read_zones(Draft& draft, const Field& field);
void read_carriers(Draft& draft, const Field& list, const Field& in_use);
void read_shafts(Draft& draft, const Field& list);
void read_gears(Draft& draft, const Field& list);
void read_meshes(Draft& draft, const Field& list);

/// The train as a whole, with the check that its loops can turn; after the meshes.
void read_train(Draft& draft, const Field& field);
void read_excitations(Draft& draft, const Field& list);

/// The train of all meshes; null where some could not be read or a loop cannot turn.
[[nodiscard]] const train::Train* train_of(Draft& draft);

/// The key `speed` of a condition: of the reference shaft, or of shafts by name; after the train.
void read_speed(Draft& draft, ConditionDraft& condition, const Field& field);

void read_expansion_groups(Draft& draft, const Field& list);
void read_correlations(Draft& draft, const Field& list);

/// Conditions and soak; `histories` may stand in for both.
void read_states(Draft& draft, const Field& conditions, const Field& soak, const Field& histories);

/// The thermal network; after everything that it names: zones, materials, shafts, meshes.
void read_thermal_network(Draft& draft, const Field& field);

/// The histories; after the network, the conditions, and the files that they name.
void read_histories(Draft& draft, const Field& list);

/// The torsional model; after everything that it names, and after the files that it names.
void read_torsion(Draft& draft, const Field& field);

/// The files that a section names.
[[nodiscard]] std::vector<Field> files_of_histories(const Field& list);
[[nodiscard]] std::vector<Field> files_of_torsion(const Field& field);

/// Whether no entry before it in its list has the name of the entry at `index`.
[[nodiscard]] bool is_first_of_its_name(const Names& names, std::size_t index);

/// Whether the name is "soak" or begins with it and a blank, as those of the soak's points do.
[[nodiscard]] bool is_name_of_soak(const std::string& name);

/// Checks, once everything is read, that gears and bearings have their places along the shaft
/// wherever these decide something.
void check_places_along_shafts(const Draft& draft);

/// Checks, once everything is read, that every material that is used can be used at every
/// temperature.
void check_temperatures(Draft& draft);

/// The design of a draft without problems.
[[nodiscard]] design::Design finished(Draft& draft);

/// Adds the notes on what the file gives and does not. `left_out` are the zones that the design
/// does not have.
void add_notes(const Draft& draft, design::Design& design, const std::set<std::size_t>& left_out);

/// Checks, once the design is finished, that correlations name contributors and that contributions
/// have names of their own.
void check_contributors(const Draft& draft, const design::Design& design);

}  // namespace lashband::io
