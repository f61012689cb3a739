#include <algorithm>
#include <cmath>
#include <utility>

#include "io/design_draft.hpp"
#include "io/tolerance_reader.hpp"
#include "lashband/geometry/centre_distance.hpp"

namespace lashband::io {
namespace {

/// Coordinates and a stated centre distance may differ by the rounding of a drawing, a micrometre.
constexpr double greatest_disagreement_in_m = 1e-6;
/// Equal quantities written in different units ("2.5 mm", "0.0025 m") may differ in their last
/// bits.
constexpr double equality_tolerance = 1e-12;

constexpr ValueRule length_above_zero{"a length above 0", rules::above_zero};
constexpr ValueRule separation_rule{"a length or a compliance of at least 0",
                                    rules::not_below_zero};

struct CentreDistance {
  units::Length nominal;
  std::optional<tolerance::Toleranced<units::Length>> deviation;
};

template <class Q>
bool equal(Q a, Q b) {
  return std::abs(a.value() - b.value()) <=
         equality_tolerance * std::max(std::abs(a.value()), std::abs(b.value()));
}

/// L from the places of the two shafts, where both are given.
std::optional<units::Length> distance_of_shafts(const Draft& draft, const GearDraft& gear_1,
                                                const GearDraft& gear_2) {
  const auto& shaft_1 = draft.shafts[gear_1.gear.shaft];
  const auto& shaft_2 = draft.shafts[gear_2.gear.shaft];
  if (!shaft_1 || !shaft_2 || !shaft_1->shaft.at || !shaft_2->shaft.at) {
    return std::nullopt;
  }
  return geometry::distance(*shaft_1->shaft.at, *shaft_2->shaft.at);
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
  const auto deviation = read_tolerance<units::Length>(deviation_field);
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

std::string differing(const std::string& what, const std::string& of_1, const std::string& of_2) {
  return "the gears of a mesh need the same " + what + ", but have " + of_1 + " and " + of_2;
}

/// Teeth of two external gears lean opposite ways to meet, those of a gear and its ring the same
/// way.
void check_hands(const Field& gears_field, const GearDraft& one, const GearDraft& two) {
  const bool same = *one.hand == *two.hand;
  const bool internal = one.gear.body.internal() || two.gear.body.internal();
  if (!internal && same) {
    gears_field.report(std::string("both gears have the hand \"") +
                       (*one.hand == Hand::left ? "left" : "right") +
                       "\"; allowed in an external mesh is one left and one right");
  } else if (internal && !same) {
    gears_field.report(
        "one gear has the hand \"left\", the other \"right\"; allowed in an internal mesh are two "
        "gears of the same hand");
  }
}

/// Reports what keeps a gear from running in a ring gear.
void check_internal(const Field& gears_field, const GearDraft& one, const GearDraft& two) {
  const std::string name_1 = in_quotes(one.gear.id);
  const std::string name_2 = in_quotes(two.gear.id);
  if (one.gear.body.internal() && two.gear.body.internal()) {
    gears_field.report("both gears are internal, " + name_1 + " and " + name_2 +
                       "; allowed in a mesh is one internal gear at most");
    return;
  }
  const bool ring_first = one.gear.body.internal();
  if (ring_first) {
    gears_field.report("the internal gear " + name_1 +
                       " stands first; allowed is it as the second gear, [" + name_2 + ", " +
                       name_1 + "]");
  }
  const int teeth = (ring_first ? two : one).gear.body.teeth();
  const int of_ring = (ring_first ? one : two).gear.body.teeth();
  if (!(of_ring > teeth)) {
    gears_field.report("the internal gear " + (ring_first ? name_1 : name_2) + " has " +
                       std::to_string(of_ring) + " teeth and the gear " +
                       (ring_first ? name_2 : name_1) + " in it " + std::to_string(teeth) +
                       "; allowed is an internal gear with more teeth than that, at least " +
                       std::to_string(teeth + 1));
  }
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
  } else if (body_1.helix_angle() > units::Angle() && one.hand && two.hand) {
    check_hands(gears_field, one, two);
  }
  if (body_1.internal() || body_2.internal()) {
    check_internal(gears_field, one, two);
  }
}

/// Reports base circles that overlap at the least centre distance of the drawing; of a ring gear, a
/// base circle that touches that of the gear in it.
void check_base_circles(const Field& place, const GearDraft& one, const GearDraft& two,
                        const CentreDistance& distance, units::Length off_places) {
  const units::Length r_b1 = 0.5 * one.gear.body.base_diameter();
  const units::Length r_b2 = 0.5 * two.gear.body.base_diameter();
  const bool internal = one.gear.body.internal() || two.gear.body.internal();
  const units::Length bound = one.gear.body.internal()   ? r_b1 - r_b2
                              : two.gear.body.internal() ? r_b2 - r_b1
                                                         : r_b1 + r_b2;
  const units::Length least =
      distance.nominal + (distance.deviation ? distance.deviation->band.low : -off_places);
  if (!(bound < least)) {
    place.report("the centre distance of " + in_mm(least) +
                 (distance.deviation             ? ", with its lower deviation,"
                  : off_places > units::Length() ? ", with the position tolerance of its shafts,"
                                                 : "") +
                 " is too small for these gears; allowed is one above " + in_mm(bound) + ", the " +
                 (internal ? "difference" : "sum") + " of their base radii");
  }
}

/// Position tolerances of both shafts go with their places and instead of the deviation. Returns by
/// how much they may bring the shafts closer.
units::Length check_position_tolerances(const Draft& draft, const GearDraft& one,
                                        const GearDraft& two, const std::string& mesh,
                                        const Field& deviation_field) {
  units::Length closer;
  for (const std::size_t shaft : {one.gear.shaft, two.gear.shaft}) {
    if (!draft.shafts[shaft] || !draft.shafts[shaft]->position_tolerance) {
      continue;
    }
    const Field& tolerance_field = *draft.shafts[shaft]->position_tolerance;
    closer += 0.5 * draft.shafts[shaft]->shaft.position_tolerance.value_or(units::Length());
    const std::string& name = draft.shaft_names.name(shaft);
    if (deviation_field.given()) {
      deviation_field.report("read a deviation of the centre distance, but the shaft " +
                             in_quotes(name) + " has a position_tolerance at " +
                             deviation_field.file().place(tolerance_field.offset()) +
                             "; allowed is one of them for the same tolerance");
    }
    for (const std::size_t other : {one.gear.shaft, two.gear.shaft}) {
      if (draft.shafts[other] && lacks(draft.shafts[other]->self, "at")) {
        tolerance_field.report("the shaft " + in_quotes(draft.shaft_names.name(other)) +
                               " has no \"at\"; needed are the places of both shafts of the mesh " +
                               in_quotes(mesh) +
                               ", since a position tolerance acts along their line of centres");
      }
    }
  }
  return closer;
}

std::optional<design::AxisParallelism> read_parallelism(const Field& field) {
  auto object =
      read_object(field, "an object with over and one or both of f_sigma_delta and f_sigma_beta");
  if (!object) {
    return std::nullopt;
  }
  design::AxisParallelism result;
  const Field delta_field = object->optional("f_sigma_delta");
  const Field beta_field = object->optional("f_sigma_beta");
  bool good = take_given(result.f_sigma_delta, delta_field, read_signed_limit(delta_field));
  good = take_given(result.f_sigma_beta, beta_field, read_signed_limit(beta_field)) && good;
  const auto over = read_quantity<units::Length>(object->required("over"), length_above_zero);
  if (!delta_field.given() && !beta_field.given()) {
    field.report(
        R"(read neither of "f_sigma_delta" and "f_sigma_beta"; needed is at least one of them)");
    good = false;
  }
  object->refuse_unknown_keys();
  if (!good || !over) {
    return std::nullopt;
  }
  result.over = *over;
  return result;
}

std::optional<design::Separation> read_separation(const Field& field) {
  const auto* text = field.given() ? std::get_if<std::string>(&field.value().data) : nullptr;
  if (text != nullptr && units::try_parse<units::Compliance>(*text)) {
    const auto per_force = read_quantity<units::Compliance>(field, separation_rule);
    return per_force ? std::optional(design::Separation{std::nullopt, per_force}) : std::nullopt;
  }
  const auto fixed = read_quantity<units::Length>(field, separation_rule);
  return fixed ? std::optional(design::Separation{fixed, std::nullopt}) : std::nullopt;
}

/// The phase between the run-outs of a pair that keeps it.
std::optional<units::Angle> read_timing(const Field& field, const GearDraft* one,
                                        const GearDraft* two) {
  auto phase = read_quantity<units::Angle>(field, {"an angle", rules::any});
  if (!field.given() || one == nullptr || two == nullptr) {
    return phase;
  }
  if (one->gear.body.teeth() != two->gear.body.teeth()) {
    field.report("read \"timed\" on gears of " + std::to_string(one->gear.body.teeth()) + " and " +
                 std::to_string(two->gear.body.teeth()) +
                 " teeth; allowed is it only where both have the same number, since others change "
                 "their phase from turn to turn");
  }
  for (const GearDraft* gear : {one, two}) {
    if (!gear->gear.run_out) {
      field.report("read \"timed\", but the gear " + in_quotes(gear->gear.id) +
                   " has no run-out; needed is the run_out or the accuracy_class of both gears");
    }
  }
  return phase;
}

std::vector<design::OwnTerm> read_contributions(Draft& draft, const Field& field) {
  std::vector<design::OwnTerm> terms;
  const auto entries = read_list(field, "a list of up to 1000 contributions", 0, most_entries);
  if (!entries) {
    return terms;
  }
  for (const Field& entry : *entries) {
    auto object = read_object(entry, "a contribution, an object with id, on and value");
    if (!object) {
      continue;
    }
    const Field id_field = object->required("id");
    const auto id = read_name(id_field, "the contribution's name");
    draft.own_term_names.add(id, id_field);
    using On = design::OwnTerm::On;
    const auto on = read_choice<On>(
        object->required("on"),
        {{"centre_distance", On::centre_distance}, {"normal_backlash", On::normal_backlash}});
    const auto value = read_tolerance<units::Length>(object->required("value"));
    object->refuse_unknown_keys();
    if (id && on && value) {
      draft.own_terms.emplace(*id, id_field);
      terms.push_back({*id, *on, *value});
    }
  }
  return terms;
}

/// The two gears of a mesh; null where the file does not say which.
struct Pair {
  std::size_t gear_1 = 0;
  std::size_t gear_2 = 0;
  const GearDraft* one = nullptr;
  const GearDraft* two = nullptr;

