#include "csv_table.hpp"
#include "lashband/design/train.hpp"
#include "lashband/report/csv.hpp"
#include "loop_words.hpp"
#include "selection.hpp"
#include "train_selection.hpp"

namespace lashband::report {
namespace {

// The columns behind the name of a row, by what it is about. A row fills those of one part.
constexpr int shaft_columns = 4;
constexpr int mesh_columns = 8;
constexpr int loop_columns = 13;
constexpr int band_columns = 11;
constexpr int share_columns = 3;
constexpr int torque_columns = 1 + band_columns;
constexpr int motion_columns = 2 + 2 * band_columns + share_columns + torque_columns;

// Row, id, condition and time.
void name_row(CsvTable& table, const char* row, const std::string& id) {
  table.field(row);
  table.field(id);
}

void train_heads(CsvTable& table, const CsvWriter& write) {
  for (const char* name :
       {"row",         "id",      "condition",   time_head,          "referred_to",
        "ratio_exact", "ratio",   "speed [rpm]", "gear_1",           "gear_2",
        "shaft_1",     "shaft_2", "teeth_1",     "teeth_2",          "internal",
        "on_a_loop",   "shafts",  "closed_by",   "offset [pitches]", "can_be_assembled"}) {
    table.field(name);
  }
  for (const char* name : {"margin", "margin_float_taken_up"}) {
    heads(table, write, name, {"_nominal", "_worst_low", "_rss_low"});
  }
  table.field(write.length_head("bore_reserve"));
  table.field("bore_of");
  table.field("basis");
  table.field("of");
  table.field("held");
  band_heads(table, write, "lost_motion");
  band_heads(table, write, "lost_motion_backlash_alone");
  for (const char* name : {"from_backlash", "from_float", "from_axial_float"}) {
    table.field(std::string(name) + " [rad]");
  }
  table.field("wind_up [rad]");
  band_heads(table, write, "lost_motion_under_torque");
  table.end_row();
}

void put_shaft(CsvTable& table, const design::TrainShaft& shaft) {
  table.field(shaft.referred_to);
  table.field(train::text_of(shaft.ratio));
  table.number(train::nearest_double(shaft.ratio));
}

void put_shafts(CsvTable& table, const design::TrainResult& result, const View& view) {
  constexpr int behind = mesh_columns + loop_columns + motion_columns;
  for (const design::TrainShaft& shaft : result.shafts) {
    bool any = false;
    for (std::size_t i = 0; i < shaft.speed.size(); ++i) {
      if (shaft.speed[i] && shows_condition(view, result.conditions[i])) {
        any = true;
        name_row(table, "shaft", shaft.id);
        table.field(result.conditions[i]);
        table.blank();
        put_shaft(table, shaft);
        CsvWriter::put(table, *shaft.speed[i]);
        table.blanks(behind);
        table.end_row();
      }
    }
    if (!any) {
      name_row(table, "shaft", shaft.id);
      table.blanks(2);
      put_shaft(table, shaft);
      table.blanks(1 + behind);
      table.end_row();
    }
  }
}

void put_meshes(CsvTable& table, const design::TrainResult& result, const View& view) {
  for (const design::TrainMesh& mesh : result.meshes) {
    if (!shows_mesh(view, mesh.id)) {
      continue;
    }
    name_row(table, "mesh", mesh.id);
    table.blanks(2 + shaft_columns);
    table.field(mesh.gear_1);
    table.field(mesh.gear_2);
    table.field(mesh.shaft_1);
    table.field(mesh.shaft_2);
    table.number(mesh.teeth_1);
    table.number(mesh.teeth_2);
    table.truth(mesh.internal);
    table.truth(mesh.on_a_loop);
    table.blanks(loop_columns + motion_columns);
    table.end_row();
  }
}

void put_closure(CsvTable& table, const design::LoopResult& loop) {
  table.blanks(shaft_columns + mesh_columns);
  table.field(listed(loop.shafts));
  table.field(closed_word(loop.closed_by));
  table.number(loop.offset);
  if (loop.can_be_assembled) {
    table.truth(*loop.can_be_assembled);
  } else {
    table.blank();
  }
}

void put_loops(CsvTable& table, const CsvWriter& write, const design::BacklashResult& result,
               const View& view) {
  for (const design::LoopResult& loop : result.loops) {
    if (!shows_loop(view, loop)) {
      continue;
    }
    if (loop.states.empty()) {
      name_row(table, "loop", listed(loop.meshes));
      table.blanks(2);
      put_closure(table, loop);
      table.blanks(loop_columns - 4 + motion_columns);
      table.end_row();
    }
    for (const design::LoopState& at : loop.states) {
      if (!shows_state(view, result.states[at.state])) {
        continue;
      }
      name_row(table, "loop", listed(loop.meshes));
      put_state(table, write, result.states[at.state]);
      put_closure(table, loop);
      write.put(table, at.margin);
      write.put(table, at.margin_low);
      write.put(table, at.margin_rss_low);
      write.put(table, at.taken_up);
      write.put(table, at.taken_up_low);
      write.put(table, at.taken_up_rss_low);
      write.put(table, at.bore_reserve);
      table.field(at.bore_reserve ? loop.shafts.at(at.bore) : std::string());
      table.field(basis_word(loop.basis));
      table.blanks(motion_columns);
      table.end_row();
    }
  }
}

void name_motion(CsvTable& table, const char* row, const std::string& id,
                 const design::LostMotion& motion, const CsvWriter& write,
                 const design::State& state) {
  name_row(table, row, id);
  put_state(table, write, state);
  table.blanks(shaft_columns + mesh_columns + loop_columns - 1);
  table.field(basis_word(motion.basis));
  table.field(motion.of);
  table.field(motion.held);
}

void put_lost_motion(CsvTable& table, const CsvWriter& write, const design::TrainResult& result,
                     const View& view) {
  const std::vector<design::State>& states = result.backlash.states;
  for (const design::LostMotion& motion : result.lost_motion) {
    if (!shows_way(view, motion)) {
      continue;
    }
    for (const design::LostMotionState& at : motion.states) {
      if (shows_state(view, states[at.state])) {
        name_motion(table, "lost_motion", listed(motion.way), motion, write, states[at.state]);
        write.put(table, at.total);
        write.put(table, at.backlash_alone);
        table.blanks(share_columns);
        write.put(table, at.wind_up);
        write.put(table, at.under_torque);
        table.end_row();
      }
    }
    for (const design::LostMotionShare& share : motion.shares) {
      if (motion.greatest) {
        const design::State& state = states[motion.states[*motion.greatest].state];
        name_motion(table, "share", share.mesh, motion, write, state);
        table.blanks(2 * band_columns);
        CsvWriter::put(table, share.from_backlash);
        CsvWriter::put(table, share.from_float);
        CsvWriter::put(table, share.from_axial_float);
        table.blanks(torque_columns);
        table.end_row();
      }
    }
  }
}

}  // namespace

std::string csv(const design::TrainResult& result, const View& view) {
  CsvTable table;
  const CsvWriter write(view.units);
  train_heads(table, write);
  put_shafts(table, result, view);
  put_meshes(table, result, view);
  put_loops(table, write, result.backlash, view);
  put_lost_motion(table, write, result, view);
  return table.take();
}

}  // namespace lashband::report
