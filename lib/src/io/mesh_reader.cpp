#include <algorithm>
#include <cmath>
#include <utility>

#include "io/design_draft.hpp"
#include "lashband/geometry/centre_distance.hpp"

namespace lashband::io {
namespace {

/// Coordinates and a stated centre distance may differ by the rounding of a drawing, a micrometre.
constexpr double greatest_disagreement_in_m = 1e-6;
/// Equal quantities written in different units ("2.5 mm", "0.0025 m") may differ in their last
/// bits.
constexpr double equality_tolerance = 1e-12;

constexpr ValueRule length_above_zero{"a length above 0", rules::above_zero};
constexpr ValueRule gap{"a length of at least 0", rules::not_below_zero};

/// The bases that a file may ask for; those not computed yet are judged on the worst case.
enum class WrittenBasis { worst_case, nominal, rss, percentile };

struct CentreDistance {
  units::Length nominal;
  std::optional<units::Band<units::Length>> deviation;

  /// The end of the band that brings the gears closest.
  [[nodiscard]] units::Length least() const {
    return deviation ? nominal + deviation->low : nominal;
  }
};

template <class Q>
bool equal(Q a, Q b) {
  return std::abs(a.value() - b.value()) <=
         equality_tolerance * std::max(std::abs(a.value()), std::abs(b.value()));
}

/// A length that was computed, to a tenth of a micrometre.
std::string in_mm(units::Length length) {
  constexpr int decimals = 4;
  return units::format_fixed(length, "mm", decimals) + " mm";
}

/// L from the places of the two shafts, where both are given.
std::optional<units::Length> distance_of_shafts(const Draft& draft, const GearDraft& gear_1,
                                                const GearDraft& gear_2) {
  const auto& shaft_1 = draft.shafts[gear_1.gear.shaft];
  const auto& shaft_2 = draft.shafts[gear_2.gear.shaft];
  if (!shaft_1 || !shaft_2 || !shaft_1->at || !shaft_2->at) {
    return std::nullopt;
  }
  return geometry::distance(*shaft_1->at, *shaft_2->at);
}

/// Reads `centre_distance`; `of_shafts` is the distance of the shafts' places. Where the shafts
/// could not be read, `shafts_known` is false and nothing is said of what they may give.
std::optional<CentreDistance> read_centre_distance(const Field& field,
                                                   const std::optional<units::Length>& of_shafts,
                                                   bool shafts_known, const Field& mesh) {
  constexpr std::string_view allowed =
      "an object with nominal and deviation, such as { \"nominal\": \"106.608 mm\", "
      "\"deviation\": \"±15 um\" }";
  const std::string missing =
      " is missing; needed is a length above 0, such as \"106.608 mm\", unless both shafts have "
      "\"at\"";
  if (!field.given()) {
    if (!of_shafts && shafts_known) {
      mesh.report("the key \"centre_distance\"" + missing);
    }
    return of_shafts ? std::optional(CentreDistance{*of_shafts, std::nullopt}) : std::nullopt;
  }
  auto object = read_object(field, allowed);
  if (!object) {
    return std::nullopt;
  }
  const Field nominal_field = object->optional("nominal");
  const Field deviation_field = object->optional("deviation");
  const auto nominal = read_quantity<units::Length>(nominal_field, length_above_zero);
  const auto deviation = read_band(deviation_field);
  object->refuse_unknown_keys();
  if (!nominal_field.given() && !of_shafts && shafts_known) {
    field.report("the key \"nominal\"" + missing);
  }
  if (nominal && of_shafts &&
      !(std::abs(nominal->value() - of_shafts->value()) <= greatest_disagreement_in_m)) {
    nominal_field.report("read " + nominal_field.as_read() + ", but the places of the shafts are " +
                         in_mm(*of_shafts) + " apart; allowed is a difference of at most 1 um");
    return std::nullopt;
  }
  if ((nominal_field.given() && !nominal) || (!nominal && !of_shafts) ||
      (deviation_field.given() && !deviation)) {
    return std::nullopt;
  }
  return CentreDistance{nominal ? *nominal : *of_shafts, deviation};
}

/// Reports where the least asked for (with the running gap on top) is above the greatest.
void check_order(const Field& greatest_field, const std::optional<units::Length>& least,
                 const std::optional<units::Length>& greatest,
                 const std::optional<units::Length>& running_gap, std::string_view least_key) {
  if (!least || !greatest) {
    return;
  }
  const units::Length needed = *least + running_gap.value_or(units::Length());
  if (!(needed <= *greatest)) {
    greatest_field.report("read " + greatest_field.as_read() +
                          "; allowed is a length of at least " + in_mm(needed) + ", which \"" +
                          std::string(least_key) + "\"" +
                          (running_gap ? " and \"minimum_running_gap\" ask" : " asks") + " for");
  }
}

design::MeshRequirements read_requirements(Draft& draft, const Field& field,
                                           const std::string& mesh) {
  design::MeshRequirements require;
  auto object = read_object(field,
                            "an object with requirements, such as { \"least_backlash\": "
                            "\"30 um\", \"greatest_backlash\": \"260 um\" }");
  if (!object) {
    return require;
  }
  const Field greatest = object->optional("greatest_backlash");
  const Field greatest_normal = object->optional("greatest_normal_backlash");
  require.least_backlash = read_quantity<units::Length>(object->optional("least_backlash"), gap);
  require.greatest_backlash = read_quantity<units::Length>(greatest, gap);
  require.least_normal_backlash =
      read_quantity<units::Length>(object->optional("least_normal_backlash"), gap);
  require.greatest_normal_backlash = read_quantity<units::Length>(greatest_normal, gap);
  require.least_tip_clearance =
      read_quantity<units::Length>(object->optional("least_tip_clearance"), gap);
  require.least_contact_ratio =
      read_number(object->optional("least_contact_ratio"), {"a number above 0", rules::above_zero});
  require.minimum_running_gap =
      read_quantity<units::Length>(object->optional("minimum_running_gap"), gap);
  const Field basis_field = object->optional("basis");
  if (basis_field.given()) {
    const auto basis =
        read_choice<WrittenBasis>(basis_field, {{"worst_case", WrittenBasis::worst_case},
                                                {"nominal", WrittenBasis::nominal},
                                                {"rss", WrittenBasis::rss},
                                                {"percentile", WrittenBasis::percentile}});
    if (basis == WrittenBasis::nominal) {
      require.basis = design::Basis::nominal;
    } else if (basis == WrittenBasis::rss || basis == WrittenBasis::percentile) {
      draft.remarks.judged_worst_case.emplace_back(
          mesh, basis == WrittenBasis::rss ? "rss" : "percentile");
    }
  }
  object->refuse_unknown_keys();
  check_order(greatest, require.least_backlash, require.greatest_backlash,
              require.minimum_running_gap, "least_backlash");
  check_order(greatest_normal, require.least_normal_backlash, require.greatest_normal_backlash,
              require.minimum_running_gap, "least_normal_backlash");
  return require;
}

std::string differing(const std::string& what, const std::string& of_1, const std::string& of_2) {
  return "the gears of a mesh need the same " + what + ", but have " + of_1 + " and " + of_2;
}

/// Reports what keeps the gears from meshing at all.
void check_pair(const Draft& draft, const Field& gears_field, const GearDraft& one,
                const GearDraft& two) {
  const geometry::ToothedBody& body_1 = one.gear.body;
  const geometry::ToothedBody& body_2 = two.gear.body;
  if (one.gear.shaft == two.gear.shaft) {
    gears_field.report("the gears " + in_quotes(one.gear.id) + " and " + in_quotes(two.gear.id) +
                       " sit on the same shaft, " +
                       in_quotes(draft.shaft_names.name(one.gear.shaft)) +
                       "; allowed are gears on two shafts");
  }
  if (!equal(body_1.module(), body_2.module())) {
    gears_field.report(differing("module", units::format(body_1.module(), "mm"),
                                 units::format(body_2.module(), "mm")));
  }
  if (!equal(body_1.pressure_angle(), body_2.pressure_angle())) {
    gears_field.report(differing("pressure_angle", units::format(body_1.pressure_angle(), "deg"),
                                 units::format(body_2.pressure_angle(), "deg")));
  }
  if (!equal(body_1.helix_angle(), body_2.helix_angle())) {
    gears_field.report(differing("helix_angle", units::format(body_1.helix_angle(), "deg"),
                                 units::format(body_2.helix_angle(), "deg")));
  } else if (body_1.helix_angle() > units::Angle() && one.hand && one.hand == two.hand) {
    gears_field.report(std::string("both gears have the hand \"") +
                       (*one.hand == Hand::left ? "left" : "right") +
                       "\"; allowed in an external mesh is one left and one right");
  }
}

/// Reports base circles that overlap at the least centre distance of the drawing.
void check_base_circles(const Field& place, const GearDraft& one, const GearDraft& two,
                        const CentreDistance& distance) {
  const units::Length sum = 0.5 * (one.gear.body.base_diameter() + two.gear.body.base_diameter());
  if (!(sum < distance.least())) {
    place.report("the centre distance of " + in_mm(distance.least()) +
                 (distance.deviation ? ", with its lower deviation," : "") +
                 " is too small for these gears; allowed is one above " + in_mm(sum) +
                 ", the sum of their base radii");
  }
}

std::optional<design::Mesh> read_mesh(Draft& draft, const Field& entry) {
  auto object = read_object(entry, "a mesh, an object with id, gears and centre_distance");
  if (!object) {
    draft.mesh_names.add(std::nullopt, entry);
    return std::nullopt;
  }
  const Field id_field = object->required("id");
  const auto id = read_name(id_field, "the mesh's name");
  draft.mesh_names.add(id, id_field);
  const std::string name = id.value_or("");

  const Field gears_field = object->required("gears");
  const auto gears = read_list(gears_field, "a list of the names of two gears", 2, 2);
  const GearDraft* one = nullptr;
  const GearDraft* two = nullptr;
  std::size_t gear_1 = 0;
  std::size_t gear_2 = 0;
  if (gears) {
    const auto index_1 = draft.gear_names.find((*gears)[0]);
    const auto index_2 = draft.gear_names.find((*gears)[1]);
    if (index_1 && index_2 && *index_1 == *index_2) {
      gears_field.report("read the gear " + in_quotes(draft.gear_names.name(*index_1)) +
                         " twice; allowed are two different gears");
    } else if (index_1 && index_2) {
      gear_1 = *index_1;
      gear_2 = *index_2;
      one = draft.gears[gear_1] ? &*draft.gears[gear_1] : nullptr;
      two = draft.gears[gear_2] ? &*draft.gears[gear_2] : nullptr;
    }
  }
  const bool pair_known = one != nullptr && two != nullptr;
  if (pair_known) {
    check_pair(draft, gears_field, *one, *two);
  }
  const Field distance_field = object->optional("centre_distance");
  const bool shafts_known =
      pair_known && draft.shafts[one->gear.shaft] && draft.shafts[two->gear.shaft];
  const auto distance = read_centre_distance(distance_field,
                                             pair_known && one->gear.shaft != two->gear.shaft
                                                 ? distance_of_shafts(draft, *one, *two)
                                                 : std::nullopt,
                                             shafts_known, entry);
  const Field require_field = object->optional("require");
  const design::MeshRequirements require = read_requirements(draft, require_field, name);
  object->refuse_unknown_keys();

  if (pair_known && distance && one->gear.shaft != two->gear.shaft) {
    check_base_circles(distance_field.given() ? distance_field : entry, *one, *two, *distance);
  }
  if (distance && !distance->deviation) {
    draft.remarks.without_deviation.push_back(name);
  }
  if (!id || !pair_known || !distance) {
    return std::nullopt;
  }
  return design::Mesh{*id,
                      gear_1,
                      gear_2,
                      distance->nominal,
                      distance->deviation.value_or(units::Band<units::Length>{}),
                      require};
}

}  // namespace

void read_meshes(Draft& draft, const Field& list) {
  const auto entries = read_list(list, "a list of 1 to 1000 meshes", 1, most_entries);
  if (!entries) {
    return;
  }
  for (const Field& entry : *entries) {
    draft.meshes.push_back(read_mesh(draft, entry));
  }
}

}  // namespace lashband::io
