#pragma once

#include <map>
#include <set>
#include <string>
#include <vector>

#include "io/decode.hpp"
#include "lashband/io/material_files.hpp"

namespace lashband::io {

/// The materials that one input file can name: its own, those of a folder, and the shipped ones, of
/// which only those that are named are read.
class MaterialShelf {
 public:
  /// Unless `folder_is_complete`, the folder has files that could not be read, and a name that is
  /// not known may be in one of them.
  MaterialShelf(std::vector<MaterialPointer> of_folder, bool folder_is_complete);

  /// Takes the input's own list of records; reports what is wrong with it.
  void add_own(const Field& list);

  /// The material that `field` names. An unknown name is reported with the nearest known one.
  [[nodiscard]] MaterialPointer find(const Field& field);

  /// The same, where naming the material does not put it to use.
  [[nodiscard]] MaterialPointer look_up(const Field& field);

  /// Ids of the input's own materials that nothing has asked for.
  [[nodiscard]] std::vector<std::string> unused_own() const;

 private:
  [[nodiscard]] std::vector<std::string> added_ids() const;

  std::map<std::string, MaterialPointer> known_;  ///< null: its record is bad, which is reported
  std::set<std::string> of_folder_;
  std::vector<std::string> own_;
  std::set<std::string> used_;
  bool complete_;  ///< whether a name that is not known is an unknown one
};

}  // namespace lashband::io
