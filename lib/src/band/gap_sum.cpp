#include "band/gap_sum.hpp"

#include <algorithm>
#include <cmath>
#include <utility>

namespace lashband::band::kernel {
namespace {

double mismatch_of(const MeshModel& mesh, double e_1, double e_2) {
  return std::abs(mesh.p_b2 * e_2 - mesh.p_b1 * e_1);
}

// The gap with its run-outs added up as in a hunting pair, whatever their phase.
double hunting_gap(const MeshModel& mesh, const StateModel& state, Over over, const double* y,
                   double misalignment) {
  const GapAt gap = gap_at(mesh, state, carrier_of(state, over), y, stance_of(over), misalignment);
  return gap.j_bt + cycle_of(state, over) * mismatch_of(mesh, gap.e_1, gap.e_2);
}

template <class Action>
void each_form(const MeshModel& mesh, const Action& action) {
  for (const LinearForm* form :
       {&mesh.E_1, &mesh.E_2, &mesh.deviation, &mesh.run_out_1, &mesh.run_out_2, &mesh.pitch_1,
        &mesh.pitch_2, &mesh.wear, &mesh.other_a, &mesh.other_j}) {
    action(*form);
  }
  if (mesh.run_out_phase) {
    action(*mesh.run_out_phase);
  }
}

// The unit at one end of the worst case.
class WorstUnit {
 public:
  WorstUnit(const GapSum& sum, const Draws& draws, Over over, End end)
      : sum_(sum),
        draws_(draws),
        over_(over),
        sense_(end == End::high ? 1.0 : -1.0),
        elongations_(elongation_draws(sum, draws)),
        y_(draws.shapes.size(), 0.0),
        steered_(draws.shapes.size(), true) {
    for (const SummedMesh& part : sum.meshes) {
      Slope slope;
      LinearForm free;
      slope.fixed.constant = part.state->misalignment.constant;
      for (const LinearTerm& term : part.state->misalignment.terms) {
        (draws.elongation[term.draw] ? slope.fixed : free).terms.push_back(term);
      }
      slope.free = range_of(free, draws).high;
      slopes_.push_back(std::move(slope));
    }
    for (const std::size_t draw : elongations_) {
      steered_[draw] = false;
    }
    for (const auto& disc : draws.discs) {
      steered_[disc[0]] = steered_[disc[1]] = false;
    }
    push_floats();
  }

  /// The sum at the end.
  double found() {
    steer();
    double best = sense_ * push_elongations();
    // What stood nearly across the sum may go the other way at the corner.
    const std::vector<double> before = y_;
    steer();
    if (y_ != before) {
      best = std::max(best, sense_ * push_elongations());
    }
    return sense_ * best;
  }

 private:
  // |M| of a mesh: the elongations as they stand, the others free.
  struct Slope {
    LinearForm fixed;
    double free = 0.0;
  };

  [[nodiscard]] double value() const {
    double x = sum_.other.at(y_.data());
    for (std::size_t m = 0; m < sum_.meshes.size(); ++m) {
      const SummedMesh& part = sum_.meshes[m];
      if (part.per_gap != 0.0) {
        const double fixed = std::abs(slopes_[m].fixed.at(y_.data()));
        const double misalignment =
            sense_ < 0.0 ? fixed + slopes_[m].free : std::max(0.0, fixed - slopes_[m].free);
        x += part.per_gap * hunting_gap(*part.mesh, *part.state, over_, y_.data(), misalignment);
      }
      if (part.per_float != 0.0) {
        x += part.per_float * float_of(*part.state, y_.data());
      }
    }
    return x;
  }

  // More clearance is more float, more interference is less, however the seat stands.
  void push_floats() {
    const auto push = [this](const LinearForm& form, double sense) {
      for (const LinearTerm& term : form.terms) {
        if (term.coefficient != 0.0 && !draws_.elongation[term.draw]) {
          y_[term.draw] = std::copysign(1.0, sense * term.coefficient);
          steered_[term.draw] = false;
        }
      }
    };
    for (const SummedMesh& part : sum_.meshes) {
      if (part.per_float == 0.0) {
        continue;
      }
      for (const SeatModel& seat : part.state->seats) {
        push(seat.clearance, sense_);
        push(seat.outer, -sense_);
        push(seat.inner, -sense_);
      }
    }
  }

  // What `draw` does to the sum from `reach` below where it stands to as far above.
  double effect_of(std::size_t draw, double about, double reach) {
    const double kept = std::exchange(y_[draw], about + reach);
    const double above = value();
    y_[draw] = about - reach;
    const double below = value();
    y_[draw] = kept;
    return above - below;
  }

  // Every draw that goes one way, at the end that its effect asks for; places at the rim of their
  // zone.
  void steer() {
    std::vector<double> next = y_;
    for (std::size_t draw = 0; draw < y_.size(); ++draw) {
      if (steered_[draw]) {
        const double effect = effect_of(draw, 0.0, 1.0);
        next[draw] = effect != 0.0 ? std::copysign(1.0, sense_ * effect) : y_[draw];
      }
    }
    for (const auto& disc : draws_.discs) {
      constexpr double reach = 0.5;
      const double x = effect_of(disc[0], y_[disc[0]], reach);
      const double y = effect_of(disc[1], y_[disc[1]], reach);
      const double length = std::hypot(x, y);
      if (length > 0.0) {
        next[disc[0]] = sense_ * x / length;
        next[disc[1]] = sense_ * y / length;
      }
    }
    y_ = std::move(next);
  }

