#include <cmath>
#include <utility>

#include "io/design_draft.hpp"
#include "lashband/units/plain_number.hpp"

namespace lashband::io {
namespace {

/// How far the shares of a path may be from 1 in sum: what rounding in nine decimals leaves.
constexpr double share_tolerance = 1e-9;
/// Decimals of a wrong sum in the message: enough to show what breaks the tolerance.
constexpr int sum_decimals = 10;

constexpr ValueRule length_above_zero{"a length above 0", rules::above_zero};
constexpr ValueRule stiffness_above_zero{"a stiffness above 0", rules::above_zero};

enum class CarrierKind { plain, path, insert, walls };

constexpr std::size_t number_of_walls = 2;

enum class JointKind { rigid, elastic, clearance, friction };

/// Reads a key that may be left out; `good` becomes false where what is given cannot be read.
template <class Q>
std::optional<Q> read_optional(const Field& field, const ValueRule& rule, bool& good) {
  if (!field.given()) {
    return std::nullopt;
  }
  auto value = read_quantity<Q>(field, rule);
  good = good && value;
  return value;
}

std::optional<thermal::PlainCarrier> read_plain(Draft& draft, ObjectReader& object,
                                                const std::string& user) {
  const auto solid = read_strained_solid(draft, object, user);
  return solid ? std::optional(thermal::PlainCarrier{*solid}) : std::nullopt;
}

std::optional<thermal::PathCarrier> read_path(Draft& draft, ObjectReader& object,
                                              const std::string& user) {
  const Field list = object.required("segments");
  const auto entries = read_list(list, "a list of 1 to 1000 segments", 1, most_entries);
  if (!entries) {
    return std::nullopt;
  }
  thermal::PathCarrier path;
  for (const Field& entry : *entries) {
    auto segment = read_object(entry, "a segment, an object with material, zone and share");
    if (!segment) {
      continue;
    }
    const auto solid = read_strained_solid(draft, *segment, user);
    const auto share =
        read_number(segment->required("share"), {"a share of the way, a number above 0 and up to 1",
                                                 [](double s) { return s > 0.0 && s <= 1.0; }});
    segment->refuse_unknown_keys();
    if (solid && share) {
      path.segments.push_back({*solid, *share});
    }
  }
  if (path.segments.size() != entries->size()) {
    return std::nullopt;
  }
  double sum = 0.0;
  for (const thermal::PathSegment& segment : path.segments) {
    sum += segment.share;
  }
  if (!(std::abs(sum - 1.0) <= share_tolerance)) {
    list.report("the shares add up to " + units::fixed_number(sum, sum_decimals) +
                "; allowed is a sum of 1 within 1e-9");
    return std::nullopt;
  }
  return path;
}

std::optional<thermal::HeldPart> read_held_part(Draft& draft, const Field& field,
                                                const std::string& user) {
  auto object = read_object(field, "an object with material, zone and either section or stiffness");
  if (!object) {
    return std::nullopt;
  }
  bool good = true;
  const bool has_section = object->has("section");
  const bool has_stiffness = object->has("stiffness");
  const auto solid = read_strained_solid(
      draft, *object, user,
      {.youngs_modulus = has_section, .poissons_ratio = false, .why = "where a section is given"});
  thermal::HeldPart part;
  part.section = read_optional<units::Area>(object->optional("section"),
                                            {"an area above 0", rules::above_zero}, good);
  part.stiffness = read_optional<units::LinearStiffness>(object->optional("stiffness"),
                                                         stiffness_above_zero, good);
  if (has_section == has_stiffness) {
    field.report(std::string("read ") + (has_section ? "both" : "neither") +
                 R"( of "section" and "stiffness"; allowed is exactly one of them)");
    good = false;
  }
  object->refuse_unknown_keys();
  if (!good || !solid) {
    return std::nullopt;
  }
  part.solid = *solid;
  return part;
}

/// A stop of a clearance joint: a length, or "none" where there is no stop.
std::optional<std::optional<units::Length>> read_stop(const Field& field) {
  constexpr ValueRule rule{"a length of at least 0, or \"none\"", rules::not_below_zero};
  const auto* text = field.given() ? std::get_if<std::string>(&field.value().data) : nullptr;
  if (text != nullptr && *text == "none") {
    return std::optional<std::optional<units::Length>>(std::in_place);
  }
  const auto length = read_quantity<units::Length>(field, rule);
  if (!length) {
    return std::nullopt;
  }
  return std::optional<std::optional<units::Length>>(std::in_place, *length);
}

std::optional<thermal::Joint> read_clearance(ObjectReader& object,
                                             const std::optional<units::LinearStiffness>& stiffness,
                                             bool good) {
  const bool has_both = object.has("clearance");
  const bool has_squeeze = object.has("squeeze");
  const bool has_stretch = object.has("stretch");
  if (has_both && (has_squeeze || has_stretch)) {
    object.self().report(
        "read \"clearance\" beside \"squeeze\" or \"stretch\"; allowed is \"clearance\" for both "
        "ways, or \"squeeze\" and \"stretch\"");
    return std::nullopt;
  }
  thermal::ClearanceJoint joint;
  joint.stiffness = stiffness;
  if (has_both) {
    const auto clearance = read_quantity<units::Length>(
        object.required("clearance"), {"a length of at least 0", rules::not_below_zero});
    joint.squeeze = clearance;
    joint.stretch = clearance;
    good = good && clearance;
  } else {
    const auto squeeze = read_stop(object.required("squeeze"));
    const auto stretch = read_stop(object.required("stretch"));
    good = good && squeeze && stretch;
    joint.squeeze = squeeze.value_or(std::nullopt);
    joint.stretch = stretch.value_or(std::nullopt);
  }
  return good ? std::optional(thermal::Joint(joint)) : std::nullopt;
}

std::optional<thermal::Joint> read_joint(const Field& field) {
  auto object = read_object(field, "a joint, an object with kind and what that kind needs");
  if (!object) {
    return std::nullopt;
  }
  const auto kind =
      read_choice<JointKind>(object->required("kind"), {{"rigid", JointKind::rigid},
                                                        {"elastic", JointKind::elastic},
                                                        {"clearance", JointKind::clearance},
                                                        {"friction", JointKind::friction}});
  if (!kind) {
    return std::nullopt;  // which keys are allowed depends on the kind
  }
  bool good = true;
  std::optional<thermal::Joint> joint;
  const auto stiffness = [&] {
    return read_optional<units::LinearStiffness>(object->optional("stiffness"),
                                                 stiffness_above_zero, good);
  };
  switch (*kind) {
    case JointKind::rigid:
      joint = thermal::RigidJoint{};
      break;
    case JointKind::elastic:
      if (const auto k = read_quantity<units::LinearStiffness>(object->required("stiffness"),
                                                               stiffness_above_zero)) {
        joint = thermal::ElasticJoint{*k};
      }
      break;
    case JointKind::clearance: {
      const auto k = stiffness();
      joint = read_clearance(*object, k, good);
      break;
    }
    case JointKind::friction: {
      const auto k = stiffness();
      const auto slip_force = read_quantity<units::Force>(
          object->required("slip_force"), {"a force of at least 0", rules::not_below_zero});
      if (slip_force && good) {
        joint = thermal::FrictionJoint{*slip_force, k};
      }
      break;
    }
  }
  object->refuse_unknown_keys();
  return joint;
}

bool has_stiffness(const thermal::Joint& joint) {
  if (const auto* clearance = std::get_if<thermal::ClearanceJoint>(&joint)) {
    return clearance->stiffness.has_value();
  }
  if (const auto* friction = std::get_if<thermal::FrictionJoint>(&joint)) {
    return friction->stiffness.has_value();
  }
  return std::holds_alternative<thermal::ElasticJoint>(joint);
}

std::optional<thermal::InsertCarrier> read_insert(Draft& draft, ObjectReader& object,
                                                  const std::string& user) {
  bool good = true;
  const auto insert = read_held_part(draft, object.required("insert"), "insert of " + user);
  const auto held_case = read_held_part(draft, object.required("case"), "case of " + user);
  const auto joint = read_joint(object.required("joint"));
  const Field span_field = object.optional("locating_span");
  const auto span = read_optional<units::Length>(span_field, length_above_zero, good);
  const bool needs_span = (joint && (std::holds_alternative<thermal::ClearanceJoint>(*joint) ||
                                     has_stiffness(*joint))) ||
                          (insert && insert->stiffness) || (held_case && held_case->stiffness);
  if (needs_span && !span_field.given()) {
    object.self().report(
        "the key \"locating_span\" is missing; needed is a length above 0, such as \"250 mm\", "
        "where the joint is elastic or has a clearance and where a stiffness is given");
    good = false;
  }
  if (!good || !insert || !held_case || !joint) {
    return std::nullopt;
  }
  return thermal::InsertCarrier{*insert, *held_case, span, *joint};
}

template <class T>
std::optional<thermal::Build> as_build(std::optional<T> build) {
  return build ? std::optional(thermal::Build(std::move(*build))) : std::nullopt;
}

/// The keys of one kind, walls excepted.
std::optional<thermal::Build> read_build(Draft& draft, ObjectReader& object, CarrierKind kind,
                                         const std::string& user) {
  switch (kind) {
    case CarrierKind::path:
      return as_build(read_path(draft, object, user));
    case CarrierKind::insert:
      return as_build(read_insert(draft, object, user));
    case CarrierKind::plain:
    case CarrierKind::walls:
      break;
  }
  return as_build(read_plain(draft, object, user));
}

std::optional<thermal::Wall> read_wall(Draft& draft, const Field& entry, const std::string& user) {
  auto object = read_object(entry, "a wall, an object with at, kind and what that kind needs");
  if (!object) {
    return std::nullopt;
  }
  const auto at = read_quantity<units::Length>(
      object->required("at"), {"a length, the place along the shafts", rules::any});
  const auto kind =
      read_choice<CarrierKind>(object->required("kind"), {{"plain", CarrierKind::plain},
                                                          {"path", CarrierKind::path},
                                                          {"insert", CarrierKind::insert}});
  if (!kind) {
    return std::nullopt;  // which keys are allowed depends on the kind
  }
  auto build = read_build(draft, *object, *kind, user);
  object->refuse_unknown_keys();
  return at && build ? std::optional(thermal::Wall{*at, std::move(*build)}) : std::nullopt;
}

std::optional<thermal::WallsCarrier> read_walls(Draft& draft, ObjectReader& object,
                                                const std::string& user) {
  const auto entries =
      read_list(object.required("walls"), "a list of two walls", number_of_walls, number_of_walls);
  if (!entries) {
    return std::nullopt;
  }
  auto first = read_wall(draft, (*entries)[0], "first wall of " + user);
  auto second = read_wall(draft, (*entries)[1], "second wall of " + user);
  if (!first || !second) {
    return std::nullopt;
  }
  if (first->at == second->at) {
    (*entries)[1].report("both walls stand at " + units::format(first->at, "mm") +
                         "; allowed are walls at different places");
    return std::nullopt;
  }
  return thermal::WallsCarrier{std::move(*first), std::move(*second)};
}

std::optional<thermal::Carrier> read_carrier(Draft& draft, const Field& entry) {
  auto object = read_object(entry, "a carrier, an object with id, kind and what that kind needs");
  if (!object) {
    draft.carrier_names.add(std::nullopt, entry);
    return std::nullopt;
  }
  const Field id_field = object->required("id");
  const auto id = read_name(id_field, "the carrier's name");
  draft.carrier_names.add(id, id_field);
  const auto kind =
      read_choice<CarrierKind>(object->required("kind"), {{"plain", CarrierKind::plain},
                                                          {"path", CarrierKind::path},
                                                          {"insert", CarrierKind::insert},
                                                          {"walls", CarrierKind::walls}});
  if (!kind) {
    return std::nullopt;  // which keys are allowed depends on the kind
  }
  const std::string user = "carrier " + in_quotes(id.value_or(""));
  thermal::Carrier carrier;
  carrier.id = id.value_or("");
  bool good = false;
  if (*kind == CarrierKind::walls) {
    if (auto walls = read_walls(draft, *object, user)) {
      carrier.build = std::move(*walls);
      good = true;
    }
  } else if (auto build = read_build(draft, *object, *kind, user)) {
    std::visit([&carrier](auto& one) { carrier.build = std::move(one); }, *build);
    good = true;
  }
  object->refuse_unknown_keys();
  return good ? std::optional(std::move(carrier)) : std::nullopt;
}

}  // namespace

void read_carriers(Draft& draft, const Field& list, const Field& in_use) {
  const auto entries = read_list(list, "a list of 1 to 1000 carriers", 1, most_entries);
  if (!entries) {
    draft.carrier_names.mark_incomplete();
    return;
  }
  for (const Field& entry : *entries) {
    draft.carriers.push_back(read_carrier(draft, entry));
  }
  if (!in_use.given() && entries->size() == 1) {
    return;
  }
  if (!in_use.given()) {
    in_use.report(
        "the key \"carrier\" is missing; needed is the name of the carrier in use, where "
        "there are several: one of " +
        listed(draft.carrier_names.all()));
    return;
  }
  draft.carrier_in_use = draft.carrier_names.find(in_use).value_or(0);
}

}  // namespace lashband::io
