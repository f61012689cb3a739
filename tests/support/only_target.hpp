#pragma once

#include <hwy/targets.h>

#include <cstdint>

namespace lashband::test {

/// Makes the SIMD library use one instruction set as long as it lives.
class OnlyTarget {
 public:
  explicit OnlyTarget(std::int64_t target) {
    hwy::SetSupportedTargetsForTest(target);
    hwy::GetChosenTarget().DeInit();
  }
  ~OnlyTarget() {
    hwy::SetSupportedTargetsForTest(0);
    hwy::GetChosenTarget().DeInit();
  }
  OnlyTarget(const OnlyTarget&) = delete;
  OnlyTarget& operator=(const OnlyTarget&) = delete;
  OnlyTarget(OnlyTarget&&) = delete;
  OnlyTarget& operator=(OnlyTarget&&) = delete;
};

}  // namespace lashband::test
