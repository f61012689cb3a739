#include "json_parts.hpp"
#include "lashband/design/torsion.hpp"
#include "lashband/report/json.hpp"
#include "selection.hpp"
#include "torsion_words.hpp"
#include "train_selection.hpp"

namespace lashband::report {
namespace {

using units::value_in;

Json newton_metres(units::Torque torque) {
  return quantity(value_in(torque, "N m"), "N m");
}
Json kilogram_square_metres(units::Inertia inertia) {
  return quantity(value_in(inertia, "kg m2"), "kg m2");
}
Json watts(units::Power power) {
  return quantity(value_in(power, "W"), "W");
}

const char* load_unit(const design::TorsionElement& element) {
  return is_mesh(element) ? "N" : "N m";
}

Json inertias_of(const design::TorsionResult& result) {
  Json json = Json::array();
  for (const design::TorsionInertia& inertia : result.inertias) {
    json.push_back({{"kind", kind_word(inertia.kind)},
                    {"id", inertia.id},
                    {"shaft", inertia.shaft},
                    {"ratio", inertia.ratio},
                    {"inertia", kilogram_square_metres(inertia.inertia)}});
  }
  return json;
}

// With a mesh chosen too: other parts of the document count elements by their place.
Json elements_of(const design::TorsionResult& result) {
  Json json = Json::array();
  for (const design::TorsionElement& element : result.elements) {
    Json ends = Json::array({element.inertia_1});
    if (element.inertia_2) {
      ends.push_back(*element.inertia_2);
    }
    json.push_back(
        {{"kind", kind_word(element.kind)}, {"id", element.id}, {"inertias", std::move(ends)}});
  }
  return json;
}

Json excitations_of(const design::TorsionResult& result) {
  Json json = Json::array();
  for (const design::ExcitationLine& line : result.lines) {
    json.push_back(
        {{"id", line.id}, {"order", line.order}, {"order_of_source", line.order_of_source}});
  }
  return json;
}

Json mode_of(const design::NaturalMode& mode) {
  Json json = {{"frequency", quantity(mode.frequency)}};
  if (mode.damping_ratio) {
    json["damping_ratio"] = *mode.damping_ratio;
  }
  if (mode.damped) {
    json["damped"] = quantity(*mode.damped);
  }
  json["shape"] = mode.shape;
  add_unless_empty(json, "strain_share", mode.strain_share);
  json["nodes"] = mode.nodes;
  add_unless_empty(json, "frequency_by_stiffness", mode.frequency_by_stiffness);
  add_unless_empty(json, "frequency_by_inertia", mode.frequency_by_inertia);
  return json;
}

Json cancelling_of(const design::CaseReaction& reaction) {
  Json json = Json::array();
  for (const design::CaseReaction::Cancelling& one : reaction.cancelling) {
    json.push_back({{"shaft", one.shaft}, {"inertia", kilogram_square_metres(one.inertia)}});
  }
  return json;
}

Json power_of(const design::TorsionPower& power) {
  return {{"driven", watts(power.driven)},
          {"loads", watts(power.loads)},
          {"drag", watts(power.drag)},
          {"vibration_in", watts(power.vibration_in)},
          {"vibration_out", watts(power.vibration_out)}};
}

// One condition. What was not worked out there is left out: without a speed all but what the train
// itself is like, without a full cycle whatever is greatest or least over it.
class ConditionJson {
 public:
  ConditionJson(const design::TorsionResult& result, const design::TorsionCondition& condition,
                const View& view)
      : result_(result),
        condition_(condition),
        view_(view),
        turns_(has_speed(condition)),
        has_ends_(turns_ && cycle_known(result, condition)),
        shaken_(turns_ && result.revolutions_per_cycle) {}

