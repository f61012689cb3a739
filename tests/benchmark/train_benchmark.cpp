// How long a train takes from its meshes to what its shafts can turn: ratios and loops, whether the
// teeth meet around the loops, and the freedom. Random trains of 10 to 1000 shafts with three
// meshes a shaft; then trains that are hard in a way of their own. Seconds are those of the
// processor, the least of three runs. Fails where one of a thousand shafts takes a second or more
// in all.
//
//   train_benchmark
#include <algorithm>
#include <cstdio>
#include <cstdlib>
#include <ctime>
#include <fstream>
#include <functional>
#include <limits>
#include <string>
#include <vector>

#include "../train/made_trains.hpp"
#include "lashband/train/closure.hpp"
#include "lashband/train/freedom.hpp"

namespace {

using namespace lashband;
using namespace lashband::train;
using namespace lashband::train::test;

constexpr double allowed_seconds = 1.0;

double least_seconds(const std::function<void()>& work) {
  double least = std::numeric_limits<double>::infinity();
  for (int round = 0; round < 3; ++round) {
    const std::clock_t start = std::clock();
    work();
    least = std::min(least, static_cast<double>(std::clock() - start) / CLOCKS_PER_SEC);
  }
  return least;
}

double load() {
  double value[1] = {0.0};
  return getloadavg(value, 1) == 1 ? value[0] : -1.0;
}

std::string processor() {
  std::ifstream file("/proc/cpuinfo");
  for (std::string line; std::getline(file, line);) {
    if (line.rfind("model name", 0) == 0) {
      return line.substr(line.find(':') + 2);
    }
  }
  return "unknown processor";
}

// Every gear by itself on its shaft, or every gear set at assembly.
struct Gearing {
  std::vector<MeshGears> gears{};
  std::vector<GearPhase> phases{};
};

Gearing gearing(const std::vector<Mesh>& meshes) {
  Gearing made;
  for (const Mesh& one : meshes) {
    made.gears.push_back({made.phases.size(), made.phases.size() + 1});
    made.phases.push_back({one.shaft_1, std::nullopt});
    made.phases.push_back({one.shaft_2, std::nullopt});
  }
  return made;
}

Gearing with_phases(Gearing made, Draw& draw) {
  for (GearPhase& phase : made.phases) {
    phase.tooth_at = units::from_si<units::Angle>(draw.between(-3.0, 3.0));
  }
  return made;
}

// A ladder: two chains of compound stages, joined at every rung. Primes, so that nothing cancels.
Made ladder(std::size_t rungs) {
  Made made{names(2 * rungs), {}};
  for (std::size_t i = 0; i < rungs; ++i) {
    made.meshes.push_back(mesh("rung", 2 * i, 2 * i + 1, 20, 20));
    if (i > 0) {
      made.meshes.push_back(mesh("left", 2 * i - 2, 2 * i, 17, 103));
      made.meshes.push_back(mesh("right", 2 * i - 1, 2 * i + 1, 17, 103));
      made.meshes.push_back(mesh("right again", 2 * i - 1, 2 * i + 1, 17, 103));
    }
  }
  return made;
}

// One ring of compound stages, up and down again.
Made one_ring(std::size_t stages) {
  Made made{names(2 * stages), {}};
  for (std::size_t i = 0; i < 2 * stages; ++i) {
    made.meshes.push_back(
        mesh("stage", i, (i + 1) % (2 * stages), i < stages ? 17 : 103, i < stages ? 103 : 17));
  }
  return made;
}

double run(const char* name, const Made& made, bool with_offsets) {
  Draw draw(7);
  std::optional<Train> train;
  const double building = least_seconds([&] { train.emplace(made.shafts, made.meshes); });

  std::vector<std::optional<geometry::Point>> places;
  places.reserve(made.shafts.size());
  for (std::size_t i = 0; i < made.shafts.size(); ++i) {
    places.push_back(geometry::Point{units::from_si<units::Length>(draw.between(0.0, 1.0)),
                                     units::from_si<units::Length>(draw.between(0.0, 1.0))});
  }
  const Gearing loose = gearing(made.meshes);
  const Gearing fixed = with_phases(loose, draw);
  std::optional<Closure> closure;
  const double closing_loose =
      least_seconds([&] { closure.emplace(*train, loose.gears, loose.phases, places); });
  const double closing =
      least_seconds([&] { closure.emplace(*train, fixed.gears, fixed.phases, places); });

  std::vector<MeshFreedom> meshes(made.meshes.size(), play(0.12, 6.0));
  if (with_offsets) {
    meshes = random_play(draw, *train, 0.0005);
  }
  std::optional<Freedom> freedom;
  const double freeing = least_seconds([&] { freedom.emplace(*train, meshes); });
  // The same off by half a pitch in every loop: most of them bind.
  const std::vector<double> offsets = closure->offsets(places);
  std::vector<MeshFreedom> bound = meshes;
  for (std::size_t i = 0; i < bound.size(); ++i) {
    bound[i].offset = offsets[i];
  }
  const double binding = least_seconds([&] { freedom.emplace(*train, bound); });
  const bool binds = freedom->binding(0).has_value();
  freedom.emplace(*train, meshes);
  const double asking = least_seconds([&] {
    for (std::size_t i = 0; i < 4; ++i) {
      (void)freedom->lost_motion(i, i + made.shafts.size() / 8);
    }
  });
  const double all = building + closing_loose + closing + freeing + binding + asking;
  std::printf("%-22s %6zu %6zu %8.2f %8.2f %8.2f %8.2f %8.2f%s %8.2f %9.2f\n", name,
              made.shafts.size(), made.meshes.size(), 1e3 * building, 1e3 * closing,
              1e3 * closing_loose, 1e3 * freeing, 1e3 * binding, binds ? " " : "-", 1e3 * asking,
              1e3 * all);
  std::fflush(stdout);
  return all;
}

}  // namespace

int main() {
  std::printf("processor        %s\n", processor().c_str());
  std::printf("load             %.2f\n\n", load());
  std::printf("milliseconds; a bound train that does not bind is marked -\n");
  std::printf("%-22s %6s %6s %8s %8s %8s %8s %8s  %8s %9s\n", "train", "shafts", "meshes", "train",
              "closure", "loose", "freedom", "bound", "4 pairs", "all");
  double worst = 0.0;
  for (const std::size_t shafts : {10U, 20U, 50U, 100U, 200U, 500U, 1000U}) {
    Draw draw(static_cast<unsigned>(shafts));
    worst = run("random", random_train(draw, shafts, 2 * shafts + 1), true);
  }
  Draw draw(3);
  worst = std::max(worst, run("open", random_train(draw, 1000, 0), true));
  worst = std::max(worst, run("ladder", ladder(500), false));
  worst = std::max(worst, run("one ring", one_ring(500), false));
  std::printf("load             %.2f\n", load());
  if (worst >= allowed_seconds) {
    std::printf("too slow: %.2f s\n", worst);
    return 1;
  }
  return 0;
}
