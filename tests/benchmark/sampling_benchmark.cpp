// Sampling of one mesh at 33 temperatures, and the distribution without sampling, beside NumPy and
// beside a plain C++ loop, in one run and with the same study: ten uncertain inputs, an aluminium
// carrier, three gaps, two of them in two measures, of each the mean, the standard deviation and
// three percentiles, and the probability of binding at a temperature and at any (the distribution:
// at a temperature). Then the distribution beside NumPy once more with the elongations of both
// gears and of the carrier uncertain too. Seconds are those of the processor, but for several
// threads those of the clock; the least of five runs. One evaluation is one sample, one temperature
// and one of the five numbers.
//
//   sampling_benchmark [SAMPLES]
//
// Lines that begin with "time" are what plot_sampling.py draws.
#include <algorithm>
#include <array>
#include <chrono>
#include <cmath>
#include <cstdio>
#include <cstdlib>
#include <ctime>
#include <filesystem>
#include <fstream>
#include <functional>
#include <nlohmann/json.hpp>
#include <numbers>
#include <random>
#include <string>
#include <thread>
#include <vector>

#include "band/gap_distribution.hpp"
#include "band/gap_model.hpp"
#include "band/monte_carlo.hpp"

namespace {

using lashband::band::kernel::Draws;
using lashband::band::kernel::FloatMeasures;
using lashband::band::kernel::Gap;
using lashband::band::kernel::GapDistribution;
using lashband::band::kernel::GapMeasure;
using lashband::band::kernel::Gaps;
using lashband::band::kernel::Limits;
using lashband::band::kernel::LinearForm;
using lashband::band::kernel::MeshModel;
using lashband::band::kernel::SampledGap;
using lashband::band::kernel::SampleOptions;
using lashband::band::kernel::SampleResult;
using lashband::band::kernel::StateModel;
using lashband::tolerance::Shape;

constexpr int gap_numbers = 5;

double seconds_of(const std::function<void()>& work) {
  const auto start = std::chrono::steady_clock::now();
  work();
  return std::chrono::duration<double>(std::chrono::steady_clock::now() - start).count();
}

// Of the processor, not of the clock: other work on the machine counts less. For one thread.
double processor_seconds_of(const std::function<void()>& work) {
  const std::clock_t start = std::clock();
  work();
  return static_cast<double>(std::clock() - start) / CLOCKS_PER_SEC;
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

struct Study {
  MeshModel mesh;
  Draws draws;
};

enum class Elongations { certain, uncertain };
// +-3 sigma of an elongation, relative to it: invented.
constexpr double elongation_uncertainty = 0.05;

// A spur pair of module 2 with 23 and 57 teeth in an aluminium case; all tolerances invented.
Study study_of(int states, Elongations elongations = Elongations::certain) {
  Study study;
  MeshModel& mesh = study.mesh;
  const double module = 2e-3;
  const double alpha = 20.0 * std::numbers::pi / 180.0;
  const double involute = std::tan(alpha) - alpha;
  mesh.L = 0.5 * module * (23 + 57);
  mesh.r_b1 = 0.5 * module * 23 * std::cos(alpha);
  mesh.r_b2 = 0.5 * module * 57 * std::cos(alpha);
  mesh.p_b1 = mesh.p_b2 = std::numbers::pi * module * std::cos(alpha);
  mesh.s_b1 = 0.5 * mesh.p_b1 + 2.0 * mesh.r_b1 * involute;
  mesh.s_b2 = 0.5 * mesh.p_b2 + 2.0 * mesh.r_b2 * involute;
  mesh.kappa = std::cos(alpha);
  const auto uncertain = [&study](double mid, double half) {
    study.draws.shapes.push_back(Shape::normal());
    study.draws.elongation.push_back(false);
    return LinearForm{mid, {{study.draws.shapes.size() - 1, half}}};
  };
  mesh.E_1 = uncertain(-50e-6, 15e-6);
  mesh.E_2 = uncertain(-60e-6, 20e-6);
  mesh.deviation = uncertain(0.0, 17e-6);
  mesh.run_out_1 = uncertain(12e-6, 6e-6);
  mesh.run_out_2 = uncertain(15e-6, 7e-6);
  mesh.pitch_1 = uncertain(5e-6, 2e-6);
  mesh.pitch_2 = uncertain(5e-6, 2e-6);
  LinearForm misalignment = uncertain(0.0, 6e-6);
  for (const double half : {6e-6, 8e-6}) {
    misalignment.terms.push_back(uncertain(0.0, half).terms[0]);
  }
  // Gear 1, gear 2, carrier.
  std::vector<std::size_t> metals;
  for (int i = 0; elongations == Elongations::uncertain && i < 3; ++i) {
    metals.push_back(uncertain(0.0, 1.0).terms[0].draw);
    study.draws.elongation.back() = true;
  }
  const auto elongation = [&metals](double mid, std::size_t metal) {
    LinearForm form{mid, {}};
    if (!metals.empty()) {
      form.terms.push_back({metals[metal], elongation_uncertainty * mid});
    }
    return form;
  };
  for (int i = 0; i < states; ++i) {
    const double dT = -60.0 + (states > 1 ? 160.0 * i / (states - 1) : 0.0);
    StateModel state;
    state.growth_1 = elongation(11.5e-6 * dT, 0);
    state.growth_2 = elongation(11.5e-6 * dT, 1);
    state.carrier_least.linear = state.carrier_greatest.linear = elongation(21e-6 * dT, 2);
    state.seats.resize(1);
    state.seats[0].clearance.constant = 12e-6;
    state.misalignment = misalignment;
    mesh.states.push_back(state);
  }
  return study;
}

SampleResult run(const Study& study, std::uint64_t samples, unsigned threads, std::size_t meshes) {
  SampleOptions options;
  options.samples = samples;
  options.threads = threads;
  return sampled(std::vector<MeshModel>(meshes, study.mesh), study.draws,
                 std::vector<Limits>(meshes), options);
}

nlohmann::json as_json(const Study& study, std::uint64_t samples) {
  const MeshModel& mesh = study.mesh;
  const auto normal = [](const LinearForm& form, std::size_t term, double mid) {
    return nlohmann::json{mid, form.terms[term].coefficient / 3.0};
  };
  const LinearForm& misalignment = mesh.states[0].misalignment;
  nlohmann::json json{
      {"samples", samples},
      {"seed", 1},
      {"L", mesh.L},
      {"r_b1", mesh.r_b1},
      {"r_b2", mesh.r_b2},
      {"p_b", mesh.p_b1},
      {"s_b1", mesh.s_b1},
      {"s_b2", mesh.s_b2},
      {"kappa", mesh.kappa},
      {"cos_beta_b", mesh.cos_beta_b},
      {"thickness_1", normal(mesh.E_1, 0, mesh.E_1.constant)},
      {"thickness_2", normal(mesh.E_2, 0, mesh.E_2.constant)},
      {"deviation", normal(mesh.deviation, 0, mesh.deviation.constant)},
      {"run_out_1", normal(mesh.run_out_1, 0, mesh.run_out_1.constant)},
      {"run_out_2", normal(mesh.run_out_2, 0, mesh.run_out_2.constant)},
      {"pitch_1", normal(mesh.pitch_1, 0, mesh.pitch_1.constant)},
      {"pitch_2", normal(mesh.pitch_2, 0, mesh.pitch_2.constant)},
      {"helix_1", normal(misalignment, 0, 0.0)},
      {"helix_2", normal(misalignment, 1, 0.0)},
      {"axes", normal(misalignment, 2, 0.0)},
  };
  json["elongation_sigma"] =
      mesh.states[0].growth_1.terms.empty() ? 0.0 : elongation_uncertainty / 3.0;
  json["states"] = nlohmann::json::array();
  for (const StateModel& state : mesh.states) {
    json["states"].push_back({{"growth", state.growth_1.constant},
                              {"strain", state.carrier_least.linear.constant},
                              {"float", state.seats[0].clearance.constant}});
  }
  return json;
}

nlohmann::json run_numpy(const nlohmann::json& study) {
  const std::filesystem::path folder = std::filesystem::temp_directory_path();
  const std::string input = folder / "sampling_benchmark_study.json";
  const std::string output = folder / "sampling_benchmark_result.json";
  std::ofstream(input) << study;
  const std::string command = "/usr/bin/python3 " LASHBAND_SOURCE_DIR
                              "/tests/benchmark/sampling_baseline.py <" +
                              input + " >" + output;
  if (std::system(command.c_str()) != 0) {
    std::fprintf(stderr, "%s did not run\n", command.c_str());
    std::exit(1);
  }
  std::ifstream file(output);
  return nlohmann::json::parse(file);
}

// How one writes it with the standard library; keeps the values of one temperature at a time.
double plain_loop(const Study& study, std::uint64_t samples) {
  const std::size_t draws = study.draws.shapes.size();
  std::mt19937_64 bits(1);
  std::normal_distribution<double> normal(0.0, 1.0 / 3.0);
  std::vector<double> y(samples * draws);
  for (double& value : y) {
    value = normal(bits);
  }
  std::vector<std::vector<double>> gap(gap_numbers, std::vector<double>(samples));
  double checksum = 0.0;
  for (const StateModel& state : study.mesh.states) {
    for (std::uint64_t i = 0; i < samples; ++i) {
      const Gaps gaps = lashband::band::kernel::gaps(study.mesh, state, &y[i * draws]);
      gap[0][i] = gaps.least;
      gap[1][i] = gaps.least * gaps.least_ratio;
      gap[2][i] = gaps.greatest;
      gap[3][i] = gaps.greatest * gaps.greatest_ratio;
      gap[4][i] = gaps.bind;
    }
    for (std::vector<double>& values : gap) {
      double sum = 0.0;
      double squares = 0.0;
      for (const double value : values) {
        sum += value;
        squares += value * value;
      }
      checksum += sum + squares;
      for (const double share : {0.00135, 0.5, 0.99865}) {
        const auto place =
            values.begin() + static_cast<std::ptrdiff_t>(share * static_cast<double>(samples));
        std::nth_element(values.begin(), place, values.end());
        checksum += *place;
      }
    }
  }
  return checksum;
}

// Greatest difference to NumPy's result, in standard errors of a difference of two samplings.
double greatest_difference(const SampleResult& result, const nlohmann::json& numpy) {
  double greatest = 0.0;
  for (std::size_t s = 0; s < result.meshes[0].states.size(); ++s) {
    const auto& state = result.meshes[0].states[s];
    const SampledGap* gaps[] = {&state.least_bt, &state.least_wt, &state.greatest_bt,
                                &state.greatest_wt, &state.bind_bt};
    for (std::size_t g = 0; g < std::size(gaps); ++g) {
      const auto* figures = &gaps[g]->mean;
      for (std::size_t k = 0; k < 5; ++k) {
        const double other = numpy["states"][s]["gaps"][g][k];
        greatest = std::max(greatest, std::abs(figures[k].value - other) /
                                          (std::numbers::sqrt2 * figures[k].standard_error));
      }
    }
  }
  return greatest;
}

// What the distribution yields of the study, in the order of NumPy's result.
struct Exact {
  std::array<std::array<double, 5>, gap_numbers> gaps{};
  double bind = 0.0;
};

std::vector<Exact> by_distribution(const Study& study) {
  std::vector<Exact> all;
  FloatMeasures floats;
  for (const StateModel& state : study.mesh.states) {
    Exact exact;
    std::size_t number = 0;
    const auto add = [&exact, &number](const GapDistribution& gap, GapMeasure measure) {
      const auto moments = gap.moments(measure);
      exact.gaps.at(number++) = {moments.mean, moments.sigma, gap.quantile(measure, 0.00135),
                                 gap.quantile(measure, 0.5), gap.quantile(measure, 0.99865)};
    };
    for (const Gap which : {Gap::least, Gap::greatest, Gap::bind}) {
      const GapDistribution gap(study.mesh, state, study.draws, which, floats);
      add(gap, GapMeasure::j_bt);
      if (which == Gap::bind) {
        exact.bind = gap.below(GapMeasure::j_bt, 0.0);
      } else {
        add(gap, GapMeasure::j_wt);
      }
    }
    all.push_back(exact);
  }
  return all;
}

// Greatest difference to NumPy's result, in standard errors of the sampling: of the mean and the
// standard deviation of what is nearly normal, and of percentiles of the same.
double greatest_difference(const std::vector<Exact>& exact, const nlohmann::json& numpy,
                           double samples) {
  double greatest = 0.0;
  const std::array<double, 5> shares{0.0, 0.0, 0.00135, 0.5, 0.99865};
  for (std::size_t s = 0; s < exact.size(); ++s) {
    for (std::size_t g = 0; g < gap_numbers; ++g) {
      const std::array<double, 5>& figures = exact[s].gaps.at(g);
      const double sigma = figures[1];
      for (std::size_t k = 0; k < figures.size(); ++k) {
        double error = sigma * (k == 0 ? 1.0 : std::numbers::sqrt2 / 2.0);
        if (k >= 2) {
          const double z = (figures.at(k) - figures[0]) / sigma;
          const double density =
              std::exp(-0.5 * z * z) / (sigma * std::sqrt(2.0 * std::numbers::pi));
          error = std::sqrt(shares.at(k) * (1.0 - shares.at(k))) / density;
        }
        const double other = numpy["states"][s]["gaps"][g][k];
        greatest =
            std::max(greatest, std::abs(figures.at(k) - other) / (error / std::sqrt(samples)));
      }
    }
    // With p from the rule of succession where there is no hit.
    const double hits = numpy["states"][s]["bind"].get<double>() * samples;
    const double p = (hits + 1.0) / (samples + 2.0);
    greatest = std::max(
        greatest, std::abs(exact[s].bind * samples - hits) / std::sqrt(samples * p * (1.0 - p)));
  }
  return greatest;
}

// Other work on the machine can only add to a time.
double least(const std::vector<double>& values) {
  return *std::min_element(values.begin(), values.end());
}

double least_seconds(const std::function<void()>& work) {
  std::vector<double> times;
  for (int i = 0; i < 5; ++i) {
    times.push_back(processor_seconds_of(work));
  }
  return least(times);
}

}  // namespace

int main(int argc, char** argv) {
  const std::uint64_t samples = argc > 1 ? std::strtoull(argv[1], nullptr, 10) : 1000000;
  if (samples == 0) {
    std::fprintf(stderr, "sampling_benchmark [SAMPLES]\n");
    return 2;
  }
  const int states = 33;
  const Study study = study_of(states);
  const auto evaluations = static_cast<double>(samples) * states * gap_numbers;
  std::printf("processor        %s\n", processor().c_str());
  std::printf("instruction set  %s\n", lashband::band::kernel::instruction_set());
  std::printf("load             %.2f\n", load());
  std::printf("study            %llu samples, %d temperatures, %d numbers each\n\n",
              static_cast<unsigned long long>(samples), states, gap_numbers);

  // In turns, so that a noisy machine is noisy for all of them.
  std::vector<double> engine_times;
  std::vector<double> numpy_times;
  std::vector<double> plain_times;
  std::vector<double> exact_times;
  std::vector<Exact> exact;
  // One study takes too short a time for the processor's clock.
  constexpr int repetitions = 20;
  SampleResult result;
  nlohmann::json numpy;
  for (int round = 0; round < 5; ++round) {
    engine_times.push_back(processor_seconds_of([&] { result = run(study, samples, 1, 1); }));
    numpy = run_numpy(as_json(study, samples));
    numpy_times.push_back(numpy["seconds"]);
    exact_times.push_back(processor_seconds_of([&] {
                            for (int i = 0; i < repetitions; ++i) {
                              exact = by_distribution(study);
                            }
                          }) /
                          repetitions);
    engine_times.push_back(processor_seconds_of([&] { result = run(study, samples, 1, 1); }));
    plain_times.push_back(processor_seconds_of([&] {
                            if (!std::isfinite(plain_loop(study, samples / 10 + 1))) {
                              std::exit(1);
                            }
                          }) *
                          static_cast<double>(samples) / static_cast<double>(samples / 10 + 1));
  }
  const auto row = [&](const char* name, double seconds) {
    std::printf("%-38s %8.3f s  %9.3g evaluations/s  %6.1f times NumPy\n", name, seconds,
                evaluations / seconds, least(numpy_times) / seconds);
  };
  row("NumPy, one thread", least(numpy_times));
  row("plain C++ loop (a tenth of the samples)", least(plain_times));
  row("lashband, one thread", least(engine_times));
  std::printf("greatest difference to NumPy: %.1f standard errors in %d figures\n\n",
              greatest_difference(result, numpy), states * gap_numbers * 5);

  const int exact_figures = states * (gap_numbers * 5 + 1);
  const auto exact_row = [&](const char* name, double seconds, double of_numpy, double difference) {
    std::printf("%-38s %8.5f s  %6.1f us a temperature and gap  %6.0f times NumPy\n", name, seconds,
                1e6 * seconds / (3 * states), of_numpy / seconds);
    std::printf("greatest difference to NumPy: %.1f standard errors in %d figures\n", difference,
                exact_figures);
    std::fflush(stdout);
  };
  exact_row("distribution, one thread", least(exact_times), least(numpy_times),
            greatest_difference(exact, numpy, static_cast<double>(samples)));

  const Study with_metals = study_of(states, Elongations::uncertain);
  std::vector<double> metals_numpy_times;
  std::vector<double> metals_times;
  for (int round = 0; round < 3; ++round) {
    numpy = run_numpy(as_json(with_metals, samples));
    metals_numpy_times.push_back(numpy["seconds"]);
    metals_times.push_back(processor_seconds_of([&] { exact = by_distribution(with_metals); }));
  }
  std::printf("with the elongations of three metals uncertain: NumPy %.3f s\n",
              least(metals_numpy_times));
  exact_row("distribution, one thread", least(metals_times), least(metals_numpy_times),
            greatest_difference(exact, numpy, static_cast<double>(samples)));
  std::printf("\n");

  const unsigned most_threads = std::max(2U, std::thread::hardware_concurrency());
  std::vector<std::vector<double>> thread_times(most_threads);
  std::vector<std::vector<double>> processor_times(most_threads);
  for (int round = 0; round < 5; ++round) {
    for (unsigned threads = 1; threads <= most_threads; ++threads) {
      processor_times[threads - 1].push_back(processor_seconds_of([&] {
        thread_times[threads - 1].push_back(
            seconds_of([&] { (void)run(study, 4 * samples, threads, 1); }));
      }));
    }
  }
  for (unsigned threads = 1; threads <= most_threads; ++threads) {
    const double seconds = least(thread_times[threads - 1]);
    // What the threads cost together tells what they lose to one another on a busy machine too.
    std::printf("time threads %u %.6f  (%.2f times as fast as one, load %.2f, processor %.6f s)\n",
                threads, seconds, least(thread_times[0]) / seconds, load(),
                least(processor_times[threads - 1]));
  }
  for (std::uint64_t n = samples / 64; n <= 16 * samples; n *= 4) {
    std::printf("time samples %llu %.6f\n", static_cast<unsigned long long>(n),
                least_seconds([&] { (void)run(study, n, 1, 1); }));
  }
  for (int n = 1; n <= 256; n *= 4) {
    const Study other = study_of(n);
    std::printf("time temperatures %d %.6f\n", n,
                least_seconds([&] { (void)run(other, samples / 4, 1, 1); }));
  }
  for (std::size_t n = 1; n <= 16; n *= 2) {
    std::printf("time meshes %zu %.6f\n", n,
                least_seconds([&] { (void)run(study, samples / 4, 1, n); }));
  }
  return 0;
}
