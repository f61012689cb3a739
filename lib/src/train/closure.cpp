#include "lashband/train/closure.hpp"

#include <algorithm>
#include <cmath>
#include <limits>
#include <map>
#include <numbers>
#include <utility>

#include "lashband/train/freedom.hpp"
#include "train/message.hpp"
#include "train/rolling.hpp"

namespace lashband::train {
namespace {

using kernel::require;
using kernel::require_count;

constexpr std::size_t none = std::numeric_limits<std::size_t>::max();
constexpr long double pi = std::numbers::pi_v<long double>;
// What two choices of teeth may differ by and count as equally good, in pitches: rounding, of
// angles given in radians, times tooth numbers.
constexpr long double as_good = 1e-9L;

// Sums of pitches around a loop beyond this are rounded by more than as_good.
constexpr long double greatest_sum = 1e6L;

// The direction from shaft 1 to shaft 2.
struct Centres {
  long double x = 0.0L;
  long double y = 0.0L;
};

using Place = std::optional<geometry::Point>;

std::optional<Centres> centres_of(const std::string& mesh, const Place& from, const Place& to) {
  if (!from || !to) {
    return std::nullopt;
  }
  const auto difference = [](units::Length far, units::Length near) {
    return static_cast<long double>(far.value()) - static_cast<long double>(near.value());
  };
  const Centres centres{difference(to->x, from->x), difference(to->y, from->y)};
  require(std::isfinite(centres.x) && std::isfinite(centres.y),
          {"mesh '", mesh, "': the places of its shafts must be finite"});
  require(centres.x != 0.0L || centres.y != 0.0L,
          {"mesh '", mesh, "': its shafts stand in one place"});
  return centres;
}

// What a gear contributes to a loop that enters and leaves its shaft by different gears.
struct Body {
  std::size_t shaft = 0;
  std::optional<long double> angle{};  // empty: set at assembly
};

void check_gears(const Train& train, const std::vector<MeshGears>& gears,
                 const std::vector<GearPhase>& phases) {
  struct Teeth {
    int number = 0;
    bool ring = false;
  };
  std::vector<std::optional<Teeth>> teeth_of(phases.size());
  const auto check = [&](const Mesh& mesh, std::size_t gear, std::size_t shaft, Teeth teeth) {
    require(gear < phases.size(), {"mesh '", mesh.id, "': there is no gear ", std::to_string(gear),
                                   " among ", std::to_string(phases.size())});
    require(phases[gear].shaft == shaft, {"mesh '", mesh.id, "': its gear ", std::to_string(gear),
                                          " is on shaft ", std::to_string(phases[gear].shaft),
                                          ", and the mesh on shaft ", std::to_string(shaft)});
    if (!teeth_of[gear]) {
      teeth_of[gear] = teeth;
    }
    require(teeth_of[gear]->number == teeth.number && teeth_of[gear]->ring == teeth.ring,
            {"mesh '", mesh.id, "': its gear ", std::to_string(gear), " has ",
             std::to_string(teeth.number), teeth.ring ? " inner" : " outer", " teeth here and ",
             std::to_string(teeth_of[gear]->number), teeth_of[gear]->ring ? " inner" : " outer",
             " teeth in another mesh"});
  };
  for (std::size_t i = 0; i < gears.size(); ++i) {
    const Mesh& mesh = train.meshes()[i];
    check(mesh, gears[i].gear_1, mesh.shaft_1, {mesh.teeth_1, false});
    check(mesh, gears[i].gear_2, mesh.shaft_2, {mesh.teeth_2, mesh.kind == Mesh::Kind::internal});
  }
}

std::vector<Body> bodies_of(const Train& train, const std::vector<MeshGears>& gears,
                            const std::vector<GearPhase>& phases) {
  std::vector<bool> meshes(phases.size(), false);
  for (const MeshGears& pair : gears) {
    meshes[pair.gear_1] = true;
    meshes[pair.gear_2] = true;
  }
  std::vector<std::size_t> first_of_shaft(train.shafts().size(), none);
  std::vector<std::size_t> count(train.shafts().size(), 0);
  std::vector<bool> any_known(train.shafts().size(), false);
  for (std::size_t i = 0; i < phases.size(); ++i) {
    if (meshes[i]) {
      const std::size_t shaft = phases[i].shaft;
      if (count[shaft]++ == 0) {
        first_of_shaft[shaft] = i;
      }
      any_known[shaft] = any_known[shaft] || phases[i].tooth_at;
    }
  }
  std::vector<Body> bodies;
  bodies.reserve(phases.size());
  for (std::size_t i = 0; i < phases.size(); ++i) {
    Body body{phases[i].shaft, {}};
    if (!meshes[i]) {
      body.angle = 0.0L;
    } else if (count[body.shaft] > 1 && phases[i].tooth_at) {
      const double angle = phases[i].tooth_at->value();
      require(
          std::isfinite(angle),
          {"gear ", std::to_string(i), " on shaft '", train.shafts()[body.shaft],
           "': the direction of its tooth must be finite, not ", std::to_string(angle), " rad"});
      body.angle = static_cast<long double>(angle);
    } else if (!any_known[body.shaft] || count[body.shaft] == 1) {
      // Where no phase is given, one gear is what the others are set against; and the phase of a
      // gear alone on its shaft is the shaft's own rotation.
      if (first_of_shaft[body.shaft] == i) {
        body.angle = 0.0L;
      }
    }
    bodies.push_back(body);
  }
  return bodies;
}

// The greatest number of which both are whole multiples.
ExactRatio common_divisor(const ExactRatio& a, const ExactRatio& b) {
  using boost::multiprecision::cpp_int;
  const cpp_int first = numerator(a) * denominator(b);
  const cpp_int second = numerator(b) * denominator(a);
  const cpp_int below = denominator(a) * denominator(b);
  return {cpp_int(gcd(first, second)), below};
}

/// A sum of loops: how often each mesh and each free phase counts in it.
struct Row {
  std::size_t chord = 0;
  std::map<std::size_t, ExactRatio> meshes{};
  std::map<std::size_t, ExactRatio> phases{};  // by gear
  bool mixed = false;                          // of more than one loop
};

/// A loop closed by turning one gear.
struct Pivot {
  std::size_t gear = 0;
  bool whole = false;  // the loop as it is, nothing taken out of it
  Row row{};
};

void add(std::map<std::size_t, ExactRatio>& to, const std::map<std::size_t, ExactRatio>& from,
         const ExactRatio& times) {
  for (const auto& [key, value] : from) {
    ExactRatio& sum = to[key];
    sum += times * value;
    if (sum == 0) {
      to.erase(key);
    }
  }
}

class Elimination {
 public:
  Elimination(const Train& train, const std::vector<MeshGears>& gears, std::vector<Body> bodies,
              const std::vector<std::optional<geometry::Point>>& places)
      : train_(train),
        gears_(gears),
        bodies_(std::move(bodies)),
        seen_(bodies_.size(), false),
        pivot_of_gear_(bodies_.size(), none),
        settled_(train.meshes().size(), false) {
    raw_.reserve(train_.meshes().size());
    for (std::size_t i = 0; i < train_.meshes().size(); ++i) {
      raw_.push_back(raw_offset(i, places));
    }
  }

