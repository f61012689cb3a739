#include "contributors.hpp"

#include <algorithm>
#include <cmath>
#include <numbers>
#include <set>
#include <utility>

#include "lashband/design/run.hpp"
#include "lashband/units/plain_number.hpp"

namespace lashband::design {
namespace {

using tolerance::Shape;
using tolerance::Toleranced;
using units::fixed_number;
using units::Length;
using units::Ratio;

std::string signed_number(double value, int digits) {
  return (value > 0.0 ? "+" : "") + fixed_number(value, digits);
}

std::string band_text(const units::Band<Length>& band) {
  constexpr double micrometre = 1e6;
  const double low = micrometre * band.low.value();
  const double high = micrometre * band.high.value();
  if (low == -high) {
    return "±" + fixed_number(high, 1) + " µm";
  }
  return signed_number(low, 1) + " .. " + signed_number(high, 1) + " µm";
}

std::string band_text(const units::Band<Ratio>& band) {
  constexpr double percent = 100.0;
  return signed_number(percent * band.low.value(), 3) + " .. " +
         signed_number(percent * band.high.value(), 3) + " %";
}

std::string relative_text(double uncertainty) {
  return "±" + fixed_number(100.0 * uncertainty, 1) + " % of it";
}

// The group that a material belongs to, if any.
const ExpansionGroup* group_of(const Design& design, const std::string& material) {
  for (const ExpansionGroup& group : design.expansion_groups) {
    if (std::find(group.materials.begin(), group.materials.end(), material) !=
        group.materials.end()) {
      return &group;
    }
  }
  return nullptr;
}

}  // namespace

template <class Q>
Draw Contributors::add(const std::string& id, const std::string& what,
                       const std::optional<Toleranced<Q>>& value, Contributor::Kind kind) {
  if (!value || !(value->reach().value() > 0.0)) {
    return std::nullopt;
  }
  all_.push_back({id, what, band_text(value->band), kind, value->shape, value->mid().value(),
                  value->reach().value()});
  return all_.size() - 1;
}

SolidDraws Contributors::add_solid(const Design& design, const std::string& user,
                                   const thermal::Solid& solid) {
  SolidDraws draws;
  const std::string& material = solid.material->id();
  const ExpansionGroup* group = group_of(design, material);
  const auto& own = solid.material->elongation().uncertainty();
  const double uncertainty = group != nullptr ? group->uncertainty : own ? own->value() : 0.0;
  if (uncertainty > 0.0) {
    const std::string name = group != nullptr ? group->id : material;
    // A group and a material outside it may have the same name.
    const std::string key = (group != nullptr ? "group " : "material ") + name;
    if (!elongations_.contains(key)) {
      all_.push_back({"elongation " + name, "free elongation of " + name,
                      relative_text(uncertainty), Contributor::Kind::elongation,
                      group != nullptr ? group->shape : Shape::normal(), 0.0, uncertainty});
      elongations_[key] = all_.size() - 1;
    }
    draws.elongation = elongations_[key];
  }
  draws.permanent = add("permanent strain " + user, "permanent strain of " + user,
                        solid.permanent_strain, Contributor::Kind::elongation);
  draws.moisture = add("moisture strain " + user, "moisture strain of " + user,
                       solid.moisture_strain, Contributor::Kind::elongation);
  return draws;
}

Contributors::Contributors(const Design& design, const thermal::Carrier& carrier) {
  using Kind = Contributor::Kind;
  for (const Gear& gear : design.gears) {
    GearDraws draws;
    const std::string of = " of gear " + gear.id;
    draws.thickness =
        add("E_sn " + gear.id, "tooth thickness" + of, gear.thickness_allowance, Kind::dimension);
    draws.run_out = add("F_r " + gear.id, "run-out" + of, gear.run_out, Kind::magnitude);
    draws.pitch =
        add("f_pb " + gear.id, "base pitch deviation" + of, gear.pitch_deviation, Kind::magnitude);
    draws.helix =
        add("F_beta " + gear.id, "helix deviation" + of, gear.helix_deviation, Kind::dimension);
    draws.solid = add_solid(design, gear.id, gear.solid);
    gears_.push_back(draws);
  }
  for (const Shaft& shaft : design.shafts) {
    ShaftDraws draws;
    if (shaft.position_tolerance) {
      const Length half = 0.5 * *shaft.position_tolerance;
      const std::optional<Toleranced<Length>> zone{tolerance::symmetrical(half)};
      const std::string what = "bore position of shaft " + shaft.id;
      draws.position_x = add("position x " + shaft.id, what + ", along x", zone, Kind::dimension);
      draws.position_y = add("position y " + shaft.id, what + ", along y", zone, Kind::dimension);
    }
    draws.axial_float = add("axial float " + shaft.id, "axial float of shaft " + shaft.id,
                            shaft.axial_float, Kind::magnitude);
    if (shaft.solid) {
      draws.solid = add_solid(design, "shaft " + shaft.id, *shaft.solid);
    }
    if (shaft.preload) {
      draws.preload_case =
          add_solid(design, "case of shaft " + shaft.id, shaft.preload->case_solid);
    }
    for (const Bearing& bearing : shaft.bearings) {
      BearingDraws seat;
      const std::string of = " of " + bearing.id;
      seat.clearance = add("G_0 " + bearing.id, "internal clearance" + of,
                           std::optional(bearing.clearance), Kind::dimension);
      if (bearing.outer_fit) {
        seat.outer_bore = add("seat bore " + bearing.id, "bore of the seat" + of,
                              std::optional(bearing.outer_fit->bore), Kind::dimension);
        seat.outer_ring = add("outer ring " + bearing.id, "outside diameter" + of,
                              std::optional(bearing.outer_fit->shaft), Kind::dimension);
      }
      if (bearing.inner_fit) {
        seat.inner_ring = add("inner ring " + bearing.id, "bore" + of,
                              std::optional(bearing.inner_fit->bore), Kind::dimension);
        seat.inner_shaft = add("shaft seat " + bearing.id, "shaft seat" + of,
                               std::optional(bearing.inner_fit->shaft), Kind::dimension);
      }
      if (bearing.rings) {
        seat.rings = add_solid(design, "rings" + of, *bearing.rings);
      }
      if (bearing.seat) {
        seat.seat = add_solid(design, "seat" + of, *bearing.seat);
      }
      draws.bearings.push_back(seat);
    }
    shafts_.push_back(std::move(draws));
  }
  for (const Mesh& mesh : design.meshes) {
    MeshDraws draws;
    const std::string of = " of mesh " + mesh.id;
    draws.deviation = add("delta_a " + mesh.id, "centre distance" + of,
                          mesh.centre_distance_deviation, Kind::dimension);
    if (mesh.parallelism) {
      draws.f_sigma_delta = add("f_sigma_delta " + mesh.id, "axes out of parallel" + of,
                                mesh.parallelism->f_sigma_delta, Kind::dimension);
      draws.f_sigma_beta = add("f_sigma_beta " + mesh.id, "axes out of line" + of,
                               mesh.parallelism->f_sigma_beta, Kind::dimension);
    }
    draws.wear = add("wear " + mesh.id, "wear" + of, mesh.wear, Kind::magnitude);
    for (const OwnTerm& term : mesh.own_terms) {
      draws.own_terms.push_back(
          add(term.id, term.id + of, std::optional(term.value), Kind::dimension));
    }
    const Gear& gear_1 = design.gears[mesh.gear_1];
    const Gear& gear_2 = design.gears[mesh.gear_2];
    if (gear_1.body.teeth() == gear_2.body.teeth() && gear_1.run_out && gear_2.run_out &&
        !mesh.run_out_phase) {
      all_.push_back({"run-out phase " + mesh.id, "phase of the run-outs" + of, "any",
                      Kind::assembly, Shape::uniform(), std::numbers::pi, std::numbers::pi});
      draws.run_out_phase = all_.size() - 1;
    }
    meshes_.push_back(std::move(draws));
  }
  const std::vector<thermal::Solid> solids = thermal::solids_of(carrier);
  for (std::size_t i = 0; i < solids.size(); ++i) {
    const std::string place = solids.size() == 1 ? std::string() : " part " + std::to_string(i + 1);
    carrier_.push_back(add_solid(design, carrier.id + place, solids[i]));
  }
}

band::kernel::Draws Contributors::draws(const Design& design) const {
  band::kernel::Draws draws;
  std::map<std::string, std::size_t> places;
  for (const Contributor& contributor : all_) {
    places[contributor.id] = draws.shapes.size();
    draws.shapes.push_back(contributor.shape);
    draws.elongation.push_back(contributor.kind == Contributor::Kind::elongation);
  }
  for (const Correlation& tie : design.correlations) {
    const auto first = places.find(tie.first);
    const auto second = places.find(tie.second);
    // A correlation with a contributor of another carrier does not bear on this one.
    if (first != places.end() && second != places.end()) {
      draws.correlations.push_back({first->second, second->second, tie.coefficient});
    }
  }
  for (const ShaftDraws& shaft : shafts_) {
    if (shaft.position_x && shaft.position_y) {
      draws.discs.push_back({*shaft.position_x, *shaft.position_y});
    }
  }
  return draws;
}

std::vector<std::string> contributor_ids(const Design& design) {
  std::vector<std::string> ids;
  std::set<std::string> seen;
  for (const thermal::Carrier& carrier : design.carriers) {
    const Contributors contributors(design, carrier);
    for (const Contributor& contributor : contributors.all()) {
      if (seen.insert(contributor.id).second) {
        ids.push_back(contributor.id);
      }
    }
  }
  return ids;
}

}  // namespace lashband::design
