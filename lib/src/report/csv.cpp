#include "lashband/report/csv.hpp"

#include <algorithm>
#include <cmath>
#include <optional>

#include "csv_table.hpp"
#include "failure_probability.hpp"
#include "judged_ends.hpp"
#include "selection.hpp"
#include "state_text.hpp"

namespace lashband::report {
namespace {

void zone_heads(CsvTable& table, const CsvWriter& write, const std::vector<std::string>& zones) {
  for (const std::string& zone : zones) {
    table.field(write.level_head("temperature " + zone));
  }
}

void put_zones(CsvTable& table, const CsvWriter& write, const design::State& state) {
  for (const units::Temperature& level : state.temperatures.by_zone()) {
    write.put(table, level);
  }
}

// What follows the temperatures.
void mesh_heads(CsvTable& table, const CsvWriter& write) {
  table.field(write.length_head("a"));
  table.field("alpha_wt [deg]");
  table.field("eps_alpha");
  table.field("eps_beta");
  for (const char* name : {"c_1", "c_2", "base_pitch_mismatch"}) {
    table.field(write.length_head(name));
  }
  table.field(write.force_head("joint_force"));
  table.field(write.length_head("squeeze_left"));
  table.field(write.length_head("stretch_left"));
  for (const char* name : {"j_wt", "j_bt", "j_bn"}) {
    band_heads(table, write, name);
  }
  plain_band_heads(table, write, "j_r");
  plain_band_heads(table, write, "j_r_iso");
  band_heads(table, write, "phi_1");
  band_heads(table, write, "phi_2");
  plain_band_heads(table, write, "j_bind");
  heads(table, write, "j_bind", {"_rss_low", "_rss_high", "_p0.135", "_p50", "_p99.865"});
  for (const Fault fault : all_faults) {
    table.field(std::string("p_") + fault_word(fault));
  }
  table.field("cycle_resolved");
  for (const char* name : {"float_1", "float_2", "j_wt_loaded"}) {
    plain_band_heads(table, write, name);
  }
  table.field("tilt [rad]");
  table.field(write.length_head("tilt_over_face"));
}

void put_mesh(CsvTable& table, const CsvWriter& write, const design::BacklashResult& result,
              const design::MeshState& at) {
  write.put(table, at.a);
  table.number(units::value_in(at.alpha_wt, "deg"));
  table.number(at.eps_alpha);
  table.number(at.eps_beta);
  write.put(table, at.c_1);
  write.put(table, at.c_2);
  write.put(table, at.base_pitch_mismatch);
  const thermal::CarrierState* carrier = carrier_at(result, at.state);
  write.put(table, carrier ? carrier->joint_force : std::nullopt);
  write.put(table, carrier ? carrier->squeeze_left : std::nullopt);
  write.put(table, carrier ? carrier->stretch_left : std::nullopt);
  write.put(table, at.gap.j_wt);
  write.put(table, at.gap.j_bt);
  write.put(table, at.gap.j_bn);
  write.put_plain(table, at.gap.j_r);
  write.put_plain(table, at.gap.j_r_iso);
  write.put(table, at.gap.phi_1);
  write.put(table, at.gap.phi_2);
  write.put_plain(table, at.gap.j_bind);
  write.put(table, at.gap.j_bind.rss_low);
  write.put(table, at.gap.j_bind.rss_high);
  write.put(table, at.gap.j_bind.least);
  for (const Fault fault : all_faults) {
    CsvWriter::put(table, probability(at, fault));
  }
  table.field(at.gap.cycle_resolved ? "true" : "false");
  write.put_plain(table, at.float_1);
  write.put_plain(table, at.float_2);
  write.put_plain(table, at.j_wt_loaded);
  write.put(table, at.tilt);
  write.put(table, at.tilt_over_face);
}

// Columns of what the mean forces of the torsional model do to a mesh.
void load_heads(CsvTable& table, const CsvWriter& write) {
  table.field(write.force_head("load_force"));
  for (const char* name :
       {"load_shafts", "load_separation", "load_ring", "load_tooth_deflection"}) {
    table.field(write.length_head(name));
  }
}

void put_load(CsvTable& table, const CsvWriter& write, const design::MeshState& at) {
  if (!at.load) {
    table.blanks(5);
    return;
  }
  write.put(table, at.load->force);
  write.put(table, at.load->shafts);
  write.put(table, at.load->separation);
  write.put(table, at.load->ring);
  write.put(table, at.load->tooth_deflection);
}

// Columns of the worst of the torsional model.
void torsion_heads(CsvTable& table) {
  for (const char* name :
       {"greatest_rattle_index", "rattle_mesh", "rattle_condition", "rattle_unloaded",
        "least_resonance_margin", "margin_excitation", "margin_condition"}) {
    table.field(name);
  }
}

void put_torsion(CsvTable& table, const design::TorsionSummary& torsion) {
  const std::optional<double>& index = torsion.greatest_rattle_index;
  const bool unloaded = index && std::isinf(*index);
  CsvWriter::put(table, unloaded ? std::nullopt : index);
  table.field(torsion.mesh);
  table.field(torsion.rattle_condition);
  table.field(!index ? "" : unloaded ? "true" : "false");
  CsvWriter::put(table, torsion.least_margin);
  table.field(torsion.excitation);
  table.field(torsion.margin_condition);
}

// A column of the temperatures of a place of the network, which a history need not have.
struct PlaceColumn {
  std::string id;
  bool is_boundary = false;

