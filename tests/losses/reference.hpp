#pragma once

#include <stdexcept>
#include <string>
#include <string_view>

#include <nlohmann/json.hpp>

#include "file_text.hpp"
#include "lashband/losses/oil_viscosity.hpp"
#include "lashband/units/quantities.hpp"
#include "lashband/units/temperature.hpp"

namespace lashband::test {

/// The rows of tests/reference/losses.json with that topic. Throws where there are none, or none
/// with a source and a status.
[[nodiscard]] inline nlohmann::json reference_rows(std::string_view topic) {
  const auto reference =
      nlohmann::json::parse(text_of(LASHBAND_SOURCE_DIR "/tests/reference/losses.json"));
  for (const auto& block : reference.at("blocks")) {
    if (block.at("topic") == topic && !block.at("source").get<std::string>().empty() &&
        !block.at("status").get<std::string>().empty() && !block.at("rows").empty()) {
      return block.at("rows");
    }
  }
  throw std::runtime_error("losses.json has no block " + std::string(topic));
}

[[nodiscard]] inline units::KinematicViscosity mm2_per_s(double value) {
  return units::from_si<units::KinematicViscosity>(1e-6 * value);
}
[[nodiscard]] inline double in_mm2_per_s(units::KinematicViscosity viscosity) {
  return 1e6 * viscosity.value();
}
[[nodiscard]] inline units::Length mm(double value) {
  return units::from_si<units::Length>(1e-3 * value);
}

/// The oil with these viscosities (mm2/s) at 40 degC and 100 degC.
[[nodiscard]] inline losses::OilViscosity oil(double nu_40, double nu_100) {
  return {{units::celsius(40.0), mm2_per_s(nu_40)}, {units::celsius(100.0), mm2_per_s(nu_100)}};
}

}  // namespace lashband::test
