#pragma once

#include "io/decode.hpp"
#include "lashband/io/material_files.hpp"
#include "lashband/materials/material_record.hpp"

namespace lashband::io {

enum class RecordOrigin {
  shipped,  ///< every property must name its source
  user,     ///< sources may be left out
};

/// A material record that was read: the id as soon as it is known, the material if all of it is
/// good.
struct ReadMaterial {
  std::optional<std::string> id;
  Field id_field;
  MaterialPointer material;
};

/// Reads one record; reports what is wrong with it.
[[nodiscard]] ReadMaterial read_material(const Field& field, RecordOrigin origin);

/// A hardness, { "shore_a": 60 } or { "irhd": 60 }.
[[nodiscard]] std::optional<materials::Hardness> read_hardness(const Field& field);

/// Reports an id that a shipped material has already.
void refuse_shipped_id(const ReadMaterial& read);

}  // namespace lashband::io
