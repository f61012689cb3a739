// The forced response of a train of 8 inertias at 2000 speeds and 12 orders, for 50 stiffnesses of
// one element, beside NumPy's batched solver in one run and with the same train; then how the time
// grows with the inertias. Seconds are those of the processor, one thread, the least of several
// runs. The engine's time holds everything: elimination, solves, kinetic energy, the torque of the
// varied element and a sum of the energies. NumPy is measured by its solver alone, without building
// the matrices.
//
//   torsion_benchmark
//
// Fails where the two differ by more than 1e-10 or the engine is less than 140 times as fast.
#include <algorithm>
#include <array>
#include <cmath>
#include <complex>
#include <cstdio>
#include <cstdlib>
#include <ctime>
#include <filesystem>
#include <fstream>
#include <functional>
#include <limits>
#include <nlohmann/json.hpp>
#include <string>
#include <vector>

#include "torsion/option_sweep.hpp"

namespace {

using namespace lashband::torsion::kernel;
using Complex = std::complex<double>;

constexpr double asked_ratio = 140.0;
constexpr double asked_agreement = 1e-10;

double processor_seconds_of(const std::function<void()>& work) {
  const std::clock_t start = std::clock();
  work();
  return static_cast<double>(std::clock() - start) / CLOCKS_PER_SEC;
}

double load() {
  std::array<double, 1> value{};
  return getloadavg(value.data(), 1) == 1 ? value[0] : std::nan("");
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

// A chain whose last element is the damper, with a side branch at each third inertia: all numbers
// invented.
OptionSweep train_of(std::size_t inertias) {
  OptionSweep asked;
  const auto join = [&asked](std::size_t first, std::size_t second) {
    Element element;
    element.first = first;
    element.second = second;
    const double along = 1.0 + 0.1 * static_cast<double>(second);
    element.law = {2e4 * along, 0.05, 0.02 / along};
    asked.system.elements.push_back(element);
  };
  asked.system.inertias.push_back(0.02);
  for (std::size_t i = 1; i < inertias; ++i) {
    asked.system.inertias.push_back(0.02 / (1.0 + 0.2 * static_cast<double>(i % 5)));
    join(i % 3 == 2 && i + 1 < inertias ? i - 2 : i - 1, i);
  }
  asked.varied = asked.system.elements.size() - 1;
  asked.watched = {asked.varied};
  for (int i = 0; i < 50; ++i) {
    asked.options.push_back({1e3 * std::pow(1.15, i), 0.02 * (1.0 + i), 0.0});
  }
  for (int i = 0; i < 12; ++i) {
    ShakenOrder shaken;
    shaken.order = 0.5 * (i + 1);
    shaken.excitation.torques.resize(inertias);
    shaken.excitation.torques[0] = std::polar(100.0 / (i + 1), 0.7 * i);
    shaken.excitation.torques[inertias / 2] = std::polar(40.0 / (i + 1), 1.9 * i);
    asked.shaken.push_back(std::move(shaken));
  }
  for (int i = 0; i < 2000; ++i) {
    asked.speeds.push_back(60.0 + 0.3 * i);
  }
  return asked;
}

double solves_of(const OptionSweep& asked) {
  return static_cast<double>(asked.options.size() * asked.shaken.size() * asked.speeds.size());
}

double sum_of_energies(const OptionSweep& asked) {
  std::array<double, OptionAnswers::lanes> sum{};
  sweep(asked, [&sum](const OptionAnswers& got) {
    for (std::size_t order = 0; order < got.orders; ++order) {
      const double* energy = got.energies + order * OptionAnswers::lanes;
      for (std::size_t lane = 0; lane < sum.size(); ++lane) {
        sum[lane] += energy[lane];
      }
    }
  });
  double all = 0.0;
  for (const double lane : sum) {
    all += lane;
  }
  return all;
}

double least_seconds(const OptionSweep& asked, int repetitions) {
  double least = std::numeric_limits<double>::infinity();
  for (int round = 0; round < 7; ++round) {
    const double all = processor_seconds_of([&] {
      for (int i = 0; i < repetitions; ++i) {
        if (!(sum_of_energies(asked) > 0.0)) {
          std::exit(1);
        }
      }
    });
    least = std::min(least, all / repetitions);
  }
  return least;
}

nlohmann::json as_json(const OptionSweep& asked, const std::string& output) {
  nlohmann::json json{
      {"output", output}, {"inertias", asked.system.inertias}, {"speeds", asked.speeds}};
  for (std::size_t e = 0; e < asked.system.elements.size(); ++e) {
    const Element& element = asked.system.elements[e];
    const nlohmann::json ends{{"first", element.first}, {"second", element.second.value()}};
    if (e == asked.varied) {
      json["varied"] = ends;
      continue;
    }
    json["elements"].push_back(ends);
    json["elements"].back().update({{"stiffness", element.law.stiffness},
                                    {"damping", element.law.damping},
                                    {"loss_factor", element.law.loss_factor}});
  }
  for (const Law& law : asked.options) {
    json["options"].push_back({{"stiffness", law.stiffness}, {"damping", law.damping}});
  }
  for (const ShakenOrder& shaken : asked.shaken) {
    json["orders"].push_back(shaken.order);
    json["torques"].emplace_back();
    for (const Complex& torque : shaken.excitation.torques) {
      json["torques"].back().push_back({torque.real(), torque.imag()});
    }
  }
  return json;
}

struct Baseline {
  double seconds = 0.0;
  double solving = 0.0;
  std::vector<double> numbers{};  // [option]: energies [order][speed], then complex torques
};

Baseline run_numpy(const OptionSweep& asked) {
  const std::filesystem::path folder = std::filesystem::temp_directory_path();
  const std::string input = folder / "torsion_benchmark_train.json";
  const std::string times = folder / "torsion_benchmark_times.json";
  const std::string output = folder / "torsion_benchmark_numbers";
  std::ofstream(input) << as_json(asked, output);
  // Settings of the machine for one kind of processor would slow the solver down, or speed it up.
  const std::string command =
      "env -u OPENBLAS_CORETYPE -u OPENBLAS_L2_SIZE OPENBLAS_NUM_THREADS=1 OMP_NUM_THREADS=1 "
      "/usr/bin/python3 " LASHBAND_SOURCE_DIR "/tests/benchmark/torsion_baseline.py <" +
      input + " >" + times;
  if (std::system(command.c_str()) != 0) {
    std::fprintf(stderr, "%s did not run\n", command.c_str());
    std::exit(1);
  }
  std::ifstream file(times);
  const nlohmann::json json = nlohmann::json::parse(file);
  Baseline baseline{json["seconds"], json["solving"], {}};
  baseline.numbers.resize(static_cast<std::size_t>(3.0 * solves_of(asked)));
  std::ifstream numbers(output, std::ios::binary);
  numbers.read(reinterpret_cast<char*>(baseline.numbers.data()),
               static_cast<std::streamsize>(baseline.numbers.size() * sizeof(double)));
  if (!numbers) {
    std::fprintf(stderr, "%s is too short\n", output.c_str());
    std::exit(1);
  }
  for (const std::string& name : {input, times, output}) {
    std::filesystem::remove(name);
  }
  return baseline;
}

// Greatest relative difference, of torques and of the root of the energy.
double greatest_difference(const OptionSweep& asked, const Baseline& baseline) {
  double greatest = 0.0;
  const std::size_t solves = asked.shaken.size() * asked.speeds.size();
  sweep(asked, [&](const OptionAnswers& got) {
    const double* energies = baseline.numbers.data() + got.option * 3 * solves;
    const double* torques = energies + solves;
    for (std::size_t order = 0; order < got.orders; ++order) {
      for (std::size_t speed = 0; speed < got.speeds; ++speed) {
        const std::size_t at = order * asked.speeds.size() + got.first_speed + speed;
        const Complex torque{torques[2 * at], torques[2 * at + 1]};
        const double off =
            std::max(std::abs(got.torque(order, 0, speed) - torque) / std::abs(torque),
                     std::abs(std::sqrt(got.kinetic_energy(order, speed) / energies[at]) - 1.0));
        // A number that is none counts as well.
        greatest = off <= greatest ? greatest : off;
      }
    }
  });
  return greatest;
}

}  // namespace

int main() {
  const OptionSweep asked = train_of(8);
  const double solves = solves_of(asked);
  std::printf("processor        %s\n", processor().c_str());
  std::printf("instruction set  %s\n", sweep_instruction_set());
  std::printf("load             %.2f\n", load());
  std::printf("study            8 inertias, 2000 speeds, 12 orders, 50 stiffnesses\n\n");

  // In turns, so that a noisy machine is noisy for both.
  double engine = std::numeric_limits<double>::infinity();
  double numpy = engine;
  double numpy_all = engine;
  Baseline baseline;
  for (int round = 0; round < 3; ++round) {
    engine = std::min(engine, least_seconds(asked, 10));
    baseline = run_numpy(asked);
    numpy = std::min(numpy, baseline.solving);
    numpy_all = std::min(numpy_all, baseline.seconds);
  }
  const auto row = [&](const char* name, double seconds) {
    std::printf("%-34s %8.4f s  %9.3g solves/s\n", name, seconds, solves / seconds);
  };
  row("NumPy, all of its work", numpy_all);
  row("NumPy, np.linalg.solve alone", numpy);
  row("lashband", engine);
  const double ratio = numpy / engine;
  const double difference = greatest_difference(asked, baseline);
  std::printf("ratio to np.linalg.solve           %8.0f    (%.0f or more asked)\n", ratio,
              asked_ratio);
  std::printf("greatest difference                %8.1e    (%.0e or less asked)\n\n", difference,
              asked_agreement);
  for (std::size_t inertias = 2; inertias <= 64; inertias *= 2) {
    const OptionSweep other = train_of(inertias);
    const double seconds = least_seconds(other, 2);
    std::printf("time inertias %2zu  %7.2f ns a solve, %5.2f ns an inertia\n", inertias,
                1e9 * seconds / solves, 1e9 * seconds / solves / static_cast<double>(inertias));
  }
  const bool good = ratio >= asked_ratio && difference <= asked_agreement;
  std::printf("%s\n", good ? "as asked" : "NOT AS ASKED");
  return good ? 0 : 1;
}
