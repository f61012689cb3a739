#pragma once

#include <memory>
#include <string>
#include <vector>

#include "lashband/materials/material.hpp"

/// Materials for a terminal 80 columns wide.
namespace lashband::report {

/// One line a material: id, family, range and mean coefficient of elongation from 20 degC.
[[nodiscard]] std::string material_list(
    const std::vector<std::shared_ptr<const materials::Material>>& materials);

/// Everything known of one material, each property with its source and confidence.
[[nodiscard]] std::string material_sheet(const materials::Material& material);

}  // namespace lashband::report