  [[nodiscard]] LoopClosure closed(const Loop& loop) {
    Row row;
    row.chord = loop.steps.front().mesh;
    for (const Step& step : loop.steps) {
      if (!raw_[step.mesh]) {
        return {ClosedBy::unknown, 0.0, {}};
      }
      const int sign = step.forward ? 1 : -1;
      row.meshes[step.mesh] = sign;
      count_phase(row, gears_[step.mesh].gear_1, -sign);
      count_phase(row, gears_[step.mesh].gear_2, sign);
    }
    // A gear of the closing mesh that no loop has passed before closes this one, whatever else is
    // in it. Otherwise what earlier loops have used up goes out first.
    std::optional<std::size_t> gear = unused_gear(row);
    const bool whole = gear.has_value();
    if (!whole) {
      reduce(row);
      gear = pivot_of(row);
    }
    if (gear) {
      for (const auto& entry : row.phases) {
        seen_[entry.first] = true;
      }
      pivot_of_gear_[*gear] = pivots_.size();
      pivots_.push_back({*gear, whole, std::move(row)});
      return {ClosedBy::assembly, 0.0, {bodies_[*gear].shaft}};
    }
    return {ClosedBy::places, remainder(row, loop), {}};
  }

 private:
  // Offset before teeth are chosen, phases that are set at assembly left out.
  [[nodiscard]] std::optional<long double> raw_offset(
      std::size_t i, const std::vector<std::optional<geometry::Point>>& places) const {
    const Mesh& mesh = train_.meshes()[i];
    const std::optional<Centres> centres =
        centres_of(mesh.id, places[mesh.shaft_1], places[mesh.shaft_2]);
    if (!centres) {
      return std::nullopt;
    }
    const long double phi_1 = bodies_[gears_[i].gear_1].angle.value_or(0.0L);
    const long double phi_2 = bodies_[gears_[i].gear_2].angle.value_or(0.0L);
    const long double gamma = std::atan2(centres->y, centres->x);
    const bool external = mesh.kind == Mesh::Kind::external;
    const long double at_1 = external ? gamma - phi_1 : gamma + pi - phi_1;
    const long double at_2 = gamma + pi - phi_2;
    const long double sum = mesh.teeth_1 * at_1 + (external ? 1 : -1) * (mesh.teeth_2 * at_2);
    return sum / (2.0L * pi) - 0.5L;
  }

