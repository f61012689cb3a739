#include <limits>

// An overflow of int, which the undefined-behaviour sanitizer must report.
int main(int argc, char**) {
  return std::numeric_limits<int>::max() + argc == 0 ? 1 : 0;
}
