#include "lashband/design/study.hpp"

#include <utility>

namespace lashband::design {

Study study(Design design, const RunOptions& options) {
  Study study;
  study.design = std::move(design);
  study.layout = layout(study.design);
  study.carriers = carriers(study.design, options);
  study.budget = budget(study.design, study.backlash(), options, BudgetExtent::envelope);
  return study;
}

}  // namespace lashband::design