  void count_phase(Row& row, std::size_t gear, int sign) const {
    if (!bodies_[gear].angle) {
      add(row.phases, {{gear, ExactRatio(sign)}}, 1);
    }
  }

  [[nodiscard]] std::optional<std::size_t> unused_gear(const Row& row) const {
    for (const std::size_t gear : {gears_[row.chord].gear_2, gears_[row.chord].gear_1}) {
      if (row.phases.contains(gear) && !seen_[gear]) {
        return gear;
      }
    }
    return std::nullopt;
  }

  // The pivot that goes out next. One of a whole loop has pivots before it in its row, and may have
  // reduced ones of any age; a reduced one has only younger reduced ones. So this order ends, and
  // takes each out once.
  [[nodiscard]] std::size_t next_pivot(const Row& row) const {
    std::size_t whole = none;
    std::size_t reduced = none;
    for (const auto& entry : row.phases) {
      const std::size_t at = pivot_of_gear_[entry.first];
      if (at != none) {
        if (!pivots_[at].whole) {
          reduced = std::min(reduced, at);
        } else if (whole == none || at > whole) {
          whole = at;
        }
      }
    }
    return whole != none ? whole : reduced;
  }

  void reduce(Row& row) const {
    for (std::size_t at = next_pivot(row); at != none; at = next_pivot(row)) {
      const Pivot& pivot = pivots_[at];
      const ExactRatio share = -row.phases.at(pivot.gear) / pivot.row.phases.at(pivot.gear);
      add(row.phases, pivot.row.phases, share);
      add(row.meshes, pivot.row.meshes, share);
      row.mixed = true;
    }
  }

  // Of the phases left one that counts once in the loop, where there is one: it keeps the numbers
  // whole.
  [[nodiscard]] static std::optional<std::size_t> pivot_of(const Row& row) {
    for (const auto& [gear, times] : row.phases) {
      if (abs(times) == 1) {
        return gear;
      }
    }
    return row.phases.empty() ? std::nullopt : std::optional(row.phases.begin()->first);
  }

  // w of the chord over w of each mesh of the row.
  [[nodiscard]] std::map<std::size_t, ExactRatio> shares(const Row& row, const Loop& loop) const {
    std::map<std::size_t, ExactRatio> share;
    if (row.mixed) {
      const Mesh& chord = train_.meshes()[row.chord];
      for (const auto& entry : row.meshes) {
        const Mesh& mesh = train_.meshes()[entry.first];
        share[entry.first] =
            train_.ratio(chord.shaft_1, mesh.shaft_1) * ExactRatio(chord.teeth_1, mesh.teeth_1);
      }
      return share;
    }
    ExactRatio speed(1, train_.meshes()[row.chord].teeth_1);
    for (const Step& step : loop.steps) {
      const Mesh& mesh = train_.meshes()[step.mesh];
      share[step.mesh] = 1 / kernel::pitches_passed(mesh, step.forward, speed);
      speed = kernel::passed_on(mesh, step.forward, speed);
    }
    return share;
  }

