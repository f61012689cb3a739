#include "lashband/report/csv.hpp"

#include <array>
#include <charconv>
#include <initializer_list>

#include "lashband/units/format.hpp"
#include "selection.hpp"

namespace lashband::report {
namespace {

using units::Angle;
using units::Force;
using units::Length;
using units::value_in;

// One table: fields are quoted where RFC 4180 asks for it.
class Table {
 public:
  void field(std::string_view text) {
    separate();
    if (text.find_first_of(",\"\r\n") == std::string_view::npos) {
      text_ += text;
      return;
    }
    text_ += '"';
    for (const char c : text) {
      text_ += c;
      if (c == '"') {
        text_ += '"';
      }
    }
    text_ += '"';
  }
  void number(double value) {
    std::array<char, 64> buffer{};
    const auto end = std::to_chars(buffer.data(), buffer.data() + buffer.size(), value);
    field({buffer.data(), static_cast<std::size_t>(end.ptr - buffer.data())});
  }
  void blank() { field(""); }
  void end_row() {
    text_ += "\r\n";
    at_start_ = true;
  }
  [[nodiscard]] std::string take() { return std::move(text_); }

 private:
  void separate() {
    if (!at_start_) {
      text_ += ',';
    }
    at_start_ = false;
  }
  std::string text_;
  bool at_start_ = true;
};

// Writes quantities in the units of the view.
class Writer {
 public:
  explicit Writer(UnitSystem units) : inch_(units == UnitSystem::inch) {}

  [[nodiscard]] std::string length_head(std::string_view name) const {
    return std::string(name) + (inch_ ? " [in]" : " [mm]");
  }
  [[nodiscard]] std::string force_head(std::string_view name) const {
    return std::string(name) + (inch_ ? " [lbf]" : " [N]");
  }
  [[nodiscard]] std::string level_head(std::string_view name) const {
    return std::string(name) + (inch_ ? " [degF]" : " [degC]");
  }
  void put(Table& table, Length length) const {
    table.number(inch_ ? value_in(length, "in") : value_in(length, "mm"));
  }
  void put(Table& table, Force force) const {
    table.number(inch_ ? value_in(force, "lbf") : value_in(force, "N"));
  }
  void put(Table& table, units::Temperature level) const {
    table.number(inch_ ? value_in(level, "degF") : value_in(level, "degC"));
  }
  static void put(Table& table, Angle angle) { table.number(value_in(angle, "rad")); }
  template <class Q>
  void put(Table& table, const std::optional<Q>& maybe) const {
    if (maybe) {
      put(table, *maybe);
    } else {
      table.blank();
    }
  }
  template <class Q>
  void put(Table& table, const design::ResultBand<Q>& band) const {
    put(table, band.nominal);
    put(table, band.low);
    put(table, band.high);
  }

 private:
  bool inch_;
};

void band_heads(Table& table, const Writer& write, std::string_view name) {
  for (const char* end : {"_nominal", "_worst_low", "_worst_high"}) {
    const std::string full = std::string(name) + end;
    table.field(name.substr(0, 3) == "phi" ? full + " [rad]" : write.length_head(full));
  }
}

void backlash_heads(Table& table, const Writer& write, const std::vector<std::string>& zones) {
  table.field("mesh");
  table.field("condition");
  for (const std::string& zone : zones) {
    table.field(write.level_head("temperature " + zone));
  }
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
  for (const char* name : {"j_wt", "j_bt", "j_bn", "j_r", "j_r_iso", "phi_1", "phi_2", "j_bind"}) {
    band_heads(table, write, name);
  }
  table.field("cycle_resolved");
  table.end_row();
}

void backlash_row(Table& table, const Writer& write, const design::BacklashResult& result,
                  const std::string& mesh, const design::MeshState& at) {
  const design::State& state = result.states[at.state];
  table.field(mesh);
  table.field(state.id);
  for (const units::Temperature& level : state.temperatures.by_zone()) {
    write.put(table, level);
  }
  write.put(table, at.a);
  table.number(value_in(at.alpha_wt, "deg"));
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
  if (at.gap.j_r) {
    write.put(table, *at.gap.j_r);
  } else {
    table.blank();
    table.blank();
    table.blank();
  }
  write.put(table, at.gap.j_r_iso);
  write.put(table, at.gap.phi_1);
  write.put(table, at.gap.phi_2);
  write.put(table, at.gap.j_bind);
  table.field(at.gap.cycle_resolved ? "true" : "false");
  table.end_row();
}

}  // namespace

std::string csv(const design::BacklashResult& result, const View& view) {
  Table table;
  const Writer write(view.units);
  backlash_heads(table, write, result.zones);
  for (const design::MeshResult& mesh : result.meshes) {
    for (const design::MeshState& at : mesh.states) {
      if (shows_mesh(view, mesh.id) && shows_state(view, result.states[at.state])) {
        backlash_row(table, write, result, mesh.id, at);
      }
    }
  }
  return table.take();
}

std::string csv(const design::CarriersResult& result, const View& view) {
  Table table;
  const Writer write(view.units);
  for (const char* name : {"carrier", "in_use", "mesh", "least_condition"}) {
    table.field(name);
  }
  band_heads(table, write, "least_j_wt");
  table.field("greatest_condition");
  band_heads(table, write, "greatest_j_wt");
  table.field(write.length_head("swing"));
  table.field(write.force_head("joint_force_low"));
  table.field(write.force_head("joint_force_high"));
  table.field(write.length_head("squeeze_left"));
  table.field(write.length_head("stretch_left"));
  table.field("met");
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
      table.field(row.result.states[least.state].id);
      write.put(table, least.gap.j_wt);
      table.field(row.result.states[greatest.state].id);
      write.put(table, greatest.gap.j_wt);
      write.put(table, mesh.swing);
      write.put(table, row.joint.force_low);
      write.put(table, row.joint.force_high);
      write.put(table, row.joint.squeeze_left);
      write.put(table, row.joint.stretch_left);
      table.field(row.result.all_requirements_met() ? "true" : "false");
      table.end_row();
    }
  }
  return table.take();
}

}  // namespace lashband::report
