#include "shaft_places.hpp"

#include <algorithm>

namespace lashband::design {

using units::from_si;
using units::Length;

ShaftPlaces::ShaftPlaces(const Design& design, const Contributors& contributors,
                         const std::vector<std::size_t>& meshes)
    : contributors_(contributors) {
  const auto shafts_of = [&design](std::size_t mesh) {
    const Mesh& one = design.meshes[mesh];
    return std::pair(design.gears[one.gear_1].shaft, design.gears[one.gear_2].shaft);
  };
  for (const std::size_t mesh : meshes) {
    const auto [shaft_1, shaft_2] = shafts_of(mesh);
    shafts_.push_back(shaft_1);
    shafts_.push_back(shaft_2);
  }
  std::sort(shafts_.begin(), shafts_.end());
  shafts_.erase(std::unique(shafts_.begin(), shafts_.end()), shafts_.end());
  const auto place_of = [this](std::size_t shaft) {
    return static_cast<std::size_t>(std::lower_bound(shafts_.begin(), shafts_.end(), shaft) -
                                    shafts_.begin());
  };
  ends_.reserve(meshes.size());
  for (const std::size_t mesh : meshes) {
    const auto [shaft_1, shaft_2] = shafts_of(mesh);
    ends_.emplace_back(place_of(shaft_1), place_of(shaft_2));
  }
  drawn_.reserve(shafts_.size());
  for (std::size_t place = 0; place < shafts_.size(); ++place) {
    drawn_.push_back(design.shafts[shafts_[place]].at);
    const ShaftDraws& draws = contributors.shaft(shafts_[place]);
    if (draws.position_x && draws.position_y && drawn_.back()) {
      moved_.push_back({place, *draws.position_x, *draws.position_y});
    }
  }
}

ShaftPlaces::Places ShaftPlaces::at(const std::vector<double>& y) const {
  Places places = drawn_;
  const std::vector<Contributor>& all = contributors_.all();
  const auto by = [&](std::size_t draw) {
    return from_si<Length>(all[draw].mid + all[draw].reach * y[draw]);
  };
  for (const Moved& moved : moved_) {
    places[moved.place]->x += by(moved.x);
    places[moved.place]->y += by(moved.y);
  }
  return places;
}

}  // namespace lashband::design