  [[nodiscard]] Json json() const {
    Json json = {{"condition", condition_.id}};
    if (turns_) {
      json["speed"] = quantity(condition_.speed);
      json["speed_judged"] = condition_.speed_judged;
      json["balance"] = newton_metres(condition_.balance);
    }
    json["elements"] = elements();
    json["modes"] = modes();
    if (turns_) {
      json["crossings"] = crossings();
    }
    if (has_ends_) {
      json["meshes"] = meshes();
    }
    if (turns_) {
      json["wind_up"] = wind_up();
    }
    json["elastomers"] = elastomers();
    json["reaction"] = reaction();
    if (turns_) {
      json["power"] = power_of(condition_.power);
    }
    if (!condition_.sweep.empty()) {
      json["sweep"] = sweep();
    }
    return json;
  }

 private:
  [[nodiscard]] Json elements() const {
    Json json = Json::array();
    for (std::size_t e = 0; e < condition_.elements.size(); ++e) {
      const design::TorsionElement& element = result_.elements[e];
      const design::ElementState& at = condition_.elements[e];
      if (!shows_element(view_, element)) {
        continue;
      }
      const char* load = load_unit(element);
      Json one = {{"element", e}};
      if (at.stiffness > 0.0) {
        one["stiffness"] = quantity(at.stiffness, is_mesh(element) ? "N/m" : "N m/rad");
      }
      if (turns_ && has_mean(element)) {
        one["mean"] = quantity(at.mean, load);
      }
      if (has_ends_) {
        one["greatest"] = quantity(at.greatest, load);
        one["least"] = quantity(at.least, load);
      }
      json.push_back(std::move(one));
    }
    return json;
  }

  [[nodiscard]] Json modes() const {
    Json json = Json::array();
    for (const design::NaturalMode& mode : condition_.modes) {
      json.push_back(mode_of(mode));
    }
    return json;
  }

  [[nodiscard]] Json crossings() const {
    Json json = Json::array();
    for (const design::Crossing& crossing : condition_.crossings) {
      if (!shows_order(view_, result_.lines[crossing.line].order)) {
        continue;
      }
      Json one = {{"excitation", crossing.line},
                  {"mode", crossing.mode},
                  {"speed", quantity(crossing.speed)}};
      if (crossing.margin) {
        one["margin"] = *crossing.margin;
      }
      json.push_back(std::move(one));
    }
    return json;
  }

  [[nodiscard]] Json meshes() const {
    Json json = Json::array();
    for (std::size_t i = 0; i < condition_.meshes.size(); ++i) {
      const design::MeshVibration& mesh = condition_.meshes[i];
      if (!shows_mesh(view_, mesh_id(result_, i))) {
        continue;
      }
      Json one = {{"mesh", mesh_id(result_, i)},
                  {"mean", quantity(mesh.mean)},
                  {"least", quantity(mesh.least)},
                  {"unloaded", mesh.unloaded}};
      if (mesh.rattle_index) {
        one["rattle_index"] = *mesh.rattle_index;
      }
      add_unless_empty(one, "index_by_stiffness", mesh.index_by_stiffness);
      add_unless_empty(one, "index_by_inertia", mesh.index_by_inertia);
      json.push_back(std::move(one));
    }
    return json;
  }

  [[nodiscard]] Json wind_up() const {
    Json json = Json::array();
    for (const design::WindUp& row : condition_.wind_up) {
      Json one = {{"shaft", row.shaft}, {"against", row.against}, {"mean", quantity(row.mean)}};
      if (has_ends_) {
        one["phase_error"] = quantity(row.phase_error);
      }
      json.push_back(std::move(one));
    }
    return json;
  }

  [[nodiscard]] Json elastomers() const {
    Json json = Json::array();
    for (const design::ElastomerState& at : condition_.elastomers) {
      Json one = {{"element", at.element},
                  {"temperature", quantity(value_in(at.temperature, "degC"), "degC")},
                  {"temperature_is", status_word(at.status)},
                  {"stiffness", quantity(value_in(at.stiffness, "N m/rad"), "N m/rad")}};
      if (shaken_) {
        one["loss_factor"] = at.loss_factor;
      }
      if (turns_) {
        one["mean_twist"] = quantity(at.mean_twist);
      }
      if (has_ends_) {
        one["greatest_twist"] = quantity(at.greatest_twist);
        if (at.shear_strain) {
          one["shear_strain"] = *at.shear_strain;
        }
      }
      if (shaken_) {
        one["heat"] = watts(at.heat);
        one["heat_per_cycle"] = quantity(at.heat_per_cycle);
      }
      json.push_back(std::move(one));
    }
    return json;
  }

