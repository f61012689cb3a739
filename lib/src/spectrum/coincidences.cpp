#include "lashband/spectrum/coincidences.hpp"

#include <algorithm>
#include <cmath>
#include <string>
#include <unordered_map>
#include <utility>

#include "requirement.hpp"

namespace lashband::spectrum {
namespace {

using kernel::named;
using kernel::require;

/// A line that stands for all of its order.
struct Entry {
  double order = 0.0;
  std::size_t line = 0;
  double of_mesh = 0.0;  ///< order of the mesh whose harmonic it is; equal where meshes are alike
};

/// What may fall together, each list with orders rising and no order twice.
struct Entries {
  std::vector<Entry> meshes{};
  std::vector<Entry> excitations{};
  std::vector<std::vector<Entry>> alike{};  ///< `meshes` by the order of their mesh
  std::vector<Coincidence> exact{};         ///< unlike lines of one order
};

double apart(const Entry& first, const Entry& second) {
  return std::abs(second.order / first.order - 1.0);
}

std::vector<Entry> sorted_entries(const std::vector<Line>& lines, LineKind kind) {
  std::unordered_map<std::string, double> order_of_mesh;
  for (const Line& line : lines) {
    if (line.kind == LineKind::mesh && line.harmonic == 1) {
      order_of_mesh.emplace(line.source, line.order);
    }
  }
  std::vector<Entry> entries;
  for (std::size_t i = 0; i < lines.size(); ++i) {
    const Line& line = lines[i];
    if (line.kind != kind) {
      continue;
    }
    require(line.order > 0.0 && std::isfinite(line.order), named("line of", line.source),
            "its order must be above 0", line.order, "");
    const auto known = order_of_mesh.find(line.source);
    const bool whole = kind == LineKind::mesh && known != order_of_mesh.end();
    const double of_mesh = whole ? known->second : line.order / line.harmonic;
    entries.push_back({line.order, i, of_mesh});
  }
  std::stable_sort(entries.begin(), entries.end(), [](const Entry& a, const Entry& b) {
    return a.order != b.order ? a.order < b.order : a.of_mesh < b.of_mesh;
  });
  return entries;
}

/// Takes the mesh lines of one order, those of alike meshes side by side.
void take_same_order(std::vector<Entry>::const_iterator begin,
                     std::vector<Entry>::const_iterator end, Entries& entries) {
  const Entry first =
      *std::min_element(begin, end, [](const Entry& a, const Entry& b) { return a.line < b.line; });
  double told = first.of_mesh;
  for (auto entry = begin; entry != end; ++entry) {
    if (entry->of_mesh != first.of_mesh && entry->of_mesh != told) {
      told = entry->of_mesh;
      entries.exact.push_back({first.line, entry->line, 0.0});
    }
  }
  entries.meshes.push_back(first);
}

Entries entries_of(const std::vector<Line>& lines) {
  Entries result;
  const std::vector<Entry> meshes = sorted_entries(lines, LineKind::mesh);
  for (auto begin = meshes.begin(); begin != meshes.end();) {
    const auto end = std::find_if(begin, meshes.end(), [order = begin->order](const Entry& entry) {
      return entry.order > order;
    });
    take_same_order(begin, end, result);
    begin = end;
  }
  for (const Entry& entry : sorted_entries(lines, LineKind::excitation)) {
    if (result.excitations.empty() || result.excitations.back().order < entry.order) {
      result.excitations.push_back(entry);
    }
  }
  std::vector<Entry> by_mesh = result.meshes;
  std::stable_sort(by_mesh.begin(), by_mesh.end(),
                   [](const Entry& a, const Entry& b) { return a.of_mesh < b.of_mesh; });
  for (const Entry& entry : by_mesh) {
    if (result.alike.empty() || result.alike.back().front().of_mesh < entry.of_mesh) {
      result.alike.emplace_back();
    }
    result.alike.back().push_back(entry);
  }
  return result;
}

/// For each entry the number of those after it that are near.
template <class Visit>
void visit_near(const std::vector<Entry>& entries, double within, const Visit& visit) {
  std::size_t end = 0;
  for (std::size_t i = 0; i < entries.size(); ++i) {
    end = std::max(end, i + 1);
    while (end < entries.size() && apart(entries[i], entries[end]) <= within) {
      ++end;
    }
    visit(i, end);
  }
}

/// For each mesh line the excitations that are near, as a range.
template <class Visit>
void visit_excited(const Entries& entries, double within, const Visit& visit) {
  std::size_t begin = 0;
  std::size_t end = 0;
  const std::vector<Entry>& excitations = entries.excitations;
  for (std::size_t i = 0; i < entries.meshes.size(); ++i) {
    const Entry& mesh = entries.meshes[i];
    while (begin < excitations.size() && excitations[begin].order < mesh.order &&
           apart(mesh, excitations[begin]) > within) {
      ++begin;
    }
    end = std::max(end, begin);
    while (end < excitations.size() &&
           (excitations[end].order <= mesh.order || apart(mesh, excitations[end]) <= within)) {
      ++end;
    }
    visit(i, begin, end);
  }
}

std::size_t number_within(const Entries& entries, double within) {
  std::size_t number = entries.exact.size();
  visit_near(entries.meshes, within,
             [&number](std::size_t i, std::size_t end) { number += end - i - 1; });
  std::size_t alike = 0;
  for (const std::vector<Entry>& harmonics : entries.alike) {
    visit_near(harmonics, within,
               [&alike](std::size_t i, std::size_t end) { alike += end - i - 1; });
  }
  visit_excited(entries, within, [&number](std::size_t, std::size_t begin, std::size_t end) {
    number += end - begin;
  });
  return number - alike;
}

std::vector<Coincidence> pairs_within(const Entries& entries, double within) {
  std::vector<Coincidence> found = entries.exact;
  const std::vector<Entry>& meshes = entries.meshes;
  visit_near(meshes, within, [&found, &meshes](std::size_t i, std::size_t end) {
    for (std::size_t j = i + 1; j < end; ++j) {
      if (meshes[i].of_mesh != meshes[j].of_mesh) {
        found.push_back({meshes[i].line, meshes[j].line, apart(meshes[i], meshes[j])});
      }
    }
  });
  visit_excited(entries, within,
                [&found, &entries](std::size_t i, std::size_t begin, std::size_t end) {
                  const Entry& mesh = entries.meshes[i];
                  for (std::size_t j = begin; j < end; ++j) {
                    const Entry& excitation = entries.excitations[j];
                    found.push_back({mesh.line, excitation.line, apart(mesh, excitation)});
                  }
                });
  std::stable_sort(found.begin(), found.end(),
                   [](const Coincidence& a, const Coincidence& b) { return a.apart < b.apart; });
  return found;
}

/// The widest limit, to rounding, within which there are no more than `most`; 0 where there are
/// more even there.
double limit_for(const Entries& entries, double within, std::size_t most) {
  double few = 0.0;
  double many = within;
  constexpr int halvings = 60;  // to below the rounding of `apart`
  for (int i = 0; i < halvings; ++i) {
    const double middle = 0.5 * (few + many);
    (number_within(entries, middle) <= most ? few : many) = middle;
  }
  return few;
}

}  // namespace

Coincidences coincidences(const std::vector<Line>& lines, const CoincidenceOptions& options) {
  require(options.within >= 0.0 && options.within <= 0.5, "coincidences",
          "the greatest distance of lines must be from 0 to 0.5", options.within, "");
  require(options.most >= 1, "coincidences", "the number returned must be 1 or more",
          static_cast<double>(options.most), "");
  const Entries entries = entries_of(lines);
  const std::size_t number = number_within(entries, options.within);
  if (number <= options.most) {
    return {pairs_within(entries, options.within), 0};
  }
  // Even at 0 their number is at most that of the lines.
  std::vector<Coincidence> found =
      pairs_within(entries, limit_for(entries, options.within, options.most));
  found.resize(std::min(found.size(), options.most));
  const std::size_t more = number - found.size();
  return {std::move(found), more};
}

}  // namespace lashband::spectrum
