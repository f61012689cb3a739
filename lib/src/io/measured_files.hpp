#pragma once

#include <cstddef>
#include <filesystem>
#include <map>
#include <optional>
#include <string>
#include <string_view>
#include <vector>

#include "io/decode.hpp"
#include "io/measured_table.hpp"
#include "io/sha256.hpp"

namespace lashband::io {

/// The most files that one input may name. Each is held in memory until the input is read.
inline constexpr std::size_t most_measured_files = 100;

/// The column of times, which every file needs.
inline constexpr std::string_view time_column_name = "time";

/// The files of measured values that one input names, each read once, and the digest of the input
/// with them.
class MeasuredFiles {
 public:
  /// `base_folder` is where relative names begin; `text` is the input, with which the digest
  /// begins.
  MeasuredFiles(std::filesystem::path base_folder, std::string_view text);

  /// Reads each of the files, in this order, which is that of the digest. Reports at its field a
  /// file that is not there; what is wrong in a file is kept for `problems`.
  void read(const std::vector<Field>& names);

  /// The table that `name` names, one of those that were read; null where it could not be used,
  /// which is reported.
  [[nodiscard]] const MeasuredTable* find(const Field& name) const;

  /// Adds a problem of one of the files, once.
  void add_problem(const InputProblem& problem);
  void add_problems(const InputErrors& errors);

  [[nodiscard]] const std::vector<InputProblem>& problems() const { return problems_; }

  /// SHA-256 of the input and all files.
  [[nodiscard]] std::string digest() const { return digest_.in_hexadecimal(); }

 private:
  [[nodiscard]] std::optional<MeasuredTable> table(const Field& field, const std::string& name);

  std::filesystem::path base_folder_;
  std::map<std::string, std::optional<MeasuredTable>, std::less<>> tables_;
  std::vector<InputProblem> problems_;
  Sha256 digest_;
};

/// The name of a file as it stands in `field`; empty where there is none.
[[nodiscard]] std::optional<std::string> read_file_name(const Field& field);

/// The column of that name. Without it adds a problem of the file, with the nearest name.
[[nodiscard]] std::optional<std::size_t> find_column(MeasuredFiles& files,
                                                     const MeasuredTable& table,
                                                     const std::string& name);

/// A column in SI units, levels in degC; what is wrong with it becomes a problem of the file.
template <class Q>
[[nodiscard]] std::optional<std::vector<double>> read_column(MeasuredFiles& files,
                                                             const MeasuredTable& table,
                                                             std::size_t column) {
  try {
    return column_in_si<Q>(table, column);
  } catch (const InputErrors& errors) {
    files.add_problems(errors);
    return std::nullopt;
  }
}

}  // namespace lashband::io
