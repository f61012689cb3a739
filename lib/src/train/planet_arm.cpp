#include "lashband/train/planet_arm.hpp"

#include "train/message.hpp"

namespace lashband::train {
namespace {

using kernel::require;

void require_shaft(const Train& train, std::size_t shaft) {
  require(shaft < train.shafts().size(), {"there is no shaft ", std::to_string(shaft), " among ",
                                          std::to_string(train.shafts().size())});
}

SpeedOrders orders_in_fixed_bores(const Train& train, std::size_t reference) {
  SpeedOrders orders;
  orders.shaft.resize(train.shafts().size());
  for (std::size_t i = 0; i < train.shafts().size(); ++i) {
    if (train.group(i) == train.group(reference)) {
      orders.shaft[i] = train.ratio(i, reference);
    }
  }
  return orders;
}

}  // namespace

SpeedOrders speed_orders(const Train& train, const std::optional<PlanetArm>& arm,
                         const Reference& reference) {
  if (reference.shaft) {
    require_shaft(train, *reference.shaft);
  }
  if (!arm) {
    require(reference.shaft.has_value(), {"speeds cannot be referred to an arm: there is none"});
    return orders_in_fixed_bores(train, *reference.shaft);
  }

  const std::size_t held = arm->held;
  require_shaft(train, held);
  const std::string& held_name = train.shafts()[held];
  SpeedOrders orders;
  orders.arm = 1;
  if (reference.shaft) {
    const std::string& name = train.shafts()[*reference.shaft];
    require(*reference.shaft != held,
            {"speeds cannot be referred to shaft '", name, "': it is held"});
    require(train.group(*reference.shaft) == train.group(held),
            {"no way over meshes joins the held shaft '", held_name, "' to shaft '", name,
             "', to which speeds are referred"});
    const ExactRatio against_held = train.ratio(*reference.shaft, held);
    require(against_held != 1,
            {"nothing can turn: shaft '", name, "' turns exactly as the held shaft '", held_name,
             "' against the arm"});
    orders.arm = 1 / ExactRatio(1 - against_held);
  }
  orders.shaft.resize(train.shafts().size());
  for (std::size_t i = 0; i < train.shafts().size(); ++i) {
    if (train.group(i) == train.group(held)) {
      orders.shaft[i] = orders.arm * (1 - train.ratio(i, held));
    }
  }
  return orders;
}

}  // namespace lashband::train
