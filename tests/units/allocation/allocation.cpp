// Reading a quantity takes no memory from the heap as long as it succeeds. Every operator new of
// this program is counted.

#include <cstddef>
#include <cstdio>
#include <cstdlib>
#include <new>
#include <string>
#include <string_view>

#include "lashband/units/parse.hpp"

namespace {

std::size_t allocations = 0;

void* allocate(std::size_t size) {
  ++allocations;
  void* const memory = std::malloc(size);
  if (memory == nullptr) {
    throw std::bad_alloc();
  }
  return memory;
}

}  // namespace

void* operator new(std::size_t size) {
  return allocate(size);
}
void* operator new[](std::size_t size) {
  return allocate(size);
}
void operator delete(void* memory) noexcept {
  std::free(memory);
}
void operator delete[](void* memory) noexcept {
  std::free(memory);
}
void operator delete(void* memory, std::size_t) noexcept {
  std::free(memory);
}
void operator delete[](void* memory, std::size_t) noexcept {
  std::free(memory);
}

namespace {

using namespace lashband::units;

template <class Result>
bool reads_without_allocation(std::string_view text, Result (*read)(std::string_view)) {
  const std::size_t before = allocations;
  const bool good = static_cast<bool>(read(text));
  if (good && allocations == before) {
    return true;
  }
  std::printf("%.*s: %s, %zu allocations\n", static_cast<int>(text.size()), text.data(),
              good ? "read" : "not read", allocations - before);
  return false;
}

}  // namespace

int main() {
  // A count that never moves would prove nothing. The string outlives the count, so that the
  // compiler cannot leave its memory out.
  const std::string long_text(1000, '0');
  if (allocations == 0 || try_parse<Length>("2.5 parsecs") || long_text.size() != 1000) {
    std::puts("allocations are not counted");
    return EXIT_FAILURE;
  }
  const std::string long_number = "0.1" + long_text + "1 mm";
  bool good = true;
  for (const std::string_view text :
       {std::string_view("106.608 mm"), std::string_view("12.5 \u00B5m"), std::string_view("2 in"),
        std::string_view("1.7976931348623157e308 m"), std::string_view("5e-324 m"),
        std::string_view("3 thou"), std::string_view(long_number)}) {
    good = reads_without_allocation(text, try_parse<Length>) && good;
  }
  good = reads_without_allocation("1.15e-05 1/K", try_parse<PerKelvin>) && good;
  good = reads_without_allocation("3000 N m/rad", try_parse<TorsionalStiffness>) && good;
  good = reads_without_allocation("460 J/(kg K)", try_parse<SpecificHeat>) && good;
  good = reads_without_allocation("-40 degC", try_parse<Temperature>) && good;
  good = reads_without_allocation("98.6 degF", try_parse<Temperature>) && good;
  good = reads_without_allocation("1800 rpm", try_parse<AngularVelocity>) && good;
  good = reads_without_allocation("\u00B115 um", try_parse_symmetric_band<Length>) && good;
  return good ? EXIT_SUCCESS : EXIT_FAILURE;
}
