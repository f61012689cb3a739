// Two hours of a network of 20 bodies with streams, a temperature every second, beside SciPy's
// stiff integrator in one run and with the same network; then how the time grows with the bodies,
// with and without streams. Seconds are those of the processor, the least of five runs. Errors are
// those to the exponential of the matrix by SciPy, every minute.
//
//   warm_up_benchmark
#include <algorithm>
#include <cmath>
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

#include "../heat/made_networks.hpp"

namespace {

using namespace lashband::test;
namespace heat = lashband::heat;

constexpr double duration = 7200;
using Rows = std::vector<std::vector<lashband::units::Temperature>>;

double processor_seconds_of(const std::function<void()>& work) {
  const std::clock_t start = std::clock();
  work();
  return static_cast<double>(std::clock() - start) / CLOCKS_PER_SEC;
}

// One run takes too short a time for the processor's clock.
double least_seconds(int repetitions, const std::function<void()>& work) {
  double least = std::numeric_limits<double>::infinity();
  for (int round = 0; round < 5; ++round) {
    const double all = processor_seconds_of([&] {
      for (int i = 0; i < repetitions; ++i) {
        work();
      }
    });
    least = std::min(least, all / repetitions);
  }
  return least;
}

double load() {
  double value[1] = {0.0};
  return getloadavg(value, 1) == 1 ? value[0] : std::nan("");
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

MadeNetwork network_of(std::size_t bodies, Streams streams) {
  MadeNetwork made = random_network(20, bodies, streams);
  made.operation.duration = seconds(duration);
  return made;
}

// The linear system between kinks, T' = A T + b0 + b1 (t - begin), from the right-hand side that
// the tests have of their own.
nlohmann::json as_json(const MadeNetwork& made, const std::vector<lashband::units::Time>& kinks) {
  const std::size_t n = made.network.bodies().size();
  std::vector<double> T(n, 0.0);
  const auto at = [&](double time, bool before) { return rates(made, time, before, T.data()); };
  const std::vector<double> none = at(0.0, false);
  nlohmann::json json{{"A", nlohmann::json::array()}};
  std::vector<std::vector<double>> A(n, std::vector<double>(n));
  for (std::size_t column = 0; column < n; ++column) {
    T[column] = 1.0;
    const std::vector<double> with = at(0.0, false);
    T[column] = 0.0;
    for (std::size_t row = 0; row < n; ++row) {
      A[row][column] = with[row] - none[row];
    }
  }
  json["A"] = A;
  for (std::size_t i = 0; i + 1 < kinks.size(); ++i) {
    const double begin = kinks[i].value();
    const double end = kinks[i + 1].value();
    const std::vector<double> first = at(begin, false);
    std::vector<double> slope = at(end, true);
    for (std::size_t k = 0; k < n; ++k) {
      slope[k] = (slope[k] - first[k]) / (end - begin);
    }
    json["stretches"].push_back({{"begin", begin}, {"end", end}, {"b0", first}, {"b1", slope}});
  }
  for (const auto& level : made.operation.start) {
    json["start"].push_back(level.value());
  }
  return json;
}

nlohmann::json run_scipy(const nlohmann::json& system) {
  const std::filesystem::path folder = std::filesystem::temp_directory_path();
  const std::string input = folder / "warm_up_benchmark_system.json";
  const std::string output = folder / "warm_up_benchmark_result.json";
  std::ofstream(input) << system;
  const std::string command = "/usr/bin/python3 " LASHBAND_SOURCE_DIR
                              "/tests/benchmark/warm_up_baseline.py <" +
                              input + " >" + output;
  if (std::system(command.c_str()) != 0) {
    std::fprintf(stderr, "%s did not run\n", command.c_str());
    std::exit(1);
  }
  std::ifstream file(output);
  return nlohmann::json::parse(file);
}

// The whole job: solve, and a temperature every second.
Rows run(const MadeNetwork& made, const std::vector<lashband::units::Time>& times) {
  const heat::Solution solution = heat::solve(made.network, made.operation);
  if (solution.outcome() != heat::Outcome::done) {
    std::fprintf(stderr, "%s\n", solution.message().c_str());
    std::exit(1);
  }
  return solution.at(times);
}

}  // namespace

int main() {
  std::printf("processor        %s\n", processor().c_str());
  std::printf("load             %.2f\n\n", load());
  const std::vector<lashband::units::Time> times = moments(duration, 7200);

  const MadeNetwork made = network_of(20, Streams::some);
  const heat::Solution solution = heat::solve(made.network, made.operation);
  const nlohmann::json scipy = run_scipy(as_json(made, solution.kinks()));
  Rows rows;
  const double ours = least_seconds(20, [&] { rows = run(made, times); });
  double error = 0.0;
  for (std::size_t minute = 0; minute < scipy["exact"].size(); ++minute) {
    for (std::size_t k = 0; k < rows[0].size(); ++k) {
      const double exact = scipy["exact"][minute][k];
      error = std::max(error, std::abs(rows[60 * minute][k].value() - exact));
    }
  }
  std::printf("20 bodies with streams, 2 h, a temperature every second\n");
  const auto row = [ours](const char* name, double time, double off) {
    std::printf("%-34s %10.6f s  error %.1e K  %8.1f times lashband\n", name, time, off,
                time / ours);
  };
  row("lashband", ours, error);
  for (const auto& one : scipy["runs"]) {
    const std::string name = "SciPy BDF, rtol = atol = " + one["tolerance"].get<std::string>();
    row(name.c_str(), one["seconds"], one["error"]);
  }

  std::printf("\nbodies  solve      solve and 7201 outputs  (with streams; without)\n");
  for (const std::size_t bodies : {5U, 10U, 20U, 40U, 80U}) {
    std::printf("%6zu", bodies);
    for (const Streams streams : {Streams::some, Streams::none}) {
      const MadeNetwork other = network_of(bodies, streams);
      const int repetitions = bodies > 20 ? 3 : 20;
      const double solving =
          least_seconds(repetitions, [&] { (void)heat::solve(other.network, other.operation); });
      const double all = least_seconds(repetitions, [&] { (void)run(other, times); });
      std::printf("  %8.3f ms %8.3f ms", 1e3 * solving, 1e3 * all);
    }
    std::printf("\n");
    std::fflush(stdout);
  }
  std::printf("load             %.2f\n", load());
  return 0;
}
