#pragma once

#include <cstddef>
#include <optional>
#include <string>
#include <vector>

#include "data_table.hpp"
#include "lashband/design/study.hpp"

namespace lashband::report {

/// What a state of a result is.
enum class StateKind { condition, soak, moment };

[[nodiscard]] StateKind kind_of(const design::State& state);

/// What every table of states begins with: who carries, the state, the temperature of a point of
/// the soak, and the history and time of a moment. The last two only where there are such states.
class StateColumns {
 public:
  /// For the states of every carrier of a study.
  StateColumns(const design::Study& study, const Measures& measures);
  /// For the states of these results.
  StateColumns(bool soak, const std::vector<const design::BacklashResult*>& results,
               const Measures& measures);

  /// `carrier_head` is the head of the first column.
  [[nodiscard]] std::vector<Column> columns(const std::string& carrier_head) const;
  [[nodiscard]] std::vector<Cell> cells(const std::string& carrier,
                                        const design::State& state) const;

 private:
  bool soak_;
  std::optional<TimeScale> time_{};
  Measures measures_;
};

/// Takes out, of the moments in the rows from `first` on, those at which no number of the table is
/// at an end of its history that its column tells: the histories by themselves have all.
void keep_ends_of_histories(DataTable& table, std::size_t first);

}  // namespace lashband::report
