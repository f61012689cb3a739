// Writes made torsional systems as JSON, each with the library's modes, damped modes, responses
// and mean torques, for tests/scipy/torsional_systems.py.
//
//   torsion_cases FILE
#include <cstdio>
#include <fstream>
#include <nlohmann/json.hpp>
#include <string>

#include "made_systems.hpp"
#include "torsion/mean_flow.hpp"
#include "torsion/modes.hpp"
#include "torsion/response.hpp"

using namespace lashband;
using namespace lashband::test;
using namespace lashband::torsion::kernel;

namespace {

nlohmann::json as_json(const std::vector<Complex>& values) {
  nlohmann::json json{{"re", nlohmann::json::array()}, {"im", nlohmann::json::array()}};
  for (const Complex& value : values) {
    json["re"].push_back(value.real());
    json["im"].push_back(value.imag());
  }
  return json;
}

nlohmann::json as_json(const System& system) {
  nlohmann::json json{{"inertias", system.inertias}, {"elements", nlohmann::json::array()}};
  for (const Element& element : system.elements) {
    nlohmann::json row{{"first", element.first},
                       {"arm_1", element.arm_1},
                       {"second", nullptr},
                       {"arm_2", element.arm_2},
                       {"stiffness", element.law.stiffness},
                       {"damping", element.law.damping},
                       {"loss_factor", element.law.loss_factor},
                       {"branches", nlohmann::json::array()}};
    if (element.second) {
      row["second"] = *element.second;
    }
    for (const MaxwellBranch& branch : element.law.branches) {
      row["branches"].push_back({branch.stiffness, branch.relaxation_time});
    }
    json["elements"].push_back(row);
  }
  return json;
}

Excitation random_excitation(const System& system, Draw& draw) {
  Excitation excitation;
  for (std::size_t i = 0; i < system.inertias.size(); ++i) {
    excitation.torques.push_back(draw.phasor(10.0));
  }
  for (std::size_t e = 0; e < system.elements.size(); ++e) {
    excitation.displacements.push_back(draw.phasor(1e-5));
  }
  return excitation;
}

nlohmann::json responses(const System& system, Draw& draw) {
  nlohmann::json json = nlohmann::json::array();
  for (int i = 0; i < 4; ++i) {
    const double omega = draw.over(10.0, 1e5);
    const Excitation excitation = random_excitation(system, draw);
    const Response at = response(system, omega, excitation);
    json.push_back({{"omega", omega},
                    {"torques_in", as_json(excitation.torques)},
                    {"displacements", as_json(excitation.displacements)},
                    {"angles", as_json(at.angles)},
                    {"torques", as_json(at.torques)}});
  }
  return json;
}

nlohmann::json undamped(const System& system) {
  nlohmann::json json = nlohmann::json::array();
  for (const Mode& mode : modes(system)) {
    json.push_back({{"omega", mode.omega}, {"shape", mode.shape}});
  }
  return json;
}

nlohmann::json damped(const System& system) {
  nlohmann::json json = nlohmann::json::array();
  for (const DampedMode& mode : damped_modes(system)) {
    json.push_back(
        {{"lambda", {mode.lambda.real(), mode.lambda.imag()}}, {"shape", as_json(mode.shape)}});
  }
  return json;
}

// Torques that every free part but that of `balancing` bears, as they turn none of them.
nlohmann::json mean(const System& system, Draw& draw) {
  const std::size_t balancing = draw.below(system.inertias.size());
  std::vector<double> torques;
  for (std::size_t i = 0; i < system.inertias.size(); ++i) {
    torques.push_back(draw.between(-50.0, 50.0));
  }
  System lasting = system;
  for (Element& element : lasting.elements) {
    element.law.branches.clear();
  }
  for (const std::vector<double>& motion : free_motions(lasting)) {
    if (motion[balancing] != 0.0) {
      continue;
    }
    double work = 0.0;
    for (std::size_t i = 0; i < torques.size(); ++i) {
      work += motion[i] * torques[i];
    }
    for (std::size_t i = 0; i < torques.size(); ++i) {
      torques[i] -= work * motion[i];
    }
  }
  const MeanFlow flow = mean_flow(system, torques, balancing);
  return {{"torques_in", torques},
          {"balancing", balancing},
          {"torques", flow.torques},
          {"angles", flow.angles},
          {"balance", flow.balance}};
}

enum class Losses { none, viscous, all };

System made(unsigned seed, std::size_t n, double span, Losses losses) {
  System system = n < 4 ? random_tree(seed, n, span) : closed_train(seed, n, n / 5, span);
  if (losses != Losses::none) {
    damp(system, seed);
  }
  if (losses == Losses::viscous) {
    for (Element& element : system.elements) {
      element.law.loss_factor = 0.0;
    }
  }
  // Of every fourth one an element that branches alone hold.
  if (seed % 4 == 2 && losses != Losses::none) {
    system.elements[0].law = {0.0, 0.0, 0.0, {{4e4, 2e-3}, {6e4, 1e-4}}};
  }
  // Of every third one inertias that others carry along, of every fourth a second free part, of
  // every fifth a tie to the case.
  if (seed % 3 == 0 && n > 5) {
    system.inertias[2] = 0.0;
    system.inertias[n / 2] = 0.0;
  }
  if (seed % 4 == 0) {
    const std::size_t at = system.inertias.size();
    system.inertias.insert(system.inertias.end(), {0.02, 0.05});
    Law law = spring(3e4);
    law.damping = losses == Losses::none ? 0.0 : 2.0;
    system.elements.push_back({at, 0.1, at + 1, 0.15, law});
    system.elements.push_back(shaft(0, at, spring(0.0)));
  }
  if (seed % 5 == 0) {
    system.elements.push_back(to_case(n - 1, spring(2e4)));
  }
  return system;
}

nlohmann::json made_case(unsigned seed, std::size_t n, double span, Losses losses) {
  const System system = made(seed, n, span, losses);
  Draw draw(seed + 500);
  nlohmann::json json{{"seed", seed},
                      {"span", span},
                      {"system", as_json(system)},
                      {"modes", undamped(system)},
                      {"damped", damped(system)},
                      {"responses", responses(system, draw)},
                      {"mean", mean(system, draw)}};
  return json;
}

}  // namespace

int main(int count, char** words) {
  if (count != 2) {
    std::fprintf(stderr, "usage: torsion_cases FILE\n");
    return 2;
  }
  nlohmann::json cases = nlohmann::json::array();
  const std::vector<std::size_t> sizes{2, 3, 5, 8, 12, 20, 35, 60};
  for (unsigned seed = 1; seed <= 40; ++seed) {
    const std::size_t n = sizes[seed % sizes.size()];
    const Losses losses = seed % 7 == 0   ? Losses::none
                          : seed % 2 == 0 ? Losses::all
                                          : Losses::viscous;
    cases.push_back(made_case(seed, n, seed % 3 == 1 ? 1e4 : 30.0, losses));
  }
  std::ofstream file(words[1]);
  file << cases;
  return file.good() ? 0 : 1;
}