  [[nodiscard]] Json reaction() const {
    const design::CaseReaction& reaction = condition_.reaction;
    Json json = {{"inertia", kilogram_square_metres(reaction.inertia)},
                 {"greatest_part", kilogram_square_metres(reaction.greatest_part)},
                 {"cancelling", cancelling_of(reaction)}};
    if (has_ends_) {
      json["vibration"] = newton_metres(reaction.vibration);
    }
    return json;
  }

  [[nodiscard]] Json sweep() const {
    Json speeds = Json::array();
    for (const design::SweepPoint& point : condition_.sweep) {
      speeds.push_back(value_in(point.speed, "rpm"));
    }
    return {{"speeds", {{"values", std::move(speeds)}, {"unit", "rpm"}}},
            {"elements", sweep_elements()},
            {"meshes", sweep_meshes()}};
  }

  [[nodiscard]] Json sweep_elements() const {
    Json json = Json::array();
    for (std::size_t e = 0; e < result_.elements.size(); ++e) {
      if (!shows_element(view_, result_.elements[e])) {
        continue;
      }
      Json values = Json::array();
      for (const design::SweepPoint& point : condition_.sweep) {
        values.push_back(point.dynamic[e]);
      }
      json.push_back(
          {{"element", e},
           {"dynamic", {{"values", std::move(values)}, {"unit", load_unit(result_.elements[e])}}}});
    }
    return json;
  }

  [[nodiscard]] Json sweep_meshes() const {
    Json json = Json::array();
    for (std::size_t i = 0; i < result_.meshes.size(); ++i) {
      if (!shows_mesh(view_, mesh_id(result_, i))) {
        continue;
      }
      Json loaded = Json::array();
      Json indices = Json::array();
      Json forces = Json::array();
      for (std::size_t k = 0; k < condition_.sweep.size(); ++k) {
        const design::SweepPoint& point = condition_.sweep[k];
        if (point.rattle_index[i]) {
          loaded.push_back(k);
          indices.push_back(*point.rattle_index[i]);
        }
        forces.push_back(value_in(point.least_force[i], "N"));
      }
      json.push_back(
          {{"mesh", mesh_id(result_, i)},
           {"rattle_index", {{"speeds", std::move(loaded)}, {"values", std::move(indices)}}},
           {"least_force", {{"values", std::move(forces)}, {"unit", "N"}}}});
    }
    return json;
  }

  const design::TorsionResult& result_;
  const design::TorsionCondition& condition_;
  const View& view_;
  bool turns_;
  bool has_ends_;
  bool shaken_;
};

}  // namespace

std::string json(const design::TorsionResult& result, const View& view) {
  Json json = head("torsion", result.input);
  json["carrier"] = result.carrier;
  json["reference"] = result.reference;
  json["driver"] = result.driver;
  json["inertias"] = inertias_of(result);
  json["elements"] = elements_of(result);
  json["excitations"] = excitations_of(result);
  if (result.revolutions_per_cycle) {
    json["revolutions_per_cycle"] = *result.revolutions_per_cycle;
  }
  Json& conditions = json["conditions"] = Json::array();
  for (const design::TorsionCondition& condition : result.conditions) {
    if (shows_condition(view, condition.id)) {
      conditions.push_back(ConditionJson(result, condition, view).json());
    }
  }
  json["requirements"] = requirements(result.requirements, {});
  json["warnings"] = warnings(result.warnings, {});
  add_failures(json, result.failures, {});
  return written(json);
}

}  // namespace lashband::report
