#include "csv_table.hpp"

#include <array>
#include <charconv>

#include "state_text.hpp"

namespace lashband::report {

void CsvTable::field(std::string_view text) {
  separate();
  if (text.find_first_of(",\"\r\n") == std::string_view::npos) {
    text_ += text;
    return;
  }
  text_ += '"';
  for (const char c : text) {
    text_ += c;
    if (c == '"') {
      text_ += '"';
    }
  }
  text_ += '"';
}

void CsvTable::number(double value) {
  std::array<char, 64> buffer{};
  const auto end = std::to_chars(buffer.data(), buffer.data() + buffer.size(), value);
  field({buffer.data(), static_cast<std::size_t>(end.ptr - buffer.data())});
}

void heads(CsvTable& table, const CsvWriter& write, std::string_view name,
           std::initializer_list<const char*> ends) {
  const bool is_angle = name.substr(0, 3) == "phi" || name.substr(0, 11) == "lost_motion";
  for (const char* end : ends) {
    const std::string full = std::string(name) + end;
    table.field(is_angle ? full + " [rad]" : write.length_head(full));
  }
}

void plain_band_heads(CsvTable& table, const CsvWriter& write, std::string_view name) {
  heads(table, write, name, {"_nominal", "_worst_low", "_worst_high"});
}

void band_heads(CsvTable& table, const CsvWriter& write, std::string_view name) {
  plain_band_heads(table, write, name);
  heads(table, write, name,
        {"_rss_low", "_rss_high", "_least_p0.135", "_least_p50", "_least_p99.865",
         "_greatest_p0.135", "_greatest_p50", "_greatest_p99.865"});
}

void put_state(CsvTable& table, const CsvWriter& write, const design::State& state) {
  table.field(state.time ? state.condition : state.id);
  write.put(table, state.time);
}
void put_state(CsvTable& table, const CsvWriter& write, const std::vector<design::State>& states,
               const std::string& id) {
  if (const design::State* state = state_of(states, id)) {
    put_state(table, write, *state);
  } else {
    table.field(id);
    table.blank();
  }
}

std::string listed(const std::vector<std::string>& ids) {
  std::string list;
  for (const std::string& id : ids) {
    list += list.empty() ? "" : ", ";
    list += id;
  }
  return list;
}

}  // namespace lashband::report
