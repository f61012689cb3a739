#include <algorithm>
#include <string>

#include "lashband/units/format.hpp"
#include "sections.hpp"

namespace lashband::report {
namespace {

using materials::Material;

// A material of the design and what is made of it.
struct Use {
  const Material* material = nullptr;
  std::vector<std::string> parts;
};

class Uses {
 public:
  void add(const thermal::Solid& solid, const std::string& part) {
    const auto found = std::find_if(uses_.begin(), uses_.end(), [&solid](const Use& use) {
      return use.material->id() == solid.material->id();
    });
    Use& use = found == uses_.end() ? uses_.emplace_back(Use{solid.material.get(), {}}) : *found;
    if (std::find(use.parts.begin(), use.parts.end(), part) == use.parts.end()) {
      use.parts.push_back(part);
    }
  }

  [[nodiscard]] const std::vector<Use>& list() const { return uses_; }

 private:
  std::vector<Use> uses_;
};

Uses uses_of(const design::Design& design) {
  Uses uses;
  for (const thermal::Carrier& carrier : design.carriers) {
    for (const thermal::Solid& solid : thermal::solids_of(carrier)) {
      uses.add(solid, "carrier " + named(carrier.id));
    }
  }
  for (const design::Gear& gear : design.gears) {
    uses.add(gear.solid, "gears");
  }
  for (const design::Shaft& shaft : design.shafts) {
    if (shaft.solid) {
      uses.add(*shaft.solid, "shafts");
    }
    for (const design::Bearing& bearing : shaft.bearings) {
      if (bearing.rings) {
        uses.add(*bearing.rings, "bearings");
      }
      if (bearing.seat) {
        uses.add(*bearing.seat, "bearing seats");
      }
    }
    if (shaft.preload) {
      uses.add(shaft.preload->case_solid, "case between preloaded bearings");
    }
  }
  return uses;
}

std::string joined(const std::vector<std::string>& parts) {
  std::string text;
  for (const std::string& part : parts) {
    text += (text.empty() ? "" : ", ") + part;
  }
  return text;
}

// Coldest and hottest of all states.
units::Band<units::Temperature> temperatures(const design::Study& study) {
  units::Band<units::Temperature> reach{study.design.reference_temperature,
                                        study.design.reference_temperature};
  for (const design::State& state : study.backlash().states) {
    for (const units::Temperature& level : state.temperatures.by_zone()) {
      reach.low = std::min(reach.low, level);
      reach.high = std::max(reach.high, level);
    }
  }
  return reach;
}

// Mean coefficient from 20 degC in 1e-6/K; nothing outside the range, or where there is none.
Cell mean_coefficient(const Material& material, units::Temperature level) {
  if (!material.record().elongation || !materials::contains(material.range(), level)) {
    return {"–", {}};
  }
  return {units::format_fixed(1e6 * material.elongation().mean_coefficient(level), "1/K", 2), {}};
}

std::string confidence(const Material& material, const char* property) {
  const auto known = material.confidence(property);
  return known ? std::string(materials::confidence_word(*known)) : "not stated";
}

}  // namespace

Section materials_section(const PageInput& input) {
  const units::Band<units::Temperature> reach = temperatures(input.study);
  const std::vector<Use> uses = uses_of(input.study.design).list();
  std::vector<Column> columns = {
      Measures::text("material", "material"),
      Measures::text("used", "used for"),
      Measures::text("cold", "to " + units::format_fixed(reach.low, "degC", 0) + " °C"),
      Measures::text("hot", "to " + units::format_fixed(reach.high, "degC", 0) + " °C"),
      Measures::text("confidence", "confidence"),
      Measures::text("source", "source")};
  std::vector<std::vector<Cell>> rows;
  for (const Use& use : uses) {
    const Material& material = *use.material;
    const bool grows = material.record().elongation.has_value();
    rows.push_back({Measures::text_cell(material.id()), Measures::text_cell(joined(use.parts)),
                    mean_coefficient(material, reach.low), mean_coefficient(material, reach.high),
                    Measures::text_cell(grows ? confidence(material, "elongation") : "–"),
                    Measures::text_cell(grows ? material.source("elongation") : "–")});
  }
  HtmlWriter html;
  write_table(html, columns, rows,
              "Elongation: mean coefficients from 20 °C in 1e-6/K, and where they come from");
  html.element(
      "p",
      "seen: read in the source named; seen_proxy: read there for a closely related grade; "
      "seen2: read in a transcription of it; memory: recalled and not looked up, verify "
      "before it decides anything; derived: worked out from other values.");

  const bool holds_force = std::any_of(
      input.study.carriers.rows.begin(), input.study.carriers.rows.end(), [](const auto& row) {
        return std::any_of(row.result.carrier_states.begin(), row.result.carrier_states.end(),
                           [](const auto& at) { return at.carrier.joint_force.has_value(); });
      });
  if (holds_force) {
    rows.clear();
    for (const Use& use : uses) {
      const Material& material = *use.material;
      if (!material.record().youngs_modulus) {
        continue;
      }
      rows.push_back({Measures::text_cell(material.id()),
                      Measures::text_cell(confidence(material, "youngs_modulus")),
                      Measures::text_cell(material.source("youngs_modulus"))});
    }
    write_table(html,
                {Measures::text("material", "material"), Measures::text("confidence", "confidence"),
                 Measures::text("source", "source")},
                rows, "Young's modulus, for joint forces: where it comes from");
  }
  return {"materials", "Materials, sources and confidence", html.take()};
}

}  // namespace lashband::report
