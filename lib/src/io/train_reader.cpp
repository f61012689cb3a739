#include <algorithm>
#include <utility>

#include "io/design_draft.hpp"
#include "lashband/error.hpp"

// The train as a whole: whether it can turn, what speeds are referred to, what is asked of it.
namespace lashband::io {
namespace {

/// Loops that cannot turn are looked for one after the other, each without those before.
constexpr std::size_t most_loop_faults = 10;
/// Longer loops are cut in messages.
constexpr std::size_t most_steps_shown = 12;
/// Ratios of long trains have hundreds of digits.
constexpr std::size_t longest_ratio = 40;

constexpr ValueRule allowed_motion{"an angle of at least 0", rules::not_below_zero};
constexpr ValueRule order_rule{"an order, a number above 0 and up to 1000",
                               [](double order) { return order > 0.0 && order <= 1000.0; }};

std::string text_of_loop(const Draft& draft, train::Loop loop,
                         const std::vector<train::Mesh>& meshes) {
  std::vector<std::string> shafts;
  shafts.reserve(draft.shaft_names.size());
  for (const std::string& name : draft.shaft_names.all()) {
    shafts.push_back(shown(name));
  }
  const std::size_t steps = loop.steps.size();
  if (steps <= most_steps_shown) {
    return train::text_of(loop, shafts, meshes);
  }
  loop.steps.resize(most_steps_shown);
  return train::text_of(loop, shafts, meshes) + " - … (" + std::to_string(steps) +
         " meshes in all)";
}

std::string why_it_cannot_turn(const train::LoopFault& fault,
                               const std::vector<train::Mesh>& meshes) {
  if (fault.reversed) {
    const auto external = std::count_if(
        fault.loop.steps.begin(), fault.loop.steps.end(), [&meshes](const train::Step& step) {
          return meshes[step.mesh].kind == train::Mesh::Kind::external;
        });
    return "it has an odd number of external meshes, " + std::to_string(external) +
           ", so that its first shaft would have to turn both ways; allowed is an even number";
  }
  const std::string product = train::text_of(fault.product);
  return "by its tooth numbers, its first shaft would have to turn " +
         (product.size() <= longest_ratio ? product + " times" : std::string("not")) +
         " as fast as it does; allowed are tooth numbers whose ratios come to 1 around the loop";
}

/// Reports loops that cannot turn, each at the mesh that closes it. Returns whether all meshes are
/// known and all loops turn.
bool check_loops(const Draft& draft) {
  std::vector<train::Mesh> meshes;
  std::vector<std::size_t> places;  // in the file
  for (std::size_t i = 0; i < draft.joined.size(); ++i) {
    if (draft.joined[i]) {
      meshes.push_back(*draft.joined[i]);
      places.push_back(i);
    }
  }
  bool good = !meshes.empty() && meshes.size() == draft.joined.size();
  for (std::size_t found = 0; found < most_loop_faults; ++found) {
    const auto fault = train::loop_fault(draft.shaft_names.size(), meshes);
    if (!fault) {
      return good;
    }
    good = false;
    const std::size_t closing = fault->loop.steps.front().mesh;
    draft.meshes_written[places[closing]].report(
        "the loop " + text_of_loop(draft, fault->loop, meshes) +
        " cannot turn: " + why_it_cannot_turn(*fault, meshes));
    meshes.erase(meshes.begin() + static_cast<std::ptrdiff_t>(closing));
    places.erase(places.begin() + static_cast<std::ptrdiff_t>(closing));
  }
  return false;
}

/// Reports what keeps the train from turning about the arm; yields the speeds otherwise.
std::optional<train::SpeedOrders> orders_with_arm(Draft& draft, std::size_t held,
                                                  const Field& arm_field, const Field& held_field) {
  const train::Train* all = train_of(draft);
  if (all == nullptr) {
    return std::nullopt;
  }
  const std::vector<train::Mesh>& meshes = all->meshes();
  const std::size_t group = all->group(meshes.front().shaft_1);
  for (std::size_t i = 0; i < meshes.size(); ++i) {
    if (all->group(meshes[i].shaft_1) != group) {
      arm_field.report("nothing joins the meshes " + in_quotes(draft.mesh_names.name(0)) + " and " +
                       in_quotes(draft.mesh_names.name(i)) +
                       "; allowed beside a planet arm are meshes that are all of one group, since "
                       "all of their shafts sit in the arm");
      return std::nullopt;
    }
  }
  const std::size_t reference = draft.train.settings.reference;
  for (const std::size_t shaft : {held, reference}) {
    if (all->group(shaft) != group) {
      (shaft == held ? held_field : arm_field)
          .report("the shaft " + in_quotes(draft.shaft_names.name(shaft)) + ", " +
                  (shaft == held ? "which is held" : "which speeds are referred to") +
                  ", is in no mesh; allowed is a shaft of the meshes");
      return std::nullopt;
    }
  }
  if (all->ratio(held) == all->ratio(reference)) {
    held_field.report("with the shaft " + in_quotes(draft.shaft_names.name(held)) +
                      " held nothing can turn: against the arm it turns exactly as " +
                      in_quotes(draft.shaft_names.name(reference)) +
                      ", which speeds are referred to; allowed is a shaft that turns differently");
    return std::nullopt;
  }
  return train::speed_orders(*all, train::PlanetArm{held}, train::Reference{reference});
}

void read_arm(Draft& draft, const Field& field, bool reference_known) {
  if (!field.given()) {
    return;
  }
  TrainDraft& train = draft.train;
  train.arm_in_doubt = true;
  auto object = read_object(field, "a planet arm, an object with id and held");
  if (!object) {
    return;
  }
  const Field id_field = object->required("id");
  const auto id = read_name(id_field, "the arm's name");
  if (id && draft.shaft_names.contains(*id)) {
    id_field.report("read " + in_quotes(*id) +
                    ", which a shaft is called; allowed is another name");
  }
  const Field held_field = object->required("held");
  const auto held = draft.shaft_names.find(held_field);
  object->refuse_unknown_keys();
  if (!id || !held || !reference_known) {
    return;
  }
  if (*held == train.settings.reference) {
    held_field.report("read " + held_field.as_read() + ", the shaft that speeds are referred to" +
                      (train.settings.reference_given
                           ? std::string()
                           : ", which is the first one where \"reference\" is left out") +
                      "; a held shaft stands still, so that allowed is another one");
    return;
  }
  train.settings.arm = design::PlanetArm{*id, *held};
  train.orders = orders_with_arm(draft, *held, field, held_field);
  train.arm_in_doubt = !train.orders;
}

void read_lost_motion(Draft& draft, const Field& list) {
  const auto entries = read_list(list, "a list of up to 10000 pairs of shafts", 0, most_parts);
  if (!entries) {
    return;
  }
  std::map<std::pair<std::size_t, std::size_t>, std::size_t> seen;  // and where
  for (const Field& entry : *entries) {
    auto object = read_object(entry, "a pair of shafts, an object with of and held");
    if (!object) {
      continue;
    }
    const auto of = draft.shaft_names.find(object->required("of"));
    const Field held_field = object->required("held");
    const auto held = draft.shaft_names.find(held_field);
    const Field greatest_field = object->optional("greatest");
    const auto greatest = read_quantity<units::Angle>(greatest_field, allowed_motion);
    const design::Basis basis = read_basis(object->optional("basis"));
    object->refuse_unknown_keys();
    if (!of || !held) {
      continue;
    }
    const std::string pair =
        in_quotes(draft.shaft_names.name(*of)) + " and " + in_quotes(draft.shaft_names.name(*held));
    if (*of == *held) {
      held_field.report("read the shaft " + held_field.as_read() +
                        " twice; allowed are two different shafts");
      continue;
    }
    const auto [earlier, is_new] = seen.emplace(std::pair(*of, *held), entry.offset());
    if (!is_new) {
      entry.report("read the pair of " + pair + " again, which stands at " +
                   entry.file().place(earlier->second) + " already; allowed is each pair once");
      continue;
    }
    const train::Train* all = train_of(draft);
    if (all != nullptr && all->group(*of) != all->group(*held)) {
      entry.report("nothing joins the shafts " + pair +
                   ": no way over meshes leads from one to the other; allowed are shafts that "
                   "meshes join");
      continue;
    }
    draft.train.settings.lost_motion.push_back({*of, *held, greatest, basis});
  }
}

}  // namespace

const train::Train* train_of(Draft& draft) {
  TrainDraft& result = draft.train;
  if (result.turns && !result.train) {
    std::vector<train::Mesh> meshes;
    meshes.reserve(draft.joined.size());
    for (const auto& mesh : draft.joined) {
      meshes.push_back(*mesh);
    }
    result.train.emplace(draft.shaft_names.all(), std::move(meshes));
  }
  return result.train ? &*result.train : nullptr;
}

void read_train(Draft& draft, const Field& field) {
  draft.train.turns = check_loops(draft);
  auto object = field.given()
                    ? read_object(field, "an object with reference, planet_arm and lost_motion")
                    : std::nullopt;
  if (!object) {
    return;
  }
  const Field reference_field = object->optional("reference");
  const auto reference =
      reference_field.given() ? draft.shaft_names.find(reference_field) : std::nullopt;
  const Field arm_field = object->optional("planet_arm");
  const Field lost_motion_field = object->optional("lost_motion");
  object->refuse_unknown_keys();
  draft.train.settings.reference = reference.value_or(0);
  draft.train.settings.reference_given = reference.has_value();
  read_arm(draft, arm_field, reference || !reference_field.given());
  read_lost_motion(draft, lost_motion_field);
}

void read_excitations(Draft& draft, const Field& list) {
  const auto entries = read_list(list, "a list of up to 1000 excitations", 0, most_entries);
  if (!entries) {
    return;
  }
  Names names("excitation", "excitations");
  for (const Field& entry : *entries) {
    auto object = read_object(entry, "an excitation, an object with id, shaft and orders");
    if (!object) {
      continue;
    }
    const Field id_field = object->required("id");
    const auto id = read_name(id_field, "the excitation's name");
    names.add(id, id_field);
    const auto shaft = draft.shaft_names.find(object->required("shaft"));
    const auto orders =
        read_list(object->required("orders"), "a list of 1 to 1000 orders, such as [1, 2, 3.5]", 1,
                  most_entries);
    object->refuse_unknown_keys();
    std::vector<double> read;
    for (const Field& order : orders.value_or(std::vector<Field>{})) {
      if (const auto number = read_number(order, order_rule)) {
        read.push_back(*number);
      }
    }
    if (id && shaft && !read.empty()) {
      draft.excitations.push_back({*id, *shaft, std::move(read)});
    }
  }
}

}  // namespace lashband::io