  // The elongations at the ends that suit the sum best; what it is then.
  double push_elongations() {
    const std::size_t count = elongations_.size();
    if (count <= most_tried_together) {
      const auto put = [&](std::size_t choice) {
        for (std::size_t i = 0; i < count; ++i) {
          y_[elongations_[i]] = ((choice >> i) & 1U) != 0 ? 1.0 : -1.0;
        }
        return sense_ * value();
      };
      std::size_t best = 0;
      double most = put(0);
      for (std::size_t choice = 1; choice < std::size_t{1} << count; ++choice) {
        const double at = put(choice);
        if (at > most) {
          most = at;
          best = choice;
        }
      }
      return sense_ * put(best);
    }
    for (const std::size_t draw : elongations_) {
      y_[draw] = std::copysign(1.0, sense_ * effect_of(draw, 0.0, 1.0));
    }
    double most = sense_ * value();
    // Each change gains, so that this ends.
    for (bool gained = true; gained;) {
      gained = false;
      for (const std::size_t draw : elongations_) {
        y_[draw] = -y_[draw];
        const double at = sense_ * value();
        if (at > most) {
          most = at;
          gained = true;
        } else {
          y_[draw] = -y_[draw];
        }
      }
    }
    return sense_ * most;
  }

  const GapSum& sum_;
  const Draws& draws_;
  Over over_;
  double sense_;
  std::vector<std::size_t> elongations_;
  std::vector<double> y_;
  std::vector<bool> steered_;  // draws that stand alone and go by their effect
  std::vector<Slope> slopes_;  // by mesh
};

}  // namespace

std::vector<std::size_t> elongation_draws(const GapSum& sum, const Draws& draws) {
  std::vector<bool> used(draws.shapes.size(), false);
  const auto note = [&used](const LinearForm& form) {
    for (const LinearTerm& term : form.terms) {
      used[term.draw] = used[term.draw] || term.coefficient != 0.0;
    }
  };
  note(sum.other);
  for (const SummedMesh& part : sum.meshes) {
    each_form(*part.mesh, note);
    for (const std::size_t draw : elongation_draws(*part.state, draws)) {
      used[draw] = true;
    }
  }
  std::vector<std::size_t> found;
  for (std::size_t draw = 0; draw < used.size(); ++draw) {
    if (used[draw] && draws.elongation[draw]) {
      found.push_back(draw);
    }
  }
  return found;
}

double centred_gap(const MeshModel& mesh, const StateModel& state, Over over, const double* y,
                   double misalignment) {
  if (!mesh.run_out_phase) {
    return hunting_gap(mesh, state, over, y, misalignment);
  }
  const GapAt true_gears =
      gap_at(mesh, state, carrier_of(state, over), y, {0.0, 0.0}, misalignment);
  // The length of the vector sum.
  const double one = mesh.run_out_1.at(y) * true_gears.e_1;
  const double two = mesh.run_out_2.at(y) * true_gears.e_2;
  const double phase = mesh.run_out_phase->at(y);
  const double run_out = 0.5 * std::hypot(one + two * std::cos(phase), two * std::sin(phase));
  const GapAt gap = opened(true_gears, stance_of(over).run_out * run_out);
  return gap.j_bt + cycle_of(state, over) * mismatch_of(mesh, gap.e_1, gap.e_2);
}

double float_of(const StateModel& state, const double* y) {
  double sum = 0.0;
  for (const SeatModel& seat : state.seats) {
    sum += seat_float(seat, y);
  }
  return sum;
}

double sum_at(const GapSum& sum, Over over, const double* y) {
  double x = sum.other.at(y);
  for (const SummedMesh& part : sum.meshes) {
    if (part.per_gap != 0.0) {
      x += part.per_gap *
           centred_gap(*part.mesh, *part.state, over, y, std::abs(part.state->misalignment.at(y)));
    }
    if (part.per_float != 0.0) {
      x += part.per_float * float_of(*part.state, y);
    }
  }
  return x;
}

double worst_case(const GapSum& sum, const Draws& draws, Over over, End end) {
  return WorstUnit(sum, draws, over, end).found();
}

LinearSpread linear_spread(const GapSum& sum, const Draws& draws, Over over) {
  std::vector<double> y;
  y.reserve(draws.shapes.size());
  for (const tolerance::Shape& shape : draws.shapes) {
    y.push_back(shape.mean());
  }
  const auto value = [&] {
    double x = sum.other.at(y.data());
    for (const SummedMesh& part : sum.meshes) {
      x += part.per_gap * hunting_gap(*part.mesh, *part.state, over, y.data(),
                                      std::abs(part.state->misalignment.constant)) +
           part.per_float * float_of(*part.state, y.data());
    }
    return x;
  };

  LinearSpread spread;
  spread.mean = value();
  spread.parts.assign(y.size(), 0.0);
  // As for one gap: the curve of the involute is a part in 1e6 of the slope, rounding 1e-9.
  constexpr double step = 1e-3;
  for (std::size_t draw = 0; draw < y.size(); ++draw) {
    const double mean = std::exchange(y[draw], y[draw] + step);
    const double above = value();
    y[draw] = mean - step;
    const double below = value();
    y[draw] = mean;
    spread.parts[draw] = (above - below) / (2.0 * step) * draws.shapes[draw].sigma();
  }
  for (const SummedMesh& part : sum.meshes) {
    for (const LinearTerm& term : part.state->misalignment.terms) {
      spread.parts[term.draw] -= part.per_gap / part.mesh->cos_beta_b * std::abs(term.coefficient) *
                                 draws.shapes[term.draw].sigma();
    }
  }
  double variance = 0.0;
  for (const double part : spread.parts) {
    variance += part * part;
  }
  for (const Draws::Correlation& tie : draws.correlations) {
    variance += 2.0 * tie.coefficient * spread.parts[tie.first] * spread.parts[tie.second];
  }
  spread.sigma = std::sqrt(std::max(0.0, variance));
  return spread;
}

}  // namespace lashband::band::kernel