  // What is left over, in pitches of the chord, and the teeth of the meshes of the row are settled.
  [[nodiscard]] double remainder(const Row& row, const Loop& loop) {
    const std::map<std::size_t, ExactRatio> share = shares(row, loop);
    ExactRatio lattice = 0;
    long double sum = 0.0L;
    long double size = 0.0L;
    for (const auto& [mesh, times] : row.meshes) {
      const ExactRatio one = times * share.at(mesh);
      const long double part = *raw_[mesh] * static_cast<long double>(nearest_double(one));
      sum += part;
      size += std::abs(part);
      if (!settled_[mesh]) {
        settled_[mesh] = true;
        const ExactRatio magnitude = abs(one);
        if (magnitude != lattice) {
          lattice = lattice == 0 ? magnitude : common_divisor(lattice, magnitude);
        }
      }
    }
    const auto step = static_cast<long double>(nearest_double(lattice));
    if (step < as_good) {
      return 0.0;  // some choice of teeth closes it to less than that
    }
    require(size < greatest_sum,
            {"the teeth around the loop ", text_of(loop, train_.shafts(), train_.meshes()),
             " cannot be told: its speeds differ too much"});
    long double rest = sum - step * std::ceil(sum / step - 0.5L);
    if (rest < std::min(as_good, step / 4.0L) - step / 2.0L) {
      rest += step;
    }
    return static_cast<double>(rest);
  }

  const Train& train_;
  const std::vector<MeshGears>& gears_;
  std::vector<Body> bodies_;
  std::vector<std::optional<long double>> raw_{};
  std::vector<bool> seen_;                  // gears that a row of pivots_ has
  std::vector<std::size_t> pivot_of_gear_;  // in pivots_, or none
  std::vector<Pivot> pivots_{};
  std::vector<bool> settled_;  // meshes whose teeth an earlier loop has chosen
};

}  // namespace

Closure::Closure(const Train& train, const std::vector<MeshGears>& gears,
                 const std::vector<GearPhase>& phases,
                 std::vector<std::optional<geometry::Point>> places)
    : places_(std::move(places)) {
  require_count("gears of the meshes of a train", gears.size(), train.meshes().size());
  require_count("places of the shafts of a train", places_.size(), train.shafts().size());
  for (std::size_t i = 0; i < phases.size(); ++i) {
    require(phases[i].shaft < train.shafts().size(),
            {"gear ", std::to_string(i), ": there is no shaft ", std::to_string(phases[i].shaft),
             " among ", std::to_string(train.shafts().size())});
  }
  check_gears(train, gears, phases);

  Elimination elimination(train, gears, bodies_of(train, gears, phases), places_);
  loops_.reserve(train.loops().size());
  for (const Loop& loop : train.loops()) {
    loops_.push_back(elimination.closed(loop));
  }

  meshes_.reserve(train.meshes().size());
  for (const Mesh& mesh : train.meshes()) {
    const int pitches = mesh.kind == Mesh::Kind::external ? mesh.teeth_1 + mesh.teeth_2
                                                          : mesh.teeth_1 - mesh.teeth_2;
    meshes_.push_back({mesh.id, mesh.shaft_1, mesh.shaft_2, static_cast<double>(pitches), 0.0});
  }
  // Each loop has its chord, which lies on no loop before it, to put its sum right.
  std::vector<double> offsets(meshes_.size(), 0.0);
  for (std::size_t i = 0; i < loops_.size(); ++i) {
    const Loop& loop = train.loops()[i];
    const double before = loop_offset(train, loop, offsets);
    offsets[loop.steps.front().mesh] = loops_[i].offset - before;
  }
  for (std::size_t i = 0; i < meshes_.size(); ++i) {
    meshes_[i].offset = offsets[i];
  }
}

double Closure::offset(std::size_t mesh, const Place& place_1, const Place& place_2) const {
  const PlacedMesh& placed = meshes_.at(mesh);
  const std::optional<Centres> drawn =
      centres_of(placed.id, places_[placed.shaft_1], places_[placed.shaft_2]);
  const std::optional<Centres> moved = centres_of(placed.id, place_1, place_2);
  if (!drawn || !moved) {
    return placed.offset;
  }
  // The angle between the two lines of centres, which keeps its digits where it is small.
  const long double turned = std::atan2(drawn->x * moved->y - drawn->y * moved->x,
                                        drawn->x * moved->x + drawn->y * moved->y);
  return placed.offset + static_cast<double>(static_cast<long double>(placed.pitches_per_turn) *
                                             turned / (2.0L * pi));
}

std::vector<double> Closure::offsets(const std::vector<Place>& places) const {
  require_count("places of the shafts of a train", places.size(), places_.size());
  std::vector<double> offsets;
  offsets.reserve(meshes_.size());
  for (std::size_t mesh = 0; mesh < meshes_.size(); ++mesh) {
    offsets.push_back(offset(mesh, places[meshes_[mesh].shaft_1], places[meshes_[mesh].shaft_2]));
  }
  return offsets;
}

}  // namespace lashband::train
