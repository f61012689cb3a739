// Time of whole processes, side by side in one run: `carriers` and `report` on the first example
// (three carriers, 17 sweep points and four conditions, two meshes, six bearings) beside a C++
// program that does nothing.
//   process_benchmark [RUNS]
#include <fcntl.h>
#include <spawn.h>
#include <sys/wait.h>

#include <algorithm>
#include <chrono>
#include <cstdio>
#include <cstdlib>
#include <string>
#include <vector>

extern char** environ;

namespace {

// Milliseconds from start to end of one process; its output goes nowhere.
double milliseconds_of(std::vector<std::string> words) {
  std::vector<char*> arguments;
  for (std::string& word : words) {
    arguments.push_back(word.data());
  }
  arguments.push_back(nullptr);
  posix_spawn_file_actions_t actions;
  posix_spawn_file_actions_init(&actions);
  posix_spawn_file_actions_addopen(&actions, 1, "/dev/null", O_WRONLY, 0);
  const auto start = std::chrono::steady_clock::now();
  pid_t child = 0;
  int status = 0;
  if (posix_spawn(&child, arguments[0], &actions, nullptr, arguments.data(), environ) != 0 ||
      waitpid(child, &status, 0) != child || !WIFEXITED(status) || WEXITSTATUS(status) != 0) {
    std::fprintf(stderr, "%s did not run\n", arguments[0]);
    std::exit(1);
  }
  const std::chrono::duration<double, std::milli> taken = std::chrono::steady_clock::now() - start;
  posix_spawn_file_actions_destroy(&actions);
  return taken.count();
}

double quantile(std::vector<double> values, double share) {
  std::sort(values.begin(), values.end());
  return values[static_cast<std::size_t>(share * static_cast<double>(values.size() - 1))];
}

}  // namespace

int main(int argc, char** argv) {
  const int runs = argc > 1 ? std::atoi(argv[1]) : 50;
  if (runs < 1) {
    std::fprintf(stderr, "process_benchmark [RUNS]\n");
    return 2;
  }
  const std::string train = LASHBAND_SOURCE_DIR "/examples/rail_compressor/train.json";
  std::vector<double> nothing;
  std::vector<double> carriers;
  std::vector<double> report;
  std::vector<double> help;
  // In turns, so that a noisy machine is noisy for all of them.
  for (int i = 0; i < runs; ++i) {
    nothing.push_back(milliseconds_of({LASHBAND_DO_NOTHING}));
    carriers.push_back(milliseconds_of({LASHBAND_EXECUTABLE, "carriers", train}));
    report.push_back(milliseconds_of({LASHBAND_EXECUTABLE, "report", train, "--quiet"}));
    help.push_back(milliseconds_of({LASHBAND_EXECUTABLE, "--version"}));
  }
  double load[1] = {0.0};
  (void)getloadavg(load, 1);
  std::printf("whole process, median of %d runs (10 %% and 90 %% quantile), load %.1f\n", runs,
              load[0]);
  const auto line = [](const char* name, const std::vector<double>& times) {
    std::printf("  %-32s %7.2f ms  (%.2f ... %.2f)\n", name, quantile(times, 0.5),
                quantile(times, 0.1), quantile(times, 0.9));
  };
  line("a C++ program that does nothing", nothing);
  line("lashband --version", help);
  line("lashband carriers", carriers);
  line("lashband report", report);
  std::printf("  carriers over nothing: %.2f ms more, %.1f times as long\n",
              quantile(carriers, 0.5) - quantile(nothing, 0.5),
              quantile(carriers, 0.5) / quantile(nothing, 0.5));
}