  [[nodiscard]] bool known() const { return one != nullptr && two != nullptr; }
  [[nodiscard]] bool on_two_shafts() const { return known() && one->gear.shaft != two->gear.shaft; }
  [[nodiscard]] bool has_ring() const {
    return one->gear.body.internal() || two->gear.body.internal();
  }
  [[nodiscard]] bool of_two_rings() const {
    return one->gear.body.internal() && two->gear.body.internal();
  }
};

Pair read_pair(const Draft& draft, const Field& field) {
  Pair pair;
  const auto gears = read_list(field, "a list of the names of two gears", 2, 2);
  if (!gears) {
    return pair;
  }
  const auto index_1 = draft.gear_names.find((*gears)[0]);
  const auto index_2 = draft.gear_names.find((*gears)[1]);
  if (index_1 && index_2 && *index_1 == *index_2) {
    field.report("read the gear " + in_quotes(draft.gear_names.name(*index_1)) +
                 " twice; allowed are two different gears");
  } else if (index_1 && index_2) {
    pair.gear_1 = *index_1;
    pair.gear_2 = *index_2;
    pair.one = draft.gears[*index_1] ? &*draft.gears[*index_1] : nullptr;
    pair.two = draft.gears[*index_2] ? &*draft.gears[*index_2] : nullptr;
  }
  if (pair.known()) {
    check_pair(draft, field, *pair.one, *pair.two);
  }
  return pair;
}

std::optional<design::Mesh> read_mesh(Draft& draft, const Field& entry) {
  auto object = read_object(entry, "a mesh, an object with id, gears and centre_distance");
  if (!object) {
    draft.mesh_names.add(std::nullopt, entry);
    return std::nullopt;
  }
  design::Mesh mesh;
  const Field id_field = object->required("id");
  const auto id = read_name(id_field, "the mesh's name");
  draft.mesh_names.add(id, id_field);
  mesh.id = id.value_or("");

  const Pair pair = read_pair(draft, object->required("gears"));
  mesh.gear_1 = pair.gear_1;
  mesh.gear_2 = pair.gear_2;
  if (pair.on_two_shafts() && !pair.of_two_rings()) {
    draft.joined.back() = train::Mesh{
        .id = shown(mesh.id),  // it is for messages
        .shaft_1 = pair.one->gear.shaft,
        .shaft_2 = pair.two->gear.shaft,
        .teeth_1 = pair.one->gear.body.teeth(),
        .teeth_2 = pair.two->gear.body.teeth(),
        .kind = pair.has_ring() ? train::Mesh::Kind::internal : train::Mesh::Kind::external};
  }
  const Field distance_field = object->optional("centre_distance");
  const bool shafts_known =
      pair.known() && draft.shafts[pair.one->gear.shaft] && draft.shafts[pair.two->gear.shaft];
  const auto distance = read_centre_distance(
      distance_field,
      pair.on_two_shafts() ? distance_of_shafts(draft, *pair.one, *pair.two) : std::nullopt,
      shafts_known, entry);
  units::Length off_places;
  if (pair.on_two_shafts()) {
    off_places = check_position_tolerances(draft, *pair.one, *pair.two, mesh.id,
                                           member_of(distance_field, "deviation"));
  }
  if (distance && pair.on_two_shafts() && !pair.of_two_rings()) {
    check_base_circles(distance_field.given() ? distance_field : entry, *pair.one, *pair.two,
                       *distance, off_places);
  }
  if (distance && !distance->deviation && !(off_places > units::Length())) {
    draft.remarks.without_deviation.push_back(mesh.id);
  }

  const Field parallelism_field = object->optional("axis_parallelism");
  mesh.parallelism = read_parallelism(parallelism_field);
  if (!parallelism_field.given()) {
    draft.remarks.without_parallelism.push_back(mesh.id);
  }
  mesh.run_out_phase = read_timing(object->optional("timed"), pair.one, pair.two);
  mesh.wear = read_magnitude(object->optional("wear"));
  mesh.separation = read_separation(object->optional("separation"));
  mesh.own_terms = read_contributions(draft, object->optional("contributions"));
  mesh.require =
      read_requirements(draft, object->optional("require"), mesh.id,
                        distance ? std::optional(distance->nominal) : std::nullopt,
                        pair.known() ? std::optional(pair.one->gear.body.module()) : std::nullopt);
  object->refuse_unknown_keys();
  if (!id || !pair.known() || !distance) {
    return std::nullopt;
  }
  mesh.centre_distance = distance->nominal;
  mesh.centre_distance_deviation = distance->deviation;
  return mesh;
}

}  // namespace

void read_meshes(Draft& draft, const Field& list) {
  const auto entries = read_list(list, "a list of 1 to 10000 meshes", 1, most_parts);
  if (!entries) {
    draft.mesh_names.mark_incomplete();
    return;
  }
  for (const Field& entry : *entries) {
    draft.joined.emplace_back();
    draft.meshes_written.push_back(entry);
    draft.meshes.push_back(read_mesh(draft, entry));
  }
}

}  // namespace lashband::io
