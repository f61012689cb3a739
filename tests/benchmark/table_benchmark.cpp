// Reading of a table of 1e6 rows and four columns, beside a plain loop of std::getline and
// std::stod on the same file in the same run; and the growth of the peak memory by it.
//   table_benchmark [ROWS]
#include <sys/resource.h>

#include <algorithm>
#include <charconv>
#include <chrono>
#include <cstdio>
#include <cstdlib>
#include <filesystem>
#include <fstream>
#include <string>
#include <string_view>
#include <system_error>
#include <vector>

#include "io/measured_table.hpp"
#include "io/sha256.hpp"

namespace {

namespace fs = std::filesystem;
namespace io = lashband::io;

constexpr int runs = 5;

double peak_mebibytes() {
  rusage usage{};
  getrusage(RUSAGE_SELF, &usage);
  return static_cast<double>(usage.ru_maxrss) / 1024.0;  // Linux gives KiB
}

// Digits as a logger writes them, from a row's number: no two rows alike.
void write_table(const fs::path& file, long rows, char separator, char sign) {
  std::ofstream stream(file, std::ios::binary);
  std::string line = "time [s],gears [degC],housing [degC],oil [degC]\n";
  std::replace(line.begin(), line.end(), ',', separator);
  stream << line;
  char text[128];
  for (long i = 0; i < rows; ++i) {
    const double t = 0.1 * static_cast<double>(i);
    const double x = static_cast<double>((i * 7919) % 100'003) * 1e-3;
    const int length = std::snprintf(text, sizeof text, "%.1f,%.5f,%.5f,%.5f\n", t, x - 40.0,
                                     x * 0.731 - 20.0, 80.0 - x);
    for (int k = 0; k < length; ++k) {
      text[k] = text[k] == ',' ? separator : (text[k] == '.' ? sign : text[k]);
    }
    stream.write(text, length);
  }
}

double plain_loop(const fs::path& file) {
  std::ifstream stream(file);
  std::string line;
  std::getline(stream, line);
  std::vector<std::vector<double>> columns(4);
  while (std::getline(stream, line)) {
    std::size_t begin = 0;
    for (std::vector<double>& column : columns) {
      const std::size_t end = std::min(line.find(',', begin), line.size());
      column.push_back(std::stod(line.substr(begin, end - begin)));
      begin = end + 1;
    }
  }
  return columns[3].back();
}

template <class Work>
double best_seconds(const Work& work) {
  double best = 1e300;
  for (int i = 0; i < runs; ++i) {
    const auto start = std::chrono::steady_clock::now();
    work();
    const std::chrono::duration<double> taken = std::chrono::steady_clock::now() - start;
    best = std::min(best, taken.count());
  }
  return best;
}

}  // namespace

int main(int argc, char** argv) {
  const long rows = argc > 1 ? std::atol(argv[1]) : 1'000'000;
  if (rows < 1) {
    std::fprintf(stderr, "table_benchmark [ROWS]\n");
    return 2;
  }
  std::string name = (fs::temp_directory_path() / "lashband-table-XXXXXX").string();
  if (mkdtemp(name.data()) == nullptr) {
    std::fprintf(stderr, "no temporary folder\n");
    return 1;
  }
  const fs::path folder = name;
  const fs::path points = folder / "points.csv";
  const fs::path commas = folder / "commas.csv";
  write_table(points, rows, ',', '.');
  write_table(commas, rows, ';', ',');

  // First, since a peak does not fall again.
  const double before = peak_mebibytes();
  double last = 0.0;
  {
    const io::MeasuredTable table = io::read_measured_table(points, "points.csv");
    last = table.columns[3].back();
  }
  const double growth = peak_mebibytes() - before;
  const double numbers = static_cast<double>(rows) * 4.0 * sizeof(double) / (1 << 20);

  double sum = 0.0;  // so that no reading is left out
  const auto read = [&](const fs::path& file) {
    sum += io::read_measured_table(file, "table.csv").columns[3].back();
  };
  const double reading = best_seconds([&] { read(points); });
  const double reading_commas = best_seconds([&] { read(commas); });
  const double reading_with_digest = best_seconds([&] {
    io::Sha256 digest;
    const auto add = [&](std::string_view bytes) { digest.add(bytes); };
    sum += io::read_measured_table(points, "table.csv", add).columns[3].back();
    sum += digest.in_hexadecimal().empty() ? 1.0 : 0.0;
  });
  double plain_last = 0.0;
  const double plain = best_seconds([&] { plain_last = plain_loop(points); });

  double load[1] = {0.0};
  (void)getloadavg(load, 1);
  const auto line = [&](const char* what, double seconds) {
    std::printf("  %-44s %7.3f s  %9.0f rows/s  %5.2f times as fast as the plain loop\n", what,
                seconds, static_cast<double>(rows) / seconds, plain / seconds);
  };
  std::printf("%ld rows of 4 columns, %.1f MB, best of %d runs, load %.1f\n", rows,
              static_cast<double>(fs::file_size(points)) * 1e-6, runs, load[0]);
  line("plain loop: std::getline and std::stod", plain);
  line("read_measured_table, decimal points", reading);
  line("the same with SHA-256 of the bytes", reading_with_digest);
  line("read_measured_table, decimal commas", reading_commas);
  std::printf("  peak memory grew by %.1f MiB while reading; the numbers take %.1f MiB\n", growth,
              numbers);
  std::error_code ignored;
  fs::remove_all(folder, ignored);
  if (last != plain_last || !(sum == sum)) {
    std::fprintf(stderr, "the two readings differ\n");
    return 1;
  }
  return 0;
}
