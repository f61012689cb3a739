#pragma once

#include <string>

namespace lashband::test {

/// Two gears in a case, with `sections` behind.
inline std::string train_with(const std::string& sections) {
  return R"({
  "lashband": 1,
  "zones": ["gears", "case"],
  "carriers": [{ "id": "case", "kind": "plain", "material": "EN AC-43500", "zone": "case" }],
  "shafts": [{ "id": "A" }, { "id": "B" }],
  "gears": [
    { "id": "pinion", "shaft": "A", "teeth": 20, "module": "2 mm", "pressure_angle": "20 deg",
      "face_width": "20 mm", "material": "16MnCr5", "zone": "gears" },
    { "id": "wheel", "shaft": "B", "teeth": 40, "module": "2 mm", "pressure_angle": "20 deg",
      "face_width": "18 mm", "material": "16MnCr5", "zone": "gears" }
  ],
  "meshes": [{ "id": "pair", "gears": ["pinion", "wheel"], "centre_distance": { "nominal": "60 mm" } }],
)" + sections +
         "\n}\n";
}

}  // namespace lashband::test
