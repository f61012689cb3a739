#include "loop_model.hpp"

#include <algorithm>
#include <cmath>
#include <limits>
#include <map>
#include <set>
#include <utility>

#include "band/gap_sum.hpp"
#include "band/worst_case.hpp"

namespace lashband::design {
namespace {

using band::kernel::GapAt;
using band::kernel::LinearForm;
using band::kernel::LinearTerm;
using geometry::Point;
using units::from_si;
using units::Length;

// The band of the root sum square, as of every +-3 sigma tolerance.
constexpr double rss_sigmas = 3.0;
// The loop binds one way or the other.
constexpr double senses[] = {1.0, -1.0};

void note(const LinearForm& form, std::set<std::size_t>& draws) {
  for (const LinearTerm& term : form.terms) {
    draws.insert(term.draw);
  }
}

std::vector<std::size_t> draws_of(const band::kernel::MeshModel& mesh,
                                  const band::kernel::StateModel& state, const LinearForm& axial) {
  std::set<std::size_t> draws;
  for (const LinearForm* form :
       {&mesh.E_1, &mesh.E_2, &mesh.deviation, &mesh.run_out_1, &mesh.run_out_2, &mesh.pitch_1,
        &mesh.pitch_2, &mesh.wear, &mesh.other_a, &mesh.other_j, &state.growth_1, &state.growth_2,
        &state.carrier_least.linear, &axial}) {
    note(*form, draws);
  }
  for (const band::kernel::Knee& knee : state.carrier_least.knees) {
    note(knee.argument, draws);
  }
  for (const band::kernel::SeatModel& seat : state.seats) {
    for (const LinearForm* form : {&seat.clearance, &seat.outer, &seat.inner}) {
      note(*form, draws);
    }
  }
  return {draws.begin(), draws.end()};
}

std::vector<std::size_t> numbers_of(const std::vector<LoopMesh>& meshes) {
  std::vector<std::size_t> numbers;
  numbers.reserve(meshes.size());
  for (const LoopMesh& mesh : meshes) {
    numbers.push_back(mesh.mesh);
  }
  return numbers;
}

}  // namespace

LoopModel::LoopModel(const Design& design, const CarrierRun& run, const train::Closure& closure,
                     std::vector<LoopMesh> meshes, std::vector<LinearForm> axial)
    : run_(run),
      closure_(closure),
      meshes_(std::move(meshes)),
      axial_(std::move(axial)),
      places_(design, run.contributors(), numbers_of(meshes_)) {
  for (std::size_t i = 0; i < meshes_.size(); ++i) {
    const LoopMesh& mesh = meshes_[i];
    draws_.push_back(draws_of(*mesh.model, *mesh.state, axial_[i]));
    weight_ += 1.0 / (2.0 * mesh.base_pitch * std::abs(mesh.pitches));
  }
}

double LoopModel::offset_sum(const Places& places) const {
  double sum = 0.0;
  for (std::size_t i = 0; i < meshes_.size(); ++i) {
    const auto& [one, two] = places_.ends(i);
    sum += meshes_[i].direction * closure_.offset(meshes_[i].mesh, places[one], places[two]) /
           meshes_[i].pitches;
  }
  return sum;
}

double LoopModel::own_length(std::size_t which, const Unit& unit, Float floats) const {
  const LoopMesh& mesh = meshes_[which];
  const double* y = unit.y.data();
  // Run-outs as in a hunting pair, whatever their phase: so is the worst case of a mesh.
  const GapAt at = band::kernel::gap_at(*mesh.model, *mesh.state, mesh.state->carrier_least, y,
                                        {0.0, -1.0}, unit.misalignment[which]);
  double length = at.j_bt + mesh.state->cycle_least *
                                std::abs(mesh.model->p_b2 * at.e_2 - mesh.model->p_b1 * at.e_1);
  if (floats == Float::taken_up) {
    length += band::kernel::float_of(*mesh.state, y) + axial_[which].at(y);
  }
  return length;
}

double LoopModel::margin(const Unit& unit, Float floats, double sense) const {
  double sum = sense * offset_sum(places_.at(unit.y));
  for (std::size_t i = 0; i < meshes_.size(); ++i) {
    sum +=
        own_length(i, unit, floats) / (2.0 * meshes_[i].base_pitch * std::abs(meshes_[i].pitches));
  }
  return sum / weight_;
}

LoopModel::Effects LoopModel::effects(const Unit& unit, Float floats, double sense) const {
  constexpr double step = 1e-3;
  std::map<std::size_t, double> effect;
  Unit moved = unit;
  for (std::size_t i = 0; i < meshes_.size(); ++i) {
    const double share = 1.0 / (2.0 * meshes_[i].base_pitch * std::abs(meshes_[i].pitches));
    for (const std::size_t draw : draws_[i]) {
      moved.y[draw] = unit.y[draw] + step;
      const double above = own_length(i, moved, floats);
      moved.y[draw] = unit.y[draw] - step;
      const double below = own_length(i, moved, floats);
      moved.y[draw] = unit.y[draw];
      effect[draw] += share * (above - below) / (2.0 * step) / weight_;
    }
  }
  // Places turn the lines of centres; over a tenth of the zone that is linear to 1e-9.
  constexpr double part = 0.1;
  for (const std::size_t shaft : places_.shafts()) {
    const ShaftDraws& draws = run_.contributors().shaft(shaft);
    for (const Draw& draw : {draws.position_x, draws.position_y}) {
      if (draw) {
        moved.y[*draw] = unit.y[*draw] + part;
        const double above = offset_sum(places_.at(moved.y));
        moved.y[*draw] = unit.y[*draw] - part;
        const double below = offset_sum(places_.at(moved.y));
        moved.y[*draw] = unit.y[*draw];
        effect[*draw] += sense * (above - below) / (2.0 * part) / weight_;
      }
    }
  }
  return {effect.begin(), effect.end()};
}

double LoopModel::worst_low(Float floats) const {
  Unit mid;
  mid.y.assign(run_.draws().shapes.size(), 0.0);
  for (const LoopMesh& mesh : meshes_) {
    const band::kernel::Range range =
        band::kernel::range_of(mesh.state->misalignment, run_.draws());
    mid.misalignment.push_back(std::max(std::abs(range.low), std::abs(range.high)));
  }
  double low = std::numeric_limits<double>::infinity();
  for (const double sense : senses) {
    Unit end = mid;
    std::map<std::size_t, double> slopes;
    for (const auto& [draw, effect] : effects(mid, floats, sense)) {
      slopes[draw] = effect;
      end.y[draw] = effect > 0.0 ? -1.0 : effect < 0.0 ? 1.0 : 0.0;
    }
    for (const auto& [x, y] : run_.draws().discs) {
      const double along_x = slopes.contains(x) ? slopes[x] : 0.0;
      const double along_y = slopes.contains(y) ? slopes[y] : 0.0;
      const double length = std::hypot(along_x, along_y);
      end.y[x] = length > 0.0 ? -along_x / length : 0.0;
      end.y[y] = length > 0.0 ? -along_y / length : 0.0;
    }
    low = std::min(low, margin(end, floats, sense));
  }
  return low;
}

std::optional<double> LoopModel::rss_low(Float floats) const {
  const band::kernel::Draws& draws = run_.draws();
  Unit mean;
  mean.y.reserve(draws.shapes.size());
  for (const tolerance::Shape& shape : draws.shapes) {
    mean.y.push_back(shape.mean());
  }
  for (const LoopMesh& mesh : meshes_) {
    mean.misalignment.push_back(std::abs(mesh.state->misalignment.constant));
  }
  std::optional<double> low;
  for (const double sense : senses) {
    std::map<std::size_t, double> parts;
    for (const auto& [draw, effect] : effects(mean, floats, sense)) {
      parts[draw] += effect * draws.shapes[draw].sigma();
    }
    for (const LoopMesh& mesh : meshes_) {
      const double share = 1.0 / (2.0 * mesh.base_pitch * std::abs(mesh.pitches)) / weight_;
      for (const LinearTerm& term : mesh.state->misalignment.terms) {
        parts[term.draw] -= share * std::abs(term.coefficient) * draws.shapes[term.draw].sigma() /
                            mesh.model->cos_beta_b;
      }
    }
    double variance = 0.0;
    for (const auto& [draw, part] : parts) {
      variance += part * part;
    }
    for (const band::kernel::Draws::Correlation& tie : draws.correlations) {
      if (parts.contains(tie.first) && parts.contains(tie.second)) {
        variance += 2.0 * tie.coefficient * parts[tie.first] * parts[tie.second];
      }
    }
    if (!parts.empty()) {
      const double end =
          margin(mean, floats, sense) - rss_sigmas * std::sqrt(std::max(0.0, variance));
      low = low ? std::min(*low, end) : end;
    }
  }
  return low;
}

double LoopModel::drawn_margin(const Places& places, Float floats, double sense) const {
  double sum = sense * offset_sum(places);
  for (std::size_t i = 0; i < meshes_.size(); ++i) {
    const LoopMesh& mesh = meshes_[i];
    const auto& [one, two] = places_.ends(i);
    const auto& drawn_1 = places_.drawn()[one];
    const auto& drawn_2 = places_.drawn()[two];
    double wider = 0.0;
    if (drawn_1 && drawn_2) {
      wider =
          (geometry::distance(*places[one], *places[two]) - geometry::distance(*drawn_1, *drawn_2))
              .value();
    }
    const GapAt drawn{mesh.gap, mesh.a, mesh.base_radii, 1.0, 1.0};
    const double side = mesh.a < 0.0 ? -1.0 : 1.0;
    const double gap = band::kernel::opened(drawn, side * wider * mesh.growth).j_bt;
    sum += (gap + (floats == Float::taken_up ? mesh.slack : 0.0)) /
           (2.0 * mesh.base_pitch * std::abs(mesh.pitches));
  }
  return sum / weight_;
}

double LoopModel::nominal(Float floats) const {
  return std::min(drawn_margin(places_.drawn(), floats, senses[0]),
                  drawn_margin(places_.drawn(), floats, senses[1]));
}

std::optional<double> LoopModel::reserve_of(std::size_t shaft) const {
  Places places = places_.drawn();
  const Point home = *places[shaft];
  double reach = std::numeric_limits<double>::infinity();
  for (const LoopMesh& mesh : meshes_) {
    reach = std::min(reach, 0.1 * std::abs(mesh.a));
  }
  std::optional<double> least;
  for (const double sense : senses) {
    const auto margin_at = [&](double x, double y) {
      places[shaft] = Point{home.x + from_si<Length>(x), home.y + from_si<Length>(y)};
      return drawn_margin(places, Float::centred, sense);
    };
    double x = 0.0;
    double y = 0.0;
    // Along the steepest descent, whose direction hardly turns over so short a way.
    constexpr int most_steps = 30;
    for (int i = 0; i < most_steps; ++i) {
      constexpr double step = 1e-7;
      const double slope_x = (margin_at(x + step, y) - margin_at(x - step, y)) / (2.0 * step);
      const double slope_y = (margin_at(x, y + step) - margin_at(x, y - step)) / (2.0 * step);
      const double slope = std::hypot(slope_x, slope_y);
      const double margin = margin_at(x, y);
      const double distance = std::hypot(x, y) + margin / slope;
      if (!(slope > 0.0) || !std::isfinite(distance) || !(distance < reach)) {
        break;  // no place near by binds the loop
      }
      x = -distance * slope_x / slope;
      y = -distance * slope_y / slope;
      constexpr double close = 1e-13;  // m
      if (std::abs(margin) < close) {
        least = least ? std::min(*least, distance) : distance;
        break;
      }
    }
  }
  return least;
}

std::optional<LoopModel::Reserve> LoopModel::bore_reserve() const {
  if (!(nominal(Float::centred) >= 0.0)) {
    return std::nullopt;
  }
  std::optional<Reserve> least;
  for (const auto& place : places_.drawn()) {
    if (!place) {
      return std::nullopt;
    }
  }
  for (std::size_t i = 0; i < places_.shafts().size(); ++i) {
    const std::optional<double> distance = reserve_of(i);
    if (distance && (!least || *distance < least->distance)) {
      least = Reserve{*distance, places_.shafts()[i]};
    }
  }
  return least;
}

}  // namespace lashband::design