  [[nodiscard]] const design::PlaceOverTime* in(const design::HistoryResult& history) const {
    const auto place = std::find_if(
        history.places.begin(), history.places.end(),
        [this](const auto& one) { return one.id == id && one.is_boundary == is_boundary; });
    return place == history.places.end() ? nullptr : &*place;
  }
};

std::vector<PlaceColumn> place_columns(const design::WarmupResult& result) {
  std::vector<PlaceColumn> columns;
  for (const design::HistoryResult& history : result.histories) {
    for (const design::PlaceOverTime& place : history.places) {
      const bool known = std::any_of(columns.begin(), columns.end(), [&place](const auto& column) {
        return column.id == place.id && column.is_boundary == place.is_boundary;
      });
      if (!known) {
        columns.push_back({place.id, place.is_boundary});
      }
    }
  }
  return columns;
}

// Columns of the loop through a mesh that is nearest to binding; only where there are loops.
void loop_heads(CsvTable& table, const CsvWriter& write, const std::string& prefix) {
  table.field(prefix + "loop");
  for (const char* name : {"loop_margin", "loop_margin_float_taken_up"}) {
    heads(table, write, prefix + name, {"_nominal", "_worst_low", "_rss_low"});
  }
}

void put_loop(CsvTable& table, const CsvWriter& write, const design::LoopResult* loop,
              const design::LoopState* at) {
  if (loop == nullptr || at == nullptr) {
    table.blanks(7);
    return;
  }
  table.field(listed(loop->meshes));
  write.put(table, at->margin);
  write.put(table, at->margin_low);
  write.put(table, at->margin_rss_low);
  write.put(table, at->taken_up);
  write.put(table, at->taken_up_low);
  write.put(table, at->taken_up_rss_low);
}

// The loop through a mesh that is nearest to binding at a state, or over all states.
struct NearestLoop {
  const design::LoopResult* loop = nullptr;
  const design::LoopState* at = nullptr;
};
NearestLoop nearest_loop(const design::BacklashResult& result, const std::string& mesh,
                         std::optional<std::size_t> state) {
  NearestLoop nearest;
  for (const design::LoopResult& loop : result.loops) {
    if (std::find(loop.meshes.begin(), loop.meshes.end(), mesh) == loop.meshes.end()) {
      continue;
    }
    for (const design::LoopState& at : loop.states) {
      const bool asked = !state || at.state == *state;
      if (asked &&
          (nearest.at == nullptr ||
           judged_taken_up(at, loop.basis) < judged_taken_up(*nearest.at, nearest.loop->basis))) {
        nearest = {&loop, &at};
      }
    }
  }
  return nearest;
}

// A fault at the worst single state, and at any state.
void put_likelihood(CsvTable& table, const CsvWriter& write, const design::BacklashResult& result,
                    const design::MeshResult& mesh, Fault fault) {
  if (const auto worst = most_likely(mesh, fault)) {
    table.number(worst->probability);
    put_state(table, write, result.states[worst->state]);
  } else {
    table.blank();
    table.blank();
    table.blank();
  }
  if (const auto sampled = anywhere(mesh, fault)) {
    table.number(sampled->value);
    table.number(sampled->standard_error);
  } else {
    table.blank();
    table.blank();
  }
}

}  // namespace

std::string csv(const design::BacklashResult& result, const View& view) {
  CsvTable table;
  const CsvWriter write(view.units);
  table.field("mesh");
  table.field("condition");
  table.field(time_head);
  zone_heads(table, write, result.zones);
  mesh_heads(table, write);
  if (!result.loops.empty()) {
    loop_heads(table, write, "");
  }
  load_heads(table, write);
  table.end_row();
  for (const design::MeshResult& mesh : result.meshes) {
    for (const design::MeshState& at : mesh.states) {
      if (shows_mesh(view, mesh.id) && shows_state(view, result.states[at.state])) {
        const design::State& state = result.states[at.state];
        table.field(mesh.id);
        put_state(table, write, state);
        put_zones(table, write, state);
        put_mesh(table, write, result, at);
        if (!result.loops.empty()) {
          const NearestLoop nearest = nearest_loop(result, mesh.id, at.state);
          put_loop(table, write, nearest.loop, nearest.at);
        }
        put_load(table, write, at);
        table.end_row();
      }
    }
  }
  return table.take();
}

std::string csv(const design::CarriersResult& result, const View& view) {
  CsvTable table;
  const CsvWriter write(view.units);
  for (const char* name : {"carrier", "in_use", "mesh", "least_condition", "least_time [s]"}) {
    table.field(name);
  }
  band_heads(table, write, "least_j_wt");
  table.field("greatest_condition");
  table.field("greatest_time [s]");
  band_heads(table, write, "greatest_j_wt");
  table.field(write.length_head("swing"));
  table.field(write.force_head("joint_force_low"));
  table.field(write.force_head("joint_force_high"));
  table.field(write.length_head("squeeze_left"));
  table.field(write.length_head("stretch_left"));
  for (const Fault fault : all_faults) {
    const std::string name = std::string("p_") + fault_word(fault);
    for (const char* end :
         {"", "_condition", "_time [s]", "_anywhere", "_anywhere_standard_error"}) {
      table.field(name + end);
    }
  }
  table.field("met");
  const bool has_loops = std::any_of(result.rows.begin(), result.rows.end(),
                                     [](const auto& row) { return !row.result.loops.empty(); });
  if (has_loops) {
    loop_heads(table, write, "least_");
    table.field("least_loop_condition");
    table.field("least_loop_time [s]");
  }
  torsion_heads(table);
  table.end_row();
  for (const design::CarrierRow& row : result.rows) {
    for (const design::MeshResult& mesh : row.result.meshes) {
      if (!shows_mesh(view, mesh.id) || !mesh.least || !mesh.greatest) {
        continue;
      }
      const design::MeshState& least = mesh.states[*mesh.least];
      const design::MeshState& greatest = mesh.states[*mesh.greatest];
      table.field(row.result.carrier);
      table.field(row.in_use ? "true" : "false");
      table.field(mesh.id);
      put_state(table, write, row.result.states[least.state]);
      write.put(table, least.gap.j_wt);
      put_state(table, write, row.result.states[greatest.state]);
      write.put(table, greatest.gap.j_wt);
      write.put(table, mesh.swing);
      write.put(table, row.joint.force_low);
      write.put(table, row.joint.force_high);
      write.put(table, row.joint.squeeze_left);
      write.put(table, row.joint.stretch_left);
      for (const Fault fault : all_faults) {
        put_likelihood(table, write, row.result, mesh, fault);
      }
      table.truth(row.result.all_requirements_met());
      if (has_loops) {
        const NearestLoop nearest = nearest_loop(row.result, mesh.id, std::nullopt);
        put_loop(table, write, nearest.loop, nearest.at);
        if (nearest.at != nullptr) {
          put_state(table, write, row.result.states[nearest.at->state]);
        } else {
          table.blanks(2);
        }
      }
      put_torsion(table, row.torsion.value_or(design::TorsionSummary()));
      table.end_row();
    }
  }
  return table.take();
}

std::string csv(const design::BudgetResult& result, const View& view) {
  CsvTable table;
  const CsvWriter write(view.units);
  for (const char* name : {"mesh", "condition", time_head, "contributor", "what", "tolerance"}) {
    table.field(name);
  }
  table.field(write.length_head("range"));
  table.field("share");
  table.field(write.length_head("gain_worst_case"));
  table.field(write.length_head("gain_percentile"));
  table.field(write.length_head("temperature"));
  band_heads(table, write, "j_wt");
  table.end_row();
  for (const design::Budget& budget : result.budgets) {
    if (!shows_budget(view, result, budget)) {
      continue;
    }
    for (const design::BudgetRow& row : budget.rows) {
      table.field(budget.mesh);
      put_state(table, write, result.backlash.states, budget.state);
      table.field(row.contributor);
      table.field(row.what);
      table.field(row.tolerance);
      write.put(table, row.range);
      table.number(row.share);
      write.put(table, row.gain_worst_case);
      write.put(table, row.gain_percentile);
      write.put(table, budget.temperature);
      write.put(table, budget.j_wt);
      table.end_row();
    }
  }
  return table.take();
}

std::string csv(const design::WarmupResult& result, const View& view) {
  CsvTable table;
  const CsvWriter write(view.units);
  const std::vector<PlaceColumn> places = place_columns(result);
  for (const char* name : {"history", "mesh", time_head}) {
    table.field(name);
  }
  zone_heads(table, write, result.zones);
  for (const PlaceColumn& place : places) {
    table.field(write.level_head((place.is_boundary ? "boundary " : "body ") + place.id));
  }
  mesh_heads(table, write);
  table.end_row();
  for (const design::HistoryResult& history : result.histories) {
    if (!shows_history(view, history)) {
      continue;
    }
    for (const design::MeshResult& mesh : history.backlash.meshes) {
      if (!shows_mesh(view, mesh.id)) {
        continue;
      }
      for (const design::MeshState& at : mesh.states) {
        const design::State& state = history.backlash.states[at.state];
        table.field(history.id);
        table.field(mesh.id);
        write.put(table, state.time);
        put_zones(table, write, state);
        for (const PlaceColumn& column : places) {
          const design::PlaceOverTime* place = column.in(history);
          write.put(table, place != nullptr ? std::optional(place->temperature.at(at.state))
                                            : std::nullopt);
        }
        put_mesh(table, write, history.backlash, at);
        table.end_row();
      }
    }
  }
  return table.take();
}

}  // namespace lashband::report
