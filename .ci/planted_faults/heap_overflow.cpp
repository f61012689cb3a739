#include <cstddef>
#include <memory>

// A read behind the end of an array, which the address sanitizer must report.
int main(int argc, char**) {
  const auto count = static_cast<std::size_t>(argc);
  const auto values = std::make_unique<int[]>(count);
  return values[count];
}
