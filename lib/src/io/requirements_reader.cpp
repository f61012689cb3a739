#include "io/design_draft.hpp"
#include "lashband/error.hpp"
#include "lashband/limits/iso_10064.hpp"

namespace lashband::io {
namespace {

constexpr ValueRule gap{"a length of at least 0", rules::not_below_zero};
constexpr std::string_view recommended = "ISO/TR 10064-2";
constexpr ValueRule gap_or_recommended{"a length of at least 0 (or \"ISO/TR 10064-2\")",
                                       rules::not_below_zero};

/// Reports where the least asked for (with the running gap on top) is above the greatest.
void check_order(const Field& greatest_field, const std::optional<units::Length>& least,
                 const std::optional<units::Length>& greatest,
                 const std::optional<units::Length>& running_gap, std::string_view least_key) {
  if (!least || !greatest) {
    return;
  }
  const units::Length needed = *least + running_gap.value_or(units::Length());
  if (!(needed <= *greatest)) {
    greatest_field.report("read " + greatest_field.as_read() +
                          "; allowed is a length of at least " + in_mm(needed) + ", which \"" +
                          std::string(least_key) + "\"" +
                          (running_gap ? " and \"minimum_running_gap\" ask" : " asks") + " for");
  }
}

/// The least normal backlash: a length, or the minimum that the technical report recommends.
void read_least_normal(Draft& draft, design::MeshRequirements& require, const Field& field,
                       const std::string& mesh, const std::optional<units::Length>& distance,
                       const std::optional<units::Length>& module) {
  const auto* text = field.given() ? std::get_if<std::string>(&field.value().data) : nullptr;
  if (text == nullptr || *text != recommended) {
    require.least_normal_backlash = read_quantity<units::Length>(field, gap_or_recommended);
    return;
  }
  if (!distance || !module) {
    return;  // what is lacking is reported
  }
  try {
    require.least_normal_backlash = limits::recommended_least_normal_backlash(*distance, *module);
  } catch (const DomainError& error) {
    field.report(error.what());
    return;
  }
  require.least_normal_from_iso_10064 = true;
  note_from_memory(draft, "mesh " + mesh, "least_normal_backlash by ISO/TR 10064-2",
                   in_um(*require.least_normal_backlash));
  draft.remarks.looked_up.push_back({"limits", "mesh " + mesh,
                                     "the least normal backlash of ISO/TR 10064-2 is meant for " +
                                         std::string(limits::iso_10064_scope)});
}

}  // namespace

design::Basis read_basis(const Field& field) {
  using design::Basis;
  if (!field.given()) {
    return Basis::worst_case;
  }
  return read_choice<Basis>(field, {{"worst_case", Basis::worst_case},
                                    {"nominal", Basis::nominal},
                                    {"rss", Basis::rss},
                                    {"percentile", Basis::percentile}})
      .value_or(Basis::worst_case);
}

design::MeshRequirements read_requirements(Draft& draft, const Field& field,
                                           const std::string& mesh,
                                           const std::optional<units::Length>& distance,
                                           const std::optional<units::Length>& module) {
  design::MeshRequirements require;
  auto object = read_object(field,
                            "an object with requirements, such as { \"least_backlash\": "
                            "\"30 um\", \"greatest_backlash\": \"260 um\" }");
  if (!object) {
    return require;
  }
  const Field greatest = object->optional("greatest_backlash");
  const Field greatest_normal = object->optional("greatest_normal_backlash");
  require.least_backlash = read_quantity<units::Length>(object->optional("least_backlash"), gap);
  require.greatest_backlash = read_quantity<units::Length>(greatest, gap);
  read_least_normal(draft, require, object->optional("least_normal_backlash"), mesh, distance,
                    module);
  require.greatest_normal_backlash = read_quantity<units::Length>(greatest_normal, gap);
  require.least_tip_clearance =
      read_quantity<units::Length>(object->optional("least_tip_clearance"), gap);
  require.least_contact_ratio =
      read_number(object->optional("least_contact_ratio"), {"a number above 0", rules::above_zero});
  require.minimum_running_gap =
      read_quantity<units::Length>(object->optional("minimum_running_gap"), gap);
  require.basis = read_basis(object->optional("basis"));
  object->refuse_unknown_keys();
  check_order(greatest, require.least_backlash, require.greatest_backlash,
              require.minimum_running_gap, "least_backlash");
  check_order(greatest_normal, require.least_normal_backlash, require.greatest_normal_backlash,
              require.minimum_running_gap, "least_normal_backlash");
  return require;
}

}  // namespace lashband::io
