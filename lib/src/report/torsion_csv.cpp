#include "csv_table.hpp"
#include "lashband/design/torsion.hpp"
#include "lashband/report/csv.hpp"
#include "selection.hpp"
#include "torsion_words.hpp"
#include "train_selection.hpp"

namespace lashband::report {
namespace {

class TorsionTable {
 public:
  TorsionTable(const design::TorsionResult& result, const View& view)
      : result_(result), view_(view), write_(view.units), place_(result.elements.size()) {
    for (std::size_t i = 0; i < result.meshes.size(); ++i) {
      place_[result.meshes[i]] = i;
    }
  }

  [[nodiscard]] std::string text() {
    heads();
    for (const design::TorsionCondition& condition : result_.conditions) {
      if (shows_condition(view_, condition.id)) {
        put_condition(condition);
        put_sweep(condition);
      }
    }
    return table_.take();
  }

 private:
  void heads() {
    for (const char* name : {"row", "condition", "speed [rpm]", "element", "kind"}) {
      table_.field(name);
    }
    for (const char* name : {"mean", "dynamic"}) {
      table_.field(write_.force_head(std::string(name) + "_force"));
      table_.field(write_.torque_head(std::string(name) + "_torque"));
    }
    table_.field("rattle_index");
    table_.field(write_.force_head("least_force"));
    table_.end_row();
  }

  void name_row(const char* row, const std::string& condition, units::AngularVelocity speed,
                const design::TorsionElement& element) {
    table_.field(row);
    table_.field(condition);
    CsvWriter::put(table_, speed);
    table_.field(element.id);
    table_.field(kind_word(element.kind));
  }

  // A force of a mesh and a torque of any other element, in two columns.
  void put_load(const design::TorsionElement& element, std::optional<double> load) {
    if (!load) {
      table_.blanks(2);
    } else if (is_mesh(element)) {
      write_.put(table_, units::from_si<units::Force>(*load));
      table_.blank();
    } else {
      table_.blank();
      write_.put_torque(table_, units::from_si<units::Torque>(*load));
    }
  }

  void put_mesh(const std::optional<double>& index, units::Force least) {
    CsvWriter::put(table_, index);
    write_.put(table_, least);
    table_.end_row();
  }
  void put_no_mesh() {
    table_.blanks(2);
    table_.end_row();
  }

  void put_condition(const design::TorsionCondition& condition) {
    if (!has_speed(condition)) {
      return;
    }
    const bool has_ends = cycle_known(result_, condition);
    for (std::size_t e = 0; e < result_.elements.size(); ++e) {
      const design::TorsionElement& element = result_.elements[e];
      if (!shows_element(view_, element)) {
        continue;
      }
      const design::ElementState& at = condition.elements[e];
      name_row("condition", condition.id, condition.speed, element);
      put_load(element, has_mean(element) ? std::optional(at.mean) : std::nullopt);
      put_load(element, has_ends ? std::optional(0.5 * (at.greatest - at.least)) : std::nullopt);
      if (is_mesh(element) && has_ends) {
        const design::MeshVibration& mesh = condition.meshes[place_[e]];
        put_mesh(mesh.rattle_index, mesh.least);
      } else {
        put_no_mesh();
      }
    }
  }

  void put_sweep(const design::TorsionCondition& condition) {
    for (const design::SweepPoint& point : condition.sweep) {
      for (std::size_t e = 0; e < result_.elements.size(); ++e) {
        const design::TorsionElement& element = result_.elements[e];
        if (!shows_element(view_, element)) {
          continue;
        }
        name_row("sweep", condition.id, point.speed, element);
        put_load(element, std::nullopt);
        put_load(element, point.dynamic[e]);
        if (is_mesh(element)) {
          put_mesh(point.rattle_index[place_[e]], point.least_force[place_[e]]);
        } else {
          put_no_mesh();
        }
      }
    }
  }

  const design::TorsionResult& result_;
  const View& view_;
  CsvWriter write_;
  std::vector<std::size_t> place_;  // by element: of a mesh its place among the meshes
  CsvTable table_;
};

}  // namespace

std::string csv(const design::TorsionResult& result, const View& view) {
  return TorsionTable(result, view).text();
}

}  // namespace lashband::report
